"""What a search knows: how much time it has left."""

from dataclasses import replace

from planning.two_cartons import MOVE

from shipopt.planning.solving import default_solver
from shipopt.planning.state import FULL, Effort, State


def _left(copies, seconds, effort=FULL):
    records = (replace(MOVE.records[0], copies=copies), *MOVE.records[1:])
    return State(replace(MOVE, records=records), seconds, 0.01, default_solver(), lambda report: None, (), effort).left


def test_of_many_copies_more_time_is_kept_to_finish_the_plan():
    assert 59 < _left(1, 60) <= 60
    assert 54 < _left(20_000, 60) < 56
    assert 47 < _left(1_000_000, 60) <= 48


def test_a_search_whose_plan_is_not_put_in_order_keeps_no_time_for_that():
    assert 2.9 < _left(20_000, 3, Effort()) <= 3
