"""Chances within a plan's worst part: its own mean there is its tail mean, and no other plan's tail mean is below its
mean there. Against every outcome, listed; moves are invented.
"""

from dataclasses import replace
from decimal import Decimal
from random import Random

import pytest
from every_outcome import every_outcome, figures
from test_enumerated import random_case

from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.risk.worst_part import worst_part

LEVELS = [Decimal(level) for level in ("0.95", "0.8", "0.99")]


def case(seed: int) -> tuple[Move, list[Shipment]]:
    """A random case whose carriers pay what they owe for each carton, whatever the load."""
    move, shipments = random_case(seed, cents=True)
    open_ended = {name: replace(quote, most_liability=None) for name, quote in move.quotes.items()}
    sent = [replace(each, quote=open_ended[each.quote.name]) for each in shipments]
    return replace(move, quotes=open_ended), sent


def tail_mean(move: Move, shipments: list[Shipment], level: Decimal) -> float:
    return figures(*every_outcome(move, shipments), float(level))["tail_mean"]


@pytest.mark.parametrize("seed", range(60))
def test_a_plans_mean_within_its_worst_part_is_its_tail_mean(seed: int) -> None:
    """Never above it; and no further below than outcomes at the edge are from each other on the grid."""
    move, shipments = case(seed)
    level = LEVELS[seed % 3]
    part = worst_part(move, shipments, level)
    found = sum(part.mean_of(move, place, each) for place, each in enumerate(shipments))
    true = tail_mean(move, shipments, level)
    assert true * (1 - 1e-3) - 1e-6 <= found <= true * (1 + 1e-7) + 1e-7


@pytest.mark.parametrize("seed", range(60))
def test_no_other_plan_has_a_tail_mean_below_its_mean_within_the_worst_part(seed: int) -> None:
    """Cartons dealt anew to quotes and trips, in order, mixed up, or with luck of nobody's."""
    move, shipments = case(seed)
    level, rng = LEVELS[seed % 3], Random(seed)
    part = worst_part(move, shipments, level)
    quotes = list(move.quotes.values())
    for _ in range(8):
        other = []
        for each in shipments:
            quote = rng.choice(quotes)
            other.append(replace(each, quote=quote, trip=rng.randrange(1, 4) if quote.by_load else 1))
        true = tail_mean(move, other, level)
        whose: list[int | None] = [*rng.sample(range(len(shipments)), len(shipments) - 1), None]
        for luck in (list(range(len(other))), whose, [None] * len(other)):
            found = sum(part.mean_of(move, place, each) for place, each in zip(luck, other, strict=True))
            assert found <= true * (1 + 1e-7) + 1e-7


def test_chances_grow_by_the_factor_at_the_most() -> None:
    """Whatever the plan: a trip is lost no likelier than 1 ÷ (1 − level) times its chance."""
    for seed in range(30):
        move, shipments = case(seed)
        part = worst_part(move, shipments, Decimal("0.95"))
        for (name, _), chance in part.whole.items():
            assert 0 <= chance <= 20 * float(move.quotes[name].whole_load_loss) + 1e-9
        for fate in part.fates:
            assert 0 <= fate.lost_within <= 20 * fate.lost + 1e-9
            assert 0 <= fate.damaged_within <= 20 * fate.damaged + 1e-9
