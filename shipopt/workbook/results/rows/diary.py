"""Rows of the sheet Diary, and of the calendar: dates by quote, and what happens day by day.

Dates follow from the settings and the quotes in use; nothing is assumed of how long booking or packing takes. Called by
the module gathered.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from shipopt.move.plan import Plan
from shipopt.move.quotes import Quote
from shipopt.move.rules import arrival
from shipopt.move.settings import Settings
from shipopt.move.words import Means
from shipopt.workbook.results.claims import SHORTEST_DAYS, SHORTEST_PERIOD
from shipopt.workbook.results.rows.cover import claim_by

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
"""Spelled here: a date's own names depend on the machine's language."""


@dataclass(frozen=True, slots=True)
class DatesRow:
    """The dates of one quote in use, None for those that the workbook does not give."""

    quote: str
    bidder: str
    means: str
    decide_by: date | None
    book_by: date | None
    pack_by: date | None
    collect_from: date | None
    collect_until: date | None
    arrives: date | None
    days_of_slack: int | None
    claim_by: date | None
    notes: str


@dataclass(frozen=True, slots=True)
class DayRow:
    """Something to do or to know on one day. ``quote`` is blank where it is about the whole move."""

    what: str
    quote: str
    weekday: str
    date: date
    in_words: str


def dates_rows(plan: Plan) -> tuple[DatesRow, ...]:
    """A row for each quote that carries something, in the workbook's order."""
    used = {shipment.quote.name for shipment in plan.shipments}
    return tuple(_dates(plan, quote) for name, quote in plan.move.quotes.items() if name in used)


def _dates(plan: Plan, quote: Quote) -> DatesRow:
    settings = plan.move.settings
    arrives, last = arrival(quote, settings), last_collection(quote, settings)
    starts = [day for day in (settings.ready_on, quote.collect_from) if day]
    collected = max(starts, default=None)
    ends = [day for day in (quote.valid_until, last, collected) if day]
    return DatesRow(
        quote=quote.name,
        bidder=quote.bidder,
        means=quote.means.value,
        decide_by=quote.valid_until,
        book_by=min(ends, default=None),
        pack_by=collected,
        collect_from=collected,
        collect_until=last,
        arrives=arrives,
        days_of_slack=(settings.needed_by - arrives).days if settings.needed_by and arrives else None,
        claim_by=_first_deadline(plan, quote),
        notes=quote.notes,
    )


def last_collection(quote: Quote, settings: Settings) -> date | None:
    """The last day on which the quote collects and still arrives by Needed by; None where neither is told."""
    in_time = settings.needed_by - timedelta(days=quote.transit_days or 0) if settings.needed_by else None
    return min((day for day in (quote.collect_until, in_time) if day), default=None)


def _first_deadline(plan: Plan, quote: Quote) -> date | None:
    covers = {each.cover.name: each.cover for each in plan.shipments if each.cover and each.quote.name == quote.name}
    own = claim_by(quote, quote, plan.move.settings)
    found = [own, *(claim_by(cover, quote, plan.move.settings) for cover in covers.values())]
    return min((day for day in found if day), default=None)


def day_rows(plan: Plan, dates: Sequence[DatesRow]) -> tuple[DayRow, ...]:
    """Everything with a date, day by day; on one day in the order in which it is done."""
    found = [*_of_the_move(plan.move.settings), *(each for row in dates for each in _of_quote(plan, row))]
    return tuple(sorted(found, key=lambda row: row.date))


def _day(day: date, what: str, quote: str, words: str) -> DayRow:
    return DayRow(what, quote, WEEKDAYS[day.weekday()], day, words)


def _of_the_move(settings: Settings) -> Iterator[DayRow]:
    given = (
        (settings.decide_on, "Decide", "Decide on, as set: the day of booking."),
        (settings.ready_on, "Have everything packed", "Ready on, as set."),
        (settings.needed_by, "Everything must be there", "Needed by, as set."),
    )
    for day, what, words in given:
        if day:
            yield _day(day, what, "", words)


def _of_quote(plan: Plan, row: DatesRow) -> Iterator[DayRow]:
    cartons = sum(shipment.quote.name == row.quote for shipment in plan.shipments)
    so_many = f"{cartons} carton" + ("s" if cartons != 1 else "")
    if row.decide_by:
        yield _day(row.decide_by, "Quote ends", row.quote, "Valid until: the last day it holds.")
    if row.book_by:
        yield _day(row.book_by, "Book at the latest", row.quote, f"For {so_many}.")
    if row.pack_by:
        yield _day(row.pack_by, "Collection", row.quote, f"{so_many}, packed, closed and labelled by then.")
    if row.collect_until:
        words = "It collects no later, or arrives too late: what is left of the slack ends here."
        yield _day(row.collect_until, "Last day to collect", row.quote, words)
    if row.arrives:
        slack = "" if row.days_of_slack is None else f", {row.days_of_slack} days before needed"
        words = f"{so_many}{slack}, if collected on the day above. Count and look before you sign."
        yield _day(row.arrives, "Arrives at the latest", row.quote, words)
    if row.claim_by:
        yield _day(row.claim_by, "Claim at the latest", row.quote, "By the terms in the workbook: read them again.")
    elif row.arrives and row.means != Means.CARRY_ON:
        day = row.arrives + timedelta(days=SHORTEST_DAYS)
        yield _day(day, "Report hidden damage", row.quote, SHORTEST_PERIOD)
