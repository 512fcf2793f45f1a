"""How likely larger losses are: the chance that the uninsured loss is above an amount, and the loss that is not
exceeded in so many of a hundred moves.

From the same two exact convolutions as the module distribution, one rounded down and one up, carried on to rarer
outcomes. Called by the results writer, for its chart and its plain words.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

import numpy as np

from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.risk.consignments import ConsignmentRisk, consignment_risks
from shipopt.risk.convolution import Grid, Masses, law_of_all
from shipopt.risk.distribution import on_grid, reach_of, rounded_up, step_of
from shipopt.risk.tail import point_of

LEVELS = tuple(Decimal(level) for level in ("0.5", "0.8", "0.9", "0.95", "0.99", "0.999"))
"""Shares of outcomes whose loss points are told, rising."""
DRAWN_TO = Decimal("0.99")
"""The curve is drawn as far as this point, for what is rarer would press all else into a corner."""
INTERVALS = 30
"""At most so many equal parts are between the amounts of the curve."""
COUNTED = 1e-9
"""Chances below this are the rounding of the convolution."""


@dataclass(frozen=True, slots=True)
class LossPoint:
    """With a chance of ``level`` the loss is at most ``amount``, which is right to within ``error``; money."""

    level: Decimal
    amount: Decimal
    error: Decimal


@dataclass(frozen=True, slots=True)
class ChanceAbove:
    """The chance (a fraction) that the loss is above ``amount``, right to within ``error``."""

    amount: Decimal
    chance: Decimal
    error: Decimal


@dataclass(frozen=True, slots=True)
class LossCurve:
    """Loss points at rising levels, and chances above amounts that rise in equal steps from 0."""

    points: tuple[LossPoint, ...]
    above: tuple[ChanceAbove, ...]


def loss_curve(move: Move, shipments: Sequence[Shipment], levels: Sequence[Decimal] = LEVELS) -> LossCurve:
    """The curve over these shipments and the cartons still on their way. It ends where outcomes get rare."""
    risks = [risk for risk in consignment_risks(move, shipments) if risk.most]
    reach = reach_of(risks, levels[-1])
    step = step_of(risks, reach, move.settings.currency)
    low = _masses(risks, step, reach, up=False)
    high = low if on_grid(risks, step) else _masses(risks, step, reach, up=True)
    points = tuple(_point(level, low, high, step) for level in levels)
    places = _places(point_of(high, float(DRAWN_TO)) or point_of(high, float(levels[-1])), step)
    return LossCurve(points, tuple(_above(place, low, high, step) for place in places))


def _masses(risks: Sequence[ConsignmentRisk], step: Fraction, reach: Fraction, up: bool) -> Masses:
    return law_of_all(risks, Grid(step, int(reach / step) + rounded_up(risks), up)).masses


def _point(level: Decimal, low: Masses, high: Masses, step: Fraction) -> LossPoint:
    below, above = (point_of(masses, float(level)) * step for masses in (low, high))
    return LossPoint(level, _money((below + above) / 2), _money((above - below) / 2))


def _places(last: int, step: Fraction) -> list[int]:
    """Places of the grid from 0 up to the last at most, evenly spread; round amounts (1, 2 or 5 and zeros)."""
    unit, turn = Fraction(1, 10**6), 0
    while unit * INTERVALS < last * step or (unit / step).denominator != 1:
        unit *= (2, Fraction(5, 2), 2)[turn % 3]
        turn += 1
    apart = int(unit / step)
    return list(range(0, last + 1, apart))


def _above(place: int, low: Masses, high: Masses, step: Fraction) -> ChanceAbove:
    """Rounded down, fewer outcomes are above the amount than in truth; rounded up, more."""
    fewer, more = (_beyond(masses, place) for masses in (low, high))
    return ChanceAbove(_money(place * step), _chance((fewer + more) / 2), _chance((more - fewer) / 2))


def _beyond(masses: Masses, place: int) -> float:
    beyond = 1.0 - float(np.sum(masses[: place + 1]))
    return beyond if beyond > COUNTED else 0.0


def _money(amount: Fraction) -> Decimal:
    return Decimal(round(amount * 10**6)).scaleb(-6)


def _chance(chance: float) -> Decimal:
    return Decimal(round(Fraction(chance) * 10**9)).scaleb(-9)
