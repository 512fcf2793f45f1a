"""The best plan of a tiny move, proved: CP-SAT over every possible carton, in whole numbers only.

Each answer is worked out again by ``recompute`` and ``broken``, and must agree to the last digit. Called by tests only.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from time import monotonic

from ortools.sat.python import cp_model

from independent.broken import broken_rules
from independent.carton_model import CartonModel
from independent.choices import Choice, shipments_of
from independent.distribution import worst_mean_of
from independent.recompute import totals
from shipopt.move.move import Move
from shipopt.move.plan import Shipment


@dataclass(frozen=True)
class Best:
    """``status`` is OPTIMAL, INFEASIBLE or UNDECIDED; ``objective`` and ``shipments`` are those of the best plan."""

    status: str
    objective: Fraction | None = None
    shipments: tuple[Shipment, ...] = ()


def best_plan(move: Move, seconds: float = 60) -> Best:
    """The plan of least objective among all that obey the rules, or that there is none.

    The average of the worst 5 % is asked of each best plan found; a part of it that is over the cap by itself is then
    ruled out, and the search goes on, because more cartons never make that average less.

    With linear relaxations CP-SAT 9.15 calls 1954 the least cost of one random move (seed 1239), with variables that
    charge its own cartons too much: they cost 1306. Then it is asked again without.
    """
    model = CartonModel(move)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.linearization_level = 2
    solver.parameters.random_seed = 1
    solver.parameters.relative_gap_limit = 0
    ends = monotonic() + seconds
    while ends > monotonic():
        solver.parameters.max_time_in_seconds = ends - monotonic()
        status = solver.solve(model.cp)
        if status == cp_model.MODEL_INVALID:
            raise AssertionError(f"the exact solver's model is refused: {model.cp.validate()}")
        if status == cp_model.INFEASIBLE:
            return Best("INFEASIBLE")
        if status != cp_model.OPTIMAL:
            break
        chosen = model.chosen(solver)
        if solver.parameters.linearization_level and model.value(solver) != _worked_out(move, chosen):
            solver.parameters.linearization_level = 0
            continue
        part = _over_the_cap(move, chosen)
        if part is None:
            return _checked(move, shipments_of(move, chosen), model.value(solver))
        model.rule_out(part)
    return Best("UNDECIDED")


def _worked_out(move: Move, chosen: Sequence[tuple[Choice, int]]) -> Fraction:
    return totals(move, shipments_of(move, chosen)).objective


def _checked(move: Move, shipments: Sequence[Shipment], objective: Fraction) -> Best:
    faults, again = broken_rules(move, shipments), totals(move, shipments)
    if faults or again.objective != objective:
        raise AssertionError(f"the exact solver is wrong: {objective} or {again.objective}, {faults}")
    return Best("OPTIMAL", objective, tuple(shipments))


def _over_the_cap(move: Move, chosen: Sequence[tuple[Choice, int]]) -> list[tuple[Choice, int]] | None:
    """As few of these cartons as are over the cap on the worst 5 % by themselves, None if all together keep it."""
    cap = move.settings.most_tail_mean
    if cap is None or worst_mean_of(move, shipments_of(move, chosen)) <= cap:
        return None
    part = list(chosen)
    for each in chosen:
        fewer = [other for other in part if other is not each]
        if worst_mean_of(move, shipments_of(move, fewer)) > cap:
            part = fewer
    return part
