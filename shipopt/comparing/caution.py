"""The cost of caution: the cheapest plan at each level of expected uninsured loss, from the cheapest of all to the most
careful one; and what becomes of the plan if all chances are halved or doubled.

The caps on loss are what is varied, so the move's own are left out; every other rule stays. A plan found for a lower
level serves for higher ones too, so the cost never falls as caution grows. Called by the job.
"""

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, Decimal

from shipopt.comparing.free_of_charge import free_of_charge, with_prices_of
from shipopt.comparing.variants import Answer, Impossible, Solved, Variant
from shipopt.comparing.workers import Progress, Workers
from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Plan
from shipopt.planning import Solver
from shipopt.planning.search import FULL, USES_OF_ROOM, Effort
from shipopt.pricing.total import price
from shipopt.risk.expected import expected_uninsured_loss_of_all

BETWEEN = tuple(Decimal(share) for share in ("0.75", "0.55", "0.4", "0.28", "0.18", "0.1", "0.04", "0"))
"""Levels, as shares of the way from the least expected loss to the cheapest plan's; closer where care costs most."""
WITHIN = 0.0075
"""A level's plan is near enough to its floor at this gap: under 1 %, which is what is promised where time allows."""
SECONDS = 60.0
FOR_THE_ENDS, FOR_THE_LEVELS = 0.3, 0.8
"""Shares of the time after which the two ends, which the levels between need, and then the levels have to be known."""
AT_A_LEVEL = Effort(guides=USES_OF_ROOM[:2])
IN_KNOWN_CARTONS = Effort(guides=(), with_floor=False)
"""No new packing: only whether the cartons of another level's plan, sent otherwise, serve this one better."""
NEIGHBOURS = 2
"""So many levels on either side lend their cartons."""
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
    """Solves the levels and the other chances within about so many seconds (a minute by default), several at once."""
    began, seconds = time.monotonic(), SECONDS if seconds is None else seconds
    free = without_caps(plan.move)
    known = (_under(free, plan),)
    with Workers(processes) as workers:
        ends = [
            _variant(CHEAPEST, free, seconds, known, solver),
            _variant(CAREFUL, free_of_charge(free), seconds, known, solver),
        ]
        cheapest, careful = workers.solve(ends, seconds=seconds * FOR_THE_ENDS, progress=progress)
        pool = [*known, *_plans(free, (cheapest, careful))]
        levels = _levels(pool)
        between = [
            _variant(_name(level), _capped(free, level), seconds, _around(pool, level), solver, AT_A_LEVEL)
            for level in levels
        ]
        others = [
            _variant(f"chances × {factor:f}", other_chances(plan.move, factor), seconds, (plan,), solver)
            for factor in FACTORS
        ]
        left = max(1.0, seconds * FOR_THE_LEVELS - (time.monotonic() - began))
        answers = workers.solve([*between, *others], seconds=left, progress=progress)
        found = answers[: len(levels)]
        pool += _plans(free, found)
        floors = [_floor(each) for each in (cheapest, *found)]
        again = _again(free, _points(pool, [None, *levels], floors), seconds, solver)
        left = max(1.0, seconds - (time.monotonic() - began))
        pool += _plans(free, workers.solve(again, seconds=left, progress=progress))
    points = _points(pool, [None, *levels], floors)
    changed = zip(FACTORS, answers[len(levels) :], strict=True)
    others_found = tuple(_changed(plan, factor, answer) for factor, answer in changed)
    return Caution(points, _own(plan), _floor(careful), others_found, time.monotonic() - began)


def without_caps(move: Move) -> Move:
    """The move with no cap on loss, and losses no part of the cost."""
    settings = replace(move.settings, most_expected_loss=None, most_tail_mean=None, count_expected_loss=False)
    return replace(move, settings=settings)


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


def _variant(
    name: str, move: Move, seconds: float, known: Sequence[Plan], solver: Solver | None, effort: Effort = FULL
) -> Variant:
    within = max(WITHIN, float(move.settings.within))
    return Variant(name, move, seconds, within, tuple(known), solver, effort)


def _again(free: Move, points: Sequence[Point], seconds: float, solver: Solver | None) -> list[Variant]:
    """Levels that are not near enough to their floor, to be tried in the cartons of the plans next to them."""
    found = []
    for place, point in enumerate(points):
        near = [other.plan for other in points[max(0, place - NEIGHBOURS) : place + NEIGHBOURS + 1]]
        if point.at_most is not None and point.gap > WITHIN:
            name = f"{_name(point.at_most)}, again"
            known = [point.plan, *(plan for plan in near if plan is not point.plan)]
            found.append(_variant(name, _capped(free, point.at_most), seconds, known, solver, IN_KNOWN_CARTONS))
    return found


def _name(level: Decimal) -> str:
    return f"expected loss at most {level:f}"


def _capped(move: Move, level: Decimal) -> Move:
    return replace(move, settings=replace(move.settings, most_expected_loss=level))


def _under(move: Move, plan: Plan) -> Plan:
    return with_prices_of(move, plan)


def _plans(move: Move, answers: Sequence[Answer]) -> list[Plan]:
    """The plans found, as plans of the move with its prices."""
    return [_under(move, answer.plan) for answer in answers if isinstance(answer, Solved)]


def _loss(plan: Plan) -> Decimal:
    return expected_uninsured_loss_of_all(plan.move, plan.shipments)


def _cost(plan: Plan) -> Decimal:
    return price(plan.move, plan.shipments).total


def _levels(pool: Sequence[Plan]) -> list[Decimal]:
    """Caps from loose to hard, in whole minor units, all different; the last is met by the most careful plan known."""
    minor = pool[0].move.settings.currency.minor_unit
    cheapest = min(pool, key=lambda plan: (_cost(plan), _loss(plan)))
    most, least = _loss(cheapest), min(_loss(plan) for plan in pool)
    levels = ((least + share * (most - least)).quantize(minor, ROUND_CEILING) for share in BETWEEN)
    return list(dict.fromkeys(level for level in levels if level < most))


def _around(pool: Sequence[Plan], level: Decimal) -> tuple[Plan, ...]:
    """The cheapest plan known within the level, and the cheapest of all: the two to start from."""
    within = min((plan for plan in pool if _loss(plan) <= level), key=_cost)
    cheapest = min(pool, key=_cost)
    return (within,) if within is cheapest else (within, cheapest)


def _floor(answer: Answer) -> Decimal:
    return answer.floor if isinstance(answer, Solved) else ZERO


def _points(pool: Sequence[Plan], levels: Sequence[Decimal | None], floors: Sequence[Decimal]) -> tuple[Point, ...]:
    """For each level the cheapest plan of the pool that keeps it, of equally cheap ones the most careful; each plan
    once, at the hardest level that it is the cheapest of. A floor of a looser level is one of a harder level too."""
    known = [(_cost(plan), _loss(plan), place, plan) for place, plan in enumerate(pool)]
    points: list[Point] = []
    floor = ZERO
    for level, own_floor in zip(levels, floors, strict=True):
        floor = max(floor, own_floor)
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


def _changed(plan: Plan, factor: Decimal, answer: Answer) -> OtherChances:
    then = with_prices_of(other_chances(plan.move, factor), plan)
    found = answer.plan if isinstance(answer, Solved) else None
    return OtherChances(
        factor,
        found,
        _cost(found) if found else None,
        _loss(found) if found else None,
        _loss(then),
        isinstance(answer, Impossible),
    )
