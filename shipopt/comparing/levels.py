"""Levels of caution: what plans of a pool are shown, each at the least loss that it keeps, and the cheapest plan that
keeps each level.

Called by caution.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from shipopt.comparing.front import apart
from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Plan
from shipopt.pricing.total import price
from shipopt.risk.expected import expected_uninsured_loss_of_all

WITHIN = Decimal("0.0085")
"""A level's plan is near enough to its floor at this gap: under 1 %, which is what is promised where time allows."""

PROMISED = Decimal("0.01")
"""Levels whose plans are nearer to their floors than this are shown, and no others, if there are enough of them. The
most careful plan is the cheapest of those of which it is proved that no plan loses less by more than this share."""

HARDLY_MORE = Decimal("0.001")
"""Where nothing is proved so closely, it is the cheapest of those that lose no more than the least found by this."""

ENOUGH, FINEST = 8, Decimal("0.000001")
"""So many levels are enough, with both ends; and the limit of the last one is told so finely."""


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
        return share_missed(self.cost, self.floor)


def levels_of(pool: Sequence[Plan], least_loss: Decimal = ZERO) -> list[Decimal]:
    """Caps from loose to hard, in whole minor units but the last, all different: what the plans to show lose, but the
    cheapest. Of plans that lose hardly more than the least, the cheapest is shown; no plan loses less than
    ``least_loss`` (money)."""
    plans = [(cost_of(plan), loss_of(plan)) for plan in pool]
    least_found = min(loss for _, loss in plans)
    proved = least_loss / (1 - PROMISED)
    hardly_more = proved if proved >= least_found else least_found * (1 + HARDLY_MORE)
    careful = min(plan for plan in plans if plan[1] <= hardly_more)
    (_, most), *others = apart([careful, *(plan for plan in plans if plan[1] > hardly_more)])
    if not others:
        return []
    last = others[-1][1].quantize(FINEST, ROUND_CEILING)
    levels = (as_level(loss, pool[0].move) for _, loss in others[:-1])
    return [*dict.fromkeys(level for level in levels if last < level < most), last]


def between(levels: Sequence[Decimal], wanted: int, minor: Decimal) -> list[Decimal]:
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


def well_bounded(levels: Sequence[Decimal], gap_of: Callable[[Decimal], Decimal]) -> list[Decimal]:
    """The levels but those that are not bounded as well as is promised, if enough are left; the last stays."""
    well = [level for level in levels[:-1] if gap_of(level) <= PROMISED]
    return [*well, *levels[-1:]] if len(well) + 2 >= ENOUGH else list(levels)


def points_of(
    pool: Sequence[Plan], levels: Sequence[Decimal | None], floors: Mapping[Decimal | None, Decimal]
) -> tuple[Point, ...]:
    """For each level the cheapest plan of the pool that keeps it, of equally cheap ones the most careful; each plan
    once, at the hardest level that it is the cheapest of. A floor of a looser level is one of a harder level too."""
    known = [(cost_of(plan), loss_of(plan), place, plan) for place, plan in enumerate(pool)]
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


def share_missed(found: Decimal, floor: Decimal) -> Decimal:
    """The gap between what was found and a floor, as a fraction of what was found."""
    return (found - floor) / found if found else ZERO


def as_level(loss: Decimal, move: Move) -> Decimal:
    """A loss as a level: in whole minor units."""
    return loss.quantize(move.settings.currency.minor_unit, ROUND_CEILING)


def cost_of(plan: Plan) -> Decimal:
    """What a plan costs in all, money."""
    return price(plan.move, plan.shipments).total


def loss_of(plan: Plan) -> Decimal:
    """What a plan loses on average without being paid back, money."""
    return expected_uninsured_loss_of_all(plan.move, plan.shipments)
