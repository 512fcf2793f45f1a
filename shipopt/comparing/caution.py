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
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import Any

from shipopt.comparing import shares_of_time as shares
from shipopt.comparing.free_of_charge import A_UNIT_LOST, free_of_charge, with_prices_of
from shipopt.comparing.front import apart, hull, prices_of_loss, unbeaten
from shipopt.comparing.levels import (
    FINEST,
    PROMISED,
    WITHIN,
    Point,
    as_level,
    between,
    cost_of,
    levels_of,
    loss_of,
    points_of,
    share_missed,
    well_bounded,
)
from shipopt.comparing.pool import serving
from shipopt.comparing.shares_of_time import Shares
from shipopt.comparing.variants import Answer, Impossible, Solved, Variant
from shipopt.comparing.workers import Progress, Workers
from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Plan
from shipopt.planning import Solver
from shipopt.planning.state import USES_OF_ROOM, Effort, objective_of
from shipopt.planning.ways import without_loss_caps

WEIGHTS = tuple(Decimal(weight) for weight in ("0.5", "1", "2", "4", "8", "16", "32", "64"))
"""What a unit of loss counts as. At 1 a plan costs least together with what it loses on average; below, an owner would
rather lose than pay."""
STEEPEST = 2 * WEIGHTS[-1]
"""No floor is asked for by more: what a cent of loss less costs then, no proof tells from nothing."""
FAR_APART_FIRST = (*WEIGHTS[1::2], *WEIGHTS[::2])
LEVELS = 8
"""So many levels at the least, if there are plans for them, beside the cheapest plan."""
AS_A_WHOLE = Effort(guides=USES_OF_ROOM[:2], floor_within=0.02)
PLANS_FIRST = Effort(guides=USES_OF_ROOM[:1], with_floor=False)
IN_KNOWN_CARTONS = Effort(guides=(), with_floor=False)
FULLER = (0.998, 0.9999)
"""Uses of room by which cartons are so full that few bear an excess: 1,500 copies, one lost counted as 32, cost 1,016
with the first and 1,021 by 99 % of the room."""
WITH_FLOORS = Effort(guides=FULLER[:1], floor_within=0.01, by_cost_alone=True)
SOON = replace(WITH_FLOORS, floor_within=0.05)
"""Where there is hardly time for a floor, one that is told sooner leaves some for a plan."""
CAREFULLY = Effort(guides=(*FULLER, USES_OF_ROOM[0]), floor_within=0.01)
CAREFUL_FLOOR = Effort(guides=(), floor_within=0.005, plain=True)
"""Where loss alone counts, all is free to book, and solutions are hard to find rather than bounds: of 1,500 copies
(seed 1), HiGHS's own options end in 25 s with no plan loses less than 7.461, BY_SUMS says 7.446 after 60 s."""
CAREFUL_BY_A_GUIDE = Effort(guides=FULLER[:1], with_floor=False, dealt_on=True)
CAREFUL_AS_KNOWN = replace(CAREFUL_BY_A_GUIDE, guides=())
"""By a guide, and in the cartons known: of 1,500 copies, what a plan loses at the least is dealt down for minutes."""
CLOSELY = 0.002
"""The gap asked for of the most careful plan: its guide has a third of it."""
FLOORS = Effort(guides=(), floor_within=0.01)
FACTORS = (Decimal("0.5"), Decimal(2))
CHEAPEST, CAREFUL = "cheapest", "most careful"


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
    every plan (money); ``own`` the written plan among them; ``seconds`` how long it all took."""

    points: tuple[Point, ...]
    own: Point
    least_loss: Decimal
    other_chances: tuple[OtherChances, ...]
    seconds: float

    def gap_of(self, place: int) -> Decimal:
        """How far a point may be from the best by its goal, a fraction: (cost − floor) ÷ cost; of the most careful one,
        whose goal is to lose as little as can be, (loss − least loss) ÷ loss."""
        point = self.points[place]
        if 0 < place == len(self.points) - 1:
            return share_missed(point.expected_loss, self.least_loss)
        return point.gap


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
    allowed = shares.OF_SEARCH * float(plan.move.settings.seconds) if seconds is None else seconds
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
        much = self._time_by(shares.MUCH.weights) >= shares.FOR_A_GOOD_FLOOR * len(WEIGHTS)
        least_loss, others = self._ends_and_other_chances(careful_too=not much)
        if much:
            self._bound(WEIGHTS[1::2], shares.HALF_OF_MUCH)
            self._bound(WEIGHTS[::2], shares.MUCH.weights)
            self._plans_between(shares.MUCH)
            least_loss = self._look_for_the_most_careful()
        elif (many := int(self._time_by(shares.SOME.weights) / shares.FOR_A_FLOOR)) >= shares.FEW_WEIGHTS:
            self._bound(FAR_APART_FIRST[:many], shares.SOME.weights, SOON)
            self._plans_between(shares.SOME)
        else:
            asked = [self._weighted(weight, PLANS_FIRST, self._best_by(weight)) for weight in FAR_APART_FIRST]
            self._solve(asked, shares.LITTLE.weights)
            self._plans_between(shares.LITTLE)
        twice = self.seconds * (shares.FLOORS - shares.MOST_FLOORS) >= shares.FOR_A_FLOOR
        for by in (shares.MOST_FLOORS, shares.FLOORS) if twice else (1,):
            if self._time_by(by):
                self._bound(self._weights_to_bound(by), by)
        levels = levels_of(self.pool, least_loss)
        open_ = [level for level in levels if self._gap(level) > WITHIN]
        if self._time_by(1) >= shares.FOR_A_LEVEL * len(open_):
            self._solve([self._variant(level, FLOORS, (self._best(level),)) for level in open_], 1)
        levels = well_bounded(levels, self._gap)
        floors = {level: self._floor(level) for level in (None, *levels)}
        points = points_of(self.pool, [None, *levels], floors)
        changed = tuple(_changed(self.plan, factor, answer, self.pool) for factor, answer in others.items())
        seconds = time.monotonic() - self.began
        return Caution(points, _own(self.plan), least_loss, changed, seconds)

    def _plans_between(self, by: Shares) -> None:
        """Plans for more levels where these are few, then plans by each weight in the cartons of those beside."""
        more = between(levels_of(self.pool), LEVELS, self.free.settings.currency.minor_unit)
        self._solve([self._variant(level, PLANS_FIRST, self._around(level)) for level in more], by.levels)
        beside = [(weight, self._beside(weight)) for weight in WEIGHTS]
        self._solve([self._weighted(weight, IN_KNOWN_CARTONS, plans) for weight, plans in beside if plans], by.beside)

    def _look_for_the_most_careful(self) -> Decimal:
        """Look with all cores for a floor under what every plan loses, for a plan that loses less than those known, and
        for a cheaper one that loses as little. The floor, money."""
        known = min(self.pool, key=loss_of)
        asked = [
            self._careful((known,), CAREFUL_FLOOR),
            self._careful((), CAREFUL_BY_A_GUIDE),
            self._careful((known,), CAREFUL_AS_KNOWN),
        ]
        bounded, *_ = self._solve([replace(each, within=CLOSELY) for each in asked], shares.CAREFUL)
        known, least = min(self.pool, key=loss_of), _floor(bounded) / A_UNIT_LOST
        level = max(
            loss_of(known).quantize(FINEST, ROUND_CEILING), (least / (1 - PROMISED)).quantize(FINEST, ROUND_FLOOR)
        )
        self._solve([self._variant(level, CAREFUL_BY_A_GUIDE, (known,))], shares.CHEAP_CAREFUL)
        return least

    def _bound(self, weights: Sequence[Decimal], by: float, effort: Effort = WITH_FLOORS) -> None:
        """Ask for floors by these weights, and the plans that their proofs lead to."""
        self.bounded.update(weights)
        self._solve([self._weighted(weight, effort, self._best_by(weight)[:1]) for weight in weights], by)

    def _ends_and_other_chances(self, careful_too: bool) -> tuple[Decimal, dict[Decimal, Answer]]:
        """Finds the cheapest plan, the most careful one if asked for, and plans for the other chances. What every plan
        loses at the least, money (0 if not asked for), and the answers to the others."""
        known = tuple(self.pool)
        cheapest_too = Variant(CHEAPEST, self.free, self.seconds, self._within, known, self.solver)
        asked = [*(self._other(factor) for factor in FACTORS), cheapest_too]
        if careful_too:
            asked.append(self._careful(known, CAREFULLY))
        by = min(shares.ENDS, shares.MOST_FOR_ENDS / self.seconds) if self.seconds else 0
        answers = self._solve(asked, by, skip=len(FACTORS))
        others, cheapest = answers[: len(FACTORS)], answers[len(FACTORS)]
        self.floors[None] = _floor(cheapest)
        if self.plan.move == self.free:
            self.floors[None] = max(self.floors[None], self.plan.search.floor)
        least_loss = _floor(answers[-1]) / A_UNIT_LOST if careful_too else ZERO
        return least_loss, dict(zip(FACTORS, others, strict=True))

    def _careful(self, known: Sequence[Plan], effort: Effort) -> Variant:
        free = free_of_charge(self.free)
        return Variant(CAREFUL, free, self.seconds, self._within, tuple(known), self.solver, effort)

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
        return float(max(WITHIN, self.plan.move.settings.within))

    def _variant(self, level: Decimal, effort: Effort, known: Sequence[Plan]) -> Variant:
        name = f"expected loss at most {level:f}"
        capped = replace(self.free, settings=replace(self.free.settings, most_expected_loss=level))
        return Variant(name, capped, self.seconds, self._within, tuple(known), self.solver, effort)

    def _weighted(self, weight: Decimal, effort: Effort, known: Sequence[Plan]) -> Variant:
        settings = replace(self.free.settings, count_expected_loss=True, weight_of_loss=weight)
        name = f"one lost counts as {weight:f} paid"
        weighted = replace(self.free, settings=settings)
        within = self._within if effort.by_cost_alone else self._within / 2
        return Variant(name, weighted, self.seconds, within, tuple(known), self.solver, effort)

    def _best_by(self, weight: Decimal) -> list[Plan]:
        """The best plan known by a weight, and the one that loses least: together they book what a plan may need."""
        best = min(self.pool, key=lambda plan: cost_of(plan) + weight * loss_of(plan))
        careful = min(self.pool, key=loss_of)
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
        plans = [(cost_of(plan), loss_of(plan)) for plan in self.pool]
        chain, shown = hull(unbeaten(plans)), apart(plans)
        prices = prices_of_loss(chain)
        wanted: list[Decimal] = []
        place = len(prices)
        while place > 0:
            is_open = chain[place] in shown and self._gap(as_level(chain[place][1], self.free)) > WITHIN
            beside = [
                price
                for price in prices[place - 1 : place + 1]
                if price not in (*self.bounded, *wanted) and price <= STEEPEST
            ]
            if is_open and beside:
                wanted.append(beside[0])
                place -= beside[0] == prices[place - 1]
            place -= 1
        processes = max(1, self.workers.processes)
        many = min(len(wanted), max(1, round(self._time_by(by) / shares.FOR_A_FLOOR / processes)) * processes)
        return [wanted[(2 * place + 1) * len(wanted) // (2 * many)] for place in range(many)]

    def _time_by(self, share: float) -> float:
        """Seconds of all processes until this share of the time is gone."""
        left = self.seconds * share - (time.monotonic() - self.began)
        return max(0.0, left) * max(1, self.workers.processes)

    def _gap(self, level: Decimal) -> Decimal:
        cost = cost_of(self._best(level))
        return (cost - self._floor(level)) / cost if cost else ZERO

    def _best(self, level: Decimal) -> Plan:
        """The cheapest plan known within the level."""
        return min((plan for plan in self.pool if loss_of(plan) <= level), key=cost_of)

    def _around(self, level: Decimal) -> tuple[Plan, ...]:
        """The cheapest plan known within the level, and the cheapest of all: the two to start from."""
        within, cheapest = self._best(level), min(self.pool, key=cost_of)
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


def _raise(floors: dict[Any, Decimal], key: Decimal, floor: Decimal) -> None:
    floors[key] = max(floors.get(key, ZERO), floor)


def _floor(answer: Answer) -> Decimal:
    return answer.floor if isinstance(answer, Solved) else ZERO


def _own(plan: Plan) -> Point:
    return Point(plan.move.settings.most_expected_loss, plan, cost_of(plan), loss_of(plan), plan.search.floor)


def _changed(plan: Plan, factor: Decimal, answer: Answer, pool: Sequence[Plan]) -> OtherChances:
    """The best plan at other chances, be it the answer or one of the pool that obeys the rules then."""
    move = other_chances(plan.move, factor)
    plans = [plan, *pool, *([answer.plan] if isinstance(answer, Solved) else [])]
    served = [again for again in (serving(each, move) for each in plans) if again is not None]
    found = min(served, key=lambda each: objective_of(move, each.shipments), default=None)
    return OtherChances(
        factor,
        found,
        cost_of(found) if found else None,
        loss_of(found) if found else None,
        loss_of(with_prices_of(move, plan)),
        isinstance(answer, Impossible),
    )
