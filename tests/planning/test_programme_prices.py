"""The carton programme's prices are the pricing module's, on random moves with every feature switched on at random.

First the plans that the programme chooses, then any assignment it is held to by the bounds of its variables. An
assignment that the rules forbid, as tests/independent reads them, must have no solution. Rounding is the only
difference: a programme that does not round is apart by at most half a minor unit for each charge of a trip and each
fee on the value of a trip; one that rounds is the same, save that it may take exactly half a minor unit down.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from math import inf
from random import Random

import pytest
from independent.broken import broken_rules, carton_faults, trip_faults
from independent.choices import packed_into
from independent.random_moves import middling, tiny
from independent.random_plans import packed_at_random
from independent.recompute import NoPriceError, carton_loss, fee

from shipopt.move.cartons import CartonType, FilledCarton, Portion
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.quotes import Quote
from shipopt.move.rules import quotes_in
from shipopt.move.words import CoverBasis
from shipopt.planning.formulation import carton_programme, closed_cartons, filled_once
from shipopt.planning.programme import Option, Programme
from shipopt.planning.solving import Outcome, Verdict, solve
from shipopt.planning.state import objective_of
from shipopt.planning.ways import loss_matters, ways_of
from shipopt.pricing.cover import band_of
from shipopt.pricing.total import price

TINY = range(900)
MIDDLING = range(60)
HELD = range(900)
HELD_TO = 4
"""So many assignments of each move are drawn; those that come twice are tried once."""

NEAR = 1e-4
"""In minor units: what floats and the solver's tolerances may come to."""


@dataclass(frozen=True)
class Case:
    """Shipments with what the programme makes of them: its objective, None where it has no solution."""

    seed: int
    move: Move
    rounds: bool
    shipments: list[Shipment]
    objective: float | None


# Packings and programmes


def packed_within_rules(move: Move, rng: Random) -> list[FilledCarton]:
    """All loose records of a tiny move in cartons drawn at random, each within its room and sleeves; its weight is
    left to chance."""
    left = [record.copies for record in move.loose]
    types, found = list(move.cartons.values()), []
    while any(left):
        carton = rng.choice(types)
        holds = _contents(move, rng, carton, left)
        packed = packed_into(move, carton, holds) if any(holds) else None
        if packed is not None:
            found.append(replace(packed, number=f"C{len(found) + 1}", portions=tuple(_numbered(move, packed, left))))
    return found


def _contents(move: Move, rng: Random, carton: CartonType, left: Sequence[int]) -> list[int]:
    """How many copies of each line go in the next carton: some that are left, in shelf order or in any."""
    holds = [0] * len(left)
    copies = [line for line, number in enumerate(left) for _ in range(number)]
    if rng.random() < 0.5:
        rng.shuffle(copies)
    for line in copies[: rng.randint(1, len(copies))]:
        holds[line] += 1
        if packed_into(move, carton, holds) is None:
            holds[line] -= 1
    return holds


def _numbered(move: Move, packed: FilledCarton, left: list[int]) -> Iterator[Portion]:
    """Its portions with copies that no earlier carton has; ``left`` is brought down by them."""
    for portion in packed.portions:
        line = move.loose.index(portion.record)
        yield replace(portion, first=1 + portion.record.copies - left[line])
        left[line] -= portion.copies


def programme_for(move: Move, cartons: Sequence[FilledCarton], *, rounds: bool) -> Programme:
    """The carton programme of these cartons and those that the user has closed, each to go once."""
    candidates, items = filled_once(cartons)
    closed = closed_cartons(move, len(items))
    return carton_programme(move, [*candidates, *closed], items + [1] * len(closed), rounds=rounds)


def solved(programme: Programme) -> Outcome:
    """Solved to the last digit. Without restarts: with them HiGHS 1.16 was seen not to end on a tiny programme."""
    outcome = solve(programme.problem, seconds=20, gap=0.0, options={"mip_allow_restart": False})
    assert outcome.verdict in (Verdict.PROVED, Verdict.IMPOSSIBLE)
    return outcome


def shipment_of(programme: Programme, option: Option) -> Shipment:
    """What an option sends."""
    filled = programme.candidates[option.candidate].filled
    return Shipment(filled, option.way.quote, option.track.trip, option.way.cover)


def packed_somehow(seed: int, move: Move) -> list[FilledCarton]:
    """Cartons for a move's loose records; those of a middling move may be stacked over their room, which the programme
    never asks."""
    few = sum(record.copies for record in move.loose) <= 8
    return packed_within_rules(move, Random(seed)) if few else packed_at_random(move, Random(seed))


def broken(case: Case) -> list[str]:
    """The rules that a case breaks, room in cartons apart."""
    return [fault for fault in broken_rules(case.move, case.shipments) if "inner carton" not in fault]


@pytest.fixture(scope="module")
def chosen() -> list[Case]:
    """What the programme chooses for each move."""
    tiny_ones = [_chosen(seed, tiny(seed), rounds=seed % 2 == 1) for seed in TINY]
    return tiny_ones + [_chosen(seed, middling(seed, 12), rounds=False) for seed in MIDDLING]


def _chosen(seed: int, move: Move, *, rounds: bool) -> Case:
    programme = programme_for(move, packed_somehow(seed, move), rounds=rounds)
    outcome = solved(programme)
    if not outcome.found:
        return Case(seed, move, rounds, [], None)
    taken = [option for option in programme.options if outcome.values[option.variable.name] > 0.5]
    return Case(seed, move, rounds, [shipment_of(programme, option) for option in taken], outcome.objective)


@pytest.fixture(scope="module")
def held() -> list[Case]:
    """What the programme makes of assignments that it is held to."""
    cases = [case for seed in HELD for case in _held(seed, tiny(seed), rounds=seed % 2 == 1)]
    return cases + [case for seed in MIDDLING for case in _held(seed, middling(seed, 12), rounds=False)]


def _held(seed: int, move: Move, *, rounds: bool) -> Iterator[Case]:
    """Assignments drawn from the options of one programme, none where a carton has no option at all."""
    programme = programme_for(move, packed_somehow(seed, move), rounds=rounds)
    of_cartons: list[list[Option]] = [[] for _ in programme.candidates]
    for option in programme.options:
        of_cartons[option.candidate].append(option)
    if not all(of_cartons):
        return
    rng = Random(seed)
    for names in sorted({_assignment(rng, of_cartons) for _ in range(HELD_TO)}):
        for option in programme.options:
            option.variable.lowBound = option.variable.upBound = int(option.variable.name in names)
        outcome = solved(programme)
        shipments = [shipment_of(programme, o) for o in programme.options if o.variable.name in names]
        yield Case(seed, move, rounds, shipments, outcome.objective if outcome.found else None)


def _assignment(rng: Random, options: Sequence[Sequence[Option]]) -> tuple[str, ...]:
    """The names of one option of each carton. Trips of a quote are alike, so those that carry more come first."""
    drawn = []
    for of_carton in options:
        quote = rng.choice(list(dict.fromkeys(option.track.quote.name for option in of_carton)))
        drawn.append(rng.choice([option for option in of_carton if option.track.quote.name == quote]))
    carried = Counter((option.track.quote.name, option.track.trip) for option in drawn)
    numbers: dict[tuple[str, int], int] = {}
    for quote, trip in sorted(carried, key=lambda load: (load[0], -carried[load], load[1])):
        numbers[quote, trip] = 1 + sum(name == quote for name, _ in numbers)
    return tuple(
        next(
            other.variable.name
            for other in of_carton
            if other.way is option.way
            and other.track.trip == numbers[option.track.quote.name, option.track.trip]
        )
        for option, of_carton in zip(drawn, options, strict=True)
    )


# How far apart


def assert_agrees(case: Case) -> None:
    """The objective is the price of the shipments, with expected loss where that counts, rounding apart."""
    assert case.objective is not None
    minor = float(case.move.settings.currency.minor_unit)
    over = (float(objective_of(case.move, case.shipments)) - case.objective) / minor
    if case.rounds:
        assert abs(over - round(over)) <= NEAR, f"seed {case.seed}: {over} minor units"
        assert 0 <= round(over) <= exact_halves(case), f"seed {case.seed}: {over} minor units"
    else:
        assert abs(over) <= charges_of_trips(case) / 2 + NEAR, f"seed {case.seed}: {over} minor units"


def charges_of_trips(case: Case) -> int:
    """How many charges and fees depend on what else is on a trip: all others are constants of the programme."""
    cost = price(case.move, case.shipments)
    return sum(statement.quote.by_load for statement in cost.statements) + len(cost.consignment_fees)


def exact_halves(case: Case) -> int:
    """How many of those lie exactly half a minor unit above a whole number of them."""
    half, cost = case.move.settings.currency.minor_unit / 2, price(case.move, case.shipments)
    lines = [line for statement in cost.statements if statement.quote.by_load for line in statement.lines]
    # Lines show amounts to ten places, so that a half may stand there as one of 0.0049999999.
    found = sum(line.what == "Rounding" and abs(line.amount - half) < Decimal("1e-8") for line in lines)
    for of_trip in cost.consignment_fees:
        band, value = band_of(of_trip.cover, of_trip.value), Fraction(of_trip.value)
        assert band is not None
        exact = max(Fraction(band.least_fee), Fraction(band.fee) + Fraction(band.share_of_value) * value)
        found += Fraction(of_trip.fee) - exact == Fraction(half)
    return found


# Plans that the programme chooses


def test_five_hundred_moves_have_a_plan_and_some_have_none(chosen):
    plans = sum(case.objective is not None for case in chosen)
    assert 500 <= plans < len(chosen)


def test_a_plan_chosen_costs_what_the_pricing_module_says(chosen):
    for case in chosen:
        if case.objective is not None:
            assert_agrees(case)


def test_a_plan_chosen_breaks_no_rule(chosen):
    assert {case.seed: broken(case) for case in chosen if case.objective is not None and broken(case)} == {}


# Assignments that the programme is held to


def test_an_assignment_has_no_solution_just_where_the_rules_forbid_it(held):
    for case in held:
        assert (case.objective is None) == bool(broken(case)), f"seed {case.seed}: {broken(case)}"


def test_an_assignment_costs_what_the_pricing_module_says(held):
    allowed = [case for case in held if case.objective is not None]
    assert len(allowed) >= 1000
    for case in allowed:
        assert_agrees(case)


def test_assignments_are_forbidden_by_every_rule_of_trips_and_of_the_whole_move(held):
    faults = {fault for case in held for fault in broken(case)}
    for rule in (
        "too many cartons", "too much weight", "too much volume", "worth more than", "above its last band",
        "are used, at most", "expected uninsured loss",
    ):  # fmt: skip
        assert any(rule in fault for fault in faults), rule


def test_programmes_that_round_meet_exact_halves(chosen, held):
    assert any(case.rounds and case.objective is not None and exact_halves(case) for case in chosen + held)


def test_every_kind_of_tariff_and_cover_is_priced(chosen, held):
    for cases in (chosen, held):
        met: set[object] = set()
        for case in cases:
            if case.objective is not None:
                met |= _met_in(case)
        assert met >= {
            "rate card", "weight breaks", "minimum reached", "surcharge", "free cartons", "volumetric", "steps",
            "volume", "weight", "fixed", "load", "carton", "later trip", "own cover", "trip's cover", "later band",
            "closed", "gone", "on hand", "loss counted", "loss capped", 0, 2, 3,
        }  # fmt: skip


def _met_in(case: Case) -> set[object]:
    cost, settings = price(case.move, case.shipments), case.move.settings
    lines = {line.what.split(",")[0] for statement in cost.statements for line in statement.lines}
    met: set[object] = {name for name, what in AS_LINES.items() if what in lines} | {settings.currency.places}
    met |= {"loss counted"} if settings.count_expected_loss else set()
    met |= {"loss capped"} if settings.most_expected_loss is not None else set()
    met |= {"gone"} if case.move.gone else set()
    met |= {"on hand"} if any(bought.used > bought.bought for bought in cost.bought) else set()
    later = [of for of in cost.consignment_fees if of.value > (of.cover.bands[0].value_up_to or of.value)]
    met |= {"later band"} if later else set()
    for shipment in case.shipments:
        met |= set(_met_by(shipment))
    return met


AS_LINES = {
    "rate card": "Rate card",
    "weight breaks": "Weight breaks",
    "minimum reached": "Up to the minimum charge",
    "surcharge": "Surcharge",
    "free cartons": "Included cartons (free)",
    "volume": "Outside volume",
    "weight": "Billed weight",
    "fixed": "Fixed charge",
}


def _met_by(shipment: Shipment) -> Iterator[str]:
    quote, cover = shipment.quote, shipment.cover
    yield "load" if quote.by_load else "carton"
    if quote.volumetric_divisor is not None:
        yield "volumetric"
    if quote.weigh_step is not None:
        yield "steps"
    if shipment.trip > 1:
        yield "later trip"
    if shipment.filled.closed_by_user:
        yield "closed"
    if cover is not None:
        yield "trip's cover" if quote.by_load and cover.basis is CoverBasis.CONSIGNMENT else "own cover"


# Ways that the programme does not offer


def test_a_way_is_offered_unless_the_rules_forbid_it_or_another_beats_it():
    for seed in HELD:
        move = tiny(seed)
        for filled in [*packed_somehow(seed, move), *move.to_go]:
            for quote in move.quotes.values():
                _assert_ways_are_right(move, filled, quote, seed)


def _assert_ways_are_right(move: Move, filled: FilledCarton, quote: Quote, seed: int) -> None:
    """Each cover, or none: never offered if it is forbidden, and left out only if one that is offered costs no more
    and risks no more."""
    offered = {way.cover: way for way in ways_of(filled, quote, move)} if quote in quotes_in(move) else {}
    for cover in (None, *move.covers.values()):
        shipment = Shipment(filled, quote, 1, cover)
        own = own_fee(move, shipment)
        if own is None:
            assert cover not in offered, f"seed {seed}: {filled.number} by {quote.name} under {cover}"
        elif cover not in offered and not trip_faults(move, quote, [shipment]):
            loss = carton_loss(move, filled, quote, cover) if loss_matters(move) else inf
            assert any(
                way.fee <= own * move.settings.currency.minor_unit and way.expected_loss <= loss
                for way in offered.values()
                if not way.fee_by_trip
            ), f"seed {seed}: {filled.number} by {quote.name} under {cover}"


def own_fee(move: Move, shipment: Shipment) -> int | None:
    """What the carton adds to cover fees at the least, in minor units: nothing where the fee is that of a trip. None
    where the carton may not go so, whatever else is on the trip."""
    cover = shipment.cover
    if carton_faults(move, shipment):
        return None
    try:
        alone = fee(move, cover, Fraction(shipment.filled.value)) if cover else 0
    except NoPriceError:
        return None
    return 0 if cover and shipment.quote.by_load and cover.basis is CoverBasis.CONSIGNMENT else alone
