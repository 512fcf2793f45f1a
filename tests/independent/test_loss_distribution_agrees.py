"""The program's loss distribution against a list of every outcome in exact fractions, on random small plans.

The program states its own error; the difference may not be larger (and a little for the rounding of figures shown).
"""

from fractions import Fraction

import pytest

from independent.distribution import loss_law, mean, worst_mean
from independent.random_moves import tiny
from independent.random_plans import random_plan
from independent.recompute import expected_loss
from shipopt.risk.distribution import loss_distribution

CHUNK = 50


def small_plans(first):
    for seed in range(first, first + CHUNK):
        move = tiny(seed)
        shipments = random_plan(move, seed)
        if len(shipments) <= 6:
            yield seed, move, shipments


@pytest.mark.parametrize("first", range(0, 200, CHUNK))
def test_mean_and_worst_part_agree_with_every_outcome_listed(first):
    plans = list(small_plans(first))
    assert len(plans) >= CHUNK // 2
    for seed, move, shipments in plans:
        law = loss_law(move, shipments)
        assert sum(law.values()) == 1
        found = loss_distribution(move, shipments)
        shown = Fraction(move.settings.currency.minor_unit) / 1000
        assert abs(Fraction(found.mean) - mean(law)) <= Fraction(found.mean_error) + shown, f"seed {seed}"
        error = abs(Fraction(found.tail_mean) - worst_mean(law))
        assert error <= Fraction(found.tail_mean_error) + shown, f"seed {seed}"
        assert found.tail_mean_error <= found.tail_mean / 1000, f"seed {seed}: the error stated is coarse"


def test_without_a_cap_the_mean_is_the_sum_of_the_cartons():
    """Most liability caps a carton in the sum and a consignment in the distribution; elsewhere they are the same."""
    compared = 0
    for _, move, shipments in small_plans(0):
        carriers = [shipment.quote for shipment in shipments] + [move.quotes[g.gone_by] for g in move.gone if g.gone_by]
        if all(quote.most_liability is None for quote in carriers):
            assert mean(loss_law(move, shipments)) == expected_loss(move, shipments)
            compared += 1
    assert compared >= 10
