"""Variants of a move, and what became of each: a plan, proof that there is none, or no plan in the time allowed.

A variant is a ``Move`` that differs in a rule or a price (``dataclasses.replace``), with a time of its own. The module
workers solves several at once; every question of this room is put to it this way.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal

from shipopt.move.move import Move
from shipopt.move.plan import Plan
from shipopt.planning import NoPlan, NoPlanInTime, Reason, Report, Solver, optimise
from shipopt.planning.state import FULL, Effort, objective_of

Tell = Callable[[Report], None]


@dataclass(frozen=True, slots=True)
class Variant:
    """A move to be planned: ``seconds`` at most, until the plan is ``within`` this fraction of its floor (the settings'
    by default). ``known`` are plans of the same records, whose cartons are tried first."""

    name: str
    move: Move
    seconds: float
    within: float | None = None
    known: tuple[Plan, ...] = ()
    solver: Solver | None = None
    effort: Effort = FULL

    def ask(self, tell: Tell) -> "Answer":
        """Plans the move in this process."""
        began = time.monotonic()
        try:
            plan = optimise(
                self.move,
                seconds=self.seconds,
                within=self.within,
                solver=self.solver,
                progress=tell,
                known=self.known,
                effort=self.effort,
            )
        except NoPlan as answer:
            return Impossible(self.name, answer.reasons)
        except NoPlanInTime:
            return NotInTime(self.name, cut_short=time.monotonic() - began >= self.seconds - 1)
        return Solved(self.name, plan)

    @property
    def weight(self) -> int:
        """How long it takes, roughly, in times of the quickest kind of search."""
        return 8 * len(self.effort.guides) + 3 * self.effort.with_floor + 1

    def allowed(self, seconds: float) -> "Variant":
        """The same with no more than so many seconds."""
        return replace(self, seconds=min(self.seconds, seconds))


@dataclass(frozen=True, slots=True)
class Solved:
    """The best plan found of a variant; its floor is the plan's ``search.floor``."""

    name: str
    plan: Plan

    @property
    def objective(self) -> Decimal:
        """Total cost, plus expected uninsured loss where the variant's settings count it; money."""
        return objective_of(self.plan.move, self.plan.shipments)

    @property
    def floor(self) -> Decimal:
        """No plan of the variant costs less; money."""
        return self.plan.search.floor


@dataclass(frozen=True, slots=True)
class Impossible:
    """Proof that no plan of a variant can meet its rules, with the rules that clash."""

    name: str
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class NotInTime:
    """No plan of a variant was found; there may be one. ``cut_short`` where the clock ended the search, or left no time
    for it; else cartons known already did not serve."""

    name: str
    cut_short: bool = False


Answer = Solved | Impossible | NotInTime
