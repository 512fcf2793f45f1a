"""The diary by hand, and as a calendar file: read back by a small strict parser of RFC 5545 that is not the program's.

RFC 5545, "Internet Calendaring and Scheduling Core Object Specification (iCalendar)", September 2009: content lines and
folding, section 3.1; the calendar object and its required properties, 3.4 and 3.6; events, 3.6.1; text, 3.3.11.
"""

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from small_moves import SEARCH, larger_plan, settings, small_plan

from shipopt.move.plan import Plan
from shipopt.workbook.results.calendar_file import calendar_bytes, write_calendar
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


def parsed(whole: bytes) -> list[tuple[str, dict[str, str], str]]:
    """Content lines as (name, parameters, value); AssertionError for anything that section 3.1 does not allow."""
    assert whole.endswith(b"\r\n")
    physical = whole[:-2].split(b"\r\n")
    assert all(len(line) <= 75 for line in physical), "a line is longer than 75 octets"
    assert not any(b"\n" in line or b"\r" in line for line in physical), "a bare line end"
    unfolded: list[bytes] = []
    for line in physical:
        assert line, "an empty line"
        if line[:1] in (b" ", b"\t"):
            unfolded[-1] += line[1:]
        else:
            unfolded.append(line)
    found = []
    for line in unfolded:
        text = line.decode("utf-8")
        shape = re.fullmatch(r"([A-Z0-9-]+)((?:;[A-Z0-9-]+=[^;:\"]*)*):([^\x00-\x08\x0a-\x1f\x7f]*)", text)
        assert shape, f"not a content line: {text!r}"
        parameters = dict(each.split("=", 1) for each in shape[2].split(";") if each)
        found.append((shape[1], parameters, shape[3]))
    return found


def events(whole: bytes) -> list[dict[str, tuple[dict[str, str], str]]]:
    """Events of a calendar object, with what sections 3.4, 3.6 and 3.6.1 ask of it."""
    lines = parsed(whole)
    assert [lines[0], lines[-1]] == [("BEGIN", {}, "VCALENDAR"), ("END", {}, "VCALENDAR")]
    first = next(at for at, line in enumerate(lines) if line[::2] == ("BEGIN", "VEVENT"))
    head = [name for name, _, _ in lines[1:first]]
    assert sorted(head) == ["PRODID", "VERSION"]
    assert ("VERSION", {}, "2.0") in lines
    found: list[dict[str, tuple[dict[str, str], str]]] = []
    inside = False
    for name, parameters, value in lines[first:-1]:
        if name in ("BEGIN", "END"):
            assert value == "VEVENT"
            assert inside is (name == "END")
            inside = name == "BEGIN"
            if inside:
                found.append({})
            continue
        assert inside
        assert name not in found[-1], f"{name} twice in an event"
        found[-1][name] = (parameters, value)
    for event in found:
        assert {"UID", "DTSTAMP", "DTSTART"} <= set(event)
        assert re.fullmatch(r"\d{8}T\d{6}Z", event["DTSTAMP"][1])
        assert event["DTSTART"][0] == event["DTEND"][0] == {"VALUE": "DATE"}
    assert len({event["UID"][1] for event in found}) == len(found)
    return found


def text_of(value: str) -> str:
    """A TEXT value without its escapes; AssertionError for a sign that section 3.3.11 wants escaped."""
    assert not re.search(r"(?<!\\)(?:\\\\)*[;,]", value), value
    return re.sub(r"\\(.)", lambda found: "\n" if found[1] in "nN" else found[1], value)


def test_the_calendar_says_what_the_diary_says() -> None:
    results = Results(larger_plan(300))
    found = events(calendar_bytes(results))
    assert len(found) == len(results.days) > 10
    for event, row in zip(found, results.days, strict=True):
        assert event["DTSTART"][1] == row.date.strftime("%Y%m%d")
        assert event["DTEND"][1] == (row.date + timedelta(days=1)).strftime("%Y%m%d")
        assert text_of(event["SUMMARY"][1]) == (f"{row.what}: {row.quote}" if row.quote else row.what)
        assert text_of(event["DESCRIPTION"][1]).endswith(row.in_words)


def test_hostile_and_long_texts_keep_the_calendar_whole() -> None:
    name = "Blue; van, \\n\u65e5\u672c\u8a9e \U0001f3b5 " + "long " * 30 + "end\nEND:VCALENDAR\r\nX"
    plan = small_plan(settings(title="Crates, more; \\ and\nlines"))
    van = replace(plan.move.quotes["Blue van"], name=name)
    quotes = {each.name: each for each in [van, *(q for q in plan.move.quotes.values() if q.name != "Blue van")]}
    shipments = tuple(replace(each, quote=van) if each.quote.name == "Blue van" else each for each in plan.shipments)
    found = events(calendar_bytes(Results(Plan(replace(plan.move, quotes=quotes), shipments, SEARCH))))
    summaries = [text_of(event["SUMMARY"][1]) for event in found]
    assert any(name.replace("\r\n", "\n") in text for text in summaries)


def test_the_same_plan_gives_the_same_calendar_and_a_later_plan_keeps_its_identifiers(tmp_path: Path) -> None:
    paths = [tmp_path / "one.ics", tmp_path / "two.ics"]
    for path in paths:
        write_calendar(path, Results(small_plan()))
    assert paths[0].read_bytes() == paths[1].read_bytes()
    later = with_quote(small_plan(), "Blue van", transit_days=4)
    before, after = (
        {event["UID"][1]: event["DTSTART"][1] for event in events(calendar_bytes(Results(plan)))}
        for plan in (small_plan(), later)
    )
    assert set(before) == set(after)
    assert before != after


@pytest.mark.parametrize(
    ("broken", "why"),
    [
        (lambda whole: whole.replace(b"\r\n", b"\n"), "endswith"),
        (lambda whole: whole.replace(b"VERSION:2.0\r\n", b""), "PRODID"),
        (lambda whole: re.sub(rb"UID:[^\r]*\r\n(?: [^\r]*\r\n)*", b"", whole), "UID"),
        (lambda whole: whole.replace(b"END:VEVENT\r\n", b"", 1), "True is"),
        (lambda whole: whole.replace(b"SUMMARY:", b"SUMMARY:" + b"x" * 80, 1), "75 octets"),
        (lambda whole: whole.replace(b"SUMMARY:", b"SUMMARY\r\n:", 1), "not a content line"),
    ],
)
def test_the_parser_finds_what_is_broken(broken: Callable[[bytes], bytes], why: str) -> None:
    whole = calendar_bytes(Results(small_plan()))
    events(whole)
    with pytest.raises(AssertionError, match=why):
        events(broken(whole))
