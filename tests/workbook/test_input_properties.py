"""Properties of reading: what is written comes back, however numbers are typed; whatever stands in the cells, a
reading comes out; and the domain never has to refuse what the reader let through.
"""

from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from workbook.books import sound

from shipopt.move.move import Move
from shipopt.move.words import Units
from shipopt.workbook.cells import RawSheet
from shipopt.workbook.declaration import INPUT_SHEETS, MOVE, QUOTES, SETTING_ROWS, Sheet
from shipopt.workbook.kinds import Day, Kind, Reference, References, Word, YesNo
from shipopt.workbook.number_kinds import Number, Percent, Whole
from shipopt.workbook.planning_defaults import planning_rows
from shipopt.workbook.raw import ErrorValue, ShownAsPercent, Uncalculated
from shipopt.workbook.reader import Reading, read, reading_of
from shipopt.workbook.template import write_workbook

Rows = list[dict[str, Any]]

WORDS = st.text(st.characters(categories=["L", "N", "P", "S"], exclude_characters=";_"), min_size=1, max_size=12)
AMOUNTS = st.decimals(min_value=0, max_value=10**6, places=2)


def raw_sheets(tables: dict[str, Any]) -> list[RawSheet]:
    """The raw sheets of a workbook of those rows, without a file."""
    whole = {**planning_rows(Units.KILOGRAM_CENTIMETRE), **tables}
    given = {"Units": "kg / cm", "Currency": "EUR", **whole[MOVE.name]}
    headings = tuple(column.heading for column in SETTING_ROWS.columns[:2])
    found = [RawSheet(MOVE.name, ((1, headings), *((n, pair) for n, pair in enumerate(given.items(), start=2))))]
    for sheet in INPUT_SHEETS:
        if not sheet.settings:
            headings = tuple(column.heading for column in sheet.columns)
            rows = [tuple(row.get(heading) for heading in headings) for row in whole.get(sheet.name, [])]
            found.append(RawSheet(sheet.name, ((1, headings), *enumerate(rows, start=2))))
    return found


def test_raw_sheets_made_here_are_those_of_a_file(tmp_path: Path) -> None:
    write_workbook(tmp_path / "move.xlsx", "kg / cm", "EUR", sound())
    assert reading_of(raw_sheets(sound())).move == read(tmp_path / "move.xlsx").move


def _typed(number: Decimal, draw: Any) -> Any:
    """A number as a program stores it, or as a person might type it."""
    how = draw(st.sampled_from(["stored", "plain", "commas", "spaces", "no-break", "euro", "code"]))
    text = {"commas": f"{number:,}", "spaces": f"{number:,}".replace(",", " ")}.get(how, f"{number}")
    text = {
        "no-break": f"\u00a0{number:,}\u00a0".replace(",", "\u00a0"),
        "euro": f"€{number}",
        "code": f"{number} EUR",
    }.get(how, text)
    return float(number) if how == "stored" else text


@st.composite
def record_rows(draw: Any) -> tuple[Rows, list[dict[str, Any]]]:
    """Rows of records, and what each must be read as."""
    rows: Rows = []
    wanted: list[dict[str, Any]] = []
    for number in range(draw(st.integers(1, 6))):
        value, copies = draw(AMOUNTS), draw(st.integers(1, 2000))
        artist, title, shelf = (" ".join(draw(st.lists(WORDS, max_size=3))) for _ in range(3))
        outside = draw(st.booleans())
        row = {"Record ID": f"R{number}", "Format": draw(st.sampled_from(["LP", "lp", " LP ", "7-inch"]))}
        row |= {
            "Value each": _typed(value, draw),
            "Copies": draw(st.sampled_from([copies, float(copies), f"{copies:,}"])),
        }
        row |= {"Artist": artist or None, "Title": title or None, "Shelf": shelf or None}
        row["Disc outside jacket"] = draw(
            st.sampled_from(["y", "TRUE", 1, True] if outside else ["No", "0", False, None])
        )
        rows.append(row)
        wanted.append({"value": value, "copies": copies, "artist": artist, "title": title, "shelf": shelf})
        wanted[-1]["disc_outside"] = outside
    return rows, wanted


@given(record_rows())
def test_records_come_back_however_they_are_typed(table: tuple[Rows, list[dict[str, Any]]]) -> None:
    rows, wanted = table
    move = _sound_move(reading_of(raw_sheets(sound(Records=rows))))
    assert len(move.records) == len(wanted)
    for record, fields in zip(move.records, wanted, strict=True):
        assert {name: getattr(record, name) for name in fields} == fields


def _sound_move(reading: Reading) -> Move:
    assert reading.errors == ()
    assert reading.move is not None
    return reading.move


@settings(max_examples=10, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(record_rows())
def test_records_come_back_through_a_file(tmp_path: Path, table: tuple[Rows, list[dict[str, Any]]]) -> None:
    write_workbook(tmp_path / "move.xlsx", "kg / cm", "EUR", sound(Records=table[0]))
    from_file = _sound_move(read(tmp_path / "move.xlsx"))
    assert from_file.records == _sound_move(reading_of(raw_sheets(sound(Records=table[0])))).records


def _cell(kind: Kind) -> st.SearchStrategy[tuple[Any, Any]]:
    """A cell of a kind, with the value it must be read as."""
    if isinstance(kind, Percent):
        percents = st.decimals(min_value=Decimal("0.01"), max_value=30, places=2)
        return percents.flatmap(
            lambda p: st.sampled_from(
                [(float(p), p / 100), (f"{p} %", p / 100), (ShownAsPercent(float(p / 100)), p / 100)]
            )
        )
    if isinstance(kind, Whole):
        return st.integers(1, 1000).map(lambda n: (n, n))
    if isinstance(kind, Number):
        return AMOUNTS.filter(bool).map(lambda n: (float(n), n))
    if isinstance(kind, YesNo):
        return st.sampled_from([("yes", True), (False, False), (1, True)])
    if isinstance(kind, Word):
        return st.sampled_from([(word.value.upper(), word) for word in kind.of])
    if isinstance(kind, Day):
        return st.dates(date(2020, 1, 1), date(2030, 1, 1)).flatmap(
            lambda day: st.sampled_from([(day, day), (day.isoformat(), day)])
        )
    return WORDS.map(lambda word: (word, word))


@st.composite
def quote_rows(draw: Any) -> tuple[dict[str, Any], dict[str, Any]]:
    """A row of a quote with some of its columns filled, and what its fields must be."""
    row: dict[str, Any] = {"Quote": "Q", "Means": "van", "Consignment": "load"}
    wanted: dict[str, Any] = {}
    for column in QUOTES.columns:
        fixed = column.heading in row or isinstance(column.kind, Reference | References)
        if not fixed and column.field != "collect_until" and draw(st.booleans()):
            row[column.heading], wanted[column.field] = draw(_cell(column.kind))
        elif not fixed and column.field not in ("loss_chance", "damage_chance", "whole_load_loss"):
            wanted[column.field] = column.default
    return row, wanted


@given(quote_rows())
def test_every_column_of_a_quote_feeds_its_field(row: tuple[dict[str, Any], dict[str, Any]]) -> None:
    always = {"Quote": "Always", "Means": "van"}
    tables = sound(Quotes=[row[0], always], Move={}, Cover=[])
    quote = _sound_move(reading_of(raw_sheets(tables))).quotes["Q"]
    assert {name: getattr(quote, name) for name in row[1]} == row[1]


JUNK = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-5, 200),
    st.floats(-1e3, 1e6),
    st.sampled_from([float("nan"), float("inf"), 10**30, -0.0, 1e-300]),
    st.text(max_size=6),
    st.sampled_from(["LP", "12", "van", "post", "Van", "standard", "1.234,5", "98 %", "$4", "12; 7", "yes", ";", "P1"]),
    st.sampled_from([ErrorValue("#N/A"), Uncalculated(), ShownAsPercent(0.5), ShownAsPercent(7)]),
    st.dates(),
    st.datetimes(),
    st.times(),
    st.timedeltas(),
)


@st.composite
def spoiled(draw: Any) -> list[RawSheet]:
    """The sound workbook with some cells of some sheets replaced by anything."""
    sheets = raw_sheets(sound())
    for _ in range(draw(st.integers(1, 8))):
        place = draw(st.integers(0, len(sheets) - 1))
        rows = [(number, list(values)) for number, values in sheets[place].rows]
        row = draw(st.integers(0, len(rows) - 1))
        if rows[row][1]:
            rows[row][1][draw(st.integers(0, len(rows[row][1]) - 1))] = draw(JUNK)
        sheets[place] = RawSheet(sheets[place].name, tuple((number, tuple(values)) for number, values in rows))
    return sheets


@settings(max_examples=300, deadline=None)
@given(spoiled())
def test_whatever_stands_in_the_cells_a_reading_comes_out(sheets: list[RawSheet]) -> None:
    """No junk makes the reader fail, and what it lets through the domain accepts: nothing is raised at birth."""
    reading = reading_of(sheets)
    assert (reading.move is None) == bool(reading.errors)
    names = {sheet.name for sheet in INPUT_SHEETS}
    for problem in (*reading.errors, *reading.notices):
        assert problem.sheet in names
        assert problem.cell.rstrip("0123456789").isalpha()
        assert problem.sentence


@pytest.mark.parametrize("sheet", [sheet for sheet in INPUT_SHEETS if not sheet.settings], ids=lambda sheet: sheet.name)
@pytest.mark.parametrize("raw", [-1, 0, "", 1e-9, 10**12, "x"], ids=repr)
def test_every_column_refuses_or_takes_the_same_edge(sheet: Sheet, raw: Any) -> None:
    """Each column of each sheet in turn holds an edge value: read or told, never a failure."""
    tables = {**planning_rows(Units.KILOGRAM_CENTIMETRE), **sound()}
    for column in sheet.columns:
        rows = [dict(row) for row in tables[sheet.name]]
        rows[0][column.heading] = raw or None
        reading = reading_of(raw_sheets({**sound(), sheet.name: rows}))
        assert (reading.move is None) == bool(reading.errors), column.heading
