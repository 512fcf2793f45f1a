"""Improving a plan: other cartons for the same contents, cartons put together, cartons emptied into others.

Offers the carton programme more to choose from, and the search other packings near the best plan; whether any of it is
cheaper is for the programme and the pricing module to say.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import combinations

from shipopt.move.cartons import CartonType, FilledCarton
from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.quotes import Quote
from shipopt.move.rules import most_gross_weight, record_may_go
from shipopt.planning.opened import Copy, OpenCarton
from shipopt.planning.packing import close, copies_of, fill, reopened
from shipopt.planning.programme import Candidate
from shipopt.planning.ways import ways_of

MOST_OFFERS = 400
"""Cartons beyond those packed are offered up to this number: more would slow the programme more than they help."""

ROOM_TO_SHARE = Decimal("0.75")
"""Cartons filled less than this are tried together with another, and emptied into others."""

MOST_COPIES_MOVED = 60
"""A carton with more copies than this is not emptied into others."""


def offers(
    cartons: Sequence[FilledCarton], move: Move, quotes: Sequence[str] = (), others: Sequence[str] = ()
) -> list[Candidate]:
    """The cartons as candidates (each an item of its own), with the same contents in other cartons they fit, and with
    pairs of cartons with room to share put together; as they are, each by its own of the ``quotes`` or by one of the
    ``others``, if quotes are given."""
    if quotes:
        return [
            Candidate(filled, {item: 1}, quote=quote)
            for item, (filled, own) in enumerate(zip(cartons, quotes, strict=True))
            for quote in dict.fromkeys((own, *others))
        ]
    candidates = [Candidate(filled, {item: 1}) for item, filled in enumerate(cartons)]
    extra: list[Candidate] = []
    for item, filled in enumerate(cartons):
        extra += [Candidate(other, {item: 1}) for other in _in_other_types(copies_of(filled), filled.carton, move)]
    roomy = [item for item, filled in enumerate(cartons) if filled.fill < ROOM_TO_SHARE]
    for first, second in combinations(roomy, 2):
        together = copies_of(cartons[first]) + copies_of(cartons[second])
        if len(extra) < MOST_OFFERS:
            extra += [Candidate(other, {first: 1, second: 1}) for other in _in_other_types(together, None, move)]
    return candidates + extra[:MOST_OFFERS]


def _in_other_types(copies: list[Copy], but: CartonType | None, move: Move) -> Iterator[FilledCarton]:
    stack = sum((record.thickness for record, _ in copies), ZERO)
    weight = sum((record.weight for record, _ in copies), ZERO)
    for carton in move.cartons.values():
        room = carton.room_in_each(move.settings.fill_most)
        most = most_gross_weight(carton, None, move.settings) - carton.empty_weight
        if carton is but or stack > room * carton.inner_cartons or weight > most:
            continue
        opened = OpenCarton(None, carton, room, most, Decimal("Infinity"))
        if not fill(opened, sorted(copies, key=lambda copy: (copy[0].place, copy[1]))):
            yield close(opened)


def emptied(shipments: Sequence[Shipment], move: Move) -> Iterator[list[FilledCarton]]:
    """Packings in which one carton with room to share, the emptiest first, is emptied into the others."""
    packed = [shipment for shipment in shipments if not shipment.filled.closed_by_user]
    places = [
        place
        for place, shipment in enumerate(packed)
        if shipment.filled.fill < ROOM_TO_SHARE and shipment.filled.records <= MOST_COPIES_MOVED
    ]
    for place in sorted(places, key=lambda place: (packed[place].filled.fill, place)):
        others = [_roomy(shipment, move) for other, shipment in enumerate(packed) if other != place]
        if all(_find_room(copy, others, move) for copy in _thickest_first(packed[place].filled)):
            yield [close(carton) for carton in others]


def _thickest_first(filled: FilledCarton) -> list[Copy]:
    return sorted(copies_of(filled), key=lambda copy: (-copy[0].thickness, copy[0].place, copy[1]))


def _roomy(shipment: Shipment, move: Move) -> OpenCarton:
    """The carton opened again, with all the weight its quote allows."""
    carton = shipment.filled.carton
    most = most_gross_weight(carton, shipment.quote, move.settings) - carton.empty_weight
    return reopened(shipment.filled, shipment.quote, most, move)


def _find_room(copy: Copy, cartons: Sequence[OpenCarton], move: Move) -> bool:
    """Put the copy where it adds least to the cost of a carton; False if it fits nowhere."""
    record = copy[0]
    best: tuple[Decimal, int, int] | None = None
    for place, carton in enumerate(cartons):
        assert carton.quote is not None
        inner = carton.inner_for(record) if record.format.sleeve in carton.carton.sleeves else None
        if inner is None or not record_may_go(record, carton.quote, move):
            continue
        before = _cost(carton, carton.quote, move)
        carton.put(copy, inner)
        after = _cost(carton, carton.quote, move)
        carton.take(inner, len(carton.copies[inner]) - 1)
        if before is not None and after is not None and (best is None or after - before < best[0]):
            best = (after - before, place, inner)
    if best is None:
        return False
    cartons[best[1]].put(copy, best[2])
    return True


def _cost(carton: OpenCarton, quote: Quote, move: Move) -> Decimal | None:
    """What the carton's own charge, weight and cover come to; None if it may not go. Shared charges are left out."""
    filled = close(carton)
    costs = [
        way.charge + way.fee + (quote.per_weight * way.billed_weight if quote.by_load else ZERO)
        for way in ways_of(filled, quote, move)
    ]
    return min(costs, default=None)


def renumbered(cartons: Sequence[FilledCarton]) -> list[FilledCarton]:
    """Provisional numbers, in the order given."""
    return [replace(filled, number=str(place)) for place, filled in enumerate(cartons, start=1)]


def numbered(move: Move, shipments: Sequence[Shipment]) -> tuple[Shipment, ...]:
    """Shipments in the order of quotes, trips and shelves, cartons numbered from 1; closed cartons keep theirs."""
    order = {name: place for place, name in enumerate(move.quotes)}
    taken = {packed.filled.number for packed in move.packed}
    free = (str(n) for n in range(1, len(shipments) + len(taken) + 1) if str(n) not in taken)
    return tuple(
        shipment
        if shipment.filled.closed_by_user
        else replace(shipment, filled=replace(shipment.filled, number=next(free)))
        for shipment in sorted(shipments, key=lambda s: (order[s.quote.name], s.trip, _shelf_place(s.filled)))
    )


def _shelf_place(filled: FilledCarton) -> tuple[int, int, str]:
    first = min(((p.record.place, p.first) for p in filled.portions), default=(0, 0))
    return (*first, filled.number)
