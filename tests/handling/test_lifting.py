"""Lifting: what departs from the ideal lift lowers the limit, what goes beyond the equation's bounds has none."""

from dataclasses import replace
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shipopt.handling.lifting import FREQUENCIES, Lift, lifting_index, multipliers, reach_of, recommended_limit
from shipopt.move.words import Grip, Units

IDEAL = Lift(Decimal(25), Decimal(75), Decimal(25))
METRIC, INCH = Units.KILOGRAM_CENTIMETRE, Units.POUND_INCH


def numbers(least: int, most: int) -> st.SearchStrategy[Decimal]:
    """Decimals with one place."""
    return st.integers(least * 10, most * 10).map(lambda tenths: Decimal(tenths) / 10)


LIFTS = st.builds(
    Lift,
    reach=numbers(1, 80),
    height=numbers(0, 200),
    travel=numbers(0, 200),
    twist=numbers(0, 180),
    lifts_a_minute=numbers(0, 20),
    hours=numbers(0, 10),
    grip=st.sampled_from(Grip),
)


@given(LIFTS, st.sampled_from(Units))
def test_multipliers_lie_between_nothing_and_all(lift: Lift, units: Units) -> None:
    found = multipliers(lift, units)
    each = (found.horizontal, found.vertical, found.distance, found.asymmetric, found.frequency, found.coupling)
    assert all(0 <= one <= 1 for one in each)


@given(LIFTS, numbers(1, 30))
def test_a_harder_lift_has_no_higher_limit(lift: Lift, more: Decimal) -> None:
    limit = recommended_limit(lift, METRIC)
    for name in ("reach", "travel", "twist", "lifts_a_minute", "hours"):
        harder = replace(lift, **{name: getattr(lift, name) + more})
        assert recommended_limit(harder, METRIC) <= limit, name


@pytest.mark.parametrize(
    ("beyond", "within"),
    [
        ({"reach": Decimal("63.1")}, {"reach": Decimal(63)}),
        ({"height": Decimal("175.1")}, {"height": Decimal(175)}),
        ({"travel": Decimal("175.1")}, {"travel": Decimal(175)}),
        ({"twist": Decimal("135.1")}, {"twist": Decimal(135)}),
        ({"lifts_a_minute": Decimal("15.1")}, {"lifts_a_minute": Decimal(15)}),
        ({"hours": Decimal("8.1")}, {"hours": Decimal(8)}),
    ],
)
def test_beyond_its_bounds_the_equation_allows_nothing(beyond: dict[str, Decimal], within: dict[str, Decimal]) -> None:
    assert recommended_limit(replace(IDEAL, **beyond), METRIC) == 0
    assert recommended_limit(replace(IDEAL, **within), METRIC) > 0
    assert lifting_index(Decimal(10), Decimal(0)) is None


def test_between_two_rows_the_frequency_counts_in_proportion() -> None:
    """Halfway from one lift a minute to two: halfway from 0.94 to 0.91. Beyond the last row that allows any, none."""
    often = replace(IDEAL, lifts_a_minute=Decimal("1.5"))
    assert multipliers(often, METRIC).frequency == Decimal("0.925")
    low = replace(IDEAL, height=Decimal(74), lifts_a_minute=Decimal("12.1"))
    assert multipliers(low, METRIC).frequency == 0
    assert multipliers(replace(low, lifts_a_minute=Decimal(12)), METRIC).frequency == Decimal("0.37")


def test_the_frequency_goes_by_the_height_at_the_start() -> None:
    often = replace(IDEAL, lifts_a_minute=Decimal(13))
    assert multipliers(often, METRIC).frequency == Decimal("0.34")
    assert multipliers(replace(often, picked_up_at=Decimal(10)), METRIC).frequency == 0


def test_the_frequency_table_never_rises() -> None:
    for before, after in pairwise(FREQUENCIES):
        assert before[0] < after[0]
        assert all(one >= other for one, other in zip(before[1:], after[1:], strict=True))


def test_reach_grows_with_the_carton_and_near_the_floor() -> None:
    assert reach_of(Decimal(33), Decimal(75), METRIC) == Decimal("36.5")
    assert reach_of(Decimal(33), Decimal(20), METRIC) == Decimal("41.5")
    assert reach_of(Decimal(13), Decimal(30), INCH) == Decimal("14.5")
