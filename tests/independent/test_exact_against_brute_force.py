"""The exact solver finds the same best objective as trying every plan of a very tiny move, or no plan where none is."""

from itertools import islice

import pytest

from independent.brute_force import best_objective, every_plan
from independent.choices import all_choices
from independent.exact import best_plan
from independent.random_moves import tiny

MOST_PLANS = 1500
"""Moves with more plans than this are left to the exact solver alone: trying them all takes too long here."""


def few_plans(seed):
    move = tiny(seed, 4)
    return sum(1 for _ in islice(every_plan(move, all_choices(move)), MOST_PLANS + 1)) <= MOST_PLANS


@pytest.mark.parametrize("first", range(0, 120, 20))
def test_the_exact_solver_agrees_with_trying_every_plan(first):
    seeds = [seed for seed in range(first, first + 20) if few_plans(seed)]
    assert len(seeds) >= 10
    for seed in seeds:
        move = tiny(seed, 4)
        best = best_plan(move)
        assert best.status == ("INFEASIBLE" if best.objective is None else "OPTIMAL")
        assert best.objective == best_objective(move), f"seed {seed}"


def test_it_agrees_where_the_average_of_the_worst_part_has_a_cap():
    binding = 0
    for seed in filter(few_plans, range(40)):
        move = tiny(seed, 4, tail=True)
        best = best_plan(move)
        assert best.status != "UNDECIDED"
        assert best.objective == best_objective(move), f"seed {seed}"
        binding += best.objective != best_plan(tiny(seed, 4)).objective
    assert binding >= 5, "the cap has to matter in some of them"


def test_most_tiny_moves_have_a_plan_and_some_have_none():
    statuses = [best_plan(tiny(seed, 6)).status for seed in range(80)]
    assert 0.65 <= statuses.count("OPTIMAL") / len(statuses) <= 0.92
    assert set(statuses) == {"OPTIMAL", "INFEASIBLE"}
