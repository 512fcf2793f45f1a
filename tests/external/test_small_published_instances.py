"""The carton programme on small published problems, typed from their sources: assignment and bin packing.

How they become moves is said in benchmarks/published.py.
"""

from decimal import Decimal

import pytest
from benchmarks.published import Assignment, assignment_move, bin_move

from shipopt.move.plan import Shipment
from shipopt.planning.formulation import carton_programme
from shipopt.planning.search import optimise
from shipopt.planning.solving import Solver, Verdict, solve
from shipopt.pricing.total import price

# OR-Library, file gap1, problem c515-1: 5 agents, 15 jobs (J. E. Beasley, OR-Library: distributing test problems by
# electronic mail, J. Oper. Res. Soc. 41(11), 1990). Optimum 261 as minimisation, 336 as maximisation.
COSTS = """
17 21 22 18 24 15 20 18 19 18 16 22 24 24 16
23 16 21 16 17 16 19 25 18 21 17 15 25 17 24
16 20 16 25 24 16 17 19 19 18 20 16 17 21 24
19 19 22 22 20 16 19 17 21 19 25 23 25 25 25
18 19 15 15 21 25 16 16 23 15 22 17 19 22 24
"""
RESOURCES = """
8 15 14 23 8 16 8 25 9 17 25 15 10 8 24
15 7 23 22 11 11 12 10 17 16 7 16 10 18 22
21 20 6 22 24 10 24 9 21 14 11 14 11 19 16
20 11 8 14 9 5 6 19 19 7 6 6 13 9 18
8 13 13 13 10 20 25 16 16 17 10 10 5 12 23
"""
CAPACITIES = "36 34 38 27 33"
LEAST, MOST = 261, 336


def table(text):
    return tuple(tuple(Decimal(word) for word in line.split()) for line in text.strip().splitlines())


def cost_of_best_assignment(costs):
    (capacities,) = table(CAPACITIES)
    move, candidates, items = assignment_move(Assignment(costs, table(RESOURCES), capacities))
    programme = carton_programme(move, candidates, items)
    outcome = solve(programme.problem, seconds=60, gap=1e-7, solver=Solver.HIGHS)
    assert outcome.verdict is Verdict.PROVED
    chosen = [option for option in programme.options if round(outcome.values[option.variable.name])]
    sent = [Shipment(programme.candidates[option.candidate].filled, option.way.quote) for option in chosen]
    return price(move, sent).total


def test_the_least_cost_of_c515_1_is_261():
    assert cost_of_best_assignment(table(COSTS)) == LEAST


def test_the_greatest_gain_of_c515_1_is_336():
    """Maximised by taking every gain from 30: 15 jobs always go, so the sum of what is left is 15 × 30 − the gain."""
    turned = tuple(tuple(30 - cost for cost in row) for row in table(COSTS))
    assert 15 * 30 - cost_of_best_assignment(turned) == MOST


# D. S. Johnson, A. Demers, J. D. Ullman, M. R. Garey, R. L. Graham, Worst-case performance bounds for simple
# one-dimensional packing algorithms, SIAM J. Comput. 3(4), 1974 (lists from memory): with first fit these take 10 and,
# even in decreasing order, 11 bins; the least is 6 and 9, because the sizes fill these bins exactly, or the largest
# items, more than half a bin each, need one each. Sizes in thousandths of a bin.
FIRST_FIT_LIST = [136] * 6 + [343] * 6 + [501] * 6
DECREASING_LIST = [510] * 6 + [270] * 6 + [260] * 6 + [230] * 12


@pytest.mark.parametrize(
    ("sizes", "first_fit", "least"), [(FIRST_FIT_LIST, 10, 6), (DECREASING_LIST, 11, 9)], ids=["1/6", "11/9"]
)
def test_bins_are_as_few_as_published_where_first_fit_takes_more(sizes, first_fit, least):
    assert bins_by_first_fit(sizes, 1000) == first_fit
    plan = optimise(bin_move(sizes, [(1000, 1, first_fit)]), seconds=60, within=0)
    assert price(plan.move, plan.shipments).total == least
    assert plan.search.floor == least


def bins_by_first_fit(sizes, capacity):
    """How many bins it takes to put each item in the first bin that still has room for it."""
    bins = []
    for size in sizes:
        place = next((place for place, filled in enumerate(bins) if filled + size <= capacity), None)
        if place is None:
            bins.append(size)
        else:
            bins[place] += size
    return len(bins)
