"""The comparison of a plan with what else could be: every bidder inquired into, every rule a step looser.

The questions of both go to the workers together, round after round: what is asked next depends on the answers so far.
Given time enough, answers end by their gaps and not by the clock, and are the same on every run. Called by the job.
"""

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from shipopt.comparing.bidders import Bidder, bidder_of
from shipopt.comparing.binding import Loosening, Step
from shipopt.comparing.inquiry import Inquiry
from shipopt.comparing.pool import Pool
from shipopt.comparing.variants import Answer, NotInTime, Solved, Variant
from shipopt.comparing.workers import Progress, Workers
from shipopt.move.plan import Plan
from shipopt.move.rules import quotes_in
from shipopt.planning import Solver
from shipopt.planning.along_shelves import along_the_shelves
from shipopt.planning.state import TIME_UP

SHARE_OF_SEARCH = 0.6
"""The comparison takes at most so much of the setting Seconds to search, and ends by itself before, if it can."""
SHARE_OF_FIRST_ROUND = 0.75


@dataclass(frozen=True, slots=True)
class Comparison:
    """What became of all questions. ``plan`` is the plan compared, or a cheaper one found on the way. ``in_time`` is
    false where the time allowed cut questions short. ``seconds`` is what it took, ``variants`` how many were solved."""

    plan: Plan
    bidders: tuple[Bidder, ...]
    steps: tuple[Step, ...]
    in_time: bool
    variants: int
    seconds: float


def compare(
    plan: Plan,
    *,
    seconds: float | None = None,
    solver: Solver | None = None,
    processes: int | None = None,
    progress: Progress | None = None,
) -> Comparison:
    """Compares a plan within a time (seconds; by default three fifths of the setting Seconds to search), on so many
    processes (by default one for each core; 0 solves everything in this one)."""
    allowed = SHARE_OF_SEARCH * float(plan.move.settings.seconds) if seconds is None else seconds
    began = time.monotonic()
    pool = Pool(plan)
    inquiries = [Inquiry(pool, quote, allowed) for quote in quotes_in(plan.move)]
    loosening = Loosening(plan, pool.objectives[0], allowed)
    with Workers(processes) as workers:
        rounds = _Rounds(workers, began + allowed, solver, progress)
        while rounds.goes_on(inquiries, loosening):
            pass
    best = pool.cheapest()
    assert best is not None
    return Comparison(
        plan=plan if best is plan else _found_on_the_way(plan, best, pool.objective(best)),
        bidders=tuple(bidder_of(inquiry) for inquiry in inquiries),
        steps=loosening.steps(pool.objective(best)),
        in_time=rounds.in_time,
        variants=rounds.solved,
        seconds=time.monotonic() - began,
    )


@dataclass(slots=True)
class _Rounds:
    """Rounds of questions put to the workers, until none is left or the time is up."""

    workers: Workers
    ends: float
    solver: Solver | None
    progress: Progress | None
    number: int = 0
    solved: int = 0
    in_time: bool = True

    def goes_on(self, inquiries: Sequence[Inquiry], loosening: Loosening) -> bool:
        """Puts one round of questions; whether there may be another."""
        of_rules = loosening.next_looks()
        asked = [(inquiry, variant) for inquiry in inquiries for variant in inquiry.next_variants()]
        takers: list[Callable[[Answer], None]] = [inquiry.take for inquiry, _ in asked]
        takers += [loosening.take] * len(of_rules)
        variants = [replace(v, solver=self.solver) for v in (*(variant for _, variant in asked), *of_rules)]
        left = self.ends - time.monotonic()
        if not variants or left < 1:
            self.in_time = self.in_time and not variants
            return False
        order = sorted(range(len(variants)), key=lambda place: (*_turn(variants[place], place >= len(asked)), place))
        share = SHARE_OF_FIRST_ROUND if self.number == 0 else 1.0
        answers = self.workers.solve([variants[p] for p in order], seconds=left * share, progress=self.progress)
        for place, answer in sorted(zip(order, answers, strict=True), key=lambda pair: pair[0]):
            takers[place](answer)
        self.in_time = self.in_time and not any(map(_cut_short, answers))
        self.number += 1
        self.solved += len(variants)
        return True


def _turn(variant: Variant, of_a_rule: bool) -> tuple[int, bool]:
    """Looks into known cartons first, whose time left over goes to the others; then bidders before rules, searches in
    full before looks for a floor."""
    if not variant.effort.with_floor:
        return 0, of_a_rule
    return (1 if variant.effort.guides else 2) + 2 * of_a_rule, of_a_rule


def _cut_short(answer: Answer) -> bool:
    """Whether the clock ended the search for an answer."""
    if isinstance(answer, Solved):
        return answer.plan.search.stopped == TIME_UP
    return isinstance(answer, NotInTime) and answer.cut_short


def _found_on_the_way(plan: Plan, better: Plan, objective: Decimal) -> Plan:
    """A cheaper plan of the pool, with what is known of the search of the plan that was compared."""
    stages = (*plan.search.stages, f"found while quotes were compared: {objective}")
    return along_the_shelves(Plan(plan.move, better.shipments, replace(plan.search, stages=stages)))
