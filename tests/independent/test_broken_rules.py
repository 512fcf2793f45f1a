"""The list of broken rules finds each single fault that is put into a plan without one."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest

from independent.broken import broken_rules
from independent.exact import best_plan
from independent.random_moves import READY, tiny
from shipopt.move.care import CareLevel
from shipopt.move.cartons import Portion, filled
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.quotes import RateCard, RateStep
from shipopt.move.words import Means

Spoiled = tuple[Move, list[Shipment]]
LITTLE = Decimal("0.001")


@pytest.fixture(scope="module")
def sound() -> Spoiled:
    """A proved plan by one quote for a load, with at least two cartons on its first trip, and no closed carton."""
    for seed in range(200):
        move = tiny(seed)
        found = list(best_plan(move).shipments)
        if len(found) < 2 or move.packed or {(s.quote.name, s.trip) for s in found} != {(found[0].quote.name, 1)}:
            continue
        if found[0].quote.by_load and len(found[0].filled.portions) > 0:
            return move, found
    raise AssertionError("no such move among the first 200")


def with_quote(spoiled: Spoiled, **changes: object) -> Spoiled:
    move, shipments = spoiled
    quote = replace(shipments[0].quote, **changes)
    quotes = {**move.quotes, quote.name: quote}
    return replace(move, quotes=quotes), [replace(s, quote=quote) for s in shipments]


def with_settings(spoiled: Spoiled, **changes: object) -> Spoiled:
    move, shipments = spoiled
    return replace(move, settings=replace(move.settings, **changes)), shipments


def with_first(spoiled: Spoiled, portions: list[Portion]) -> Spoiled:
    move, shipments = spoiled
    first = shipments[0]
    carton = filled(first.filled.number, first.filled.carton, portions)
    return move, [replace(first, filled=carton), *shipments[1:]]


def with_types(spoiled: Spoiled, **changes: object) -> Spoiled:
    """The first carton's type changed, in the move and in every carton of it."""
    move, shipments = spoiled
    carton = replace(shipments[0].filled.carton, **changes)
    changed = [
        replace(s, filled=replace(s.filled, carton=carton)) if s.filled.carton.name == carton.name else s
        for s in shipments
    ]
    return replace(move, cartons={**move.cartons, carton.name: carton}), changed


def with_strict_care(spoiled: Spoiled, **needs: object) -> Spoiled:
    move, shipments = spoiled
    care = {name: replace(level, **needs) for name, level in move.care.items()}
    return replace(move, care=care), shipments


def first_portions(spoiled: Spoiled) -> list[Portion]:
    return list(spoiled[1][0].filled.portions)


def gross(spoiled: Spoiled) -> Decimal:
    return spoiled[1][0].filled.gross_weight


def total(spoiled: Spoiled, of: Callable[[Shipment], Decimal]) -> Decimal:
    return sum((of(shipment) for shipment in spoiled[1]), Decimal(0))


FAULTS: dict[str, tuple[Callable[[Spoiled], Spoiled], str]] = {
    "a carton left behind": (lambda s: (s[0], s[1][1:]), "goes 0 times"),
    "a carton sent twice": (lambda s: (s[0], [*s[1], s[1][0]]), "goes 2 times"),
    "a copy too many": (
        lambda s: with_first(s, [replace(p, copies=p.copies + 9) for p in first_portions(s)]),
        "does not exist",
    ),
    "filled too high": (lambda s: with_settings(s, fill_most=s[1][0].filled.fill - LITTLE), "is filled"),
    "an inner carton that is not there": (
        lambda s: with_first(s, [replace(p, inner=9) for p in first_portions(s)]),
        "no inner carton",
    ),
    "room of two inner cartons": (
        lambda s: with_types(s, inner_cartons=2, stack_length=s[1][0].filled.stack * Decimal("1.5")),
        "inner carton 1 is filled",
    ),
    "sleeves": (lambda s: with_types(s, sleeves=("postcard",)), "takes no"),
    "weight misstated": (
        lambda s: (s[0], [replace(s[1][0], filled=replace(s[1][0].filled, gross_weight=LITTLE)), *s[1][1:]]),
        "its weight is stated",
    ),
    "too heavy to lift": (lambda s: with_settings(s, heaviest_carton=gross(s) - LITTLE), "heaviest to lift"),
    "certificate": (lambda s: with_types(s, gross_limit=gross(s) - LITTLE), "own gross limit"),
    "too heavy for the quote": (lambda s: with_quote(s, carton_weight_limit=gross(s) - LITTLE), "the quote's limit"),
    "most to use": (lambda s: with_types(s, most=0), "at most 0 may be"),
    "too long": (lambda s: with_quote(s, carton_length_limit=LITTLE), "too long"),
    "girth": (lambda s: with_quote(s, carton_girth_limit=LITTLE), "too large round"),
    "not accepted": (lambda s: with_quote(s, cartons_accepted=()), "does not accept"),
    "not considered": (lambda s: with_quote(s, consider=False), "is not considered"),
    "expired": (
        lambda s: with_settings(with_quote(s, valid_until=READY), decide_on=READY + timedelta(days=1)),
        "has expired",
    ),
    "collected too early": (
        lambda s: with_settings(with_quote(s, collect_until=READY), ready_on=READY + timedelta(days=1)),
        "collects too early",
    ),
    "arrives too late": (
        lambda s: with_settings(with_quote(s, collect_from=READY, transit_days=30), needed_by=READY),
        "arrives too late",
    ),
    "means": (lambda s: with_strict_care(s, means=frozenset({Means.POST}) - {s[1][0].quote.means}), "may not go by"),
    "closed body": (
        lambda s: with_strict_care(with_quote(s, closed_body=False), needs_closed_body=True),
        "may not go by",
    ),
    "temperature": (
        lambda s: with_strict_care(with_quote(s, temperature_held=False), needs_temperature_held=True),
        "may not go by",
    ),
    "tracking": (lambda s: with_strict_care(with_quote(s, tracked=False), needs_tracking=True), "may not go by"),
    "sole use": (lambda s: with_strict_care(with_quote(s, sole_use=False), needs_sole_use=True), "may not go by"),
    "loss chance": (
        lambda s: with_strict_care(with_quote(s, whole_load_loss=LITTLE), most_loss_chance=s[1][0].quote.loss_chance),
        "may not go by",
    ),
    "pinned elsewhere": (
        lambda s: with_first(
            s, [replace(p, record=replace(p.record, must_go_by="somebody")) for p in first_portions(s)]
        ),
        "must go by somebody",
    ),
    "recordings only": (
        lambda s: with_first(
            with_quote(s, recordings_only=True),
            [
                replace(p, record=replace(p.record, format=replace(p.record.format, sound_recording=False)))
                for p in first_portions(s)
            ],
        ),
        "takes recordings only",
    ),
    "end of the rate card": (
        lambda s: with_quote(s, rate_card=RateCard("short", (RateStep(LITTLE, Decimal(1)),))),
        "rate card ends",
    ),
    "no such trip": (lambda s: (s[0], [replace(x, trip=7) for x in s[1]]), "no such trip"),
    "most cartons": (lambda s: with_quote(s, most_cartons=len(s[1]) - 1), "too many cartons"),
    "most weight": (
        lambda s: with_quote(s, most_weight=total(s, lambda x: x.filled.gross_weight) - LITTLE),
        "too much weight",
    ),
    "most volume": (lambda s: with_quote(s, most_volume=Decimal("0.000001")), "too much volume"),
    "most value": (
        lambda s: with_quote(s, most_value=total(s, lambda x: x.filled.value) - LITTLE),
        "worth more than",
    ),
    "value of a consignment": (
        lambda s: with_settings(s, most_value_on_consignment=total(s, lambda x: x.filled.value) - LITTLE),
        "worth more than",
    ),
    "insure rule": (
        lambda s: with_settings(
            with_quote(
                (s[0], [replace(x, cover=None) for x in s[1]]),
                insure_rule_applies=True, liability_per_carton=Decimal(0), liability_per_weight=Decimal(0),
            ),
            insure_from=s[1][0].filled.value,
        ),
        "must be insured",
    ),
    "expected uninsured loss": (
        lambda s: with_settings(
            with_quote((s[0], [replace(x, cover=None) for x in s[1]]), loss_chance=Decimal("0.5")),
            most_expected_loss=Decimal("0"),
        ),
        "expected uninsured loss",
    ),
    "worst part": (
        lambda s: with_settings(
            with_quote((s[0], [replace(x, cover=None) for x in s[1]]), loss_chance=Decimal("0.5")),
            most_tail_mean=Decimal("0"),
        ),
        "worst 5 %",
    ),
}  # fmt: skip


def test_the_plan_without_a_fault_breaks_no_rule(sound):
    assert broken_rules(*sound) == []


@pytest.mark.parametrize("fault", FAULTS)
def test_each_fault_is_found(sound, fault):
    spoil, words = FAULTS[fault]
    found = broken_rules(*spoil(sound))
    assert any(words in each for each in found), found


def test_a_care_level_that_asks_nothing_allows_everything(sound):
    move, shipments = sound
    easy = {name: CareLevel(name, frozenset(Means)) for name in move.care}
    assert broken_rules(replace(move, care=easy), shipments) == []
