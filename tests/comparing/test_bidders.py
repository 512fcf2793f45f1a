"""What losing a bidder costs, held to an independent exact solver that shares nothing with the program's programmes.

Moves are random and tiny, so that their plans are proved to be the best. The same runs by this program, and prices just
below and above the walk-away price, stand in ``test_walk_away``.
"""

from fractions import Fraction
from functools import cache

import pytest
from independent.exact import best_plan
from independent.random_moves import tiny

import shipopt
from shipopt.comparing.comparison import Comparison
from shipopt.comparing.prices import without_quote

SEEDS = (4, 16, 24, 34, 45, 56)


@cache
def comparison(seed: int) -> Comparison:
    """A random move's best plan, compared; solved in this process."""
    return shipopt.compare(shipopt.optimise(tiny(seed), seconds=60), seconds=120, processes=0)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_move_without_a_bidder_costs_what_an_independent_solver_says(seed: int) -> None:
    found = comparison(seed)
    for bidder in found.bidders:
        alone = best_plan(without_quote(found.plan.move, bidder.quote), 20)
        if alone.status == "OPTIMAL":
            assert bidder.without_it is not None
            assert Fraction(bidder.without_it) == alone.objective
        elif alone.status == "INFEASIBLE":
            assert bidder.without_it is None
            assert bidder.indispensable


@pytest.mark.parametrize("seed", SEEDS)
def test_losing_a_bidder_never_pays_and_costs_the_difference_of_two_best_plans(seed: int) -> None:
    found = comparison(seed)
    best = best_plan(found.plan.move, 20)
    for bidder in found.bidders:
        alone = best_plan(without_quote(found.plan.move, bidder.quote), 20)
        if bidder.losing_it is not None and (best.status, alone.status) == ("OPTIMAL", "OPTIMAL"):
            assert Fraction(bidder.losing_it) == alone.objective - best.objective >= 0


def test_there_is_something_to_check() -> None:
    losses = [bidder.losing_it for seed in SEEDS for bidder in comparison(seed).bidders]
    assert any(loss is None for loss in losses)
    assert any(loss for loss in losses)
