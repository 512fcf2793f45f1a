"""Workbooks whose structure is odd: each is told with a place, or read right; none raises. And numbers as people of
several places type them: read where the meaning is certain, told where it is not.
"""

from collections.abc import Callable
from datetime import datetime
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.styles import Protection
from openpyxl.worksheet.datavalidation import DataValidation
from workbook.books import SOUND, changed, sound, with_cells, written

from faults.cells import part_of_sheet, parts_of, workbook_of
from shipopt.workbook.declaration import INPUT_SHEETS
from shipopt.workbook.reader import Reading, read

Change = Callable[[openpyxl.Workbook], Any]
REQUIRED = [sheet.name for sheet in INPUT_SHEETS if sheet.required]
REQUIRED_COLUMNS = [
    (sheet.name, place, column.heading)
    for sheet in INPUT_SHEETS
    if not sheet.settings
    for place, column in enumerate(sheet.columns, start=1)
    if column.required
]


def after(folder: Path, change: Change) -> Reading:
    """The reading of the sound workbook after a change by another program."""
    return read(changed(written(folder), change))


def codes(reading: Reading) -> set[str]:
    """Codes of all errors."""
    return {error.code for error in reading.errors}


@pytest.mark.parametrize("sheet", REQUIRED)
def test_a_required_sheet_that_is_gone_is_named(tmp_path: Path, sheet: str) -> None:
    reading = after(tmp_path, lambda book: book.remove(book[sheet]))
    assert any(error.code == "sheet-missing" and sheet in str(error) for error in reading.errors)


@pytest.mark.parametrize("sheet", REQUIRED)
def test_a_required_sheet_renamed_is_missed(tmp_path: Path, sheet: str) -> None:
    def rename(book: openpyxl.Workbook) -> None:
        book[sheet].title = "Something else"

    assert "sheet-missing" in codes(after(tmp_path, rename))


@pytest.mark.parametrize(("sheet", "place", "heading"), REQUIRED_COLUMNS)
def test_a_required_heading_renamed_is_missed(tmp_path: Path, sheet: str, place: int, heading: str) -> None:
    reading = after(tmp_path, lambda book: book[sheet].cell(1, place, "Something else"))
    assert any(error.code == "column-missing" and heading in str(error) for error in reading.errors)


@pytest.mark.parametrize(
    ("sheet", "cell", "twice"),
    [
        ("Records", "A3", "A1"), ("Formats", "A3", None), ("Cartons", "A3", None), ("Quotes", "A3", "Van"),
        ("Care", "A3", None), ("Means", "A3", None),
    ],
)  # fmt: skip
def test_a_name_twice_is_told_in_the_second_cell(tmp_path: Path, sheet: str, cell: str, twice: str | None) -> None:
    reading = after(tmp_path, lambda book: book[sheet].__setitem__(cell, twice or book[sheet]["A2"].value))
    assert (f"{sheet}!{cell}", "name-twice") in {(error.place, error.code) for error in reading.errors}


def _hide(book: openpyxl.Workbook) -> None:
    book["Records"].row_dimensions[3].hidden = True
    book["Records"].column_dimensions["F"].hidden = True
    book["Quotes"].sheet_state = "hidden"


def _protect(book: openpyxl.Workbook) -> None:
    for sheet in book.worksheets:
        sheet.protection.sheet = True
        sheet["A1"].protection = Protection(locked=True, hidden=True)


def _move_columns(book: openpyxl.Workbook) -> None:
    rows = [list(row) for row in book["Records"].iter_rows(values_only=True)]
    for number, row in enumerate(rows, start=1):
        for place, value in enumerate(reversed(row), start=1):
            book["Records"].cell(number, place).value = value


def _dress(book: openpyxl.Workbook) -> None:
    book["Records"].freeze_panes = "B2"
    book["Records"].auto_filter.ref = "A1:D4"
    book["Records"].add_data_validation(DataValidation(type="whole", sqref="E2:E9"))
    book["Records"]["D1"].value = "  fOrMaT\n "
    book.create_sheet("Scribbles")["A1"] = "mine"


def _space_out(book: openpyxl.Workbook) -> None:
    book["Records"].insert_rows(3, 40)


@pytest.mark.parametrize("change", [_hide, _protect, _move_columns, _dress, _space_out])
def test_what_changes_no_value_changes_nothing_that_is_read(tmp_path: Path, change: Change) -> None:
    plain = read(written(tmp_path)).move
    reading = after(tmp_path, change)
    assert plain is not None
    assert reading.move is not None, reading.errors
    assert [(r.record_id, r.value, r.copies) for r in reading.move.records] == [
        (r.record_id, r.value, r.copies) for r in plain.records
    ]
    assert list(reading.move.quotes) == list(plain.quotes)


@pytest.mark.parametrize(
    ("sheet", "merged", "told"),
    [
        ("Records", "F2:F3", "F3"),  # one value over two records
        ("Records", "D2:D4", "D3"),
        ("Records", "E2:F2", "F2"),  # over two columns
        ("Records", "A3:F4", "D3"),  # a block: the first that is more than a text for people
        ("Quotes", "A2:A3", "A3"),
        ("Rate cards", "A2:A3", "A3"),
        ("Cover", "G2:G3", "G3"),
        ("Move", "B4:B5", "B5"),
        ("Records", "D1:E1", "E1"),  # the headings
        ("Records", "E1:G1", "F1"),
        ("Records", "E1:G2", "E2"),  # headings and data
    ],
)
def test_merged_cells_that_hide_what_is_read_are_errors(tmp_path: Path, sheet: str, merged: str, told: str) -> None:
    """A default in place of what shows over both cells would be a silent loss."""
    before = read(written(tmp_path)).move
    assert before is not None
    reading = after(tmp_path, lambda book: book[sheet].merge_cells(merged))
    assert reading.move is None
    assert (f"{sheet}!{told}", "cells-merged") in {(error.place, error.code) for error in reading.errors}


@pytest.mark.parametrize(
    ("sheet", "merged"),
    [
        ("Records", "A20:O40"),  # where nothing stands
        ("Quotes", "AU1:AV1"),  # right of all
        ("Records", "Q2:Q4"),
        ("Start here", "A1:C3"),
    ],
)
def test_merged_cells_elsewhere_do_no_harm(tmp_path: Path, sheet: str, merged: str) -> None:
    plain = read(written(tmp_path)).move
    reading = after(tmp_path, lambda book: book[sheet].merge_cells(merged))
    assert reading.move == plain


def test_a_merged_title_above_the_headings_does_no_harm(tmp_path: Path) -> None:
    def head(book: openpyxl.Workbook) -> None:
        book["Records"].insert_rows(1, 2)
        book["Records"]["A1"] = "All my records (invented)"
        book["Records"].merge_cells("A1:H2")

    reading = after(tmp_path, head)
    assert reading.move is not None, reading.errors
    assert len(reading.move.records) == 3


def test_merged_texts_for_people_are_told(tmp_path: Path) -> None:
    """An artist over several records: the plan is the same, and what lists will lack is said."""
    plain = read(written(tmp_path)).move
    reading = after(tmp_path, lambda book: book["Records"].merge_cells("B2:B4"))
    assert plain is not None
    assert reading.move is not None, reading.errors
    assert [record.value for record in reading.move.records] == [record.value for record in plain.records]
    assert [(notice.place, notice.code) for notice in reading.notices] == [("Records!B3", "cells-merged")]


@pytest.mark.parametrize("reference", ["", "A1:", "nonsense", "A1:ZZZZ9999999999", "B2:A1", "A:C", "1:4"])
def test_ranges_of_merged_cells_that_are_none_give_findings_or_a_move(tmp_path: Path, reference: str) -> None:
    path = written(tmp_path)
    parts = parts_of(path.read_bytes())
    name = part_of_sheet(parts, "Records")
    marks = f'<mergeCells count="1"><mergeCell ref="{reference}"/></mergeCells>'
    parts[name] = parts[name].replace(b"</sheetData>", b"</sheetData>" + marks.encode())
    path.write_bytes(workbook_of(parts))
    reading = read(path)
    assert (reading.move is None) == bool(reading.errors)


@pytest.mark.parametrize("sheet", ["Quotes", "Cartons", "Formats", "Care", "Means"])
def test_a_sheet_without_rows_is_told(tmp_path: Path, sheet: str) -> None:
    reading = after(tmp_path, lambda book: book[sheet].delete_rows(2, 500))
    assert reading.move is None
    assert reading.errors


RIGHT = {
    "1250": "1250", "1,250.00": "1250", "1 250": "1250", "1\N{NO-BREAK SPACE}250.50": "1250.5",
    "1\N{NARROW NO-BREAK SPACE}250": "1250", "$40": "40", "40 EUR": "40", "\N{EURO SIGN}40": "40",
    " 12.5 ": "12.5", "0": "0", "0.00": "0", "1000000000": "1000000000",
}  # fmt: skip
UNCERTAIN_OR_NONE = (
    "1.234,5", "1.234.567,89", "12,5", "1,25", "--5", "5-", "1e3000", "\N{ARABIC-INDIC DIGIT ONE}x", "NaN", "inf",
    "-inf", "1,2,3", "12 lb", "twelve", "\N{SLIGHTLY SMILING FACE}", "=1+1x", "1/2", "0x10", "1_000", "9" * 400,
)  # fmt: skip


@pytest.mark.parametrize("typed", RIGHT)
def test_numbers_of_certain_meaning_are_read(tmp_path: Path, typed: str) -> None:
    reading = read(with_cells(written(tmp_path), {"Records!F2": typed}))
    if reading.move is None:
        assert [error.place for error in reading.errors] == ["Records!F2"]
        assert typed in ("$40",), "only the sign of another currency is refused"
    else:
        assert reading.move.records[0].value == Decimal(RIGHT[typed])


@pytest.mark.parametrize("typed", UNCERTAIN_OR_NONE)
def test_numbers_of_uncertain_meaning_are_told(tmp_path: Path, typed: str) -> None:
    reading = read(with_cells(written(tmp_path), {"Records!F2": typed}))
    assert reading.move is None
    assert "Records!F2" in {error.place for error in reading.errors}


@pytest.mark.parametrize(
    "value", ["2031-03-01", datetime(2031, 3, 1), datetime(2031, 3, 1, 23, 59), " 2031-03-01 "], ids=str
)
def test_dates_are_read(tmp_path: Path, value: object) -> None:
    reading = read(with_cells(written(tmp_path), {"Move!B7": value}))
    assert reading.move is not None, reading.errors
    assert str(reading.move.settings.decide_on) == "2031-03-01"


@pytest.mark.parametrize("text", ["\N{PILE OF POO}" * 9, "x" * 32_767, "=cmd", "+1", "@now", "<b>&amp;"])
def test_any_text_is_read_as_it_is(tmp_path: Path, text: str) -> None:
    rows = sound(Records=[{**SOUND["Records"][0], "Title": text}])
    reading = read(written(tmp_path, rows))
    assert reading.move is not None, reading.errors
    assert reading.move.records[0].title.strip() == text.strip()


def test_marks_that_turn_the_direction_of_writing_are_left_out(tmp_path: Path) -> None:
    """A title could else make the numbers behind it look like others (Unicode Standard Annex 9, explicit overrides)."""
    rows = sound(Records=[{**SOUND["Records"][0], "Title": "\N{RIGHT-TO-LEFT OVERRIDE}x"}])
    reading = read(written(tmp_path, rows))
    assert reading.move is not None, reading.errors
    assert reading.move.records[0].title == "x"
