"""Rows of the sheet Quotes compared: what each quote carries and costs in the plan, or why it stays out.

A quote that stays out though it could carry something is set against the plan by plain pricing, without solving anew:
the module unused. Called by the module gathered.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from shipopt.move.money import ZERO
from shipopt.move.plan import Plan
from shipopt.move.quotes import Quote
from shipopt.move.rules import arrival, why_out
from shipopt.pricing.total import Cost
from shipopt.workbook.results.rows.bookings import BookingRow
from shipopt.workbook.results.rows.cartons import CartonRow
from shipopt.workbook.results.rows.unused import Instead, instead, refusals, verdict


@dataclass(frozen=True, slots=True)
class QuoteRow:
    """One quote of the workbook. Costs for each are None where it carries nothing; the last figures but one where it
    is in the plan, out, or may carry none of the plan's cartons."""

    quote: str
    bidder: str
    means: str
    in_the_plan: str
    cartons: int
    records: int
    gross_weight: Decimal
    value: Decimal
    carriage: Decimal
    cover_fees: Decimal
    cartons_bought: Decimal
    all_in_cost: Decimal
    cost_a_carton: Decimal | None
    cost_a_record: Decimal | None
    cost_per_1000_of_value: Decimal | None
    transit_days: int | None
    arrives: date | None
    could_carry: int | None
    it_would_charge: Decimal | None
    the_plan_saves: Decimal | None
    in_words: str


def quote_rows(
    plan: Plan, cost: Cost, cartons: Sequence[CartonRow], bookings: Sequence[BookingRow]
) -> tuple[QuoteRow, ...]:
    """A row for each quote in the workbook's order. ``cartons`` begin with the plan's shipments, in their order."""
    booked = {booking.quote: booking for booking in bookings}
    going = cartons[: len(plan.shipments)]
    carried: dict[str, list[CartonRow]] = {}
    for row in going:
        carried.setdefault(row.quote, []).append(row)
    return tuple(
        _used(plan, quote, booked[quote.name], carried[quote.name])
        if quote.name in booked
        else _unused(plan, cost, quote)
        for quote in plan.move.quotes.values()
    )


def _used(plan: Plan, quote: Quote, booking: BookingRow, carried: Sequence[CartonRow]) -> QuoteRow:
    bought = sum((row.carton_price for row in carried), ZERO)
    records = sum(row.records for row in carried)
    whole = booking.carriage + booking.cover_fees + bought
    return QuoteRow(
        quote=quote.name,
        bidder=quote.bidder,
        means=quote.means.value,
        in_the_plan="yes",
        cartons=booking.cartons,
        records=records,
        gross_weight=booking.gross_weight,
        value=booking.value,
        carriage=booking.carriage,
        cover_fees=booking.cover_fees,
        cartons_bought=bought,
        all_in_cost=whole,
        cost_a_carton=whole / booking.cartons,
        cost_a_record=whole / records if records else None,
        cost_per_1000_of_value=whole / booking.value * 1000 if booking.value else None,
        transit_days=quote.transit_days,
        arrives=arrival(quote, plan.move.settings),
        could_carry=None,
        it_would_charge=None,
        the_plan_saves=None,
        in_words=_carries(quote, booking),
    )


def _carries(quote: Quote, booking: BookingRow) -> str:
    if booking.trips is None:
        return "in the plan, each carton a consignment"
    return f"in the plan, {booking.trips} of {quote.trips_at_most} trips" if quote.trips_at_most > 1 else "in the plan"


def _unused(plan: Plan, cost: Cost, quote: Quote) -> QuoteRow:
    out = why_out(quote, plan.move.settings)
    found = Instead(0, ZERO, ZERO) if out else instead(plan, cost, quote)
    shown = bool(found.cartons)
    return QuoteRow(
        quote=quote.name,
        bidder=quote.bidder,
        means=quote.means.value,
        in_the_plan="no",
        cartons=0,
        records=0,
        gross_weight=ZERO,
        value=ZERO,
        carriage=ZERO,
        cover_fees=ZERO,
        cartons_bought=ZERO,
        all_in_cost=ZERO,
        cost_a_carton=None,
        cost_a_record=None,
        cost_per_1000_of_value=None,
        transit_days=quote.transit_days,
        arrives=arrival(quote, plan.move.settings),
        could_carry=found.cartons if shown else None,
        it_would_charge=found.charge if shown else None,
        the_plan_saves=found.saved if shown else None,
        in_words=out or verdict(plan, found, refusals(plan, quote)),
    )
