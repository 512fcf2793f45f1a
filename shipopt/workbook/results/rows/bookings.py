"""Rows of the sheet Plan below the totals: bookings to make, cartons to buy, cartons already gone.

Called by the module gathered.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Plan
from shipopt.pricing.total import Cost
from shipopt.workbook.results.rows.cartons import CartonRow


@dataclass(frozen=True, slots=True)
class BookingRow:
    """One quote in use. ``trips`` is None where each carton is a consignment."""

    quote: str
    bidder: str
    means: str
    trips: int | None
    cartons: int
    gross_weight: Decimal
    value: Decimal
    carriage: Decimal
    cover_fees: Decimal


@dataclass(frozen=True, slots=True)
class BuyRow:
    """One carton type in use."""

    carton: str
    used: int
    to_buy: int
    price_each: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True)
class GoneRow:
    """One carton that is sent or has arrived."""

    carton_no: str
    quote: str
    status: str
    records: int
    gross_weight: Decimal
    value: Decimal
    paid: Decimal
    cover: str
    cover_fee: Decimal


def booking_rows(plan: Plan, cost: Cost, cartons: Sequence[CartonRow]) -> tuple[BookingRow, ...]:
    """A row for each quote that carries something, in the workbook's order. ``cartons`` are rows of the carton list,
    those of the plan's shipments first."""
    carried: dict[str, list[CartonRow]] = {}
    for row in cartons[: len(plan.shipments)]:
        carried.setdefault(row.quote, []).append(row)
    return tuple(_booking(plan, cost, name, carried[name]) for name in plan.move.quotes if name in carried)


def _booking(plan: Plan, cost: Cost, name: str, carried: Sequence[CartonRow]) -> BookingRow:
    quote = plan.move.quotes[name]
    return BookingRow(
        quote=name,
        bidder=quote.bidder,
        means=quote.means.value,
        trips=len({row.trip for row in carried}) if quote.by_load else None,
        cartons=len(carried),
        gross_weight=sum((row.gross_weight for row in carried), ZERO),
        value=sum((row.value for row in carried), ZERO),
        carriage=sum((each.total for each in cost.statements if each.quote.name == name), ZERO),
        cover_fees=sum((row.cover_fee for row in carried), ZERO),
    )


def buy_rows(cost: Cost) -> tuple[BuyRow, ...]:
    """A row for each carton type in use, in the workbook's order."""
    return tuple(
        BuyRow(each.carton.name, each.used, each.bought, each.carton.price, each.amount) for each in cost.bought
    )


def gone_rows(move: Move) -> tuple[GoneRow, ...]:
    """A row for each carton already sent or arrived, in the workbook's order."""
    return tuple(
        GoneRow(
            carton_no=gone.filled.number,
            quote=gone.gone_by or "",
            status=gone.status.value,
            records=gone.filled.records,
            gross_weight=gone.filled.gross_weight,
            value=gone.filled.value,
            paid=move.settings.currency.round(gone.paid),
            cover=gone.cover or "",
            cover_fee=move.settings.currency.round(gone.cover_fee),
        )
        for gone in move.gone
    )
