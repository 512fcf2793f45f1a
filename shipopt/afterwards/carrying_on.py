"""Carrying a plan on: what the next move holds when cartons have been packed, and some sent, as planned.

Worked out here, in values: which cartons are closed now and what has been paid for each, how record lines are split
over them, which boxes are used up, and how the last plan was. The module next_workbook writes it down; the job puts the
two together.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from shipopt.move.cartons import CartonType, FilledCarton, Portion, filled
from shipopt.move.last_plan import LastWay
from shipopt.move.move import Move, PackedAlready
from shipopt.move.plan import Shipment
from shipopt.move.quotes import Quote
from shipopt.move.records import Record
from shipopt.move.words import Status
from shipopt.pricing.billing import billed_weight
from shipopt.pricing.carriage import carton_charges
from shipopt.pricing.cover import share_by_value
from shipopt.pricing.exact import settle
from shipopt.pricing.total import Cost, price


@dataclass(frozen=True, slots=True)
class Part:
    """Copies of a record line that are in one carton, or loose; ``record_id`` is the new line's."""

    record_id: str
    copies: int
    packed_in: str | None


@dataclass(frozen=True)
class CarriedOn:
    """What the next workbook says. ``parts`` holds for every loose record line of the move, by its place, the lines it
    becomes; ``closed`` are all closed cartons; ``boxes`` the boxes used up by carton type, ``trips`` the trips that are
    gone by quote of a load; ``last`` is the last plan."""

    parts: Mapping[int, tuple[Part, ...]]
    closed: tuple[PackedAlready, ...]
    boxes: Mapping[str, int]
    trips: Mapping[str, int]
    last: tuple[LastWay, ...]


def carried_on(
    move: Move,
    shipments: Sequence[Shipment],
    statuses: Mapping[str, Status] | None = None,
    loose: frozenset[str] = frozenset(),
) -> CarriedOn:
    """The move carried on with these shipments packed, but for the cartons ``loose``, whose records stay loose.

    ``statuses`` by carton number say which are sent or have arrived; they went as planned and cost what was planned.
    """
    stand = statuses or {}
    cost = price(move, shipments)
    packed = [each for each in shipments if each.filled.closed_by_user or each.filled.number not in loose]
    boxes = _boxes_used(packed)
    prices = _box_prices(move, packed)
    ways = {way.number: way for way in ways_of(move, shipments, cost)}
    going = [
        _closed(each, ways[each.filled.number], prices, stand.get(each.filled.number, Status.TO_GO)) for each in packed
    ]
    before = tuple(replace(gone, status=stand.get(gone.filled.number, gone.status)) for gone in move.gone)
    paid = {packed_before.filled.number: packed_before.carton_paid for packed_before in move.packed}
    going = [replace(each, carton_paid=paid.get(each.filled.number, each.carton_paid)) for each in going]
    gone_ways = tuple(_way_gone(gone, move) for gone in move.gone)
    last = (*gone_ways, *ways.values())
    return CarriedOn(_parts(move, packed), (*before, *going), boxes, _trips_gone(packed, stand), last)


def ways_of(move: Move, shipments: Sequence[Shipment], cost: Cost) -> tuple[LastWay, ...]:
    """How each carton goes, with its shares of carriage and cover; the shares of a trip sum to its charge exactly."""
    carriage = carriage_shares(move, shipments, cost)
    prices = _box_prices(move, shipments)
    return tuple(
        LastWay(
            each.filled.number,
            each.quote.name,
            each.trip,
            each.cover.name if each.cover else None,
            share,
            fee,
            prices.get(each.filled.number, Decimal(0)),
        )
        for each, share, fee in zip(shipments, carriage, cost.fee_shares, strict=True)
    )


def carriage_shares(move: Move, shipments: Sequence[Shipment], cost: Cost) -> tuple[Decimal, ...]:
    """Each carton's share of its trip's charge, by billed weight; where a carton is the consignment its own charge and
    an equal share of what is charged once."""
    shares = [Decimal(0)] * len(shipments)
    money, units = move.settings.currency, move.settings.units
    for statement in cost.statements:
        places = [
            place
            for place, each in enumerate(shipments)
            if each.quote.name == statement.quote.name and statement.trip in (None, each.trip)
        ]
        cartons = [shipments[place].filled for place in places]
        if statement.trip is not None:
            weights = [billed_weight(statement.quote, each.carton, each.gross_weight, units) for each in cartons]
            found = share_by_value(statement.total, weights, money)
        else:
            own = carton_charges(statement.quote, cartons, move.settings)
            once = share_by_value(statement.total - sum(own, Decimal(0)), [Decimal(0)] * len(own), money)
            found = tuple(a + b for a, b in zip(own, once, strict=True))
        for place, share in zip(places, found, strict=True):
            shares[place] = share
    return tuple(shares)


def next_move(move: Move, on: CarriedOn) -> Move:
    """The next move as its workbook would be read: for scripts and tests that need no file."""
    records: list[Record] = []
    for record in move.records:
        for part in on.parts.get(record.place, (Part(record.record_id, record.copies, record.packed_in),)):
            records.append(
                replace(
                    record,
                    record_id=part.record_id,
                    copies=part.copies,
                    packed_in=part.packed_in,
                    place=len(records),
                )
            )
    inside: dict[str, list[Portion]] = {}
    for record in records:
        if record.packed_in is not None:
            inside.setdefault(record.packed_in, []).append(Portion(record, 1, record.copies))
    cartons = {name: boxes_left(carton, on.boxes.get(name, 0)) for name, carton in move.cartons.items()}
    quotes = {name: trips_left(quote, on.trips.get(name, 0)) for name, quote in move.quotes.items()}
    packed = tuple(replace(each, filled=_closed_now(each.filled, inside)) for each in on.closed)
    return replace(move, records=tuple(records), cartons=cartons, quotes=quotes, packed=packed, last_plan=on.last)


def boxes_left(carton: CartonType, used: int) -> CartonType:
    """The carton type with so many boxes less on hand, and to be used at the most."""
    most = None if carton.most is None else max(0, carton.most - used)
    return replace(carton, on_hand=max(0, carton.on_hand - used), most=most)


def trips_left(quote: Quote, gone: int) -> Quote:
    """The quote with so many of its trips gone: none left, it is no longer considered."""
    left = quote.trips_at_most - gone
    return replace(quote, trips_at_most=left) if left > 0 else replace(quote, consider=False)


def _closed_now(packed: FilledCarton, inside: Mapping[str, list[Portion]]) -> FilledCarton:
    """The carton closed by the user, holding the lines that name it now."""
    if packed.number not in inside:
        return packed
    named = filled(packed.number, packed.carton, inside[packed.number])
    if packed.closed_by_user:
        return replace(packed, portions=named.portions)
    return replace(named, closed_by_user=True)


def _closed(shipment: Shipment, way: LastWay, prices: Mapping[str, Decimal], status: Status) -> PackedAlready:
    paid = prices.get(shipment.filled.number, Decimal(0))
    if status is Status.TO_GO:
        return PackedAlready(shipment.filled, status, carton_paid=paid)
    return PackedAlready(
        shipment.filled, status, shipment.quote.name, way.carriage, way.cover, way.cover_fee, carton_paid=paid
    )


def _way_gone(gone: PackedAlready, move: Move) -> LastWay:
    money = move.settings.currency.round
    paid, fee, box = money(gone.paid), money(gone.cover_fee), money(gone.carton_paid)
    return LastWay(gone.filled.number, gone.gone_by or "", 1, gone.cover, paid, fee, box)


def _trips_gone(packed: Sequence[Shipment], statuses: Mapping[str, Status]) -> dict[str, int]:
    """How many trips of each load are gone: a trip is, once a carton of it is."""
    gone = {
        (each.quote.name, each.trip)
        for each in packed
        if each.quote.by_load and statuses.get(each.filled.number, Status.TO_GO) is not Status.TO_GO
    }
    return {name: sum(name == other for other, _ in gone) for name in sorted({name for name, _ in gone})}


def _boxes_used(packed: Sequence[Shipment]) -> dict[str, int]:
    used: dict[str, int] = {}
    for shipment in packed:
        if not shipment.filled.closed_by_user:
            used[shipment.filled.carton.name] = used.get(shipment.filled.carton.name, 0) + 1
    return used


def _box_prices(move: Move, packed: Sequence[Shipment]) -> dict[str, Decimal]:
    """What each box cost, by carton number: the first of a type are those on hand, and free. Boxes of cartons closed
    before cost what their rows say."""
    prices = {each.filled.number: move.settings.currency.round(each.carton_paid) for each in move.packed}
    for name, carton in move.cartons.items():
        numbers = [
            each.filled.number for each in packed if each.filled.carton.name == name and not each.filled.closed_by_user
        ][carton.on_hand :]
        amount = settle(len(numbers) * Fraction(carton.price), move.settings.currency)
        shares = share_by_value(amount, [Decimal(0)] * len(numbers), move.settings.currency) if numbers else ()
        prices |= dict(zip(numbers, shares, strict=True))
    return prices


def _parts(move: Move, packed: Sequence[Shipment]) -> dict[int, tuple[Part, ...]]:
    """The lines that each loose record line becomes, in the order of its copies; what is in no carton stays loose."""
    inside: dict[int, dict[int, str]] = {}
    for shipment in packed:
        if not shipment.filled.closed_by_user:
            for portion in shipment.filled.portions:
                of = inside.setdefault(portion.record.place, {})
                of |= dict.fromkeys(range(portion.first, portion.first + portion.copies), shipment.filled.number)
    taken = {record.record_id.casefold() for record in move.records}
    return {record.place: _parts_of(record, inside.get(record.place, {}), taken) for record in move.loose}


def _parts_of(record: Record, cartons: Mapping[int, str], taken: set[str]) -> tuple[Part, ...]:
    counts: dict[str | None, int] = {}
    for copy in range(1, record.copies + 1):
        carton = cartons.get(copy)
        counts[carton] = counts.get(carton, 0) + 1
    if len(counts) == 1:
        return tuple(Part(record.record_id, copies, carton) for carton, copies in counts.items())
    parts = []
    for number, (carton, copies) in enumerate(counts.items(), start=1):
        made = f"{record.record_id}/{number}"
        while made.casefold() in taken:
            made += "+"
        taken.add(made.casefold())
        parts.append(Part(made, copies, carton))
    return tuple(parts)
