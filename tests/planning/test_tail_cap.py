"""The cap on the worst 5 % of outcomes, on 50 random moves where it binds: asked of a second working-out.

A plan never breaks it; a looser cap never costs more; "no plan" is only said where an independent exact solver finds
none either. Moves are invented.
"""

from dataclasses import replace
from decimal import ROUND_FLOOR, Decimal
from fractions import Fraction
from functools import cache

import pytest
from independent.distribution import worst_mean_of
from independent.exact import best_plan
from independent.random_moves import middling, tiny
from independent.recompute import totals

from shipopt.move.move import Move
from shipopt.move.plan import Plan
from shipopt.planning import NoPlan, NoPlanInTime, optimise
from shipopt.planning.constraints.caps import TAIL_MEAN
from shipopt.planning.tail_cap import breaks_tail_cap
from shipopt.risk.distribution import loss_distribution

WANTED = 50
SHARES = ("0.5", "0.85")
"""Caps as shares of the tail mean of the best plan without one: all of them bind."""


def capped(move: Move, cap: Decimal | None) -> Move:
    return replace(move, settings=replace(move.settings, most_tail_mean=cap))


def free_plan(move: Move) -> Plan | None:
    """The best plan with no cap on the tail; covers may pay all the same, because losses count."""
    try:
        return optimise(capped(move, None), seconds=20)
    except (NoPlan, NoPlanInTime):
        return None


@cache
def binding() -> tuple[tuple[int, Move, Fraction], ...]:
    """The first tiny moves whose best plan without a cap has a tail to cap: seed, move, tail mean."""
    found = []
    seed = 0
    while len(found) < WANTED:
        move = tiny(seed, 4)
        plan = free_plan(move)
        tail = worst_mean_of(move, plan.shipments) if plan else Fraction(0)
        if tail > 1:
            found.append((seed, move, tail))
        seed += 1
    return tuple(found)


def objective_under(move: Move, tail: Fraction, share: str) -> Fraction | None:
    """The objective of the plan under the cap, None if none is found; asserts that it keeps the cap."""
    cap = (Decimal(tail.numerator) / tail.denominator * Decimal(share)).quantize(Decimal("0.01"), ROUND_FLOOR)
    it = capped(move, cap)
    try:
        plan = optimise(it, seconds=90)
    except (NoPlan, NoPlanInTime):
        return None
    assert worst_mean_of(it, plan.shipments) <= Fraction(cap)
    assert plan.move is it
    objective = totals(it, plan.shipments).objective
    assert Fraction(plan.search.floor) <= objective
    return objective


def test_no_plan_breaks_the_cap_and_a_looser_cap_never_costs_more() -> None:
    """On each of 50 moves, under two caps that bind, hardest first. A cap may be too hard, but not if a harder one
    is not."""
    planned = dearer = 0
    for seed, move, tail in binding():
        free = totals(move, free_plan(move).shipments).objective
        before: Fraction | None = None
        for share in SHARES:
            objective = objective_under(move, tail, share)
            assert objective is not None or before is None, f"seed {seed}: no plan under a looser cap"
            assert before is None or objective <= before, f"seed {seed}: dearer under a looser cap"
            before = objective
            planned += objective is not None
            dearer += objective is not None and objective > free
    assert planned >= WANTED // 2
    assert dearer >= WANTED // 5


@pytest.mark.parametrize("first", [0, 12])
def test_plans_and_proofs_agree_with_an_exact_solver(first: int) -> None:
    """The best plan there is, or proof that there is none, on moves whose cap is drawn at random."""
    agreed = 0
    for seed in range(first, first + 12):
        move = tiny(seed, 5, tail=True)
        best = best_plan(move, 20)
        if best.status == "UNDECIDED":
            continue
        agreed += 1
        try:
            plan = optimise(move, seconds=30)
        except NoPlan:
            assert best.status == "INFEASIBLE", f"seed {seed}"
            continue
        assert best.status == "OPTIMAL", f"seed {seed}"
        assert Fraction(plan.search.floor) <= best.objective <= totals(move, plan.shipments).objective, f"seed {seed}"
    assert agreed >= 8


@pytest.mark.parametrize("seed", [6, 17, 25])
def test_the_reason_for_no_plan_names_a_cap_that_can_be_kept(seed: int) -> None:
    """The cap alone stands in the way; raised to what the reason says, there is a plan."""
    move = tiny(seed, 6, tail=True)
    with pytest.raises(NoPlan) as caught:
        optimise(move, seconds=60)
    (reason,) = caught.value.reasons
    assert reason.rule == TAIL_MEAN
    enough = Decimal(reason.change.split()[3].replace(",", ""))
    assert enough > move.settings.most_tail_mean
    optimise(capped(move, enough), seconds=60)


def test_a_plan_of_many_records_keeps_the_cap_too() -> None:
    """Packed by guides that risk less and less; the cap is a little more than half of what binds nothing."""
    move = middling(13, 6)
    free = optimise(capped(move, None), seconds=10)
    tail = loss_distribution(move, free.shipments).tail_mean
    it = capped(move, (tail * Decimal("0.6")).quantize(Decimal("0.01")))
    plan = optimise(it, seconds=30)
    again = loss_distribution(it, plan.shipments)
    assert again.tail_mean + again.tail_mean_error <= it.settings.most_tail_mean
    assert breaks_tail_cap(it, free.shipments)
    assert not breaks_tail_cap(it, plan.shipments)
