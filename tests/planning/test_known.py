"""Plans known already: their cartons serve the same records under other rules, and nothing else."""

from dataclasses import replace
from decimal import Decimal

import pytest
from independent.random_moves import middling

from shipopt.move.move import Move
from shipopt.move.plan import Plan
from shipopt.planning.answers import NoPlan, NoPlanInTime
from shipopt.planning.every_carton import is_tiny
from shipopt.planning.known import cartons_again
from shipopt.planning.search import optimise
from shipopt.planning.state import objective_of


@pytest.fixture(scope="module")
def planned() -> Plan:
    """A plan of a move that is large enough for guides."""
    for seed in range(100):
        move = middling(seed)
        if move.settings.most_tail_mean is None and not is_tiny(move):
            try:
                plan = optimise(move, seconds=10)
            except (NoPlan, NoPlanInTime):
                continue
            if len(plan.shipments) > 3 and plan.search.stages and "guide" in plan.search.stages[0]:
                return plan
    raise AssertionError("no such move")


def lighter(move: Move) -> Move:
    """The same move with nothing heavier to be lifted than a quarter of a unit of weight."""
    return replace(move, settings=replace(move.settings, heaviest_carton=Decimal("0.25")))


def test_the_cartons_are_those_of_the_plan(planned: Plan) -> None:
    again = cartons_again(planned, planned.move)
    assert again == [shipment.filled for shipment in planned.shipments if not shipment.filled.closed_by_user]


def test_values_and_weights_are_the_new_ones(planned: Plan) -> None:
    dearer = tuple(replace(record, value=record.value + 1) for record in planned.move.records)
    again = cartons_again(planned, replace(planned.move, records=dearer))
    assert again is not None
    loose = [shipment.filled for shipment in planned.shipments if not shipment.filled.closed_by_user]
    assert [new.value - old.value for new, old in zip(again, loose, strict=True)] == [old.records for old in loose]


def test_cartons_that_would_be_too_heavy_do_not_serve(planned: Plan) -> None:
    assert cartons_again(planned, lighter(planned.move)) is None


def test_other_records_are_not_served(planned: Plan) -> None:
    loose = [record for record in planned.move.records if record.packed_in is None]
    fewer = tuple(record for record in planned.move.records if record is not loose[0])
    assert cartons_again(planned, replace(planned.move, records=fewer)) is None
    one = loose[0]
    more = tuple(replace(r, copies=r.copies + 1) if r is one else r for r in planned.move.records)
    assert cartons_again(planned, replace(planned.move, records=more)) is None


def test_starting_from_a_plan_never_ends_above_it(planned: Plan) -> None:
    again = optimise(planned.move, seconds=10, known=[planned])
    assert objective_of(planned.move, again.shipments) <= objective_of(planned.move, planned.shipments)
    assert "known already" in again.search.stages[0]
