"""Each constraint function has a golden LP file: what it adds, on a move of three cartons, by itself.

To accept an intended change, run with ``SHIPOPT_GOLDEN=write`` and read the difference before committing it.
"""

import inspect
import os
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pulp
import pytest
from planning.two_cartons import MOVE, packed

from shipopt.move.move import Move
from shipopt.move.rules import quotes_in
from shipopt.planning import formulation
from shipopt.planning.constraints import bookings, caps, carriage, covers, groups, items, loose, risks
from shipopt.planning.corners import corners_of
from shipopt.planning.kinds import kinds_of
from shipopt.planning.programme import Programme
from shipopt.planning.slots import offer_slots
from shipopt.planning.tracks import tracks_of

GOLDEN = Path(__file__).parent / "golden"
ALL = tuple(
    dict.fromkeys(formulation.OF_EVERY_PROGRAMME + formulation.BY_KIND + formulation.BY_GROUP + formulation.LAST)
)
OWING_MUCH = replace(
    MOVE,
    quotes={**MOVE.quotes, "depot freight": replace(MOVE.quotes["depot freight"], liability_per_weight=Decimal(20))},
)
"""The same move, but a carrier owes more than the insure rule asks to be covered."""
COUNTED = replace(MOVE, settings=replace(MOVE.settings, count_expected_loss=True))
"""The same move, but what is lost is part of the cost."""
MOVES = {loose.liability_reaches_their_values: OWING_MUCH, risks.groups_risk_what_they_hold: COUNTED}
NEEDS: dict[Callable[[Programme], None], list[Callable[[Programme], None]]] = {
    carriage.no_more_cartons_are_free_than_included: [carriage.cartons_by_themselves_are_charged],
}


def _cartons() -> Programme:
    candidates, wanted = formulation.filled_once(packed())
    programme = Programme(MOVE, tracks_of(quotes_in(MOVE), apart=True, most_trips=3), "cartons")
    programme.items = wanted
    for candidate in candidates:
        formulation.offer(programme, candidate)
    return programme


def _kinds(move: Move, *, whole: bool) -> Programme:
    programme = Programme(move, tracks_of(quotes_in(move), apart=False, most_trips=3), "aggregate")
    kinds = corners_of(MOVE.loose, True, 20) if whole else kinds_of(MOVE.loose, values_matter=True)
    offer_slots(programme, kinds, whole=whole)
    return programme


def _programme(constraint: Callable[[Programme], None]) -> Programme:
    of_loose_records = formulation.BY_KIND + formulation.BY_GROUP
    if constraint not in of_loose_records:
        return _cartons()
    return _kinds(MOVES.get(constraint, MOVE), whole=constraint not in formulation.BY_KIND)


@pytest.mark.parametrize("constraint", ALL, ids=lambda constraint: constraint.__name__)
def test_constraint_adds_what_its_golden_file_says(constraint, tmp_path):
    programme = _programme(constraint)
    for needed in NEEDS.get(constraint, []):
        needed(programme)
    before = set(programme.problem.constraints)
    constraint(programme)
    only = pulp.LpProblem(constraint.__name__, pulp.LpMinimize)
    only.setObjective(programme.carriage + programme.cartons_bought + programme.fees)
    for name, row in programme.problem.constraints.items():
        if name not in before:
            only.addConstraint(row, name)
    only.writeLP(str(tmp_path / "written.lp"))
    written = (tmp_path / "written.lp").read_text()
    golden = GOLDEN / f"{constraint.__name__}.lp"
    if os.environ.get("SHIPOPT_GOLDEN") == "write":
        golden.write_text(written)
    assert written == golden.read_text()
    assert len(programme.problem.constraints) > len(before)


def test_every_constraint_function_is_in_a_programme():
    written = {
        function
        for module in (bookings, caps, carriage, covers, groups, items, loose, risks)
        for name, function in inspect.getmembers(module, inspect.isfunction)
        if function.__module__ == module.__name__ and not name.startswith("_")
    }
    assert written == set(ALL)


def test_no_golden_file_is_left_over():
    assert {path.stem for path in GOLDEN.glob("*.lp")} == {constraint.__name__ for constraint in ALL}
