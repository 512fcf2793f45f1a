"""Putting a finished plan's copies in shelf order: what goes where costs the same, but cartons stay near one shelf.

Packing fills cartons tightly and mixes the shelves. Copies that are alike in all but title and value change places
here, between cartons that go the same way, so that each carton holds runs of the shelf: one walks less to pack, and
has fewer cartons open at the new place. Weights and stacks stay as they are. Called by the search on its plan.
"""

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import replace
from math import inf

from shipopt.move.cartons import FilledCarton
from shipopt.move.plan import Plan, Shipment
from shipopt.planning.audit import findings
from shipopt.planning.dealing import Deal
from shipopt.pricing.total import price
from shipopt.risk.expected import expected_uninsured_loss_of_all


def along_the_shelves(plan: Plan, until: float = inf) -> Plan:
    """The plan with alike copies exchanged or dealt in shelf order, by groups of cartons that go the same way.

    It costs no more, loses no more on average, breaks no rule, and its cartons reach over less of the shelf. From the
    time ``until`` (of ``time.perf_counter``) on, what is not exchanged yet stays where it is.
    """
    before = plan
    for group in _groups(plan):
        cartons = [plan.shipments[place].filled for place in group]
        tried = (Deal(cartons, until).anew(), Deal(cartons, until).as_they_are())
        plans = [plan, *(_with(plan, group, dealt) for dealt in tried if dealt is not None)]
        plan = next(each for each in sorted(plans, key=_spread) if each is plan or _no_worse(plan, each))
    return plan if plan is before else _numbered_anew(plan)


def _with(plan: Plan, group: Sequence[int], cartons: Sequence[FilledCarton]) -> Plan:
    """The plan with other contents in the cartons of a group."""
    shipments = list(plan.shipments)
    for place, filled in zip(group, cartons, strict=True):
        shipments[place] = replace(shipments[place], filled=filled)
    return replace(plan, shipments=tuple(shipments))


def _numbered_anew(plan: Plan) -> Plan:
    """The plan with the open cartons of each trip in shelf order, under the numbers that they had among them."""
    trips: dict[tuple[str, int], list[int]] = {}
    for place, each in enumerate(plan.shipments):
        if not each.filled.closed_by_user:
            trips.setdefault((each.quote.name, each.trip), []).append(place)
    shipments = list(plan.shipments)
    for places in trips.values():
        in_order = sorted((plan.shipments[place] for place in places), key=_first_on_the_shelf)
        for place, each in zip(places, in_order, strict=True):
            number = plan.shipments[place].filled.number
            shipments[place] = replace(each, filled=replace(each.filled, number=number))
    return replace(plan, shipments=tuple(shipments))


def _first_on_the_shelf(shipment: Shipment) -> tuple[int, int]:
    return min(((portion.record.place, portion.first) for portion in shipment.filled.portions), default=(0, 0))


def _groups(plan: Plan) -> Iterator[list[int]]:
    """Places of shipments that go by the same quote and trip, under the same cover, with the same chance of damage."""
    found: dict[Hashable, list[int]] = {}
    for place, each in enumerate(plan.shipments):
        if not each.filled.closed_by_user:
            cover = each.cover.name if each.cover else ""
            key = (each.quote.name, each.trip, cover, each.filled.carton.damage_factor)
            found.setdefault(key, []).append(place)
    yield from (group for group in found.values() if len(group) > 1)


def _spread(plan: Plan) -> int:
    """Over how many records of the shelf the cartons reach, all together."""
    reaches = ([portion.record.place for portion in each.filled.portions] for each in plan.shipments)
    return sum(max(places) - min(places) for places in reaches if places)


def _no_worse(plan: Plan, again: Plan) -> bool:
    """Whether the second costs no more than the first, loses no more on average, and obeys every rule."""
    costs, losses = (
        [price(each.move, each.shipments).total for each in (plan, again)],
        [expected_uninsured_loss_of_all(each.move, each.shipments) for each in (plan, again)],
    )
    return costs[1] <= costs[0] and losses[1] <= losses[0] and not findings(again)
