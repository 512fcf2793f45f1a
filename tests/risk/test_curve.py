"""How likely larger losses are, against every outcome of small random moves; events against the distribution's worst.

All moves are invented.
"""

from dataclasses import replace
from decimal import Decimal

import invented
import numpy as np
import pytest
from benchmarks.moves import realistic
from benchmarks.thumb import rule_of_thumb
from every_outcome import every_outcome
from test_enumerated import random_case

from shipopt.move.plan import Shipment
from shipopt.risk.curve import LEVELS, loss_curve
from shipopt.risk.distribution import loss_distribution
from shipopt.risk.events import loss_events
from shipopt.risk.expected import Event

SLACK = 1e-6
"""Chances and amounts are told to six places and more."""


@pytest.mark.parametrize("seed", range(24))
@pytest.mark.parametrize("cents", [False, True])
def test_chances_above_amounts_agree_with_every_outcome(seed: int, cents: bool) -> None:
    """Within the stated error, at every amount told; where rounding may move an outcome over an amount, both sides."""
    move, shipments = random_case(seed, cents)
    chances, losses = every_outcome(move, shipments)
    found = loss_curve(move, shipments)
    for told in found.above:
        amount, hair = float(told.amount), SLACK * max(1.0, float(told.amount))
        least = float(chances[losses > amount + hair].sum())
        most = float(chances[losses > amount - hair].sum())
        assert least - SLACK <= float(told.chance + told.error)
        assert float(told.chance - told.error) <= most + SLACK
    assert [told.chance for told in found.above] == sorted((told.chance for told in found.above), reverse=True)


@pytest.mark.parametrize("seed", range(24))
def test_loss_points_agree_with_every_outcome(seed: int) -> None:
    """At each level: the chance of a loss up to the point reaches the level, and up to less it does not."""
    move, shipments = random_case(seed, cents=True)
    chances, losses = every_outcome(move, shipments)
    points = loss_curve(move, shipments).points
    assert [point.level for point in points] == list(LEVELS)
    for point in points:
        high, low = (float(point.amount) + sign * (float(point.error) + SLACK) for sign in (1, -1))
        assert float(chances[losses <= high].sum()) >= float(point.level) - SLACK
        assert float(chances[losses < low].sum()) < float(point.level) + SLACK
    at_95 = next(point for point in points if point.level == Decimal("0.95"))
    known = loss_distribution(move, shipments)
    assert abs(at_95.amount - known.point) <= at_95.error + known.point_error + Decimal("0.001")


@pytest.mark.parametrize("seed", range(24))
def test_the_dearest_event_is_the_worst_of_the_distribution(seed: int) -> None:
    move, shipments = random_case(seed, cents=True)
    events = loss_events(move, shipments)
    worst = loss_distribution(move, shipments).worst_event
    assert float(events[0].uninsured if events else 0) == pytest.approx(float(worst), abs=1e-5)
    assert [event.uninsured for event in events] == sorted((event.uninsured for event in events), reverse=True)
    assert all(0 < event.chance <= 1 and event.uninsured > 0 for event in events)


def test_amounts_are_round_and_evenly_spread() -> None:
    move, shipments = random_case(3, cents=True)
    amounts = np.array([float(told.amount) for told in loss_curve(move, shipments).above])
    apart = float(amounts[1])
    assert amounts == pytest.approx(apart * np.arange(len(amounts)))
    assert f"{apart:e}"[0] in "125"
    assert len(amounts) <= 32


def test_a_trip_lost_whole_costs_what_its_carrier_does_not_pay() -> None:
    """Two cartons of 600 and a carrier that owes 100 a carton but 150 a load: 1,200 − 150 at once, 500 one by one."""
    quote = invented.quote(
        "van", whole_load_loss="0.01", loss_chance="0.02", liability_per_carton="100", most_liability="150"
    )
    shipments = [Shipment(invented.filled(number, 9, 600), quote, 1) for number in "12"]
    whole, *single = loss_events(invented.move([quote]), shipments)
    assert (whole.event, whole.uninsured, whole.chance, whole.cartons) == (
        Event.WHOLE_LOAD,
        1050,
        Decimal("0.01"),
        ("1", "2"),
    )
    assert [(event.event, event.uninsured) for event in single] == [(Event.LOST, 500)] * 2


def test_nothing_at_risk_has_no_curve_and_no_event() -> None:
    quote = invented.quote("van")
    shipments = [Shipment(invented.filled("1", 9, 600), quote, 1)]
    found = loss_curve(invented.move([quote]), shipments)
    assert [(told.amount, told.chance) for told in found.above] == [(0, 0)]
    assert {point.amount for point in found.points} == {Decimal(0)}
    assert loss_events(invented.move([quote]), shipments) == ()


@pytest.mark.parametrize("seed", [14, 28])
def test_a_level_that_all_but_the_loss_of_a_whole_load_reaches_exactly_is_reached(seed: int) -> None:
    """Whole loads of one quote are lost in one move of a thousand, so that everything else together has a chance of
    0.999, but for the rounding of long sums."""
    move = realistic(seed, 600, 20)
    shipments = rule_of_thumb(move, 60)
    assert shipments is not None
    one = "van by volume 19"
    quotes = {
        name: replace(quote, whole_load_loss=Decimal("0.001") if name == one else Decimal(0))
        for name, quote in move.quotes.items()
    }
    sent = [replace(each, quote=quotes[each.quote.name]) for each in shipments]
    assert any(each.quote.name == one for each in sent)
    points = loss_curve(replace(move, quotes=quotes), sent).points
    amounts = [point.amount for point in points]
    assert amounts == sorted(amounts)
    loads = [each for each in sent if each.quote.name == one]
    assert amounts[-1] < max(event.uninsured for event in loss_events(replace(move, quotes=quotes), loads))
