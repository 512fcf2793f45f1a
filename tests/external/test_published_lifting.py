"""The revised NIOSH lifting equation against the worked examples of its own manual.

Source: Waters, Putz-Anderson & Garg, "Applications Manual for the Revised NIOSH Lifting Equation", DHHS (NIOSH)
Publication 94-110, 1994, revised 2021, chapter 3. The manual rounds each multiplier to two places and limits and
indices to one (2021, p. 29), so the checks do the same, and hold the unrounded equation near. Inputs and answers are
from memory but for example 4, whose numbers were seen in a copy (figure 14, p. 46).
"""

from dataclasses import astuple
from decimal import ROUND_HALF_UP, Decimal
from math import prod

import pytest

from shipopt.handling.lifting import Lift, lifting_index, multipliers, recommended_limit
from shipopt.move.words import Grip, Units

INCH = Units.POUND_INCH
# name, weight, lift, multipliers as printed (H, V, D, A, F, C), printed limit, printed index
EXAMPLES = {
    "1, punch press stock, origin": (44, (23, 15, 48, 0, "0.2", 1, "fair"), "0.44 0.89 0.86 1 1 0.95", "16.3", "2.7"),
    "1, punch press stock, destination": (44, (23, 63, 48, 0, "0.2", 1, "fair"), "0.44 0.75 0.86 1 1 1", "14.5", "3.0"),
    "2, supply rolls, origin": (35, (20, 28, 36, 0, "0.2", 1, "poor"), "0.50 0.99 0.87 1 1 0.90", "19.7", "1.8"),
    "2, supply rolls, destination": (35, (20, 64, 36, 0, "0.2", 1, "poor"), "0.50 0.75 0.87 1 1 0.90", "14.9", "2.3"),
    "3, bags into a hopper": (40, (18, 15, 21, 45, "0.2", 1, "fair"), "0.56 0.89 0.91 0.86 1 0.95", "18.9", "2.1"),
    "4, package inspection, origin": (26, (10, 22, 37, 0, 3, 1, "fair"), "1 0.94 0.87 1 0.88 0.95", "34.9", "0.7"),
    "5, dishwashing, origin": (20, (20, 44, 37, 90, 5, 1, "fair"), "0.50 0.90 0.87 0.71 0.80 1", "11.3", "1.8"),
    "5, dishwashing, destination": (20, (20, 7, 37, 90, 5, 1, "fair"), "0.50 0.83 0.87 0.71 0.80 0.95", "9.9", "2.0"),
}


def lift(reach: object, height: object, travel: object, twist: object, often: object, hours: object, grip: str) -> Lift:
    """A lift from plain numbers."""
    measures = (Decimal(str(number)) for number in (reach, height, travel, twist, often, hours))
    return Lift(*measures, Grip(grip))


def to(places: str, number: Decimal) -> Decimal:
    """The number as printed with so many places."""
    return number.quantize(Decimal(places), rounding=ROUND_HALF_UP)


# The manual prints HM 0.44 for 10/23 = 0.4348, and VM 0.90 for 0.895: one unit of the last place is let pass.
LAST_PLACE = Decimal("0.011")


@pytest.mark.parametrize("name", EXAMPLES)
def test_each_multiplier_is_the_printed_one(name: str) -> None:
    _, inputs, printed, _, _ = EXAMPLES[name]
    found = astuple(multipliers(lift(*inputs), INCH))
    assert all(abs(each - Decimal(wanted)) < LAST_PLACE for each, wanted in zip(found, printed.split(), strict=True)), (
        found
    )


@pytest.mark.parametrize("name", EXAMPLES)
def test_limit_and_index_are_the_printed_ones(name: str) -> None:
    weight, inputs, printed, limit, index = EXAMPLES[name]
    rounded = 51 * prod(map(Decimal, printed.split()))
    assert abs(to("0.1", rounded) - Decimal(limit)) <= Decimal("0.1")
    found = recommended_limit(lift(*inputs), INCH)
    assert float(found) == pytest.approx(float(limit), rel=0.025)
    exact = lifting_index(Decimal(weight), found)
    assert exact is not None
    assert float(exact) == pytest.approx(float(index), abs=0.1)


def test_the_ideal_lift_has_the_load_constant() -> None:
    """Section 1.3: all multipliers are 1 close to the body, at knuckle height, without twist, now and then."""
    assert recommended_limit(lift(10, 30, 10, 0, "0.2", 1, "good"), INCH) == 51
    assert recommended_limit(lift(25, 75, 25, 0, "0.2", 1, "good"), Units.KILOGRAM_CENTIMETRE) == 23


@pytest.mark.parametrize(
    ("inputs", "weight", "limit", "index"),
    [
        ((12, 6, 24, 0, 1, 1, "fair"), 45, "27.853", "1.616"),
        ((15, 20, 28, 30, 2, 2, "poor"), 35, "19.007", "1.841"),
        ((14, 40, 20, 0, "0.5", 1, "good"), 25, "29.744", "0.841"),
    ],
)
def test_lifts_of_cartons_worked_out_by_hand_from_the_printed_equation(
    inputs: tuple[object, ...], weight: int, limit: str, index: str
) -> None:
    found = recommended_limit(lift(*inputs), INCH)  # type: ignore[arg-type]
    assert to("0.001", found) == Decimal(limit)
    exact = lifting_index(Decimal(weight), found)
    assert exact is not None
    assert to("0.001", exact) == Decimal(index)
