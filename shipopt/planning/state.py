"""What a search knows so far, and how hard it is to search.

Kept by ``search``, which says what comes when; whoever compares variants of a move says how much effort each is worth.
"""

import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from math import inf
from threading import Event

from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Plan, Shipment
from shipopt.planning.answers import Progress, Report
from shipopt.planning.outline import Outline
from shipopt.planning.programme import SlotKey
from shipopt.planning.solving import Solver
from shipopt.pricing.total import price
from shipopt.risk.expected import expected_uninsured_loss_of_all

USES_OF_ROOM, WHERE_LOSSES_DO_NOT_COUNT = (0.99, 0.994, 0.998, 0.9999, 0.98, 0.97, 0.95, 0.9, 0.8), 0.998
"""Shares of a carton's room, weight and value that guides count on, in the order of trial where losses matter; where
they do not, those nearest to one first. Near 1 a guide costs least but leaves the packer no play; which share serves
best is a matter of luck, so several are tried: 406.02 with 0.998, 402.95 with 0.9999 (seed 16), but 389.59 and 398.39
(seed 11)."""

TIME_UP, INTERRUPTED = "the time allowed was up", "it was interrupted"
"""Why a search stopped, where it did not end by itself."""

LEAST_IN_ORDER, IN_ORDER = 2.0, 0.0002
"""Seconds that putting a plan in shelf order may take, at the least and for each copy."""

FINISHING, MOST_FINISHING = 0.00025, 0.2
"""Seconds kept for what follows the search, for each copy (5 s for 20,000); at most this share of all."""


ABOUT_ITS_CAP = Decimal("0.95")
"""A plan that loses so much of what it may would perhaps cost less if it might lose more."""


@dataclass(frozen=True, slots=True)
class Effort:
    """How hard to search where cartons known already may do: ``guides`` are the uses of room to try, ``floor_within``
    is the gap of the programmes of the floor (the whole gap if None); no floor is worked out where it is not
    ``with_floor``. With two ``cores``, floor and plan are looked for side by side. Where a plan's cost is to be near
    the cheapest ``by_cost_alone``, what it loses counts in the search, but not in what the gap asked for is a share of.
    ``plain`` floors are solved by HiGHS's own options. A plan that is worth all the time there is is packed by one
    guide and ``dealt_on`` until then. Tiny moves are always solved exactly."""

    guides: Sequence[float] = USES_OF_ROOM
    floor_within: float | None = None
    with_floor: bool = True
    cores: int = 1
    by_cost_alone: bool = False
    plain: bool = False
    dealt_on: bool = False


FULL = Effort(cores=2)


@dataclass(slots=True)
class State:
    """What the search knows so far."""

    move: Move
    seconds: float
    within: float
    solver: Solver
    tell: Progress
    known: Sequence[Plan] = ()
    effort: Effort = FULL
    began: float = field(default_factory=time.perf_counter)
    floor: Decimal = ZERO
    best: tuple[Shipment, ...] | None = None
    best_objective: Decimal | None = None
    of_cost: float = 1.0
    """The share of the best plan's objective that is its cost."""
    stages: list[str] = field(default_factory=list)
    tried: set[tuple[Decimal | None, Outline | None, float, int]] = field(default_factory=set)
    """The guides made so far: by the cap on loss that they kept, outline, use of room, sort of kinds."""
    followed: set[frozenset[tuple[SlotKey, int]]] = field(default_factory=set)
    """The cartons that were packed by, as slots and numbers."""
    enough: Event = field(default_factory=Event)
    """Set once the best plan is near enough, by whichever thread sees it first: what looks for a better one may end."""
    broke: Decimal | None = None
    """What the first plan that broke the cap on the tail loses on average."""

    @property
    def spent(self) -> float:
        return time.perf_counter() - self.began

    @property
    def left(self) -> float:
        """The time left to search (seconds): the plan of a full search is still to be put in shelf order."""
        if self.effort != FULL:
            return self.seconds - self.spent
        copies = sum(record.copies for record in self.move.loose)
        return self.seconds - self.spent - min(copies * FINISHING, self.seconds * MOST_FINISHING)

    @property
    def in_order_by(self) -> float:
        """When the finished plan is to be in shelf order (of ``time.perf_counter``)."""
        copies = sum(record.copies for record in self.move.loose)
        return min(self.began + self.seconds, time.perf_counter() + max(LEAST_IN_ORDER, copies * IN_ORDER))

    @property
    def cores(self) -> int:
        """The cores that the search itself may share out: CBC uses both by itself."""
        return self.effort.cores if self.solver is Solver.HIGHS else 1

    @property
    def booked(self) -> Outline | None:
        """The quotes that the plans known already book; None if there is no such plan."""
        quotes = frozenset(each.quote.name for plan in self.known for each in plan.shipments)
        return Outline(quotes) if quotes else None

    @property
    def gap(self) -> float:
        """The gap that the best plan's objective may have (fraction)."""
        return self.within * self.of_cost if self.effort.by_cost_alone else self.within

    @property
    def near_enough(self) -> bool:
        """Whether the best plan is no farther from the floor than the gap asked for."""
        if self.best_objective is None:
            return False
        return self.best_objective - self.floor <= Decimal(self.gap) * self.best_objective

    @property
    def caps_bind(self) -> bool:
        """Whether a cap on expected loss may be why there is no plan, or the best loses about as much as it allows."""
        most = self.move.settings.most_expected_loss
        if self.best is None or most is None:
            return most is not None
        return expected_uninsured_loss_of_all(self.move, self.best) >= ABOUT_ITS_CAP * most

    def costs_at_most(self, amount: float) -> bool:
        """Whether the best plan's objective is no more than this."""
        return self.best_objective is not None and float(self.best_objective) <= amount

    def raise_floor(self, bound: float) -> None:
        """Keep a bound on every plan's objective, if it is higher than what is known."""
        self.floor = max(self.floor, floor_money(bound, self.move))
        self._see_whether_enough()

    def _see_whether_enough(self) -> None:
        if self.near_enough:
            self.enough.set()

    def report(self, stage: str) -> None:
        self.tell(Report(stage, self.spent, self.best_objective, self.floor))

    def keep(self, shipments: tuple[Shipment, ...], stage: str) -> None:
        """Keep a plan if it costs less than the best so far."""
        objective = objective_of(self.move, shipments)
        if self.best_objective is None or objective < self.best_objective:
            self.best, self.best_objective = shipments, objective
            self.of_cost = float(price(self.move, shipments).total / objective) if objective else 1.0
            self.stages.append(f"{stage}: {objective}")
            self._see_whether_enough()
        self.report(stage)


def objective_of(move: Move, shipments: Sequence[Shipment]) -> Decimal:
    """Total cost by the pricing module, plus expected uninsured loss by its weight where the settings count it."""
    total = price(move, shipments).total
    if move.settings.count_expected_loss:
        total += move.settings.weight_of_loss * expected_uninsured_loss_of_all(move, shipments)
    return total


def floor_money(bound: float, move: Move) -> Decimal:
    """A bound as money. Costs are whole minor units, so the next one up is a floor too, unless losses count as cost."""
    if bound == -inf:
        return ZERO
    slack = Decimal(repr(max(1e-6, abs(bound) * 1e-7)))
    lowest = max(ZERO, Decimal(repr(bound)) - slack)
    if move.settings.count_expected_loss:
        return lowest.quantize(Decimal("0.000001"), rounding=ROUND_FLOOR)
    return lowest.quantize(move.settings.currency.minor_unit, rounding=ROUND_CEILING)
