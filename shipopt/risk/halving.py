"""What would halve the risk of a record in a plan: a cover for its carton, another quote for the carton, or the record
alone by another quote.

Every change obeys the rules of the move as they stand. Changes to a whole carton are priced by the pricing room; a
record taken out of its carton is not, since that depends on the room left elsewhere. Called by the results writer.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal, localcontext
from enum import StrEnum
from functools import cache

from shipopt.move.cartons import Portion, filled
from shipopt.move.cover import Cover
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.quotes import Quote
from shipopt.move.records import Record
from shipopt.move.rules import (
    cartons_for,
    filled_carton_refusal,
    most_value_of_consignment,
    must_be_covered,
    quotes_in,
)
from shipopt.pricing.billing import outside_volume
from shipopt.pricing.cover import CannotBeCovered, cover_fee
from shipopt.pricing.statement import Refused
from shipopt.pricing.total import price
from shipopt.risk.by_record import RecordRisk
from shipopt.risk.expected import DIGITS, expected_uninsured_loss

HALF = Decimal("0.5")


class Change(StrEnum):
    """What is changed."""

    COVER = "another cover for the carton"
    QUOTE = "the carton by another quote"
    ALONE = "the record alone by another quote"


@dataclass(frozen=True, slots=True)
class Remedy:
    """A change, the quote and cover it leads to, the share of the record's risk that is left (0 to 1), and what the
    whole plan would then cost more (less than 0: it would cost less; None: not priced)."""

    change: Change
    quote: Quote
    cover: Cover | None
    left: Decimal
    dearer: Decimal | None


def remedies(move: Move, shipments: Sequence[Shipment], risk: RecordRisk) -> tuple[Remedy, ...]:
    """Every change to the record's carton that lowers its risk, the cheapest first; then every one to the record
    alone, the safest first."""
    with localcontext() as context:
        context.prec = DIGITS
        priced = list(_for_carton(move, shipments, risk.shipment))
        alone = [] if risk.shipment.filled.closed_by_user else list(_alone(move, risk))
    priced.sort(key=lambda remedy: (remedy.dearer, remedy.left))
    alone.sort(key=lambda remedy: remedy.left)
    return (*priced, *alone)


def halving(found: Sequence[Remedy], change: Change | None = None) -> Remedy | None:
    """The first remedy (of that kind) that leaves at most half."""
    fit = (remedy for remedy in found if remedy.left <= HALF and change in (None, remedy.change))
    return next(fit, None)


def _for_carton(move: Move, shipments: Sequence[Shipment], now: Shipment) -> Iterator[Remedy]:
    before = expected_uninsured_loss(move, now)
    for quote in quotes_in(move):
        here = quote.name == now.quote.name
        trip = now.trip if here else _trip_with_room(move, shipments, now, quote)
        if trip is None or filled_carton_refusal(now.filled, quote, move):
            continue
        dearer_with = _pricing(move, shipments, now, quote)
        for cover in _covers(move, now, quote):
            other = replace(now, quote=quote, trip=trip, cover=cover)
            left = expected_uninsured_loss(move, other) / before
            if left < 1 and (dearer := dearer_with(other)) is not None:
                yield Remedy(Change.COVER if here else Change.QUOTE, quote, cover, left, dearer)


def _covers(move: Move, now: Shipment, quote: Quote) -> Iterator[Cover | None]:
    """Covers that the carton may take by the quote, none among them where none is a duty."""
    if not must_be_covered(now.filled, quote, move.settings):
        yield None
    for cover in move.covers.values():
        fee = cover_fee(cover, now.filled.value, move.settings.currency)
        if cover.offered_to(quote.name) and fee is not None:
            yield cover


def _pricing(
    move: Move, shipments: Sequence[Shipment], now: Shipment, quote: Quote
) -> Callable[[Shipment], Decimal | None]:
    """What the plan costs more with another shipment by that quote, as a function of it; None where that has no price.
    Only the two quotes' charges can differ."""
    touched = [each for each in shipments if each.quote.name in (now.quote.name, quote.name)]
    as_it_is = cache(lambda: price(move, touched).total)

    def dearer(other: Shipment) -> Decimal | None:
        try:
            return price(move, [other if each is now else each for each in touched]).total - as_it_is()
        except (Refused, CannotBeCovered):
            return None

    return dearer


def _trip_with_room(move: Move, shipments: Sequence[Shipment], now: Shipment, quote: Quote) -> int | None:
    """The first trip of the quote that the carton may join within every limit; 1 where a carton is the consignment."""
    if not quote.by_load:
        return 1
    for trip in range(1, min(quote.trips_at_most, len(shipments) + 1) + 1):
        load = [s.filled for s in shipments if (s.quote.name, s.trip) == (quote.name, trip)] + [now.filled]
        volume = sum(outside_volume(each.carton, move.settings.units) for each in load)
        limits: tuple[tuple[Decimal | int | None, Decimal | int], ...] = (
            (quote.most_cartons, len(load)),
            (quote.most_weight, sum(each.gross_weight for each in load)),
            (quote.most_volume, volume),
            (most_value_of_consignment(quote, move.settings), sum(each.value for each in load)),
        )
        if all(limit is None or used <= limit for limit, used in limits):
            return trip
    return None


def _alone(move: Move, risk: RecordRisk) -> Iterator[Remedy]:
    """One copy in a carton by itself, by each other quote that may carry it, under the safest cover: its risk then."""
    for quote in quotes_in(move):
        single = None if quote.name == risk.shipment.quote.name else _single(move, risk.portion.record, quote)
        if single is None:
            continue
        under = [replace(single, cover=cover) for cover in _covers(move, single, quote)]
        safest = min(under, key=lambda shipment: expected_uninsured_loss(move, shipment), default=None)
        if safest is not None and (left := expected_uninsured_loss(move, safest)) < risk.each:
            yield Remedy(Change.ALONE, quote, safest.cover, left / risk.each, None)


def _single(move: Move, record: Record, quote: Quote) -> Shipment | None:
    """One copy in the first carton that may hold it and that the quote takes with it."""
    for carton in cartons_for(record.format.sleeve, move):
        single = filled("", carton, [Portion(record, 1, 1)])
        fits = record.thickness <= carton.room_in_each(move.settings.fill_most)
        if fits and filled_carton_refusal(single, quote, move) is None:
            return Shipment(single, quote)
    return None
