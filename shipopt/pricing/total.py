"""The cost of a move: carriage, cartons bought and cover fees of all its shipments, in rounded money.

The only place where totals come from: the programmes propose, this module prices what they proposed. Called by
planning's audit, comparing and the results writer.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from shipopt.move.cartons import FilledCarton
from shipopt.move.cover import Cover
from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Shipment, by_trip
from shipopt.move.quotes import Quote
from shipopt.move.words import CoverBasis
from shipopt.pricing.carriage import quote_statements
from shipopt.pricing.cartons_bought import CartonsBought, cartons_bought
from shipopt.pricing.cover import CannotBeCovered, cover_fee, share_by_value
from shipopt.pricing.statement import Statement


@dataclass(frozen=True, slots=True)
class ConsignmentFee:
    """The fee of one cover for the cartons of one trip of a load that take it, on their whole value."""

    quote: Quote
    trip: int
    cover: Cover
    value: Decimal
    fee: Decimal


@dataclass(frozen=True)
class Cost:
    """What a move costs, all in rounded money.

    ``fee_shares`` holds for each shipment, in the order given, the fee of its cover, or its share by value of its
    consignment's fee; 0 without a cover. ``paid`` and ``paid_for_cover`` are what was paid to send and to cover cartons
    already sent or arrived, ``paid_for_cartons`` what the boxes of all closed cartons have cost.
    """

    statements: tuple[Statement, ...]
    fee_shares: tuple[Decimal, ...]
    consignment_fees: tuple[ConsignmentFee, ...]
    bought: tuple[CartonsBought, ...]
    paid: Decimal
    paid_for_cover: Decimal = ZERO
    paid_for_cartons: Decimal = ZERO

    @cached_property
    def carriage_by_trip(self) -> Mapping[tuple[str, int | None], Decimal]:
        """Carriage by quote name and trip; trip None for all cartons of a quote by the carton."""
        return {(statement.quote.name, statement.trip): statement.total for statement in self.statements}

    @cached_property
    def carriage(self) -> Decimal:
        """Every statement's total, and what was paid for cartons already gone."""
        return sum((statement.total for statement in self.statements), self.paid)

    @cached_property
    def cartons(self) -> Decimal:
        """Cartons bought, those of closed cartons among them."""
        return sum((bought.amount for bought in self.bought), self.paid_for_cartons)

    @cached_property
    def cover(self) -> Decimal:
        """Cover fees, and what was paid to cover cartons already gone."""
        return sum(self.fee_shares, self.paid_for_cover)

    @cached_property
    def total(self) -> Decimal:
        """Carriage + cartons bought + cover fees."""
        return self.carriage + self.cartons + self.cover


def price(move: Move, shipments: Sequence[Shipment]) -> Cost:
    """The cost of these shipments and of what has gone; Refused or CannotBeCovered where something has no price."""
    round_money = move.settings.currency.round
    shares, fees = cover_fees(move, shipments)
    return Cost(
        statements=_statements(move, shipments),
        fee_shares=shares,
        consignment_fees=fees,
        bought=cartons_bought(move, [shipment.filled for shipment in shipments]),
        paid=sum((round_money(gone.paid) for gone in move.gone), ZERO),
        paid_for_cover=sum((round_money(gone.cover_fee) for gone in move.gone), ZERO),
        paid_for_cartons=sum((round_money(packed.carton_paid) for packed in move.packed), ZERO),
    )


def cover_fees(move: Move, shipments: Sequence[Shipment]) -> tuple[tuple[Decimal, ...], tuple[ConsignmentFee, ...]]:
    """Each shipment's cover fee or share of one, and the fees of whole consignments; CannotBeCovered if none is to be
    had. Where a carton is the consignment, its own value is what a cover with basis consignment insures."""
    shares = [ZERO] * len(shipments)
    together: dict[tuple[str, int, str], list[int]] = {}
    for place, shipment in enumerate(shipments):
        if shipment.cover is None:
            continue
        if shipment.cover.basis is CoverBasis.CONSIGNMENT and shipment.quote.by_load:
            together.setdefault((shipment.quote.name, shipment.trip, shipment.cover.name), []).append(place)
        else:
            shares[place] = _fee(shipment.cover, shipment.filled.value, move)
    fees = []
    for quote_name, trip, cover_name in sorted(together):
        # By carton number, so that who bears the odd minor unit does not depend on the order of the shipments.
        places = sorted(together[quote_name, trip, cover_name], key=lambda place: shipments[place].filled.number)
        values = [shipments[place].filled.value for place in places]
        cover = move.covers[cover_name]
        fee = ConsignmentFee(
            move.quotes[quote_name], trip, cover, sum(values, ZERO), _fee(cover, sum(values, ZERO), move)
        )
        fees.append(fee)
        for place, share in zip(places, share_by_value(fee.fee, values, move.settings.currency), strict=True):
            shares[place] = share
    return tuple(shares), tuple(fees)


def _fee(cover: Cover, value: Decimal, move: Move) -> Decimal:
    fee = cover_fee(cover, value, move.settings.currency)
    if fee is None:
        raise CannotBeCovered(cover, value)
    return fee


def _statements(move: Move, shipments: Sequence[Shipment]) -> tuple[Statement, ...]:
    trips: dict[str, dict[int, list[FilledCarton]]] = {}
    for (name, trip), carried in by_trip(move, shipments).items():
        trips.setdefault(name, {})[trip] = [shipment.filled for shipment in carried]
    return tuple(
        statement
        for name, by_number in trips.items()
        for statement in quote_statements(move.quotes[name], by_number, move.settings)
    )
