"""The diary by hand: dates of each quote, days in their order, and what stands in for terms that are not told."""

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from small_moves import SEARCH, settings, small_plan

from shipopt.move.plan import Plan
from shipopt.workbook.results.calendar_file import write_calendar
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.rows.diary import DatesRow, last_collection
from shipopt.workbook.results.whole_file import CannotWrite


def with_quote(plan: Plan, name: str, **changed: object) -> Plan:
    """The plan with one quote changed."""
    quotes = plan.move.quotes | {name: replace(plan.move.quotes[name], **changed)}  # type: ignore[arg-type]
    shipments = tuple(replace(each, quote=quotes[each.quote.name]) for each in plan.shipments)
    return Plan(replace(plan.move, quotes=quotes), shipments, SEARCH)


def dates(plan: Plan, name: str) -> DatesRow:
    """The row of one quote."""
    return next(row for row in Results(plan).dates if row.quote == name)


def test_dates_of_a_quote_by_hand() -> None:
    """Ready on 1 March, needed by the 12th. The van collects from the 2nd to the 6th, holds till February."""
    row = dates(
        with_quote(
            small_plan(),
            "Blue van",
            valid_until=date(2031, 2, 20),
            collect_from=date(2031, 3, 2),
            collect_until=date(2031, 3, 6),
            claim_days=9,
        ),
        "Blue van",
    )
    assert (row.decide_by, row.book_by) == (date(2031, 2, 20), date(2031, 2, 20))
    assert row.pack_by == row.collect_from == date(2031, 3, 2)
    assert row.collect_until == date(2031, 3, 6)
    assert (row.arrives, row.days_of_slack, row.claim_by) == (date(2031, 3, 3), 9, date(2031, 3, 12))


def test_the_last_day_of_collection_still_arrives_in_time() -> None:
    """Slow freight takes nine days and is needed by the 12th: the 3rd is the last day, or sooner."""
    plan = small_plan()
    assert dates(plan, "Slow freight").collect_until == date(2031, 3, 3)
    assert dates(plan, "Slow freight").book_by == date(2031, 3, 1)
    sooner = with_quote(plan, "Slow freight", collect_until=date(2031, 3, 2))
    assert dates(sooner, "Slow freight").collect_until == date(2031, 3, 2)
    none = settings(needed_by=None)
    assert last_collection(plan.move.quotes["Slow freight"], none) is None


def test_days_come_in_order_with_their_weekday() -> None:
    rows = Results(small_plan()).days
    assert [row.date for row in rows] == sorted(row.date for row in rows)
    for row in rows:
        # The calendar repeats every 400 years; 1 January 2001 was a Monday.
        number = (row.date - date(2001, 1, 1)).days % 7
        assert row.weekday.startswith(("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")[number])


def test_where_terms_are_silent_the_shortest_published_period_is_a_caution() -> None:
    plan = small_plan()
    told = with_quote(plan, "Slow freight", claim_days=20)
    hidden = {row.quote: row for row in Results(plan).days if row.what == "Report hidden damage"}
    assert "Train seat" not in hidden  # carried by oneself
    freight = hidden["Slow freight"]
    assert freight.date == dates(plan, "Slow freight").arrives + timedelta(days=7)  # type: ignore[operator]
    assert freight.in_words.startswith("A caution")
    after = [(row.what, row.date) for row in Results(told).days if row.quote == "Slow freight"]
    assert ("Claim at the latest", date(2031, 3, 30)) in after
    assert "Report hidden damage" not in dict(after)


def test_without_dates_there_is_no_diary_and_no_calendar(tmp_path: Path) -> None:
    plan = small_plan(settings(decide_on=None, ready_on=None, needed_by=None))
    assert Results(plan).days == ()
    with pytest.raises(CannotWrite, match="gives no dates"):
        write_calendar(tmp_path / "d.ics", Results(plan))
    assert list(tmp_path.iterdir()) == []
