"""Plans and floors against an independent exact solver (OR-Tools CP-SAT, see independent/exact.py) on tiny moves.

Floor ≤ best objective ≤ the plan's objective, the plan is the best one, and both agree where no plan exists. The
floor of large moves is held to the same on the same moves, by asking for it without trying every carton.
"""

from fractions import Fraction

import pytest
from independent.broken import broken_rules
from independent.exact import Best, best_plan
from independent.random_moves import tiny
from independent.recompute import totals

from shipopt.move.move import Move
from shipopt.planning.answers import NoPlan
from shipopt.planning.corners import corners_of
from shipopt.planning.formulation import aggregate_programme
from shipopt.planning.kinds import kinds_of
from shipopt.planning.modes import values_matter
from shipopt.planning.search import optimise
from shipopt.planning.solving import Solver, Verdict, solve

SEEDS = 520
CHUNK = 20
NEVER_BELOW = 0.95
"""Share of moves where the plan must be the best there is."""
SOLVER_SLACK = Fraction(1, 10**5)
"""A linear programme's bound is a float with tolerances of about 1e-7 on numbers up to some ten thousands."""


def move_of(seed: int) -> Move:
    return tiny(seed, 8 if seed % 2 else 6)


def plan_against(seed: int, best: Best) -> bool:
    """Whether the plan of this move is the best; fails where the order floor ≤ best ≤ plan is broken."""
    move = move_of(seed)
    try:
        plan = optimise(move)
    except NoPlan:
        assert best.status == "INFEASIBLE", f"seed {seed}: no plan found, but there is one for {best.objective}"
        return True
    assert best.status == "OPTIMAL", f"seed {seed}: a plan is found where none can be"
    assert not broken_rules(move, plan.shipments), f"seed {seed}"
    objective = totals(move, plan.shipments).objective
    assert Fraction(plan.search.floor) <= best.objective <= objective, f"seed {seed}"
    return best.objective == objective


@pytest.mark.parametrize("first", range(0, SEEDS, CHUNK))
def test_plans_are_the_best_there_are(first):
    equal = [plan_against(seed, best_plan(move_of(seed))) for seed in range(first, first + CHUNK)]
    assert sum(equal) >= NEVER_BELOW * CHUNK, f"best in {sum(equal)} of {CHUNK} moves from seed {first}"


@pytest.mark.parametrize("first", range(1000, 1000 + SEEDS, CHUNK))
def test_the_floor_of_divisible_records_is_a_floor(first):
    for seed in range(first, first + CHUNK):
        move, best = move_of(seed), best_plan(move_of(seed))
        if best.status == "INFEASIBLE":
            continue
        for whole, kinds in ((False, kinds_of), (True, corners_of)):
            programme = aggregate_programme(move, kinds(move.loose, values_matter(move), 5), whole=whole)
            outcome = solve(programme.problem, seconds=20, gap=1e-6, solver=Solver.HIGHS)
            assert outcome.verdict is not Verdict.IMPOSSIBLE, f"seed {seed}: there is a plan for {best.objective}"
            assert Fraction(outcome.bound) <= best.objective + SOLVER_SLACK, f"seed {seed}"
