"""The revised NIOSH lifting equation: the weight limit recommended for a lift with two hands, and the lifting index.

Source: Waters, Putz-Anderson & Garg, "Applications Manual for the Revised NIOSH Lifting Equation", DHHS (NIOSH)
Publication 94-110, January 1994, revised September 2021; pages below are of the revision, its numbers seen in a
transcription. Its inch and metric forms are not exact conversions of each other, so each unit system has its own
constants. An aid to planning, no verdict: local rules come first.
"""

from bisect import bisect_left
from dataclasses import dataclass
from decimal import Decimal
from math import prod

from shipopt.move.money import ZERO
from shipopt.move.words import Grip, Units

ONE = Decimal(1)


@dataclass(frozen=True, slots=True)
class Lift:
    """One lift at one of its ends, in lb and in or kg and cm: how far the hands are from the ankles, how high, how far
    they travel up or down, the twist of the body in degrees, lifts a minute, hours of lifting a day, the grip.
    ``picked_up_at`` is the height of the hands at the start, None where this end is it."""

    reach: Decimal
    height: Decimal
    travel: Decimal
    twist: Decimal = ZERO
    lifts_a_minute: Decimal = Decimal("0.2")
    hours: Decimal = ONE
    grip: Grip = Grip.GOOD
    picked_up_at: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Constants:
    """What the equation's two forms differ in: constants and formulas (p. 7), limits beyond which nothing may be lifted
    (pp. 8 to 11), and the share of the reach that is the body's own (p. 8)."""

    load: Decimal
    reach: Decimal
    farthest: Decimal
    best_height: Decimal
    by_height: Decimal
    highest: Decimal
    by_travel: Decimal
    least_travel: Decimal
    most_travel: Decimal
    body: Decimal
    body_low: Decimal
    low: Decimal


CONSTANTS = {
    Units.POUND_INCH: Constants(
        load=Decimal(51),
        reach=Decimal(10),
        farthest=Decimal(25),
        best_height=Decimal(30),
        by_height=Decimal("0.0075"),
        highest=Decimal(70),
        by_travel=Decimal("1.8"),
        least_travel=Decimal(10),
        most_travel=Decimal(70),
        body=Decimal(8),
        body_low=Decimal(10),
        low=Decimal(10),
    ),
    Units.KILOGRAM_CENTIMETRE: Constants(
        load=Decimal(23),
        reach=Decimal(25),
        farthest=Decimal(63),
        best_height=Decimal(75),
        by_height=Decimal("0.003"),
        highest=Decimal(175),
        by_travel=Decimal("4.5"),
        least_travel=Decimal(25),
        most_travel=Decimal(175),
        body=Decimal(20),
        body_low=Decimal(25),
        low=Decimal(25),
    ),
}
MOST_TWIST = Decimal(135)
"""Degrees; p. 12."""

# Table 5, p. 15: lifts a minute up to, then the multiplier for up to 1, 2 and 8 hours, each with
# the hands below and from the best height on. Beyond 15 a minute nothing may be lifted.
FREQUENCIES = tuple(
    tuple(map(Decimal, row.split()))
    for row in (
        "0.2 1.00 1.00 0.95 0.95 0.85 0.85",
        "0.5 0.97 0.97 0.92 0.92 0.81 0.81",
        "1 0.94 0.94 0.88 0.88 0.75 0.75",
        "2 0.91 0.91 0.84 0.84 0.65 0.65",
        "3 0.88 0.88 0.79 0.79 0.55 0.55",
        "4 0.84 0.84 0.72 0.72 0.45 0.45",
        "5 0.80 0.80 0.60 0.60 0.35 0.35",
        "6 0.75 0.75 0.50 0.50 0.27 0.27",
        "7 0.70 0.70 0.42 0.42 0.22 0.22",
        "8 0.60 0.60 0.35 0.35 0.18 0.18",
        "9 0.52 0.52 0.30 0.30 0.00 0.15",
        "10 0.45 0.45 0.26 0.26 0.00 0.13",
        "11 0.41 0.41 0.00 0.23 0.00 0.00",
        "12 0.37 0.37 0.00 0.21 0.00 0.00",
        "13 0.00 0.34 0.00 0.00 0.00 0.00",
        "14 0.00 0.31 0.00 0.00 0.00 0.00",
        "15 0.00 0.28 0.00 0.00 0.00 0.00",
    )
)
SPELLS = (ONE, Decimal(2), Decimal(8))
"""Hours of lifting a day up to which each pair of columns holds."""

# Table 7, p. 18: hands below, and from the best height on.
GRIPS = {
    Grip.GOOD: (ONE, ONE),
    Grip.FAIR: (Decimal("0.95"), ONE),
    Grip.POOR: (Decimal("0.90"), Decimal("0.90")),
}


@dataclass(frozen=True, slots=True)
class Multipliers:
    """The six multipliers of the equation, each from 0 to 1, named as the manual names them."""

    horizontal: Decimal
    vertical: Decimal
    distance: Decimal
    asymmetric: Decimal
    frequency: Decimal
    coupling: Decimal

    @property
    def product(self) -> Decimal:
        """All six multiplied."""
        first = (self.horizontal, self.vertical, self.distance)
        return prod((*first, self.asymmetric, self.frequency, self.coupling), start=ONE)


def multipliers(lift: Lift, units: Units) -> Multipliers:
    """The multipliers of a lift. That for the frequency goes by the height at the start (p. 15), the grip's by the
    height at this end (example 4, p. 46)."""
    it = CONSTANTS[units]
    low = lift.height < it.best_height
    start = lift.height if lift.picked_up_at is None else lift.picked_up_at
    over_height, over_travel = lift.height > it.highest, lift.travel > it.most_travel
    return Multipliers(
        horizontal=ZERO if lift.reach > it.farthest else it.reach / max(lift.reach, it.reach),
        vertical=ZERO if over_height else ONE - it.by_height * abs(lift.height - it.best_height),
        distance=ZERO if over_travel else min(ONE, Decimal("0.82") + it.by_travel / max(lift.travel, it.least_travel)),
        asymmetric=ZERO if lift.twist > MOST_TWIST else ONE - Decimal("0.0032") * lift.twist,
        frequency=_frequency(lift, start < it.best_height),
        coupling=GRIPS[lift.grip][0 if low else 1],
    )


def _frequency(lift: Lift, low: bool) -> Decimal:
    """Between two rows in proportion (p. 7); beyond the last one that allows any lift, none."""
    row = bisect_left([each[0] for each in FREQUENCIES], lift.lifts_a_minute)
    spell = bisect_left(SPELLS, lift.hours)
    if row == len(FREQUENCIES) or spell == len(SPELLS):
        return ZERO
    column = 1 + 2 * spell + (0 if low else 1)
    found = FREQUENCIES[row][column]
    if row == 0 or not found:
        return found
    slower, faster = FREQUENCIES[row - 1], FREQUENCIES[row]
    part = (faster[0] - lift.lifts_a_minute) / (faster[0] - slower[0])
    return found + part * (slower[column] - found)


def recommended_limit(lift: Lift, units: Units) -> Decimal:
    """The recommended weight limit, in lb or kg: load constant × the six multipliers."""
    return CONSTANTS[units].load * multipliers(lift, units).product


def lifting_index(weight: Decimal, limit: Decimal) -> Decimal | None:
    """Weight ÷ recommended limit: above 1 the lift asks too much of some, above 3 of nearly all (p. 20). None where
    the limit is zero: the lift should not be done at all."""
    return weight / limit if limit else None


def reach_of(width: Decimal, height: Decimal, units: Units) -> Decimal:
    """How far from the ankles the hands hold a carton of this width (front to back) at its middle, where it is not
    measured: half the width and the body's own share, more where the hands are low (p. 8)."""
    it = CONSTANTS[units]
    return (it.body_low if height < it.low else it.body) + width / 2
