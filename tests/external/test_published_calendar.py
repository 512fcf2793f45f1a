"""The diary as a calendar file, read back by a small strict parser of RFC 5545 that is not the program's.

RFC 5545, "Internet Calendaring and Scheduling Core Object Specification (iCalendar)", September 2009: content lines and
folding, section 3.1; the calendar object and its required properties, 3.4 and 3.6; events, 3.6.1; text, 3.3.11.
"""

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from small_moves import SEARCH, larger_plan, settings, small_plan

from shipopt.move.plan import Plan
from shipopt.workbook.results.calendar_file import calendar_bytes, write_calendar
from shipopt.workbook.results.gathered import Results


def with_quote(plan: Plan, name: str, **changed: object) -> Plan:
    """The plan with one quote changed."""
    quotes = plan.move.quotes | {name: replace(plan.move.quotes[name], **changed)}  # type: ignore[arg-type]
    shipments = tuple(replace(each, quote=quotes[each.quote.name]) for each in plan.shipments)
    return Plan(replace(plan.move, quotes=quotes), shipments, SEARCH)


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
