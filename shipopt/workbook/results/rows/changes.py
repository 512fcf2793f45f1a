"""Rows of the sheet Changes: what is different from the last plan, and the steps that lead from its cost to this one's.

Each step is priced by the pricing room, on the way from the last plan's cartons and ways to this plan's; the steps sum
to the difference exactly. Called by the module gathered.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

from shipopt.move.last_plan import LastWay
from shipopt.move.move import Move
from shipopt.move.plan import Plan, Shipment
from shipopt.move.rules import why_out
from shipopt.pricing.cover import CannotBeCovered
from shipopt.pricing.statement import Refused
from shipopt.pricing.total import Cost, price

LAST = "The last plan came to"
NOT_AS_PLANNED = "Cartons of it that were not packed as planned"
PAID_OTHERWISE = "What was paid, boxes included, is not what was planned"
OTHER_PRICES = "The cartons still to go, by the same ways, at today's quotes and on the trips that are left"
LOST = "Quotes lost, whose cartons go another way: {names}"
CHOSEN = "Cartons that go another way, though theirs is still offered"
NEW = "New cartons: carriage, cover and boxes"


@dataclass(frozen=True, slots=True)
class CostChange:
    """One step, in the move's currency; the first is what the last plan came to."""

    reason: str
    amount: Decimal


@dataclass(frozen=True, slots=True)
class CartonChange:
    """What has changed for one carton."""

    in_words: str
    carton_no: str


def cost_changes(plan: Plan, cost: Cost) -> tuple[CostChange, ...]:
    """The steps from the last plan's cost to this one's, those of nothing left out; none without a last plan."""
    if not plan.move.last_plan:
        return ()
    money = plan.move.settings.currency.round
    at = sum((way.cost for way in plan.move.last_plan), Decimal(0))
    found = [CostChange(LAST, money(at))]
    for reason, level in _levels(plan, cost):
        if level is not None and level != at:
            found.append(CostChange(reason, money(level - at)))
            at = level
    return tuple(found)


def _levels(plan: Plan, cost: Cost) -> Iterator[tuple[str, Decimal | None]]:
    """What the move would come to after each step; None where that cannot be priced, which the next step makes up."""
    move = plan.move
    ways = {way.number: way for way in move.last_plan}
    known = {packed.filled.number for packed in move.packed}
    kept = {number: way for number, way in ways.items() if number in known}
    yield NOT_AS_PLANNED, sum((way.cost for way in kept.values()), Decimal(0))
    closed = [each for each in plan.shipments if each.filled.closed_by_user and each.filled.number in kept]
    paid = cost.paid + cost.paid_for_cover + cost.paid_for_cartons
    yield PAID_OTHERWISE, paid + sum((_fares(kept[each.filled.number]) for each in closed), Decimal(0))
    lost = _lost(move, closed, kept)
    yield OTHER_PRICES, _level(move, closed, kept, paid, lambda each, way: True)
    names = ", ".join(dict.fromkeys(kept[number].quote for number in kept if number in lost))
    yield LOST.format(names=names), _level(move, closed, kept, paid, lambda each, way: way.number not in lost)
    yield CHOSEN, _level(move, closed, kept, paid, lambda each, way: False)
    yield NEW, cost.total


def _fares(way: LastWay) -> Decimal:
    return way.carriage + way.cover_fee


def _level(
    move: Move,
    closed: Sequence[Shipment],
    ways: dict[str, LastWay],
    paid: Decimal,
    as_before: Callable[[Shipment, LastWay], bool],
) -> Decimal | None:
    """The closed cartons priced, some as the last plan had them; those whose quote is not listed any more at what they
    were to cost then."""
    then, shipments = Decimal(0), []
    for each in closed:
        way = ways[each.filled.number]
        if not as_before(each, way):
            shipments.append(each)
        elif way.quote in move.quotes and (way.cover is None or way.cover in move.covers):
            cover = move.covers[way.cover] if way.cover else None
            shipments.append(Shipment(each.filled, move.quotes[way.quote], way.trip, cover))
        else:
            then += _fares(way)
    try:
        priced = price(move, shipments)
    except (Refused, CannotBeCovered):
        return None
    return paid + then + priced.total - priced.paid - priced.paid_for_cover - priced.paid_for_cartons


def _lost(move: Move, closed: Sequence[Shipment], ways: dict[str, LastWay]) -> set[str]:
    """Numbers of closed cartons whose quote takes no part any more."""
    return {
        each.filled.number
        for each in closed
        if (name := ways[each.filled.number].quote) not in move.quotes or why_out(move.quotes[name], move.settings)
    }


def carton_changes(plan: Plan) -> tuple[CartonChange, ...]:
    """A row for each carton that is new, gone since, not packed as planned, or goes another way; none without a last
    plan."""
    if not plan.move.last_plan:
        return ()
    ways = {way.number: way for way in plan.move.last_plan}
    found = [_changed(plan.move, each, ways.get(each.filled.number)) for each in plan.shipments]
    closed = {packed.filled.number for packed in plan.move.packed}
    numbers = {shipment.filled.number for shipment in plan.shipments}
    found += [
        _change(way.number, f"was not packed as planned; it was to go by {way.quote}")
        for way in plan.move.last_plan
        if way.number not in closed | numbers
    ]
    return tuple(change for change in found if change is not None)


def _changed(move: Move, now: Shipment, way: LastWay | None) -> CartonChange | None:
    number, cover = now.filled.number, now.cover.name if now.cover else None
    if way is None or not now.filled.closed_by_user:
        under = f", under {cover}" if cover else ""
        records = f"{now.filled.records} record" + ("s" if now.filled.records != 1 else "")
        what = "is packed anew" if way else "is new"
        return _change(number, f"{what}: {records} by {now.quote.name}{under}")
    words = []
    if now.quote.name != way.quote:
        words.append(f"goes by {now.quote.name} instead of {way.quote}{_why(move, way)}")
    elif now.quote.by_load and now.trip != way.trip:
        words.append(f"goes on trip {now.trip} instead of trip {way.trip} of {now.quote.name}")
    if cover != way.cover:
        words.append(f"travels under {cover or 'no cover'} instead of {way.cover or 'no cover'}")
    return _change(number, "; ".join(words)) if words else None


def _change(number: str, words: str) -> CartonChange:
    return CartonChange(f"Carton {number} {words}.", number)


def _why(move: Move, way: LastWay) -> str:
    if way.quote not in move.quotes:
        return ", which is not listed any more"
    reason = why_out(move.quotes[way.quote], move.settings)
    return f", which is out: {reason}" if reason else ""
