"""Swapping: no copy is lost, no carton and no shared limit is overfull, what is left over fits nowhere by one move; and
the tariffs it goes by are those of the pricing module."""

from dataclasses import replace
from decimal import ROUND_CEILING, Decimal
from math import inf
from random import Random
from threading import Event

import numpy as np
import pytest
from independent.random_moves import middling

from shipopt.move.cartons import FilledCarton
from shipopt.move.cover import Band, Cover
from shipopt.move.move import Move
from shipopt.move.quotes import Quote
from shipopt.move.rules import most_gross_weight, quotes_in
from shipopt.move.words import CoverBasis, Covers
from shipopt.planning.guide import Batch
from shipopt.planning.modes import modes_of
from shipopt.planning.opened import Copy, OpenCarton
from shipopt.planning.swapping import swap_until_all_fit
from shipopt.planning.swaps import Packing, _Swaps
from shipopt.planning.tariffs import REFUSED, Tariff, steps_to_stay_below, tariffs_of
from shipopt.pricing.carriage import carton_charge

SEEDS = [seed for seed in range(50) if quotes_in(middling(seed))]


def opened_for(move: Move, quote: Quote, number: int) -> list[OpenCarton]:
    """So many empty cartons of the first type, by a quote."""
    carton = next(iter(move.cartons.values()))
    room = carton.room_in_each(move.settings.fill_most)
    most = most_gross_weight(carton, quote, move.settings) - carton.empty_weight
    return [OpenCarton(quote, carton, room, most, Decimal("Infinity")) for _ in range(number)]


def dealt(seed: int) -> tuple[Move, list[Batch], list[list[OpenCarton]], list[list[Copy]]]:
    """Two batches of one quote whose cartons are empty yet, with copies left over that about fill them."""
    move = middling(seed)
    rng = Random(seed)
    quote = quotes_in(move)[0]
    opened = [opened_for(move, quote, rng.randint(1, 3)) for _ in range(2)]
    copies = [(record, n) for record in move.loose for n in range(1, record.copies + 1)]
    rng.shuffle(copies)
    room = sum(carton.whole_room for batch in opened for carton in batch)
    left: list[list[Copy]] = [[], []]
    for copy in copies:
        if copy[0].thickness <= room:
            left[rng.randrange(2)].append(copy)
            room -= copy[0].thickness
    mode = modes_of(quote, move)[0]
    batches = [Batch(quote, mode, cartons=[(c.carton, float(c.most_weight)) for c in each]) for each in opened]
    return move, batches, opened, left


@pytest.mark.parametrize("seed", SEEDS)
def test_no_copy_is_lost_and_nothing_is_overfull(seed: int) -> None:
    move, batches, opened, left = dealt(seed)
    remaining = swap_until_all_fit(batches, opened, left, move)
    cartons = [carton for each in opened for carton in each]
    inside = [copy for carton in cartons for inner in carton.copies for copy in inner]
    key = lambda copy: (copy[0].place, copy[1])  # noqa: E731
    assert sorted(map(key, inside + remaining)) == sorted(key(copy) for each in left for copy in each)
    for carton in cartons:
        assert all(stack <= carton.room for stack in carton.stacks)
        assert carton.weight <= carton.most_weight
        assert carton.weight == sum(record.weight for inner in carton.copies for record, _ in inner)
        assert all(record.format.sleeve in carton.carton.sleeves for inner in carton.copies for record, _ in inner)


def test_more_fits_than_by_filling_in_turn() -> None:
    """On most of these moves all copies find room, though the cartons are as good as full."""
    whole = 0
    for seed in SEEDS:
        move, batches, opened, left = dealt(seed)
        sleeves = opened[0][0].carton.sleeves
        fitting = [[copy for copy in each if copy[0].format.sleeve in sleeves] for each in left]
        heavy = sum(copy[0].weight for each in fitting for copy in each)
        room = sum(carton.most_weight for each in opened for carton in each)
        if any(fitting) and heavy <= room:
            whole += len(swap_until_all_fit(batches, opened, fitting, move)) == 0
    assert whole > 5


@pytest.mark.parametrize("seed", SEEDS)
def test_tariffs_are_the_pricing_modules(seed: int) -> None:
    move = middling(seed)
    rng = Random(seed)
    for quote in quotes_in(move):
        if quote.by_load or any((quote.minimum_charge, quote.per_carton, quote.per_volume, quote.weight_breaks)):
            continue
        (carton,) = opened_for(move, quote, 1)
        (tariff,), _ = tariffs_of([carton], move)
        contents = Decimal(rng.randint(1, 20_000)) / 1000
        filled = FilledCarton(
            number="1",
            carton=carton.carton,
            portions=(),
            records=1,
            gross_weight=carton.carton.empty_weight + contents,
            value=Decimal(1),
            stack=Decimal(1),
            care=("standard",),
            recordings_only=True,
        )
        charge = carton_charge(replace(quote, included_cartons=0), filled, move.settings)
        stated = float(tariff.charges(float(contents)))
        half = float(move.settings.currency.minor_unit) / 2
        assert (charge is None and stated >= REFUSED) or abs(float(charge or 0) - stated) <= half + 1e-9


def _by_steps(empty: float = 0.0) -> Tariff:
    return Tariff(empty=empty, least=0.0, step=1.0, rate=0.5, tops=np.array([]), prices=np.array([]))


def test_what_is_little_above_a_step_is_to_lose_it() -> None:
    weights, quotes = np.array([1.2, 1.9, 0.9]), np.zeros(3, dtype=np.int64)
    assert steps_to_stay_below(weights, [_by_steps()] * 3, quotes, 0) == pytest.approx([1.0, 2.0, 1.0])
    assert steps_to_stay_below(weights, [_by_steps()] * 3, quotes, 1) is None
    assert steps_to_stay_below(weights, [_by_steps(0.5)] * 3, quotes, 0) == pytest.approx([1.5, 2.5, 0.5])
    by_card = replace(_by_steps(), tops=np.array([5.0]), prices=np.array([1.0, REFUSED]))
    assert steps_to_stay_below(weights, [by_card] * 3, quotes, 0) is None


def _billed(seed: int) -> Decimal:
    """Steps of weight billed beyond what ten cartons weigh together, with copies of four weights dealt by lot."""
    move = middling(SEEDS[0])
    quote = replace(
        quotes_in(move)[0], per_weight=Decimal(1), weigh_step=Decimal(1), rate_card=None, volumetric_divisor=None
    )
    opened = opened_for(move, quote, 10)
    pattern = replace(move.records[0], care="standard", must_go_by=None, copies=1)
    rng = Random(seed)
    weights = [Decimal(rng.choice(["0.17", "0.25", "0.30", "0.45"])) for _ in range(300)]
    room = float(opened[0].room)
    copies = [
        (replace(pattern, place=place, weight=weight, thickness=Decimal(round(room * 9.8 / 300, 4))), 1)
        for place, weight in enumerate(weights)
    ]
    batch = Batch(quote, modes_of(quote, move)[0], cartons=[(c.carton, float(c.most_weight)) for c in opened])
    assert not swap_until_all_fit([batch], [opened], [copies], move)
    gross = [carton.weight + carton.carton.empty_weight for carton in opened]
    least = sum(gross, Decimal(0)).to_integral_value(ROUND_CEILING)
    return sum((each.to_integral_value(ROUND_CEILING) for each in gross), Decimal(0)) - least


def test_cartons_are_aimed_below_the_steps_they_are_billed_by(monkeypatch: pytest.MonkeyPatch) -> None:
    aimed = [_billed(seed) for seed in range(6)]
    monkeypatch.setattr(Packing, "aim_below_steps", lambda _: None)
    saved = [_billed(seed) for seed in range(6)]
    assert all(one <= other for one, other in zip(aimed, saved, strict=True)), (aimed, saved)
    assert sum(aimed) < sum(saved) / 2, (aimed, saved)


def _covered(worth: float, *, losses_count: bool = False) -> float:
    """What a covered carton is worth, of two that are much alike, where the guide lets it be worth so much."""
    move = middling(SEEDS[0])
    move = replace(move, settings=replace(move.settings, count_expected_loss=losses_count))
    quote = replace(quotes_in(move)[0], rate_card=None, volumetric_divisor=None)
    opened = [opened_for(move, quote, 1), opened_for(move, quote, 1)]
    size = round(opened[0][0].room / 13, 2)
    pattern = replace(move.records[0], care="standard", must_go_by=None, copies=1, thickness=size)
    weight = min(opened[0][0].most_weight / 20, pattern.weight)
    copies = [(replace(pattern, place=place, value=Decimal(10 + place), weight=weight), 1) for place in range(20)]
    mode = modes_of(quote, move)[0]
    cover = Cover("cover", Covers.LOSS, CoverBasis.CARTON, (Band(None, Decimal(0), Decimal("0.01")),))
    batches = [
        Batch(quote, replace(mode, cover=cover, share=0.01), worth=worth),
        Batch(quote, mode),
    ]
    assert not swap_until_all_fit(batches, opened, [copies[10:], copies[:10]], move)
    return float(opened[0][0].value)


def test_no_more_is_covered_than_the_guide_meant_to_where_that_can_be() -> None:
    as_dealt = sum(range(20, 30))
    assert _covered(inf) == as_dealt
    assert _covered(180) <= 180
    assert _covered(10) == as_dealt, "ten copies are worth more: the aim is given up, nothing is changed"


def test_where_losses_count_value_goes_where_it_costs_least() -> None:
    assert _covered(inf, losses_count=True) < sum(range(20, 30)), "the fee grows with it, what is lost does not shrink"


def test_a_carton_that_could_only_stay_below_a_step_empty_is_no_obstacle() -> None:
    move = middling(SEEDS[0])
    opened = opened_for(move, quotes_in(move)[0], 3)
    step = opened[0].carton.empty_weight
    quote = replace(quotes_in(move)[0], per_weight=Decimal(1), weigh_step=step, rate_card=None, volumetric_divisor=None)
    opened = opened_for(move, quote, 3)
    pattern = replace(move.records[0], care="standard", must_go_by=None, copies=1, thickness=opened[0].room / 10)
    weights = [step / 10, *[step * Decimal("0.37")] * 20]
    copies = [(replace(pattern, place=place, weight=weight), 1) for place, weight in enumerate(weights)]
    batch = Batch(quote, modes_of(quote, move)[0], cartons=[(c.carton, float(c.most_weight)) for c in opened])
    for copy in copies[1:11]:
        opened[1].put(copy, 0)
    for copy in copies[11:]:
        opened[2].put(copy, 0)
    opened[0].put(copies[0], 0)
    assert not swap_until_all_fit([batch], [opened], [[]], move)
    assert sum(len(inner) for carton in opened for inner in carton.copies) == len(copies)


def _plainly_over(swaps: _Swaps, goes: int, to: int) -> float:
    """By how much more is over, weighted, once a swap is made: worked out anew."""
    packing = swaps.packing
    before = _weighted_over(packing)
    at, kept = packing.at.copy(), [pool.used for pool in packing.pools]
    packing.move(int(swaps.goes[goes]), int(swaps.to[to]))
    if to < len(swaps.comes):
        packing.move(int(swaps.comes[to]), swaps.room)
    after = _weighted_over(packing)
    packing.at = at
    packing._count_all()
    assert [pool.used for pool in packing.pools] == pytest.approx(kept)
    return after - before


def _weighted_over(packing: Packing) -> float:
    above = lambda shares: np.maximum(0.0, shares - 1)  # noqa: E731
    pooled = sum(pool.counts * max(0.0, pool.used - 1) for pool in packing.pools)
    stacks = (packing.stack_counts * above(packing.stack)).sum()
    return float(stacks + (packing.held_counts * above(packing.held)).sum() + pooled)


@pytest.mark.parametrize("seed", SEEDS[:20])
def test_what_a_swap_puts_over_is_what_it_says(seed: int) -> None:
    move, _, opened, left = dealt(seed)
    rng = Random(seed)
    packing = Packing(opened, left, move)
    packing.put_the_rest_in()
    packing.stack_counts += [rng.randrange(3) for _ in packing.rooms]
    packing.held_counts[:, 0] += [rng.randrange(3) for _ in packing.most]
    packing.most[:, 1:] *= [rng.uniform(0.2, 1.5) for _ in range(2)]
    packing._count_all()
    packing.scope = np.zeros_like(packing.batch)
    for room in range(len(packing.rooms)):
        swaps = _Swaps(packing, room)
        over = swaps.over()
        for goes in range(0, over.shape[0], 3):
            for to in range(0, over.shape[1], 5):
                if np.isfinite(over[goes, to]):
                    assert over[goes, to] == pytest.approx(_plainly_over(swaps, goes, to), abs=1e-6)


def test_swaps_end_once_there_is_enough() -> None:
    told = Event()
    told.set()
    move, _, opened, left = dealt(SEEDS[0])
    packing = Packing(opened, left, move)
    packing.put_the_rest_in()
    packing.enough = told
    before = packing.at.copy()
    packing.stack += 1.0
    packing.swap()
    assert (packing.at == before).all()
