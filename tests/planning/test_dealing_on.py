"""Dealing on: a plan's cartons opened again as batches, and dealt anew. Records and prices are invented."""

import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from functools import cache

import pytest
from benchmarks.moves import realistic

from shipopt.comparing.caution import without_caps
from shipopt.comparing.free_of_charge import free_of_charge, with_prices_of
from shipopt.move.plan import Plan
from shipopt.planning import dealing_on, optimise
from shipopt.planning.dealing_on import PATIENCE, as_batches, deal_on, mode_of
from shipopt.planning.modes import modes_of
from shipopt.planning.redealing import Redealing
from shipopt.planning.search import optimise as search
from shipopt.planning.solving import default_solver
from shipopt.planning.state import Effort, State, objective_of

MOVE = free_of_charge(without_caps(realistic(1, 300, 6)))
ONE_GUIDE = Effort(guides=(0.998,), with_floor=False)


@cache
def plan() -> Plan:
    """A plan that loses little, packed by one guide."""
    return search(MOVE, seconds=20, effort=ONE_GUIDE)


def _state(seconds: float = 20) -> State:
    state = State(MOVE, seconds, 0.0001, default_solver(), lambda report: None)
    state.keep(plan().shipments, "known")
    return state


def test_a_plan_is_opened_again_copy_by_copy_in_the_modes_that_it_is_sent_in() -> None:
    batches, opened = as_batches(plan().shipments, MOVE)
    assert len(batches) == len(opened)
    cartons = [carton for of_batch in opened for carton in of_batch]
    held = Counter((record.place, copy) for carton in cartons for inner in carton.copies for record, copy in inner)
    wanted = Counter((r.place, copy) for r in MOVE.loose for copy in range(1, r.copies + 1))
    assert held == wanted
    assert sum(map(len, opened)) == len(plan().shipments)
    for batch, of_batch in zip(batches, opened, strict=True):
        assert len(batch.cartons) == len(of_batch)
        for carton in of_batch:
            assert carton.quote is batch.quote
            assert all(stack <= carton.room for stack in carton.stacks)
            assert carton.weight <= carton.most_weight
    listed = Counter()  # type: ignore[var-annotated]
    for batch in batches:
        for record, _, copies in batch.lines:
            listed[record.place] += copies
    assert listed == Counter({record.place: record.copies for record in MOVE.loose})


def test_a_carton_that_the_user_closed_stays_as_it_is() -> None:
    first, *others = plan().shipments
    closed = replace(first, filled=replace(first.filled, closed_by_user=True))
    _, opened = as_batches([closed, *others], MOVE)
    assert sum(map(len, opened)) == len(others)


def test_a_carton_is_in_the_mode_of_its_cover_that_its_value_lies_in() -> None:
    for shipment in plan().shipments:
        modes = modes_of(shipment.quote, MOVE)
        mode = mode_of(shipment, modes)
        value = float(shipment.filled.value)
        alike = [each for each in modes if (each.cover and each.cover.name) == (shipment.cover and shipment.cover.name)]
        if any(each.low <= value <= each.high for each in alike):
            assert mode.low <= value <= mode.high
        if alike:
            assert mode in alike


def test_a_plan_dealt_on_loses_less() -> None:
    cheapest = optimise(without_caps(realistic(1, 300, 6)), seconds=10, within=0.05)
    state = _state()
    state.best_objective = None
    state.keep(with_prices_of(MOVE, cheapest).shipments, "the cheapest")
    before = state.best_objective
    deal_on(state)
    assert state.best is not None
    assert before is not None
    assert state.best_objective == objective_of(MOVE, state.best) < before
    assert any(stage.startswith(dealing_on.STAGE) for stage in state.stages)


def test_it_ends_where_no_deal_is_cheaper_or_no_time_is_left(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[int] = []

    def improve(self: Redealing, until: float, enough: object, patience: int) -> Sequence[None]:
        asked.append(patience)
        return []

    monkeypatch.setattr(Redealing, "improve", improve)
    deal_on(_state())
    assert asked == [PATIENCE]
    late = _state(30)
    late.began = time.perf_counter() - 30
    deal_on(late)
    assert asked == [PATIENCE]


def test_only_where_losses_are_part_of_the_cost_is_a_plan_dealt_on(monkeypatch: pytest.MonkeyPatch) -> None:
    dealt: list[State] = []
    monkeypatch.setattr("shipopt.planning.search.deal_on", dealt.append)
    not_counted = replace(MOVE, settings=replace(MOVE.settings, count_expected_loss=False))
    dealing = replace(ONE_GUIDE, dealt_on=True)
    for move, effort in ((MOVE, dealing), (MOVE, ONE_GUIDE), (not_counted, dealing)):
        search(move, seconds=5, effort=effort, known=[optimise(MOVE, seconds=3)])
    assert [state.move for state in dealt] == [MOVE]
    assert Decimal(0) < MOVE.settings.weight_of_loss
