"""From the file to raw values: formulas, error cells, percent formats, sizes that the file misstates."""

import re
import zipfile
from datetime import date
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
from openpyxl.styles import numbers
from workbook.books import changed, sound, told, with_cells, written

from shipopt.workbook.cells import is_percent_format, raw_sheets
from shipopt.workbook.files import open_file
from shipopt.workbook.raw import ErrorValue, ShownAsPercent, Uncalculated
from shipopt.workbook.reader import read


def _stored_value(path: Path, cell: str, stored: str) -> None:
    """Puts a stored value behind a formula, as a spreadsheet program does when it saves."""
    with zipfile.ZipFile(path) as archive:
        parts = {info.filename: archive.read(info) for info in archive.infolist()}
    found = 0
    for name in parts:
        if name.startswith("xl/worksheets/sheet"):
            pattern = rf'<c r="{cell}"([^>]*)><f>([^<]*)</f><v\s*/?>(</v>)?'.encode()
            parts[name], times = re.subn(
                pattern, rb'<c r="%s"\1><f>\2</f>%s' % (cell.encode(), stored.encode()), parts[name]
            )
            found += times
    assert found == 1
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)


def test_a_formula_never_calculated_is_an_error(tmp_path: Path) -> None:
    path = with_cells(written(tmp_path), {"Records!F2": "=10+10"})
    (error,) = read(path).errors
    assert (error.code, error.place) == ("formula-without-value", "Records!F2")
    assert "save it" in error.sentence


def test_a_formula_is_read_by_its_stored_value(tmp_path: Path) -> None:
    path = with_cells(written(tmp_path), {"Records!F2": "=10+10.5"})
    _stored_value(path, "F2", "<v>20.5</v>")
    reading = read(path)
    assert reading.move is not None
    assert reading.move.records[0].value == Decimal("20.5")


def test_a_formula_whose_stored_value_is_empty_text_is_blank(tmp_path: Path) -> None:
    path = with_cells(written(tmp_path), {"Records!F2": '=IF(1,"","")'})
    _stored_value(path, "F2", "<v></v>")
    with zipfile.ZipFile(path) as archive:
        parts = {info.filename: archive.read(info) for info in archive.infolist()}
    name = next(name for name in parts if b"IF(1," in parts[name])
    parts[name] = re.sub(rb'<c r="F2"([^>]*)>', rb'<c r="F2"\1 t="str">', parts[name])
    with zipfile.ZipFile(path, "w") as archive:
        for part, content in parts.items():
            archive.writestr(part, content)
    assert told(read(path).errors) == [("no-value", "Records!F2")]


@pytest.mark.parametrize("shown", ["#REF!", "#N/A", "#DIV/0!", "#VALUE!", "#NAME?", "#NUM!", "#NULL!"])
def test_error_cells_are_errors(tmp_path: Path, shown: str) -> None:
    path = with_cells(written(tmp_path), {"Records!F2": shown})
    (error,) = read(path).errors
    assert (error.code, error.place, error.found) == ("error-value", "Records!F2", shown)


def test_an_error_where_text_stands_is_an_error_too(tmp_path: Path) -> None:
    path = with_cells(written(tmp_path), {"Records!C2": "#REF!", "Move!B2": "#NAME?"})
    assert told(read(path).errors) == [("error-value", "Move!B2"), ("error-value", "Records!C2")]


@pytest.mark.parametrize(
    ("number_format", "percent"),
    [("0%", True), ("0.00%", True), ('0" %"', False), ("0\\%", False), ("General", False), ('0.0"x"%', True)],
)
def test_percent_formats_are_told_from_signs_in_quotes(number_format: str, percent: bool) -> None:
    assert is_percent_format(number_format) is percent


def test_a_percent_cell_holds_the_fraction(tmp_path: Path) -> None:
    """0.95 in a cell that shows 95 % is 95 %; 95 in an ordinary cell is 95 % too."""

    def fill(book: openpyxl.Workbook) -> None:
        for row in book["Move"].iter_rows(min_col=1, max_col=2):
            if row[0].value == "Fill at most %":
                row[1].value, row[1].number_format = 0.95, numbers.FORMAT_PERCENTAGE
            if row[0].value == "Fill at least %":
                row[1].value = 85

    reading = read(changed(written(tmp_path), fill))
    assert reading.move is not None
    assert (reading.move.settings.fill_most, reading.move.settings.fill_least) == (Decimal("0.95"), Decimal("0.85"))
    assert reading.notices == ()


def test_a_percent_typed_as_a_fraction_is_noted(tmp_path: Path) -> None:
    reading = read(written(tmp_path, sound(Move={"Damage costs this share of value %": 0.3})))
    assert [notice.code for notice in reading.notices] == ["fraction-likely"]
    assert reading.move is not None
    assert reading.move.settings.damage_share == Decimal("0.003")


def test_a_stated_size_that_is_wrong_hides_nothing(tmp_path: Path) -> None:
    path = written(tmp_path)
    with zipfile.ZipFile(path) as archive:
        parts = {info.filename: archive.read(info) for info in archive.infolist()}
    for name in parts:
        if name.startswith("xl/worksheets/sheet"):
            parts[name] = re.sub(rb'<dimension ref="[^"]*"', b'<dimension ref="A1:B2"', parts[name])
    with zipfile.ZipFile(path, "w") as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    reading = read(path)
    assert reading.move is not None
    assert len(reading.move.records) == 3


def test_raw_values_are_marked(tmp_path: Path) -> None:
    path = tmp_path / "raw.xlsx"
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Raw"
    sheet.append(["a", "  ", None, 3, 0.5, True, date(2026, 3, 1), "=1+1", "#REF!", "\u200b"])
    sheet["E1"].number_format = "0%"
    sheet["A3"] = "after a blank row"
    book.save(path)
    (raw,) = raw_sheets(open_file(path), lambda name: True)
    (first, values), (third, _) = raw.rows
    assert (first, third) == (1, 3)
    assert values[:6] == ("a", None, None, 3, ShownAsPercent(0.5), True)
    assert values[6].date() == date(2026, 3, 1)
    assert values[7:] == (Uncalculated(), ErrorValue("#REF!"))


def test_rows_beyond_the_most_are_an_error_not_dropped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("shipopt.workbook.cells.MOST_ROWS", 3)
    codes = [error.code for error in read(written(tmp_path)).errors]
    assert "too-many-rows" in codes
