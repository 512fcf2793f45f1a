"""Streaming of cells: against openpyxl on workbooks of three programs, and on forms of XML that few programs write."""

from io import BytesIO
from pathlib import Path
from xml.parsers.expat import ExpatError

import openpyxl
import pytest
from spreadsheet_program import need_spreadsheet_program, recalculated
from workbook.books import changed, written

from shipopt.workbook.cells import raw_sheets
from shipopt.workbook.files import open_file
from shipopt.workbook.raw import ShownAsPercent
from shipopt.workbook.sheet_xml import column_of, shared_strings, stored_rows
from shipopt.workbook.template import write_template


def _as_openpyxl_reads(path: Path) -> dict[tuple[str, int, int], object]:
    book = openpyxl.load_workbook(path, data_only=True)
    return {
        (sheet.title, cell.row, cell.column): cell.value
        for sheet in book.worksheets
        for row in sheet.iter_rows()
        for cell in row
        if cell.value is not None
    }


def _as_streamed(path: Path) -> dict[tuple[str, int, int], object]:
    return {
        (sheet.name, number, column): value.value if isinstance(value, ShownAsPercent) else value
        for sheet in raw_sheets(open_file(path), lambda name: True)
        for number, values in sheet.rows
        for column, value in enumerate(values, start=1)
        if value is not None
    }


def test_cells_are_those_openpyxl_reads_whoever_wrote_them(tmp_path: Path) -> None:
    path = written(tmp_path)
    assert len(_as_streamed(path)) > 150
    assert _as_streamed(path) == _as_openpyxl_reads(path)
    changed(path, lambda book: book["Move"].__setitem__("B8", "2026-04-01"))
    assert _as_streamed(path) == _as_openpyxl_reads(path)


@pytest.mark.spreadsheet
def test_cells_saved_by_a_spreadsheet_program_are_those_openpyxl_reads(tmp_path: Path) -> None:
    need_spreadsheet_program()
    write_template(tmp_path / "template.xlsx", "lb / in", "JPY")
    for path in recalculated([written(tmp_path), tmp_path / "template.xlsx"], tmp_path / "saved"):
        assert _as_streamed(path) == _as_openpyxl_reads(path)


def _rows_of(xml: str) -> list[tuple[int, list[tuple[int, str, str | None, bool]]]]:
    found = stored_rows(BytesIO(f"<worksheet>{xml}</worksheet>".encode()))
    return [(row, [(cell.column, cell.kind, cell.text, cell.formula) for cell in cells]) for row, cells in found]


@pytest.mark.parametrize(
    ("data", "rows"),
    [
        ("<row r='3'><c r='B3'><v>1</v></c></row>", [(3, [(1, "n", "1", False)])]),
        ("<row><c><v>1</v></c><c><v>2</v></c></row><row><c><v>3</v></c></row>",
         [(1, [(0, "n", "1", False), (1, "n", "2", False)]), (2, [(0, "n", "3", False)])]),
        ("<row r='2'><c r='C2'/><c><v>4</v></c></row>", [(2, [(3, "n", "4", False)])]),
        ("<row r='1'><c r='A1' t='inlineStr'><is><r><t>a</t></r><r><t>b</t></r></is></c></row>",
         [(1, [(0, "inlineStr", "ab", False)])]),
        ("<row r='1'><c r='A1' t='inlineStr'><is><t>a</t><rPh><t>x</t></rPh></is></c></row>",
         [(1, [(0, "inlineStr", "a", False)])]),
        ("<row r='1'><c r='A1'><f>1+1</f></c></row>", [(1, [(0, "n", None, True)])]),
        ("<row r='1'><c r='A1'><f>1+1</f><v>2</v></c></row>", [(1, [(0, "n", "2", True)])]),
        ("<row r='1'><c r='A1' t='str'><f>T(1)</f><v></v></c></row>", [(1, [(0, "str", "", True)])]),
        ("<row r='1'><c r='A1'><f t='shared' si='0'/><v>7</v></c></row>", [(1, [(0, "n", "7", True)])]),
        ("<row r='9'/>", []),
    ],
)  # fmt: skip
def test_forms_of_cells(data: str, rows: object) -> None:
    assert _rows_of(f"<sheetData>{data}</sheetData>") == rows


def test_prefixed_elements_are_read_and_what_stands_outside_the_data_is_not() -> None:
    xml = "<cols><c r='A1'><v>9</v></c></cols><x:sheetData xmlns:x='m'>"
    xml += "<x:row r='1'><x:c r='A1'><x:v>1</x:v></x:c></x:row></x:sheetData>"
    xml += "<extLst><row r='8'><c r='A8'><f>5</f></c></row></extLst>"
    assert _rows_of(xml) == [(1, [(0, "n", "1", False)])]


def test_shared_strings_join_runs_and_leave_out_phonetic_hints() -> None:
    runs = "<r><t>b</t></r><r><t xml:space='preserve'> c</t></r><rPh><t>x</t></rPh>"
    xml = f"<sst><si><t>a</t></si><si>{runs}</si><si/></sst>"
    assert shared_strings(BytesIO(xml.encode())) == ["a", "b c", ""]


def test_broken_xml_is_told() -> None:
    with pytest.raises(ExpatError):
        _rows_of("<sheetData><row>")


@pytest.mark.parametrize(("letters", "place"), [("A", 0), ("Z", 25), ("AA", 26), ("aq", 42), ("XFD", 16383)])
def test_columns_count_from_their_letters(letters: str, place: int) -> None:
    assert column_of(letters) == place


@pytest.mark.parametrize("letters", ["", "A$", "Ä"])
def test_what_is_no_column_is_refused(letters: str) -> None:
    with pytest.raises(ValueError, match="column"):
        column_of(letters)
