"""The cost of caution: the cheapest plan at each level of expected uninsured loss, from the cheapest of all to the most
careful one; and what becomes of the plan if all chances are halved or doubled.

Between the ends, plans are looked for that cost least where each unit of loss counts as so many units of cost (the
weighted sums of Zadeh, Optimality and non-scalar-valued performance criteria, 1963): a cap on loss makes a programme
far harder. A floor F under cost + weight × loss is one of F − weight × level under what plans of a level cost; so
levels are what plans lose that cost least by some weight, and floors are asked for by such weights (see front). Every
plan found serves every level that it keeps, so the cost never falls as caution grows.
The caps of the move itself are left out; every other rule stays. Called by the job.
"""

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, Decimal
from typing import Any

from shipopt.comparing.free_of_charge import free_of_charge, with_prices_of
from shipopt.comparing.front import apart, hull, prices_of_loss, unbeaten
from shipopt.comparing.pool import serving
from shipopt.comparing.variants import Answer, Impossible, Solved, Variant
from shipopt.comparing.workers import Progress, Workers
from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Plan
from shipopt.planning import Solver
from shipopt.planning.state import USES_OF_ROOM, Effort, objective_of
from shipopt.planning.ways import without_loss_caps
from shipopt.pricing.total import price
from shipopt.risk.expected import expected_uninsured_loss_of_all

WEIGHTS = tuple(Decimal(weight) for weight in ("0.5", "1", "2", "4", "8", "16", "32"))
"""What a unit of loss counts as. At 1 a plan costs least together with what it loses on average; below, an owner would
rather lose than pay."""
LEVELS = 8
"""So many levels at the least, if there are plans for them, beside the cheapest plan."""
WITHIN = 0.0075
"""A level's plan is near enough to its floor at this gap: under 1 %, which is what is promised where time allows."""
SHARE_OF_SEARCH = 0.85
"""All levels together take at most so much of the setting Seconds to search."""
ENDS_BY, WEIGHTS_BY, LEVELS_BY, AGAIN_BY, MOST_FLOORS_BY, FLOORS_BY = 0.25, 0.42, 0.46, 0.5, 0.85, 0.97
"""Shares of the time: by then the two ends are known, on which the levels between rest, and the other chances; then a
plan for each weight, and a floor if there is time; plans for more levels where these are few; plans in the cartons of
the weights beside; floors by what loss costs from one plan to the next, and the plans that their proofs lead to; more
of them where these did not do. The rest is for floors of levels."""
MOST_FOR_ENDS = 60
"""Seconds that the ends and the other chances may take at the most."""
FOR_A_FLOOR = 12
"""Seconds that a floor by a weight needs to come to something, and to lead to plans."""
FOR_A_LEVEL = 4
"""Seconds that a floor of a level needs, or none is asked for."""
AS_A_WHOLE = Effort(guides=USES_OF_ROOM[:2], floor_within=0.02)
PLANS_FIRST = Effort(guides=USES_OF_ROOM[:1], with_floor=False)
IN_KNOWN_CARTONS = Effort(guides=(), with_floor=False)
WITH_FLOORS = Effort(guides=USES_OF_ROOM[:1], floor_within=0.01)
FLOORS = Effort(guides=(), floor_within=0.01)
FACTORS = (Decimal("0.5"), Decimal(2))
CHEAPEST, CAREFUL = "cheapest", "most careful"


@dataclass(frozen=True)
class Point:
    """The cheapest plan found that loses ``at_most`` so much on average (None: no limit). ``cost`` is its total cost,
    ``floor`` what no such plan can cost less than, ``expected_loss`` what it does lose on average; all money."""

    at_most: Decimal | None
    plan: Plan
    cost: Decimal
    expected_loss: Decimal
    floor: Decimal

    @property
    def gap(self) -> Decimal:
        """(cost − floor) ÷ cost, a fraction."""
        return (self.cost - self.floor) / self.cost if self.cost else ZERO


@dataclass(frozen=True)
class OtherChances:
    """The move with all chances times ``factor``, its own caps kept: the best plan found (None if there is none), what
    it costs and loses on average then, and what the written plan would lose. ``impossible`` where that is proved."""

    factor: Decimal
    plan: Plan | None
    cost: Decimal | None
    expected_loss: Decimal | None
    written_loses: Decimal
    impossible: bool


@dataclass(frozen=True)
class Caution:
    """``points`` from the cheapest to the most careful. ``least_loss`` is a proved floor under the expected loss of
    every plan; ``own`` the written plan among them; ``seconds`` how long it all took."""

    points: tuple[Point, ...]
    own: Point
    least_loss: Decimal
    other_chances: tuple[OtherChances, ...]
    seconds: float


def cost_of_caution(
    plan: Plan,
    *,
    seconds: float | None = None,
    solver: Solver | None = None,
    processes: int | None = None,
    progress: Progress | None = None,
) -> Caution:
    """Solves the levels and the other chances within about so many seconds (by default 85 % of the
    setting Seconds to search), several at once."""
    allowed = SHARE_OF_SEARCH * float(plan.move.settings.seconds) if seconds is None else seconds
    with Workers(processes) as workers:
        return _Weighing(plan, allowed, solver, workers, progress).weigh()


class _Weighing:
    """The steps of weighing caution, and the plans known so far, all of the move without caps."""

    def __init__(
        self, plan: Plan, seconds: float, solver: Solver | None, workers: Workers, progress: Progress | None
    ) -> None:
        self.plan, self.seconds, self.solver = plan, seconds, solver
        self.workers, self.progress = workers, progress
        self.began = time.monotonic()
        self.free = without_caps(plan.move)
        self.pool = [with_prices_of(self.free, plan)]
        self.floors: dict[Decimal | None, Decimal] = {}
        self.by_weight: dict[Decimal, Decimal] = {}
        self.bounded: set[Decimal] = set()
        """The weights by which floors were asked for."""

    def weigh(self) -> Caution:
        """All steps in turn."""
        careful, others = self._ends_and_other_chances()
        if self._time_by(WEIGHTS_BY) >= FOR_A_FLOOR * len(WEIGHTS):
            self._bound(WEIGHTS, WEIGHTS_BY)
        else:
            asked = [self._weighted(weight, PLANS_FIRST, self._best_by(weight)) for weight in WEIGHTS]
            self._solve(asked, WEIGHTS_BY)
        more = _between(_levels(self.pool), LEVELS, self.free.settings.currency.minor_unit)
        asked = [self._variant(level, PLANS_FIRST, self._around(level)) for level in more]
        self._solve(asked, LEVELS_BY)
        beside = [(weight, self._beside(weight)) for weight in WEIGHTS]
        self._solve([self._weighted(weight, IN_KNOWN_CARTONS, plans) for weight, plans in beside if plans], AGAIN_BY)
        twice = self.seconds * (FLOORS_BY - MOST_FLOORS_BY) >= FOR_A_FLOOR
        for by in (MOST_FLOORS_BY, FLOORS_BY) if twice else (1,):
            self._bound(self._weights_to_bound(by), by)
        levels = _levels(self.pool)
        open_ = [level for level in levels if self._gap(level) > WITHIN]
        if self._time_by(1) >= FOR_A_LEVEL * len(open_):
            self._solve([self._variant(level, FLOORS, (self._best(level),)) for level in open_], 1)
        floors = {level: self._floor(level) for level in (None, *levels)}
        points = _points(self.pool, [None, *levels], floors)
        changed = tuple(_changed(self.plan, factor, answer, self.pool) for factor, answer in others.items())
        return Caution(points, _own(self.plan), _floor(careful), changed, time.monotonic() - self.began)

    def _bound(self, weights: Sequence[Decimal], by: float) -> None:
        """Ask for floors by these weights, and the plans that their proofs lead to."""
        self.bounded.update(weights)
        self._solve([self._weighted(weight, WITH_FLOORS, self._best_by(weight)[:1]) for weight in weights], by)

    def _ends_and_other_chances(self) -> tuple[Answer, dict[Decimal, Answer]]:
        """Finds the cheapest plan and the most careful one, and plans for the other chances: what needs most time. The
        answer to the second, and those to the others."""
        known = tuple(self.pool)
        ends = [
            Variant(CHEAPEST, self.free, self.seconds, self._within, known, self.solver),
            Variant(CAREFUL, free_of_charge(self.free), self.seconds, self._within, known, self.solver),
        ]
        asked = [*(self._other(factor) for factor in FACTORS), *ends]
        by = min(ENDS_BY, MOST_FOR_ENDS / self.seconds) if self.seconds else 0
        *others, cheapest, careful = self._solve(asked, by, skip=len(FACTORS))
        self.floors[None] = _floor(cheapest)
        if self.plan.move == self.free:
            self.floors[None] = max(self.floors[None], self.plan.search.floor)
        return careful, dict(zip(FACTORS, others, strict=True))

    def _other(self, factor: Decimal) -> Variant:
        name, move = f"chances × {factor:f}", other_chances(self.plan.move, factor)
        return Variant(name, move, self.seconds, self._within, (self.plan,), self.solver, AS_A_WHOLE)

    def _solve(self, variants: Sequence[Variant], by: float, skip: int = 0) -> tuple[Answer, ...]:
        """Answers to variants by a share of all the time. Plans of all but the first ``skip`` join the pool."""
        left = max(1.0, self.seconds * by - (time.monotonic() - self.began))
        answers = self.workers.solve(variants, seconds=left, progress=self.progress)
        for variant, answer in zip(variants[skip:], answers[skip:], strict=True):
            if isinstance(answer, Solved):
                self.pool.append(with_prices_of(self.free, answer.plan))
                settings = variant.move.settings
                if settings.most_expected_loss is not None:
                    _raise(self.floors, settings.most_expected_loss, answer.floor)
                elif settings.count_expected_loss:
                    _raise(self.by_weight, settings.weight_of_loss, answer.floor)
        return answers

    @property
    def _within(self) -> float:
        return max(WITHIN, float(self.plan.move.settings.within))

    def _variant(self, level: Decimal, effort: Effort, known: Sequence[Plan]) -> Variant:
        name = f"expected loss at most {level:f}"
        capped = replace(self.free, settings=replace(self.free.settings, most_expected_loss=level))
        return Variant(name, capped, self.seconds, self._within, tuple(known), self.solver, effort)

    def _weighted(self, weight: Decimal, effort: Effort, known: Sequence[Plan]) -> Variant:
        settings = replace(self.free.settings, count_expected_loss=True, weight_of_loss=weight)
        name = f"one lost counts as {weight:f} paid"
        weighted = replace(self.free, settings=settings)
        return Variant(name, weighted, self.seconds, self._within / 2, tuple(known), self.solver, effort)

    def _best_by(self, weight: Decimal) -> list[Plan]:
        """The best plan known by a weight, and the one that loses least: together they book what a plan may need."""
        best = min(self.pool, key=lambda plan: _cost(plan) + weight * _loss(plan))
        careful = min(self.pool, key=_loss)
        return [best] if best is careful else [best, careful]

    def _floor(self, level: Decimal | None) -> Decimal:
        """No plan within the level costs less, by its own search or that of any weight; costs are whole minor units."""
        known = self.floors.get(level, ZERO)
        if level is None:
            return known
        minor = self.free.settings.currency.minor_unit
        by_weight = (floor - weight * level for weight, floor in self.by_weight.items())
        return max([known, *(floor.quantize(minor, ROUND_CEILING) for floor in by_weight)])

    def _weights_to_bound(self, by: float) -> list[Decimal]:
        """What a unit of loss less costs beside those plans of the hull that are not bounded well, where no floor was
        asked for by that: by the price between two plans both cost the same, so every other price bounds all. Only so
        many as there is time for: one good floor says more than poor ones of three."""
        plans = [(_cost(plan), _loss(plan)) for plan in self.pool]
        chain, shown = hull(unbeaten(plans)), apart(plans)
        prices = prices_of_loss(chain)
        wanted: list[Decimal] = []
        place = len(prices)
        while place > 0:
            is_open = chain[place] in shown and self._gap(_whole(chain[place][1], self.free)) > WITHIN
            beside = [price for price in prices[place - 1 : place + 1] if price not in (*self.bounded, *wanted)]
            if is_open and beside:
                wanted.append(beside[0])
                place -= beside[0] == prices[place - 1]
            place -= 1
        processes = max(1, self.workers.processes)
        many = min(len(wanted), max(1, round(self._time_by(by) / FOR_A_FLOOR / processes)) * processes)
        return [wanted[(2 * place + 1) * len(wanted) // (2 * many)] for place in range(many)]

    def _time_by(self, share: float) -> float:
        """Seconds of all processes until this share of the time is gone."""
        left = self.seconds * share - (time.monotonic() - self.began)
        return max(0.0, left) * max(1, self.workers.processes)

    def _gap(self, level: Decimal) -> Decimal:
        cost = _cost(self._best(level))
        return (cost - self._floor(level)) / cost if cost else ZERO

    def _best(self, level: Decimal) -> Plan:
        """The cheapest plan known within the level."""
        return min((plan for plan in self.pool if _loss(plan) <= level), key=_cost)

    def _around(self, level: Decimal) -> tuple[Plan, ...]:
        """The cheapest plan known within the level, and the cheapest of all: the two to start from."""
        within, cheapest = self._best(level), min(self.pool, key=_cost)
        return (within,) if within is cheapest else (within, cheapest)

    def _beside(self, weight: Decimal) -> list[Plan]:
        """The best plans by the weights beside this one, each once, but not its own."""
        place, own = WEIGHTS.index(weight), self._best_by(weight)[0]
        beside = [self._best_by(each)[0] for each in (*WEIGHTS[max(0, place - 1) : place], *WEIGHTS[place + 1 :][:1])]
        return list({id(plan): plan for plan in beside if plan is not own}.values())


def without_caps(move: Move) -> Move:
    """The move with no cap on loss, and losses no part of the cost."""
    return without_loss_caps(replace(move, settings=replace(move.settings, count_expected_loss=False)))


def other_chances(move: Move, factor: Decimal) -> Move:
    """The move with every chance of every quote times the factor, at most 1."""
    quotes = {
        name: replace(
            quote,
            loss_chance=min(Decimal(1), quote.loss_chance * factor),
            damage_chance=min(Decimal(1), quote.damage_chance * factor),
            whole_load_loss=min(Decimal(1), quote.whole_load_loss * factor),
        )
        for name, quote in move.quotes.items()
    }
    return replace(move, quotes=quotes)


def _loss(plan: Plan) -> Decimal:
    return expected_uninsured_loss_of_all(plan.move, plan.shipments)


def _cost(plan: Plan) -> Decimal:
    return price(plan.move, plan.shipments).total


def _levels(pool: Sequence[Plan]) -> list[Decimal]:
    """Caps from loose to hard, in whole minor units, all different: what the plans to show lose, but the cheapest."""
    (_, most), *others = apart([(_cost(plan), _loss(plan)) for plan in pool])
    levels = (_whole(loss, pool[0].move) for _, loss in others)
    return list(dict.fromkeys(level for level in levels if level < most))


def _whole(loss: Decimal, move: Move) -> Decimal:
    """A loss as a level: in whole minor units."""
    return loss.quantize(move.settings.currency.minor_unit, ROUND_CEILING)


def _between(levels: Sequence[Decimal], wanted: int, minor: Decimal) -> list[Decimal]:
    """Levels half way between these where they are farthest apart, so that there are as many as wanted."""
    known, more = list(levels), []
    while len(known) > 1 and len(known) < wanted:
        place = max(range(1, len(known)), key=lambda place: known[place - 1] - known[place])
        level = ((known[place - 1] + known[place]) / 2).quantize(minor, ROUND_CEILING)
        if level in known:
            break
        known.insert(place, level)
        more.append(level)
    return more


def _raise(floors: dict[Any, Decimal], key: Decimal, floor: Decimal) -> None:
    floors[key] = max(floors.get(key, ZERO), floor)


def _floor(answer: Answer) -> Decimal:
    return answer.floor if isinstance(answer, Solved) else ZERO


def _points(
    pool: Sequence[Plan], levels: Sequence[Decimal | None], floors: Mapping[Decimal | None, Decimal]
) -> tuple[Point, ...]:
    """For each level the cheapest plan of the pool that keeps it, of equally cheap ones the most careful; each plan
    once, at the hardest level that it is the cheapest of. A floor of a looser level is one of a harder level too."""
    known = [(_cost(plan), _loss(plan), place, plan) for place, plan in enumerate(pool)]
    points: list[Point] = []
    floor = ZERO
    for level in levels:
        floor = max(floor, floors.get(level, ZERO))
        within = [each for each in known if level is None or each[1] <= level]
        cost, loss, _, plan = min(within, key=lambda each: each[:3])
        point = Point(level, plan, cost, loss, min(floor, cost))
        if len(points) > 1 and points[-1].plan is plan:
            points[-1] = point
        elif not points or points[0].plan is not plan:
            points.append(point)
    return tuple(points)


def _own(plan: Plan) -> Point:
    return Point(plan.move.settings.most_expected_loss, plan, _cost(plan), _loss(plan), plan.search.floor)


def _changed(plan: Plan, factor: Decimal, answer: Answer, pool: Sequence[Plan]) -> OtherChances:
    """The best plan at other chances, be it the answer or one of the pool that obeys the rules then."""
    move = other_chances(plan.move, factor)
    plans = [plan, *pool, *([answer.plan] if isinstance(answer, Solved) else [])]
    served = [again for again in (serving(each, move) for each in plans) if again is not None]
    found = min(served, key=lambda each: objective_of(move, each.shipments), default=None)
    return OtherChances(
        factor,
        found,
        _cost(found) if found else None,
        _loss(found) if found else None,
        _loss(with_prices_of(move, plan)),
        isinstance(answer, Impossible),
    )
