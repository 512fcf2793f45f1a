"""The program's totals and an independent recomputation are the same to the last minor unit, on random plans.

Where a rate card or a cover does not reach a carton, both must say so.
"""

from fractions import Fraction

import pytest

from independent.random_moves import middling, tiny
from independent.random_plans import random_plan
from independent.recompute import NoPriceError, Totals, totals
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.pricing.carriage import Refused
from shipopt.pricing.cover import CannotBeCovered
from shipopt.pricing.total import Cost, price
from shipopt.risk.expected import expected_uninsured_loss_of_all

TINY = range(550)
MIDDLING = range(60)


def both(move: Move, shipments: list[Shipment]) -> tuple[Totals | None, Cost | None]:
    """The recomputation and the program's price; None where there is no price."""
    try:
        again = totals(move, shipments)
    except NoPriceError:
        again = None
    try:
        return again, price(move, shipments)
    except (Refused, CannotBeCovered):
        return again, None


def assert_same(move: Move, shipments: list[Shipment]) -> bool:
    """Both agree on every total and every trip; whether there is a price."""
    again, cost = both(move, shipments)
    if again is None or cost is None:
        assert (again is None) == (cost is None)
        return False
    assert cost.carriage == again.carriage
    assert cost.cartons == again.cartons_bought
    assert cost.cover == again.cover_fees
    assert cost.total == again.total_cost
    assert {(name, trip or 0): amount for (name, trip), amount in cost.carriage_by_trip.items()} == again.trips
    assert Fraction(expected_uninsured_loss_of_all(move, shipments)) == again.expected_uninsured_loss
    return True


def test_tiny_moves_cost_the_same():
    priced = [assert_same(move := tiny(seed), random_plan(move, seed)) for seed in TINY]
    assert 0.5 * len(priced) < sum(priced) < len(priced), "most plans have a price, some have none"


@pytest.mark.parametrize("first", range(0, len(MIDDLING), 20))
def test_middling_moves_cost_the_same(first):
    priced = [assert_same(move := middling(seed), random_plan(move, seed)) for seed in MIDDLING[first : first + 20]]
    assert any(priced)


def test_random_plans_use_every_kind_of_tariff():
    used: set[object] = set()
    for seed in TINY:
        move = tiny(seed)
        for shipment in random_plan(move, seed):
            used |= _tariffs(move, shipment)
    assert used >= {
        "rate card", "weight breaks", "minimum", "surcharge", "included", "volumetric", "steps", "by carton", "by load",
        "cover by carton", "cover by consignment", "sent", "arrived", "closed", "on hand", 0, 2, 3,
    }  # fmt: skip


def _tariffs(move: Move, shipment: Shipment) -> set[object]:
    quote, cover = shipment.quote, shipment.cover
    switched_on = {
        "rate card": quote.rate_card,
        "weight breaks": quote.weight_breaks,
        "minimum": quote.minimum_charge,
        "surcharge": quote.surcharge,
        "included": quote.included_cartons and quote.per_carton,
        "volumetric": quote.volumetric_divisor,
        "steps": quote.weigh_step,
        "closed": shipment.filled.closed_by_user,
        "on hand": shipment.filled.carton.on_hand,
    }
    used: set[object] = {name for name, given in switched_on.items() if given}
    used |= {"by load" if quote.by_load else "by carton", move.settings.currency.places}
    used |= {f"cover by {cover.basis}"} if cover else set()
    return used | {str(gone.status) for gone in move.gone}
