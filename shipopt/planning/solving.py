"""Running a solver on an integer programme, and what came of it as a small typed record.

HiGHS in this process by default, CBC (the one bundled with PuLP) where HiGHS is absent or asked for. Nothing
is read from a variable unless the outcome says that a solution was found: PuLP reports "Optimal" after a time
limit, and leaves values in the variables of an infeasible model.
"""

import os
import re
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from typing import Any

import numpy as np
import pulp

from shipopt.planning.folders import temporary_folder

highspy: Any
try:
    import highspy
except ImportError:  # pragma: no cover - depends on the installation
    highspy = None

Progress = Callable[[float | None, float | None], None]
"""Called while a solver runs with the best objective so far and the bound, each None if there is none yet."""


BY_BRANCHING: Mapping[str, Any] = {
    "mip_heuristic_effort": 0.0,
    "mip_heuristic_run_rins": False,
    "mip_heuristic_run_rens": False,
    "mip_heuristic_run_root_reduced_cost": False,
    "mip_heuristic_run_zi_round": False,
    "mip_heuristic_run_shifting": False,
    "mip_heuristic_run_feasibility_jump": False,
    "mip_allow_restart": False,
    "mip_pscost_minreliable": 0,
    "mip_lp_age_limit": 5,
}
"""Options of HiGHS for programmes with few whole numbers and costly linear relaxations, such as the floor's: branch at
once, without searching for solutions on the way. Measured on the first worked example: 4 s instead of over 60 s."""

BY_SUMS: Mapping[str, Any] = {
    **BY_BRANCHING,
    "mip_pscost_minreliable": 1,
    "presolve_rule_off": 1 << 8 | 1 << 9 | 1 << 12,  # substitutions, which would take the sums away
}
"""Options of HiGHS where whole sums are the numbers to branch on, each tried once: all 12 quotes of 1,500 copies (seed
17) end in 4 s, where branching on slots had not come near in 40 s."""

BY_LOOKING_NEAR: Mapping[str, Any] = {
    **BY_BRANCHING,
    "mip_heuristic_effort": 0.05,
    "mip_heuristic_run_rins": True,
    "mip_heuristic_run_rens": True,
    "mip_heuristic_run_zi_round": True,
    "mip_heuristic_run_shifting": True,
    "mip_heuristic_run_feasibility_jump": True,
}
"""Options of HiGHS for the guide: the same, but looking near the relaxation's solution. Measured on the first worked
example: 7 s instead of 22 s."""


THREADS_OF_HIGHS = 1
"""A search has one solver for each core. Two threads each, on two cores, took three times as long side by side (7.1
instead of 2.2 s for a guide)."""

WHERE_BOUNDS_COUNT = ("preprocess off",)
"""Options of CBC but where it is only to look for solutions. Its reduction of whole numbers loses some: on a move of a
few records the bundled CBC 2.10.3 called a cost the least that was 13.85 above that of a plan there is."""

COSTS_AT_MOST = "costs_at_most"
"""Name of the row that leaves out what costs more, where the solver is CBC."""


class Solver(StrEnum):
    """The solvers that can be asked for."""

    HIGHS = "HiGHS"
    CBC = "CBC"


class Verdict(StrEnum):
    """What a run of a solver came to."""

    PROVED = "proved within the tolerance asked for"
    FOUND = "found, not proved"
    IMPOSSIBLE = "no solution exists"
    NOTHING = "nothing found in the time allowed"


@dataclass(frozen=True, slots=True)
class Outcome:
    """A solver's outcome. ``bound`` is a proved lower bound on the objective (minus infinity if none was given);
    ``values`` maps a variable's name to its value, and is empty unless something was found."""

    verdict: Verdict
    solver: str
    seconds: float
    bound: float = float("-inf")
    objective: float = float("inf")
    values: Mapping[str, float] = field(default_factory=dict)

    @property
    def found(self) -> bool:
        """Whether there is a solution to read."""
        return self.verdict in (Verdict.PROVED, Verdict.FOUND)


def default_solver() -> Solver:
    """HiGHS where it is installed, else CBC."""
    return Solver.HIGHS if highspy is not None else Solver.CBC


def solve(
    problem: pulp.LpProblem,
    *,
    seconds: float,
    gap: float,
    solver: Solver | None = None,
    at_most: float | None = None,
    start: Mapping[str, float] | None = None,
    progress: Progress | None = None,
    options: Mapping[str, Any] | None = None,
    stop: threading.Event | None = None,
) -> Outcome:
    """Minimise a problem within a time (seconds) and a relative gap (fraction), from a start where one is given.

    Solutions that cost more than ``at_most`` do not count: where there is none else, the verdict is that none exists,
    and the bound is one of the others alone. ``options`` are HiGHS's own; of CBC they only say whether it is to look
    for solutions (BY_LOOKING_NEAR). HiGHS ends early, as when its time is up, soon after ``stop`` is set; CBC does not.
    """
    chosen = solver or default_solver()
    if chosen is Solver.HIGHS and highspy is not None:
        all_options = {**(options or {}), **_limits(problem, at_most)}
        return _counted(_solve_with_highs(problem, seconds, gap, start, progress, all_options, stop), at_most)
    if at_most is not None:
        problem.addConstraint(problem.objective <= at_most, COSTS_AT_MOST)
    outcome = _solve_with_cbc(problem, seconds, gap, () if options == BY_LOOKING_NEAR else WHERE_BOUNDS_COUNT)
    problem.constraints.pop(COSTS_AT_MOST, None)
    return outcome


def _limits(problem: pulp.LpProblem, at_most: float | None) -> dict[str, float]:
    """HiGHS's options that leave out what costs more. It cuts off by them, where a row would only make its linear
    programmes harder (a proof that took 6.3 s with a row takes 1.2 s)."""
    if at_most is None:
        return {}
    return {"objective_bound": at_most - problem.objective.constant + 1e-6 * max(1.0, abs(at_most))}


def _counted(outcome: Outcome, at_most: float | None) -> Outcome:
    """The outcome, but for a solution that costs too much, which HiGHS may meet before it cuts off."""
    if at_most is None or not outcome.found or outcome.objective <= at_most + 2e-6 * max(1.0, abs(at_most)):
        return outcome
    verdict = Verdict.IMPOSSIBLE if outcome.verdict is Verdict.PROVED else Verdict.NOTHING
    return Outcome(verdict, outcome.solver, outcome.seconds, bound=outcome.bound)


_BANNER = threading.Lock()
"""Held while the standard output is silenced, so that two solvers at once leave it as it was."""


class _Highs(pulp.HiGHS):  # type: ignore[misc]
    """PuLP's in-process HiGHS, with a start from known values, which PuLP leaves out, and with the whole programme
    handed over at once: column by column and row by row took longer than a small programme needs to be solved, and kept
    Python from the other solver meanwhile."""

    start: Mapping[str, float] | None = None
    progress: Progress | None = None
    stop: threading.Event | None = None
    columns: Sequence[pulp.LpVariable] = ()
    """The variables, in the order of HiGHS's columns."""

    def createAndConfigureSolver(self, lp: pulp.LpProblem) -> None:  # noqa: N802 - PuLP's name
        highspy.Highs.resetGlobalScheduler(True)  # else it refuses another number of threads than came before
        with _without_banner():
            super().createAndConfigureSolver(lp)
        if self.progress is not None:
            lp.solverModel.setCallback(_reporting_to(self.progress), None)
            lp.solverModel.startCallback(highspy.cb.HighsCallbackType.kCallbackMipLogging)
        if self.stop is not None:
            stop = self.stop
            lp.solverModel.cbMipInterrupt += lambda event: event.interrupt(stop.is_set())

    def buildSolverModel(self, lp: pulp.LpProblem) -> None:  # noqa: N802 - PuLP's name
        self.columns = lp.variables()
        if lp.solverModel.passModel(_as_arrays(lp, self.columns)) == highspy.HighsStatus.kError:
            raise ValueError("HiGHS does not take this programme: a bound or a coefficient is no number")

    def actualSolve(self, lp: pulp.LpProblem) -> int:  # noqa: N802 - PuLP's name
        """Leaves values and status to whoever asked."""
        self.createAndConfigureSolver(lp)
        self.buildSolverModel(lp)
        self.callSolver(lp)
        return int(pulp.LpStatusNotSolved)

    def callSolver(self, lp: pulp.LpProblem) -> None:  # noqa: N802 - PuLP's name
        if self.start:
            known = [(place, self.start[v.name]) for place, v in enumerate(self.columns) if v.name in self.start]
            indices, values = zip(*known, strict=True)
            lp.solverModel.setSolution(len(known), list(indices), list(values))
        lp.solverModel.run()


def _as_arrays(problem: pulp.LpProblem, columns: Sequence[pulp.LpVariable]) -> Any:
    """The problem as HiGHS takes it, with these columns."""
    place_of = {id(variable): place for place, variable in enumerate(columns)}
    cost = problem.objective
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = len(columns), len(problem.constraints)
    model.col_cost_ = np.array([cost.get(variable, 0.0) for variable in columns], dtype=float)
    model.col_lower_ = _bounds((variable.lowBound for variable in columns), -highspy.kHighsInf)
    model.col_upper_ = _bounds((variable.upBound for variable in columns), highspy.kHighsInf)
    whole, any_number = highspy.HighsVarType.kInteger, highspy.HighsVarType.kContinuous
    model.integrality_ = [whole if variable.cat == pulp.LpInteger else any_number for variable in columns]
    rows = list(problem.constraints.values())
    places = np.array([place_of[id(variable)] for row in rows for variable in row], dtype=np.int32)
    times = np.array([coefficient for row in rows for coefficient in row.values()], dtype=float)
    ends = np.cumsum([0, *map(len, rows)])
    counts = times != 0
    model.row_lower_ = _bounds((row.getLb() for row in rows), -highspy.kHighsInf)
    model.row_upper_ = _bounds((row.getUb() for row in rows), highspy.kHighsInf)
    model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    model.a_matrix_.start_ = np.concatenate([[0], np.cumsum(counts)])[ends].astype(np.int32)
    model.a_matrix_.index_, model.a_matrix_.value_ = places[counts], times[counts]
    return model


def _bounds(bounds: Iterable[float | None], none: float) -> Any:
    return np.array([none if bound is None else bound for bound in bounds], dtype=float)


def _solve_with_highs(
    problem: pulp.LpProblem,
    seconds: float,
    gap: float,
    start: Mapping[str, float] | None,
    progress: Progress | None,
    options: Mapping[str, Any],
    stop: threading.Event | None,
) -> Outcome:
    began = time.perf_counter()
    runner = _Highs(
        msg=False, gapRel=gap, gapAbs=1e-6, timeLimit=max(seconds, 0.01), threads=THREADS_OF_HIGHS, **options
    )
    runner.start, runner.progress, runner.stop = start, progress, stop
    problem.solve(runner)
    elapsed = time.perf_counter() - began
    model = problem.solverModel
    status, info = model.getModelStatus(), model.getInfo()
    if status in (highspy.HighsModelStatus.kInfeasible, highspy.HighsModelStatus.kUnboundedOrInfeasible):
        return Outcome(Verdict.IMPOSSIBLE, Solver.HIGHS, elapsed)
    constant = problem.objective.constant
    is_mip = any(variable.cat == pulp.LpInteger for variable in runner.columns)
    bound = info.mip_dual_bound + constant if is_mip else float("-inf")
    if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return Outcome(Verdict.NOTHING, Solver.HIGHS, elapsed, bound=bound)
    proved = status == highspy.HighsModelStatus.kOptimal
    objective = info.objective_function_value + constant
    return Outcome(
        verdict=Verdict.PROVED if proved else Verdict.FOUND,
        solver=Solver.HIGHS,
        seconds=elapsed,
        bound=objective if proved and not is_mip else bound,
        objective=objective,
        values={v.name: value for v, value in zip(runner.columns, model.getSolution().col_value, strict=True)},
    )


@contextmanager
def _without_banner() -> Iterator[None]:
    """The first HiGHS of a process prints two lines about itself straight to the standard output's file."""
    with _BANNER:
        yield from _silenced()


def _silenced() -> Iterator[None]:
    sys.stdout.flush()
    kept, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, 1)
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


def _reporting_to(progress: Progress) -> Callable[..., None]:
    def report(_kind: Any, _message: str, out: Any, _into: Any, _user: Any) -> None:
        best = out.mip_primal_bound if abs(out.mip_primal_bound) < 1e30 else None
        bound = out.mip_dual_bound if abs(out.mip_dual_bound) < 1e30 else None
        progress(best, bound)

    return report


def _solve_with_cbc(problem: pulp.LpProblem, seconds: float, gap: float, options: Sequence[str]) -> Outcome:
    began = time.perf_counter()
    with temporary_folder() as folder:
        log = Path(folder) / "cbc.log"
        runner = pulp.PULP_CBC_CMD(
            msg=False, gapRel=gap, timeLimit=max(seconds, 1.0), threads=2, logPath=str(log), options=list(options)
        )
        runner.tmpDir = folder  # else its files stay where temporary ones are when CBC is ended from outside
        problem.solve(runner)
        text = log.read_text(errors="replace") if log.exists() else ""
    elapsed = time.perf_counter() - began
    if problem.sol_status == pulp.LpSolutionInfeasible or problem.status == pulp.LpStatusInfeasible:
        return Outcome(Verdict.IMPOSSIBLE, Solver.CBC, elapsed)
    if problem.sol_status not in (pulp.LpSolutionOptimal, pulp.LpSolutionIntegerFeasible):
        return Outcome(Verdict.NOTHING, Solver.CBC, elapsed, bound=_cbc_bound(text, problem, None))
    objective = float(pulp.value(problem.objective))
    proved = problem.sol_status == pulp.LpSolutionOptimal
    return Outcome(
        verdict=Verdict.PROVED if proved else Verdict.FOUND,
        solver=Solver.CBC,
        seconds=elapsed,
        bound=_cbc_bound(text, problem, objective if proved else None),
        objective=objective,
        values={v.name: v.varValue for v in problem.variables()},
    )


def _cbc_bound(log: str, problem: pulp.LpProblem, optimum: float | None) -> float:
    """CBC states its bound only in its log, to three decimals, and not at all when it proved the optimum."""
    stated = re.findall(r"^(?:Lower|Best possible) bound:?\s+(-?[\d.eE+]+)", log, flags=re.MULTILINE)
    if stated:
        return float(stated[-1]) - 0.001 + float(problem.objective.constant)
    return optimum if optimum is not None else float("-inf")
