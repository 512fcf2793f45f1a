"""Cells are put into a stored workbook, and every byte that has nothing to do with them stays."""

from decimal import Decimal
from pathlib import Path
from zipfile import ZipFile

import openpyxl
import pytest
from books import written
from hypothesis import given
from hypothesis import strategies as st

from shipopt.workbook.patching import _patched, formulas_in, patched
from shipopt.workbook.sheet_xml import StoredCell, stored_rows

SHEET = (
    b'<?xml version="1.0" encoding="UTF-8"?>\n<x:worksheet xmlns:x="n"><x:dimension ref="B2:C4"/>'
    b'<x:cols><x:col min="1" max="2" style="7"/></x:cols><x:sheetData>'
    b'<x:row r="2" spans="2:3" ht="9"><x:c r="B2" s="3"><x:v>1</x:v></x:c>'
    b'<x:c r="C2"><x:f>B2</x:f><x:v>1</x:v></x:c></x:row><x:row r="4"/></x:sheetData>'
    b'<x:note a="a &gt; b"/></x:worksheet>'
)


def cells_of(part: bytes, folder: Path) -> dict[tuple[int, int], StoredCell]:
    (folder / "part.xml").write_bytes(part)
    with (folder / "part.xml").open("rb") as file:
        return {(number, cell.column): cell for number, cells in stored_rows(file) for cell in cells}


def test_rows_and_cells_go_where_they_belong(tmp_path: Path) -> None:
    part = _patched(SHEET, {(2, 0): "a < b", (2, 1): Decimal("2.50"), (3, 1): "x", (4, 0): 4, (9, 3): "end"})
    assert b'ref="A2:D9"' in part
    assert b'<x:row r="2" ht="9"><x:c r="A2" s="7" t="inlineStr"' in part
    assert b'<x:c r="B2" s="3"><x:v>2.50</x:v></x:c><x:c r="C2"><x:f>B2</x:f><x:v>1</x:v></x:c></x:row>' in part
    assert part.endswith(b'</x:sheetData><x:note a="a &gt; b"/></x:worksheet>')
    found = cells_of(part, tmp_path)
    assert list(found) == [(2, 0), (2, 1), (2, 2), (3, 1), (4, 0), (9, 3)]
    assert found[2, 0].text == "a < b"


def test_a_sheet_without_rows_gets_some(tmp_path: Path) -> None:
    for empty in (b"<sheetData/>", b"<sheetData />", b"<sheetData></sheetData>"):
        part = _patched(b"<worksheet>" + empty + b"<z/></worksheet>", {(2, 0): 1, (1, 1): 2})
        assert [(at, cell.text) for at, cell in cells_of(part, tmp_path).items()] == [((1, 1), "2"), ((2, 0), "1")]


def test_a_blank_cell_keeps_its_format() -> None:
    assert b'<x:c r="B2" s="3"/>' in _patched(SHEET, {(2, 1): None})


@given(st.dictionaries(st.tuples(st.integers(1, 12), st.integers(0, 5)), st.integers(-9, 9) | st.text(min_size=1)))
def test_whatever_is_put_in_is_found_again(tmp_path_factory: pytest.TempPathFactory, cells: dict) -> None:  # type: ignore[type-arg]
    found = cells_of(_patched(SHEET, cells), tmp_path_factory.getbasetemp())
    for at, value in cells.items():
        if isinstance(value, int):
            assert found[at].text == str(value)
        else:
            assert not found[at].formula
    assert (2, 2) in cells or found[2, 2].formula


def test_other_parts_of_a_workbook_are_the_same_bytes(tmp_path: Path) -> None:
    path = written(tmp_path)
    new = tmp_path / "new.xlsx"
    new.write_bytes(patched(path.read_bytes(), {"records": {(3, 1): "=1+1"}}))
    with ZipFile(path) as old_archive, ZipFile(new) as new_archive:
        assert old_archive.namelist() == new_archive.namelist()
        changed = [n for n in old_archive.namelist() if old_archive.read(n) != new_archive.read(n)]
    assert len(changed) == 1
    cell = openpyxl.load_workbook(new)["Records"]["B3"]
    assert (cell.value, cell.data_type) == ("=1+1", "s") or cell.data_type == "inlineStr"
    assert formulas_in(new.read_bytes(), "Records") == frozenset()
