"""The front of costs and losses: what is on its hull, what is shown of it, what a unit of loss less costs."""

from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shipopt.comparing.front import FEWEST, MOST, apart, hull, prices_of_loss, unbeaten

money = st.integers(1, 400).map(lambda cents: Decimal(cents) / 4)
plans = st.lists(st.tuples(money, money), min_size=1, max_size=40)


def weighed(plan: tuple[Decimal, Decimal], price: Fraction) -> Fraction:
    return Fraction(plan[0]) + price * Fraction(plan[1])


def test_of_many_plans_those_that_differ_little_are_left_out() -> None:
    front = [(Decimal(n * n + 1), Decimal(900 - n)) for n in range(30)]
    beaten = [(cost + 1, loss) for cost, loss in front]
    assert apart([*beaten[:5], *front[:5]]) == front[:5]
    chosen = apart(front)
    assert len(chosen) == MOST
    assert set(chosen) <= set(front)
    assert chosen[0] == front[0]
    assert chosen[-1] == front[-1]
    assert chosen[0][1] - chosen[1][1] > chosen[-2][1] - chosen[-1][1], "closer where care costs most"


def test_what_lies_least_above_the_hull_is_shown_where_the_hull_has_few() -> None:
    straight = [(Decimal(100 + 10 * n), Decimal(100 - 10 * n)) for n in range(FEWEST + 3)]
    ends = [straight[0], straight[-1]]
    between = [(cost + place, loss) for place, (cost, loss) in enumerate(straight[1:-1], start=1)]
    assert hull([straight[0], *between, straight[-1]]) == ends
    assert apart([*ends, *between]) == sorted([*ends, *between[: FEWEST - 2]])


@given(plans)
def test_a_hull_is_the_front_as_seen_from_below(found: list[tuple[Decimal, Decimal]]) -> None:
    """No plan of all is cheaper by the price between two neighbours than these are; each price is above the last."""
    front = unbeaten(found)
    assert all(cheap[0] < dear[0] and cheap[1] > dear[1] for cheap, dear in pairwise(front))
    chain = hull(front)
    assert {chain[0], chain[-1]} <= {front[0], front[-1]}
    exact = [Fraction(d[0] - c[0]) / Fraction(c[1] - d[1]) for c, d in pairwise(chain)]
    assert all(before < after for before, after in pairwise(exact))
    for (cheap, dear), price in zip(pairwise(chain), exact, strict=True):
        assert weighed(cheap, price) == weighed(dear, price) == min(weighed(plan, price) for plan in found)


@given(plans)
def test_a_price_of_loss_is_told_with_three_digits_and_no_lower(found: list[tuple[Decimal, Decimal]]) -> None:
    chain = hull(unbeaten(found))
    for (cheap, dear), price in zip(pairwise(chain), prices_of_loss(chain), strict=True):
        exact = Fraction(dear[0] - cheap[0]) / Fraction(cheap[1] - dear[1])
        assert len(price.as_tuple().digits) <= 3
        assert exact <= Fraction(price) <= exact * Fraction(101, 100)


@given(plans)
def test_what_is_shown_is_of_the_front_with_its_ends(found: list[tuple[Decimal, Decimal]]) -> None:
    front, shown = unbeaten(found), apart(found)
    assert shown == sorted(set(shown))
    assert set(shown) <= set(front)
    assert {front[0], front[-1]} <= set(shown)
    assert min(len(front), FEWEST) <= len(shown) <= MOST


def test_plans_of_one_cost_and_loss_have_no_price_between_them() -> None:
    only = (Decimal(5), Decimal(3))
    assert apart([only, only]) == hull([only]) == [only]
    assert prices_of_loss([only]) == []


def test_equal_steps_are_one_step() -> None:
    line = [(Decimal(10 + n), Decimal(9 - n)) for n in range(4)]
    assert hull(line) == [line[0], line[-1]]
    assert prices_of_loss(hull(line)) == [pytest.approx(Decimal(1))]
