"""Leaving well alone: where a move is planned again, closed cartons go as they were to go before, unless a change pays.

A new search may find another plan that costs as much, or a little more within the gap it may stop at; nobody should
have to book anew for that. Called by the search on its finished plan.
"""

from collections.abc import Sequence
from dataclasses import replace

from shipopt.move.last_plan import LastWay
from shipopt.move.plan import Plan, Shipment, by_trip
from shipopt.planning.audit import findings
from shipopt.planning.state import objective_of


def as_before(plan: Plan, within: float) -> Plan:
    """The plan with its closed cartons as the last plan sent them, if that obeys the rules and costs no more, or is
    within this fraction of the floor; else the plan itself."""
    ways = {way.number: way for way in plan.move.last_plan}
    kept = [_kept(plan, shipment, ways.get(shipment.filled.number)) for shipment in plan.shipments]
    shipments = _in_order(plan, kept)
    if shipments == plan.shipments:
        return plan
    again = replace(plan, shipments=shipments)
    if findings(again):
        return plan
    before, now = objective_of(plan.move, again.shipments), objective_of(plan.move, plan.shipments)
    near = float(before - plan.search.floor) <= within * float(before)
    return again if before <= now or near else plan


def _kept(plan: Plan, shipment: Shipment, way: LastWay | None) -> Shipment:
    """The shipment by the last plan's way, if that is still offered."""
    if way is None or not shipment.filled.closed_by_user or way.quote not in plan.move.quotes:
        return shipment
    if way.cover is not None and way.cover not in plan.move.covers:
        return shipment
    cover = plan.move.covers[way.cover] if way.cover else None
    return Shipment(shipment.filled, plan.move.quotes[way.quote], way.trip, cover)


def _in_order(plan: Plan, shipments: Sequence[Shipment]) -> tuple[Shipment, ...]:
    """Shipments by quote and trip, as in any plan, trips without a gap in their numbers; equal places keep theirs."""
    trips: dict[str, list[int]] = {}
    for name, trip in by_trip(plan.move, shipments):
        trips.setdefault(name, []).append(trip)
    order = {name: place for place, name in enumerate(plan.move.quotes)}
    numbered = [replace(each, trip=trips[each.quote.name].index(each.trip) + 1) for each in shipments]
    return tuple(sorted(numbered, key=lambda each: (order[each.quote.name], each.trip)))
