"""What a search knows: how much time it has left."""

import time
from dataclasses import replace
from decimal import Decimal

import pytest
from planning.two_cartons import MOVE

from shipopt.planning.outline import Outline
from shipopt.planning.search import optimise
from shipopt.planning.solving import default_solver
from shipopt.planning.state import FULL, Effort, State, objective_of
from shipopt.pricing.total import price


def _state(copies, seconds, effort=FULL):
    records = (replace(MOVE.records[0], copies=copies), *MOVE.records[1:])
    return State(replace(MOVE, records=records), seconds, 0.01, default_solver(), lambda report: None, (), effort)


def test_of_many_copies_more_time_is_kept_to_finish_the_plan():
    assert 59 < _state(1, 60).left <= 60
    assert 54 < _state(20_000, 60).left < 56
    assert 47 < _state(1_000_000, 60).left <= 48


def test_a_search_whose_plan_is_not_put_in_order_keeps_no_time_for_that():
    assert 2.9 < _state(20_000, 3, Effort()).left <= 3


def test_a_plan_is_put_in_order_in_a_few_seconds_and_before_the_time_is_up():
    now = time.perf_counter()
    assert 2 <= _state(1, 60).in_order_by - now < 3
    assert 4 <= _state(20_000, 60).in_order_by - now < 5
    assert 0.9 < _state(20_000, 1).in_order_by - now <= 1.1


def test_a_unit_of_loss_counts_by_its_weight():
    shipments = optimise(MOVE, within=0.0).shipments
    counted = replace(MOVE, settings=replace(MOVE.settings, count_expected_loss=True))
    thrice = replace(counted, settings=replace(counted.settings, weight_of_loss=Decimal(3)))
    cost, once = objective_of(MOVE, shipments), objective_of(counted, shipments)
    assert once > cost
    assert objective_of(thrice, shipments) - cost == 3 * (once - cost)


@pytest.mark.parametrize("by_cost_alone", [False, True])
def test_a_gap_may_be_one_of_what_is_paid_alone(by_cost_alone):
    shipments = optimise(MOVE, within=0.0).shipments
    settings = replace(MOVE.settings, count_expected_loss=True, weight_of_loss=Decimal(3))
    state = _state(MOVE.records[0].copies, 60, Effort(by_cost_alone=by_cost_alone))
    state.move = replace(state.move, settings=settings)
    assert state.gap == state.within
    state.keep(shipments, "known")
    paid = price(MOVE, shipments).total
    allowed = float(paid if by_cost_alone else state.best_objective) * state.within
    assert state.gap * float(state.best_objective) == pytest.approx(allowed)
    assert paid < state.best_objective
    state.raise_floor(float(state.best_objective) - allowed * 1.01)
    assert not state.near_enough
    state.raise_floor(float(state.best_objective) - allowed * 0.99)
    assert state.near_enough


def test_the_quotes_that_known_plans_book_are_all_of_theirs():
    plan = optimise(MOVE, within=0.0)
    state = _state(1, 60)
    assert state.booked is None
    state.known = (plan, plan)
    assert state.booked == Outline(frozenset(shipment.quote.name for shipment in plan.shipments))


def test_enough_is_told_by_a_floor_near_the_best_plan_or_a_plan_near_the_floor():
    plan = optimise(MOVE, seconds=5)
    cost = float(objective_of(MOVE, plan.shipments))
    for floor, told in ((cost * 0.9, False), (cost * 0.996, True)):
        first_the_plan, first_the_floor = _state(MOVE.records[0].copies, 60), _state(MOVE.records[0].copies, 60)
        first_the_plan.keep(plan.shipments, "known")
        assert not first_the_plan.enough.is_set()
        first_the_plan.raise_floor(floor)
        first_the_floor.raise_floor(floor)
        assert not first_the_floor.enough.is_set()
        first_the_floor.keep(plan.shipments, "known")
        assert first_the_plan.enough.is_set() == first_the_floor.enough.is_set() == told
