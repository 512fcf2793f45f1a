"""Redealing: what no swap of two copies finds, a programme of a few cartons does. Records and prices are invented."""

import time
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from threading import Event

import pytest
from benchmarks.moves import realistic

from shipopt.move.move import Move
from shipopt.move.rules import cartons_for, quotes_in, record_may_go
from shipopt.planning import redealing as redealing_module
from shipopt.planning.guide import Batch
from shipopt.planning.modes import modes_of
from shipopt.planning.opened import OpenCarton
from shipopt.planning.packing import packings
from shipopt.planning.redealing import A_ROUND, DEALING, TOGETHER, Redealing
from shipopt.planning.solving import Solver, default_solver

DRAWN = realistic(1, 300, 6)
MOVE = replace(DRAWN, settings=replace(DRAWN.settings, count_expected_loss=True, weight_of_loss=Decimal(100)))
PATTERN = next(record for record in MOVE.loose if record.care == "standard")
QUOTE = next(quote for quote in quotes_in(MOVE) if quote.by_load and record_may_go(PATTERN, quote, MOVE))
CARTON = replace(cartons_for(PATTERN.format.sleeve, MOVE)[0], inner_cartons=1)
WITHOUT = next(mode for mode in modes_of(QUOTE, MOVE) if mode.cover is None)
COVERED = max((mode for mode in modes_of(QUOTE, MOVE) if mode.cover is not None), key=lambda mode: mode.low)


def _stuck() -> tuple[list[Batch], list[list[OpenCarton]]]:
    """A full carton without cover that holds one thick dear copy, and covered ones that are full of thin cheap ones:
    three thin copies must change places with it at once."""
    batches = [Batch(QUOTE, WITHOUT), Batch(QUOTE, COVERED)]
    most = Decimal("Infinity")
    opened = [
        [OpenCarton(QUOTE, CARTON, Decimal(6), Decimal(99), most)],
        [OpenCarton(QUOTE, CARTON, Decimal(6), Decimal(99), most) for _ in range(TOGETHER - 1)],
    ]
    sizes = [(3, "60"), (3, "1"), *[(1, "2")] * 6 * (TOGETHER - 1)]
    copies = [
        (replace(PATTERN, place=place, thickness=Decimal(size), weight=Decimal("0.1"), value=Decimal(value)), 1)
        for place, (size, value) in enumerate(sizes)
    ]
    for copy in copies[:2]:
        opened[0][0].put(copy, 0)
    for number, copy in enumerate(copies[2:]):
        opened[1][number % (TOGETHER - 1)].put(copy, 0)
    for batch, cartons in zip(batches, opened, strict=True):
        batch.cartons = [(carton.carton, float(carton.most_weight)) for carton in cartons]
        batch.lines = [(record, 1, 1) for carton in cartons for inner in carton.copies for record, _ in inner]
    return batches, opened


def _value(opened: list[list[OpenCarton]]) -> Decimal:
    return opened[0][0].value


def _places(opened: list[list[OpenCarton]]) -> list[int]:
    return sorted(
        record.place for cartons in opened for carton in cartons for inner in carton.copies for record, _ in inner
    )


@pytest.mark.parametrize("solver", list(Solver))
def test_copies_that_must_change_places_at_once_do(solver: Solver) -> None:
    batches, opened = _stuck()
    before = _places(opened)
    rounds = list(Redealing(batches, opened, MOVE, solver).improve(time.perf_counter() + 30))
    assert rounds
    assert _value(opened) == 1 + 3 * 2, "the dear copy has left, three cheap ones stand in its place"
    assert _places(opened) == before
    assert all(carton.stacks[0] <= carton.room for cartons in opened for carton in cartons)


def test_empty_cartons_are_dealt_among_full_ones() -> None:
    batches, opened = _stuck()
    copies = [(replace(PATTERN, thickness=Decimal("0.01"), weight=Decimal("0.001")), copy) for copy in range(1, 301)]
    for copy in copies:
        opened[1][copy[1] % 3].put(copy, 0)
    batches.append(Batch(QUOTE, WITHOUT))
    opened.append([OpenCarton(QUOTE, CARTON, Decimal(6), Decimal(99), Decimal("Infinity"))])
    redealing = Redealing(batches, opened, MOVE, default_solver())
    empty, draws = len(redealing.cartons) - 1, 100
    drawn = [redealing._some([1]) for _ in range(draws)]
    assert all(1 in places and len(set(places)) == TOGETHER for places in drawn)
    assert sum(empty in places for places in drawn) > draws / 4


def test_luck_says_which_cartons_are_drawn() -> None:
    def drawn(luck: int) -> list[list[int]]:
        batches, opened = _stuck()
        opened[1] += [OpenCarton(QUOTE, CARTON, Decimal(6), Decimal(99), Decimal("Infinity")) for _ in range(9)]
        redealing = Redealing(batches, opened, MOVE, default_solver(), luck)
        return [redealing._some([1]) for _ in range(9)]

    assert drawn(1) == drawn(1) != drawn(2)


@pytest.mark.parametrize("patience", [1, 3])
def test_dealing_ends_after_so_many_deals_in_vain(monkeypatch: pytest.MonkeyPatch, patience: int) -> None:
    batches, opened = _stuck()
    redealing, deals = Redealing(batches, opened, MOVE, default_solver()), []
    monkeypatch.setattr(redealing, "_deal", lambda places, until: deals.append(places))
    assert not list(redealing.improve(time.perf_counter() + 30, None, patience))
    assert len(deals) == patience * len(redealing.cartons)


def test_most_of_the_time_goes_into_dealing_not_into_looks_at_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """A deal takes 1 s, a look 100 s, by a clock of our own."""
    batches, opened = _stuck()
    redealing, now, deals = Redealing(batches, opened, MOVE, default_solver()), [0.0], [0]

    def deal(places: Sequence[int], until: float) -> bool:
        now[0] += 1
        deals[0] += 1
        return True

    monkeypatch.setattr(redealing, "_deal", deal)
    monkeypatch.setattr(redealing_module.time, "perf_counter", lambda: now[0])
    looks = redealing.improve(2000.0)
    next(looks)
    assert deals[0] == A_ROUND
    now[0] += 100
    next(looks)
    assert deals[0] >= A_ROUND + 100 * DEALING / (1 - DEALING) - 1e-6


def test_nothing_is_dealt_once_there_is_enough_or_no_time() -> None:
    for until, enough in ((time.perf_counter() + 30, True), (time.perf_counter(), False)):
        batches, opened = _stuck()
        ended = Event()
        if enough:
            ended.set()
        assert not list(Redealing(batches, opened, MOVE, default_solver()).improve(until, ended))
        assert _value(opened) == 61


def test_a_limit_that_cartons_share_is_kept() -> None:
    """The dear copy may not leave for another quote whose trip is worth all that it may be."""
    batches, opened = _stuck()
    other = replace(QUOTE, name="another", most_value=Decimal(40))
    move = replace(MOVE, quotes={**MOVE.quotes, "another": other})
    batches[1] = replace(batches[1], quote=other)
    for carton in opened[1]:
        carton.quote = other
    list(Redealing(batches, opened, move, default_solver()).improve(time.perf_counter() + 10))
    assert _value(opened) >= 60
    assert sum(carton.value for carton in opened[1]) <= 40


def _after_the_first(move: Move) -> int:
    batches, _ = _stuck()
    return len(list(packings([batches], move, time.perf_counter() + 60, None, (default_solver(), 0.5)))) - 1


def test_cartons_are_dealt_anew_only_where_losses_are_part_of_the_cost() -> None:
    plain = replace(MOVE, settings=replace(MOVE.settings, count_expected_loss=False))
    assert _after_the_first(plain) == 0
