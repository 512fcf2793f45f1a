"""Walk-away prices and the cost of losing a bidder, checked by solving again, on random moves solved to proved best."""

from dataclasses import replace
from decimal import Decimal
from functools import cache

import pytest
from independent.random_moves import tiny

from shipopt.comparing.bidders import Bidder
from shipopt.comparing.comparison import Comparison, compare
from shipopt.comparing.prices import at_share, with_quote, without_quote
from shipopt.move.move import Move
from shipopt.move.plan import Plan
from shipopt.planning import NoPlan, optimise
from shipopt.planning.state import objective_of

SEEDS = (0, 4, 8, 14, 16, 24, 26, 34, 39, 44, 45, 48, 49, 50, 52, 53, 56, 61, 62, 67)


def best(move: Move) -> Decimal | None:
    """The objective of the best plan, proved; None if there is no plan."""
    plan = solved(move)
    return None if plan is None else objective_of(move, plan.shipments)


def solved(move: Move) -> Plan | None:
    """The best plan of a tiny move."""
    try:
        return optimise(move, seconds=60)
    except NoPlan:
        return None


@cache
def comparison(seed: int) -> Comparison:
    """A random move's best plan, compared; solved in this process."""
    plan = solved(tiny(seed))
    assert plan is not None
    return compare(plan, seconds=120, processes=0)


def bidders(seed: int) -> list[tuple[Move, Bidder]]:
    """The bidders of a random move."""
    return [(comparison(seed).plan.move, bidder) for bidder in comparison(seed).bidders]


@pytest.mark.parametrize("seed", SEEDS)
def test_just_below_the_walk_away_price_it_is_in_and_just_above_it_is_out(seed: int) -> None:
    for move, bidder in bidders(seed):
        if bidder.walk_away is None or not bidder.settled:
            continue
        assert bidder.give_or_take is not None
        assert bidder.without_it is not None
        quote = move.quotes[bidder.quote]
        lower = bidder.walk_away - bidder.give_or_take
        if lower >= 0:
            below = best(with_quote(move, replace(quote, fixed_charge=lower)))
            assert below is not None
            assert below <= bidder.without_it
            assert below < bidder.without_it or quote.minimum_charge
        above = best(with_quote(move, replace(quote, fixed_charge=bidder.walk_away + bidder.give_or_take)))
        assert above == bidder.without_it


@pytest.mark.parametrize("seed", SEEDS)
def test_the_share_of_its_prices_that_would_do_does(seed: int) -> None:
    for move, bidder in bidders(seed):
        if bidder.price_share is None or bidder.without_it is None:
            continue
        quote = move.quotes[bidder.quote]
        if bidder.price_share:
            assert best(with_quote(move, at_share(quote, bidder.price_share))) <= bidder.without_it  # type: ignore[operator]
        dearer = min(Decimal(1), bidder.price_share + Decimal("0.002"))
        assert best(with_quote(move, at_share(quote, dearer))) == bidder.without_it


@pytest.mark.parametrize("seed", SEEDS)
def test_losing_a_bidder_costs_what_a_run_without_it_says(seed: int) -> None:
    for move, bidder in bidders(seed):
        alone = best(without_quote(move, bidder.quote))
        assert alone == bidder.without_it
        assert (alone is None) == bool(bidder.indispensable)
        assert bidder.losing_it is None or bidder.losing_it >= 0


@pytest.mark.parametrize("seed", SEEDS)
def test_with_as_much_as_it_takes_a_bidder_carries_no_less_than_in_the_plan(seed: int) -> None:
    plan = comparison(seed).plan
    for bidder in comparison(seed).bidders:
        now = sum(s.filled.records for s in plan.shipments if s.quote.name == bidder.quote)
        if bidder.if_all is None:
            assert not now
            continue
        assert sum(s.filled.records for s in bidder.if_all.shipments if s.quote.name == bidder.quote) >= now
        assert bidder.if_all_cost is not None
        assert bidder.if_all_cost >= objective_of(plan.move, plan.shipments)


def test_there_is_something_to_check() -> None:
    """The random moves have bidders that are in, out with a price, and indispensable."""
    all_bidders = [bidder for seed in SEEDS for _, bidder in bidders(seed)]
    assert any(bidder.used and bidder.walk_away is not None for bidder in all_bidders)
    assert any(not bidder.used and bidder.walk_away is not None for bidder in all_bidders)
    assert any(bidder.price_share for bidder in all_bidders)
    assert any(bidder.indispensable for bidder in all_bidders)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_looser_rule_saves_what_a_run_with_it_says(seed: int) -> None:
    found = comparison(seed)
    cost = objective_of(found.plan.move, found.plan.shipments)
    for step in found.steps:
        alone = best(step.looser.move)
        assert alone is not None
        assert step.saves == cost - alone
        assert step.saves_at_most is None or step.saves_at_most >= step.saves
    assert [step.saves for step in found.steps] == sorted((step.saves for step in found.steps), reverse=True)


def test_the_answers_are_the_same_side_by_side() -> None:
    """Solved in two workers, in whatever order they finish, the comparison is that of this process."""
    alone = comparison(16)
    together = compare(alone.plan, seconds=120, processes=2)
    assert [replace(b, next_best=None, if_all=None) for b in together.bidders] == [
        replace(b, next_best=None, if_all=None) for b in alone.bidders
    ]
    assert [(s.looser.rule, s.saves, s.saves_at_most) for s in together.steps] == [
        (s.looser.rule, s.saves, s.saves_at_most) for s in alone.steps
    ]
    assert together.variants == alone.variants
