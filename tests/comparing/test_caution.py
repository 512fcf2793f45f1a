"""The cost of caution on tiny moves, which are planned to a proven best: ends, monotony, floors, words.

Moves are invented; costs and losses are worked out a second time by the independent recomputation.
"""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from functools import cache
from itertools import pairwise

import pytest
from independent.broken import broken_rules
from independent.exact import best_plan
from independent.random_moves import tiny
from independent.recompute import totals

from shipopt.comparing.caution import (
    FACTORS,
    STEEPEST,
    Caution,
    cost_of_caution,
    other_chances,
    without_caps,
)
from shipopt.comparing.caution import _Weighing as Weighing
from shipopt.comparing.changes import changes
from shipopt.comparing.free_of_charge import free_of_charge, with_prices_of
from shipopt.comparing.front import hull, prices_of_loss, unbeaten
from shipopt.comparing.workers import Workers
from shipopt.move.move import Move
from shipopt.move.plan import Plan
from shipopt.planning import NoPlan, NoPlanInTime, optimise

WANTED = 6


@cache
def weighed() -> tuple[tuple[Plan, Caution], ...]:
    """Plans of the first tiny moves that have one, and whose cheapest plan risks something; solved in this process."""
    found = []
    for seed in range(60):
        move = tiny(seed, 5)
        try:
            plan = optimise(move, seconds=30)
        except (NoPlan, NoPlanInTime):
            continue
        caution = cost_of_caution(plan, seconds=600, processes=0)
        if len(caution.points) > 1:
            found.append((plan, caution))
        if len(found) == WANTED:
            return tuple(found)
    raise AssertionError("too few of these moves have anything to weigh")


def loss_and_cost(plan: Plan) -> tuple[Fraction, Fraction]:
    again = totals(plan.move, plan.shipments)
    return again.expected_uninsured_loss, again.total_cost


def test_floors_are_asked_for_by_every_other_price_between_plans_where_there_is_time() -> None:
    plan, caution = max(weighed(), key=lambda each: len(each[1].points))
    chain = hull(unbeaten([(point.cost, point.expected_loss) for point in caution.points]))
    prices = [price for price in prices_of_loss(chain) if price <= STEEPEST]
    assert len(prices) > 2
    with Workers(2) as workers:
        for seconds, many in ((2000, len(prices)), (0, 2)):
            weighing = Weighing(plan, seconds, None, workers, None)
            weighing.pool = [point.plan for point in caution.points]
            chosen = weighing._weights_to_bound(0.9)
            assert set(chosen) <= set(prices)
            assert 0 < len(chosen) <= many
            if seconds:
                assert all(set(beside) & set(chosen) for beside in pairwise([*prices, prices[-1]]))
                weighing.bounded.update(chosen)
                assert not set(weighing._weights_to_bound(0.9)) & set(chosen), "no price twice"


def test_the_cost_never_falls_as_caution_grows() -> None:
    for _, caution in weighed():
        costs = [point.cost for point in caution.points]
        limits = [point.at_most for point in caution.points]
        assert costs == sorted(costs)
        assert limits[0] is None
        assert limits[1:] == sorted(limits[1:], reverse=True)
        assert [point.floor for point in caution.points] == sorted(point.floor for point in caution.points)


def test_every_point_keeps_its_limit_and_all_other_rules_by_a_second_working_out() -> None:
    for plan, caution in weighed():
        for point in caution.points:
            loss, cost = loss_and_cost(point.plan)
            assert point.plan.move == without_caps(plan.move)
            assert not broken_rules(point.plan.move, point.plan.shipments)
            assert cost == Fraction(point.cost)
            assert loss == Fraction(point.expected_loss)
            assert point.at_most is None or loss <= Fraction(point.at_most)
            assert point.floor <= point.cost
            assert point.floor == plan.move.settings.currency.round(point.floor)


def test_no_more_than_twelve_levels_are_shown_and_no_two_alike() -> None:
    for _, caution in weighed():
        assert len(caution.points) <= 12
        assert len({(point.cost, point.expected_loss) for point in caution.points}) == len(caution.points)


def test_its_ends_are_the_two_single_goal_bests() -> None:
    """By an exact solver: the least cost of all plans, and the least expected loss of all."""
    for plan, caution in weighed():
        free = without_caps(plan.move)
        cheapest, careful = best_plan(free, 20), best_plan(free_of_charge(free), 20)
        if "UNDECIDED" in (cheapest.status, careful.status):
            continue
        assert abs(Fraction(caution.points[0].cost) - cheapest.objective) <= Fraction(1, 100) * cheapest.objective
        least = min(point.expected_loss for point in caution.points)
        assert Fraction(caution.least_loss) <= careful.objective <= Fraction(least)
        assert Fraction(least) - careful.objective <= Fraction(1, 100) * careful.objective + Fraction(1, 10**4)


@pytest.mark.parametrize("seconds", [60, 20])
def test_its_ends_are_the_same_with_less_time(seconds: int) -> None:
    """With much, the most careful plan is looked for after the levels; with less, first, and levels by fewer floors."""
    for plan, caution in weighed()[:3]:
        again = cost_of_caution(plan, seconds=seconds, processes=0)
        for place in (0, -1):
            assert again.points[place].cost == caution.points[place].cost
            assert again.points[place].expected_loss == caution.points[place].expected_loss
        assert abs(again.least_loss - caution.least_loss) <= caution.least_loss / 1000


def test_each_level_is_the_best_there_is_within_the_gap() -> None:
    for plan, caution in weighed()[:2]:
        for point in caution.points[1:]:
            capped = without_caps(plan.move)
            capped = replace(capped, settings=replace(capped.settings, most_expected_loss=point.at_most))
            best = best_plan(capped, 20)
            if best.status == "OPTIMAL":
                assert Fraction(point.floor) <= best.objective <= Fraction(point.cost)
                assert point.gap <= Decimal("0.01")


def test_other_chances_keep_the_moves_own_rules() -> None:
    for plan, caution in weighed():
        assert [other.factor for other in caution.other_chances] == list(FACTORS)
        for other in caution.other_chances:
            then = other_chances(plan.move, other.factor)
            assert Fraction(other.written_loses) == loss_and_cost(with_prices_of(then, plan))[0]
            if other.plan is not None:
                assert not broken_rules(then, other.plan.shipments)
                assert other.plan.move == then


def test_chances_are_never_above_one() -> None:
    move = tiny(3, 5)
    sure = other_chances(move, Decimal(10**6))
    for quote in sure.quotes.values():
        assert max(quote.loss_chance, quote.damage_chance, quote.whole_load_loss) <= 1


def test_free_of_charge_costs_nothing_but_keeps_every_limit() -> None:
    for plan, _ in weighed():
        free: Move = free_of_charge(plan.move)
        again = with_prices_of(free, plan)
        cost = totals(free, again.shipments)
        assert cost.total_cost == 0
        assert cost.expected_uninsured_loss == totals(plan.move, plan.shipments).expected_uninsured_loss
        there_and_back = with_prices_of(plan.move, again)
        assert there_and_back == plan
        for name, cover in plan.move.covers.items():
            (only,) = free.covers[name].bands
            assert only.value_up_to == cover.bands[-1].value_up_to


def test_the_gap_of_the_most_careful_plan_is_in_what_it_loses() -> None:
    for _, caution in weighed():
        last = len(caution.points) - 1
        assert [caution.gap_of(place) for place in range(last)] == [point.gap for point in caution.points[:-1]]
        lost = caution.points[last].expected_loss
        if last and lost:
            assert caution.gap_of(last) == (lost - caution.least_loss) / lost


def test_what_changes_is_said_of_plans_that_differ_and_only_of_them() -> None:
    told = 0
    for _, caution in weighed():
        for before, after in zip(caution.points, caution.points[1:], strict=False):
            same = changes(before.plan, before.plan)
            assert same.startswith("Nothing that shows")
            sends = {s.quote.name for s in before.plan.shipments} != {s.quote.name for s in after.plan.shipments}
            if sends:
                told += 1
                assert "instead of" in changes(before.plan, after.plan)
    assert told


@pytest.mark.parametrize("processes", [0, 2])
def test_it_is_the_same_whoever_solves_it(processes: int) -> None:
    plan, caution = weighed()[0]
    again = cost_of_caution(plan, seconds=600, processes=processes)
    assert [(p.at_most, p.cost, p.expected_loss, p.floor) for p in again.points] == [
        (p.at_most, p.cost, p.expected_loss, p.floor) for p in caution.points
    ]
