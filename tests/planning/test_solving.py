"""Running solvers: solutions that cost too much do not count, whichever solver is asked."""

import threading
import time
from concurrent.futures import ThreadPoolExecutor
from random import Random

import pulp
import pytest

from shipopt.planning.solving import COSTS_AT_MOST, THREADS_OF_HIGHS, Solver, Verdict, _Highs, solve

LEAST = 100 + 22
"""What 22 of fours and fives costs at the least, a unit each: 4 + 4 + 4 + 5 + 5, on top of 100."""


def _problem():
    """Whole numbers of fours (4 each), fives (5 each) and sevens (9 each) that make 22, at the least cost."""
    problem = pulp.LpProblem("make_22", pulp.LpMinimize)
    fours, fives, sevens = (pulp.LpVariable(name, 0, 9, pulp.LpInteger) for name in ("fours", "fives", "sevens"))
    problem.setObjective(4 * fours + 5 * fives + 9 * sevens + 100)
    problem.addConstraint(4 * fours + 5 * fives + 7 * sevens == 22, "makes_22")
    return problem


@pytest.mark.parametrize("solver", list(Solver))
@pytest.mark.parametrize("above", [0.0, 0.5, 40.0])
def test_a_solution_that_costs_no_more_is_found(solver, above):
    outcome = solve(_problem(), seconds=10, gap=0.0, solver=solver, at_most=LEAST + above)
    assert outcome.verdict is Verdict.PROVED
    assert outcome.objective == pytest.approx(LEAST)
    assert outcome.bound <= LEAST + 1e-6


@pytest.mark.parametrize("solver", list(Solver))
@pytest.mark.parametrize("below", [0.01, 1.0, 60.0])
def test_where_all_cost_more_none_exists(solver, below):
    problem = _problem()
    outcome = solve(problem, seconds=10, gap=0.0, solver=solver, at_most=LEAST - below)
    assert outcome.verdict is Verdict.IMPOSSIBLE
    assert not outcome.found
    assert COSTS_AT_MOST not in problem.constraints


def test_highs_solves_after_a_solver_with_more_threads():
    """HiGHS refuses another number of threads than its first solve in a Python thread had."""

    def first_the_other():
        problem = _problem()
        problem.solve(pulp.HiGHS(msg=False, threads=THREADS_OF_HIGHS + 1))
        return problem.status, solve(_problem(), seconds=10, gap=0.0, solver=Solver.HIGHS)

    with ThreadPoolExecutor(1) as fresh:
        status, outcome = fresh.submit(first_the_other).result()
    assert status == pulp.LpStatusOptimal
    assert outcome.found


def _market_split(rng):
    """A small problem that branching takes very long for: market split (Cornuéjols & Dawande, "A Class of
    Hard Small 0-1 Programs", 1998, from memory)."""
    problem = pulp.LpProblem("market_split", pulp.LpMinimize)
    picked = [pulp.LpVariable(f"x_{place}", 0, 1, pulp.LpInteger) for place in range(40)]
    slacks = []
    for row in range(5):
        sizes = [rng.randrange(100) for _ in picked]
        above, below = pulp.LpVariable(f"above_{row}", 0), pulp.LpVariable(f"below_{row}", 0)
        total = pulp.lpSum(size * each for size, each in zip(sizes, picked, strict=True))
        problem.addConstraint(total + above - below == sum(sizes) // 2, f"half_{row}")
        slacks += [above, below]
    problem.setObjective(pulp.lpSum(slacks))
    return problem


def test_highs_ends_early_once_it_is_told_to_stop():
    stop, began = threading.Event(), time.perf_counter()
    threading.Timer(0.5, stop.set).start()
    outcome = solve(_market_split(Random(1)), seconds=60, gap=0.0, solver=Solver.HIGHS, stop=stop)
    assert outcome.verdict in (Verdict.FOUND, Verdict.NOTHING)
    assert time.perf_counter() - began < 30
    assert outcome.bound < outcome.objective


def _any_problem(rng):
    """A problem with bounds, whole numbers, equations, empty rows and coefficients of nothing at random."""
    problem = pulp.LpProblem("any", pulp.LpMinimize)
    variables = [
        pulp.LpVariable(f"x_{place}", rng.choice([None, 0, -2]), rng.choice([None, 3, 7]), rng.choice(CATEGORIES))
        for place in range(8)
    ]
    problem.setObjective(pulp.lpSum(rng.randint(-3, 9) * each for each in variables[:6]) + 5)
    for row in range(6):
        terms = {each: rng.choice([0, 0, -1.5, 2]) for each in rng.sample(variables, 4)}
        total = pulp.LpAffineExpression(terms) + rng.randint(0, 2)
        limit = rng.randint(1, 9)
        problem.addConstraint(rng.choice([total <= limit, total >= -limit, total == limit]), f"row_{row}")
    return problem


CATEGORIES = [pulp.LpContinuous, pulp.LpInteger]


@pytest.mark.parametrize("seed", range(20))
def test_highs_gets_what_pulp_would_give_it_row_by_row(seed):
    ours, theirs = _Highs(msg=False), pulp.HiGHS(msg=False)
    models = []
    for runner in (ours, theirs):
        problem = _any_problem(Random(seed))
        runner.createAndConfigureSolver(problem)
        runner.buildSolverModel(problem)
        model = problem.solverModel.getLp()
        rows = problem.solverModel
        models.append(
            (
                [list(each) for each in (model.col_cost_, model.col_lower_, model.col_upper_)],
                [list(each) for each in (model.row_lower_, model.row_upper_)],
                [rows.getColIntegrality(place)[1] for place in range(model.num_col_)],
                [sorted(zip(*rows.getRowEntries(row)[1:], strict=True)) for row in range(model.num_row_)],
            )
        )
    assert models[0] == models[1]


def test_a_programme_that_highs_does_not_take_is_not_solved_as_an_empty_one():
    problem = _problem()
    next(iter(problem.variables())).lowBound = float("nan")
    with pytest.raises(ValueError, match="no number"):
        solve(problem, seconds=10, gap=0.0, solver=Solver.HIGHS)
