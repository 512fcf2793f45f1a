"""Plans of random moves of some twenty to thirty cartons break no rule, and cost what an independent working-out says.

Rules and totals are asked of tests/independent, which shares nothing with the programmes, the audit or the prices.
"""

from fractions import Fraction

import pytest
from independent.broken import broken_rules
from independent.random_moves import middling
from independent.recompute import totals

from shipopt.move.plan import Plan
from shipopt.planning.answers import NoPlan, NoPlanInTime
from shipopt.planning.search import optimise
from shipopt.pricing.total import price
from shipopt.risk.expected import expected_uninsured_loss_of_all

SEEDS = range(16)
SECONDS = 5


@pytest.fixture(scope="module")
def plans() -> dict[int, Plan]:
    """The plans found, by seed; some moves have none."""
    found = {}
    for seed in SEEDS:
        try:
            found[seed] = optimise(middling(seed, 20 + seed % 3 * 5), seconds=SECONDS)
        except (NoPlan, NoPlanInTime):
            continue
    return found


def test_most_moves_have_a_plan(plans):
    assert len(plans) >= len(SEEDS) // 2


def test_no_rule_is_broken(plans):
    assert {seed: broken_rules(plan.move, plan.shipments) for seed, plan in plans.items()} == {key: [] for key in plans}


def test_totals_are_the_same_worked_out_again(plans):
    for seed, plan in plans.items():
        cost, again = price(plan.move, plan.shipments), totals(plan.move, plan.shipments)
        assert (cost.carriage, cost.cartons, cost.cover, cost.total) == (
            again.carriage,
            again.cartons_bought,
            again.cover_fees,
            again.total_cost,
        ), f"seed {seed}"
        loss = expected_uninsured_loss_of_all(plan.move, plan.shipments)
        assert Fraction(loss) == again.expected_uninsured_loss, f"seed {seed}"


def test_no_plan_costs_less_than_its_floor(plans):
    for seed, plan in plans.items():
        assert Fraction(plan.search.floor) <= totals(plan.move, plan.shipments).objective, f"seed {seed}"
