"""Rows of the sheet Cost of caution: levels from the cheapest plan to the most careful one, and other chances.

What was solved comes from the comparing room as values; here it is put in words. Called by the module gathered.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal

from shipopt.comparing.caution import Caution, OtherChances
from shipopt.comparing.changes import changes
from shipopt.comparing.free_of_charge import with_prices_of
from shipopt.comparing.levels import Point

HUNDRED = Decimal(100)
CHEAPEST, CAREFUL = "cheapest", "most careful found"
TIMES = {Decimal("0.5"): "halved", Decimal(2): "doubled"}


@dataclass(frozen=True, slots=True)
class LevelRow:
    """One level. Money; the limit is None for the cheapest plan, the lower bound of loss for all but the most careful
    one, whose gap is in loss."""

    level: str
    expected_loss_at_most: Decimal | None
    expected_uninsured_loss: Decimal
    total_cost: Decimal
    dearer_than_the_cheapest: Decimal
    cost_expected_loss: Decimal
    lower_bound: Decimal
    lower_bound_of_loss: Decimal | None
    gap_percent: Decimal
    what_changes: str


@dataclass(frozen=True, slots=True)
class OtherChancesRow:
    """All chances times a factor. Money; None where no plan was found."""

    all_chances: str
    this_plan_loses: Decimal
    expected_loss_then: Decimal | None
    total_cost_then: Decimal | None
    dearer_than_this_plan: Decimal | None
    how_the_plan_changes: str


def level_rows(caution: Caution | None) -> tuple[LevelRow, ...]:
    """A row for each level, loosest first; none where it was not asked for."""
    return tuple(_level(caution, place) for place in range(len(caution.points))) if caution else ()


def _level(caution: Caution, place: int) -> LevelRow:
    points = caution.points
    point, last = points[place], 0 < place == len(points) - 1
    return LevelRow(
        level=CHEAPEST if place == 0 else CAREFUL if last else f"level {place + 1}",
        expected_loss_at_most=point.at_most,
        expected_uninsured_loss=point.expected_loss,
        total_cost=point.cost,
        dearer_than_the_cheapest=point.cost - points[0].cost,
        cost_expected_loss=point.cost + point.expected_loss,
        lower_bound=point.floor,
        lower_bound_of_loss=caution.least_loss if last else None,
        gap_percent=caution.gap_of(place) * HUNDRED,
        what_changes=_what_changes(points[place - 1], point) if place else "",
    )


def _what_changes(before: Point, point: Point) -> str:
    dearer = point.plan.move.settings.currency.round(point.cost - before.cost)
    return f"+{dearer:,f}: {changes(before.plan, point.plan)}"


def other_chances_rows(caution: Caution | None) -> tuple[OtherChancesRow, ...]:
    """A row for each factor; none where it was not asked for."""
    return tuple(_other(caution, each) for each in caution.other_chances) if caution else ()


def _other(caution: Caution, other: OtherChances) -> OtherChancesRow:
    own = caution.own
    return OtherChancesRow(
        all_chances=TIMES.get(other.factor, f"times {other.factor:f}"),
        this_plan_loses=other.written_loses,
        expected_loss_then=other.expected_loss,
        total_cost_then=other.cost,
        dearer_than_this_plan=None if other.cost is None else other.cost - own.cost,
        how_the_plan_changes=_how(caution, other),
    )


def _how(caution: Caution, other: OtherChances) -> str:
    if other.impossible:
        return "No plan can then meet the rules."
    if other.plan is None:
        return "No plan was found in the time given."
    return changes(caution.own.plan, with_prices_of(caution.own.plan.move, other.plan))


def in_plain_words(caution: Caution, rows: Sequence[LevelRow]) -> tuple[str, ...]:
    """A few sentences on what caution costs here."""
    show = caution.own.plan.move.settings.currency.show
    first, last, own = rows[0], rows[-1], caution.own
    if len(rows) == 1:
        lost = show(first.expected_uninsured_loss)
        return (f"The cheapest plan loses {lost} on average, and no plan found loses less: there is nothing to weigh.",)
    return (
        f"The cheapest plan costs {show(first.total_cost)} and loses {show(first.expected_uninsured_loss)} on average. "
        f"The most careful one found loses {show(last.expected_uninsured_loss)} on average and costs "
        f"{show(last.dearer_than_the_cheapest)} more.{_floor_of_loss(caution)}",
        f"The plan of this workbook costs {show(own.cost)} and loses {show(own.expected_loss)} on average.",
        _best_buy(caution, rows),
    )


def _floor_of_loss(caution: Caution) -> str:
    currency = caution.own.plan.move.settings.currency
    least = caution.least_loss.quantize(currency.minor_unit, ROUND_FLOOR)
    return f" No plan loses less than {currency.show(least)}." if least > 0 else ""


def _best_buy(caution: Caution, rows: Sequence[LevelRow]) -> str:
    """The level at which cost and expected loss together are least."""
    show = caution.own.plan.move.settings.currency.show
    best = min(rows, key=lambda row: row.cost_expected_loss)
    if best is rows[0]:
        return "On average caution costs more than it saves here; what it buys is the worst case. See the sheet Risk."
    saved = rows[0].expected_uninsured_loss - best.expected_uninsured_loss
    spent = show(best.dearer_than_the_cheapest)
    return f"Cost and expected loss together are least at {best.level}: {spent} more spent, {show(saved)} less lost."
