"""Rows of the sheet Handling: for each kind of carton, how it compares with the limits for lifting and for stacking.

The formulas are those of the room handling; here they meet the move's settings. Called by the module gathered.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from shipopt.handling.certificates import beyond
from shipopt.handling.lifting import Lift, lifting_index, reach_of, recommended_limit
from shipopt.handling.stacking import share_left, stack
from shipopt.move.cartons import CartonType, FilledCarton
from shipopt.move.plan import Plan
from shipopt.move.settings import Settings
from shipopt.move.words import Units

LIFT_FROM = {Units.POUND_INCH: Decimal(10), Units.KILOGRAM_CENTIMETRE: Decimal(25)}
LIFT_TO = {Units.POUND_INCH: Decimal(40), Units.KILOGRAM_CENTIMETRE: Decimal(100)}
"""Heights of the hands where the settings give none: from close to the floor to the top of a stack of three."""
WITHIN = "within the limit, for this lift"
ABOVE = "above the limit for this lift: share it, wheel it, or pack less into it"
FAR_ABOVE = "far above the limit: nobody should lift it alone"
NOT_AT_ALL = "the equation allows no such lift: change how it is lifted"
NO_BOARD = "board not known: no higher than you reach, and only if the cartons below do not bulge"


@dataclass(frozen=True, slots=True)
class LiftingRow:
    """One kind of carton: its heaviest one against the recommended limit at both ends of the lift."""

    carton: str
    cartons: int
    heaviest: Decimal
    hands_before_ankles: Decimal
    limit_at_the_start: Decimal
    limit_at_the_end: Decimal
    lifting_index: Decimal | None
    over_the_limit: int
    in_words: str


@dataclass(frozen=True, slots=True)
class StackingRow:
    """One kind of carton: what its board bears, and how many may stand on each other."""

    carton: str
    cartons: int
    heaviest: Decimal
    edge_crush: Decimal | None
    board_thickness: Decimal | None
    crushed_by: Decimal | None
    safe_load: Decimal | None
    cartons_high: int
    in_words: str


def lifting_rows(plan: Plan) -> tuple[LiftingRow, ...]:
    """A row for each kind of carton that still has to travel, in the workbook's order."""
    return tuple(_lifting(plan.move.settings, carton, filled) for carton, filled in _by_kind(plan))


def stacking_rows(plan: Plan) -> tuple[StackingRow, ...]:
    """The same kinds of carton, for standing on each other."""
    return tuple(_stacking(plan.move.settings, carton, filled) for carton, filled in _by_kind(plan))


def lift_of(settings: Settings, carton: CartonType) -> tuple[Lift, Lift]:
    """The lift of such a carton that the settings describe, at its start and at its end."""
    units = settings.units
    start = LIFT_FROM[units] if settings.lift_from is None else settings.lift_from
    end = LIFT_TO[units] if settings.lift_to is None else settings.lift_to
    ends = []
    for height in (start, end):
        reach = settings.lift_reach or reach_of(min(carton.length, carton.width), height, units)
        ends.append(
            Lift(
                reach=reach,
                height=height,
                travel=abs(end - start),
                twist=settings.lift_twist,
                lifts_a_minute=settings.lifts_a_minute,
                hours=settings.lifting_hours,
                grip=settings.grip,
                picked_up_at=start,
            )
        )
    return ends[0], ends[1]


def lift_in_words(settings: Settings) -> str:
    """The lift that the limits are for, so that a reader can compare it with the real one."""
    units = settings.units
    start = LIFT_FROM[units] if settings.lift_from is None else settings.lift_from
    end = LIFT_TO[units] if settings.lift_to is None else settings.lift_to
    return (
        f"Hands from {start.normalize():f} to {end.normalize():f} {units.length} above the floor, the body turned by "
        f"{settings.lift_twist.normalize():f} degrees, {settings.lifts_a_minute.normalize():f} a minute for "
        f"{settings.lifting_hours.normalize():f} hours, a {settings.grip.value} grip."
    )


def _by_kind(plan: Plan) -> Iterator[tuple[CartonType, list[FilledCarton]]]:
    for carton in plan.move.cartons.values():
        filled = [each.filled for each in plan.shipments if each.filled.carton.name == carton.name]
        if filled:
            yield carton, filled


def _lifting(settings: Settings, carton: CartonType, filled: list[FilledCarton]) -> LiftingRow:
    ends = lift_of(settings, carton)
    limits = [recommended_limit(lift, settings.units) for lift in ends]
    heaviest = max(each.gross_weight for each in filled)
    index = lifting_index(heaviest, min(limits))
    return LiftingRow(
        carton=carton.name,
        cartons=len(filled),
        heaviest=heaviest,
        hands_before_ankles=max(lift.reach for lift in ends),
        limit_at_the_start=limits[0],
        limit_at_the_end=limits[1],
        lifting_index=index,
        over_the_limit=sum(each.gross_weight > min(limits) for each in filled),
        in_words=_lifting_words(index),
    )


def _lifting_words(index: Decimal | None) -> str:
    if index is None:
        return NOT_AT_ALL
    return WITHIN if index <= 1 else ABOVE if index <= 3 else FAR_ABOVE


def _stacking(settings: Settings, carton: CartonType, filled: list[FilledCarton]) -> StackingRow:
    heaviest = max(each.gross_weight for each in filled)
    share = share_left(settings.stacked_days, settings.stacked_humidity)
    found = stack(carton, heaviest, share, settings.units)
    return StackingRow(
        carton=carton.name,
        cartons=len(filled),
        heaviest=heaviest,
        edge_crush=carton.edge_crush,
        board_thickness=carton.board_thickness,
        crushed_by=found.strength,
        safe_load=found.safe_load,
        cartons_high=found.high,
        in_words=_stacking_words(carton, heaviest, found.safe_load, found.limited_by_reach, settings.units),
    )


def _stacking_words(carton: CartonType, heaviest: Decimal, safe: Decimal | None, reach: bool, units: Units) -> str:
    if safe is None:
        return NO_BOARD
    refused = beyond(carton, heaviest, units)
    limit = "no higher, so that one still reaches the top" if reach else "no higher: the lowest would give way"
    if safe < heaviest:
        limit = "do not stack: it does not bear another one"
    return f"{refused}; {limit}" if refused else limit
