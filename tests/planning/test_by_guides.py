"""The order in which guides are tried, and that none is made twice."""

from dataclasses import replace
from decimal import Decimal

import pytest
from planning.two_cartons import MOVE

from shipopt.planning import by_guides
from shipopt.planning.by_guides import PROOF as PROOF_STAGE
from shipopt.planning.by_guides import _not_tried, _stage, followed, plan_by
from shipopt.planning.formulation import aggregate_programme
from shipopt.planning.guide_kinds import average_kinds
from shipopt.planning.outline import Outline
from shipopt.planning.packing import Packed
from shipopt.planning.solving import BY_SUMS, Solver, solve
from shipopt.planning.state import USES_OF_ROOM, Effort, State

NO_LOSSES = replace(
    MOVE,
    settings=replace(MOVE.settings, most_expected_loss=None, most_tail_mean=None, count_expected_loss=False),
)


def _state(move=NO_LOSSES):
    return State(move, 30, 0.005, Solver.HIGHS, lambda report: None)


def test_two_uses_of_room_are_tried_with_few_kinds_and_then_with_many():
    tries = _not_tried(_state(), NO_LOSSES, None)
    assert tries[:4] == [(0.998, 0), (0.9999, 0), (0.998, 1), (0.9999, 1)]
    assert {use for use, _ in tries} == set(USES_OF_ROOM)
    capped = replace(MOVE, settings=replace(MOVE.settings, most_tail_mean=None, most_expected_loss=Decimal(5)))
    assert _not_tried(_state(), capped, None)[0] == (USES_OF_ROOM[0], 0)


@pytest.mark.parametrize(("with_floor", "looked_at"), [(True, 1), (False, 3)])
def test_packings_as_good_as_the_guide_says_are_the_last_only_where_a_floor_is_wanted(
    monkeypatch, with_floor, looked_at
):
    state, sent = _state(), []
    state.effort = Effort(guides=(0.998,), with_floor=with_floor)

    def packings(deals, move, until, enough, redeal):
        assert redeal == (Solver.HIGHS, by_guides.REDEALING)
        yield from [Packed([], [])] * 3

    def send(state, cartons, stage, quotes):
        sent.append(stage)
        state.best, state.best_objective = (), Decimal(1)

    monkeypatch.setattr(by_guides, "packings", packings)
    monkeypatch.setattr(by_guides, "send", send)
    plan_by(state, None, 1)
    assert len(sent) == looked_at


def test_a_guide_found_is_not_made_again_for_the_same_outline():
    state = _state()
    outline = Outline(frozenset(MOVE.quotes))
    plan_by(state, outline, 1)
    assert state.best is not None
    assert (0.998, 0) not in _not_tried(state, NO_LOSSES, outline)
    assert (0.998, 0) in _not_tried(state, NO_LOSSES, None)


def test_the_first_guide_tells_what_it_costs_and_another_may_be_packed_instead():
    state, told = _state(), []

    def instead(cost):
        told.append(cost)
        return Outline(frozenset(MOVE.quotes)) if len(told) == 1 else None

    plan_by(state, Outline(frozenset(MOVE.quotes)), 1, None, None, instead)
    assert len(told) == 2
    assert told[1] <= told[0] + 1e-6
    assert float(state.best_objective) >= told[1] * 0.99


def test_the_same_cartons_of_a_proof_are_packed_by_once():
    state = _state()
    guide = aggregate_programme(NO_LOSSES, average_kinds(NO_LOSSES, True), whole=True, use_of_room=0.99)
    outcome = solve(guide.problem, seconds=20, gap=1e-3, options=BY_SUMS)
    followed(state, guide, outcome, PROOF_STAGE)
    stages = list(state.stages)
    assert stages
    state.best = state.best_objective = None
    assert not followed(state, guide, outcome, PROOF_STAGE)
    assert state.stages == stages


@pytest.mark.parametrize(("many", "times"), [(200, 1), (0, 0)])
def test_of_many_cartons_none_is_emptied(monkeypatch, many, times):
    improved = []
    monkeypatch.setattr(by_guides, "MANY_CARTONS", many)
    monkeypatch.setattr(by_guides, "packings", lambda *asked: iter(()))
    monkeypatch.setattr(by_guides, "_improve", improved.append)
    guide = aggregate_programme(NO_LOSSES, average_kinds(NO_LOSSES, True), whole=True, use_of_room=0.99)
    outcome = solve(guide.problem, seconds=20, gap=1e-3, options=BY_SUMS)
    assert not followed(_state(), guide, outcome, "guide")
    assert len(improved) == times


def test_no_two_uses_of_room_are_called_the_same():
    assert len({_stage(use) for use in USES_OF_ROOM}) == len(USES_OF_ROOM)
    assert _stage(0.9999) == "guide by 99.99% of the room"
