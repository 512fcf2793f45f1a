"""The diary as a calendar file that other programs read: iCalendar, RFC 5545, written by the library icalendar.

One all-day event for each day of the diary. Identifiers follow from the move's title, the quote and what it is about,
so that a calendar knows an event of a later plan again; the time stamp is fixed, so that the same plan gives the same
bytes."""

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import NAMESPACE_URL, uuid5

from icalendar import Calendar, Event

from shipopt.workbook.results.cell_text import cell_text
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.rows.diary import DayRow
from shipopt.workbook.results.whole_file import CannotWrite, whole_file

PRODUCT = "-//shipopt//Diary of a move//EN"
STAMP = datetime(2000, 1, 1, tzinfo=UTC)
NAMESPACE = uuid5(NAMESPACE_URL, "urn:shipopt:diary")


def write_calendar(path: str | os.PathLike[str], results: Results) -> None:
    """Writes the diary as a calendar file; CannotWrite if that is not possible, or if the workbook gives no dates: a
    calendar may not be empty (RFC 5545, section 3.6)."""
    if not results.days:
        raise CannotWrite(f"{path} is not written: the workbook gives no dates.")
    with whole_file(Path(path)) as unfinished:
        unfinished.write_bytes(calendar_bytes(results))


def calendar_bytes(results: Results) -> bytes:
    """The calendar, its lines folded and ended as RFC 5545 asks."""
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    title = cell_text(results.plan.move.settings.title)
    for row in results.days:
        calendar.add_component(_event(title, row))
    return bytes(calendar.to_ical())


def _event(title: str, row: DayRow) -> Event:
    event = Event()
    about = f"{row.what}: {cell_text(row.quote)}" if row.quote else row.what
    event.add("uid", f"{uuid5(NAMESPACE, chr(0).join((title, row.quote, row.what)))}@shipopt.invalid")
    event.add("dtstamp", STAMP)
    event.add("dtstart", row.date)
    event.add("dtend", row.date + timedelta(days=1))
    event.add("summary", about)
    event.add("description", f"{title}\n{row.in_words}")
    event.add("transp", "TRANSPARENT")
    return event
