"""Workbooks saved anew by other spreadsheet programs are read the same, and results opened there have equal totals.

LibreOffice and Gnumeric (its command ``ssconvert``); skipped, saying so, where one is not installed.
"""

from collections.abc import Callable, Sequence
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
from small_moves import small_plan
from spreadsheet_program import need_gnumeric, need_spreadsheet_program, recalculated, saved_by_gnumeric
from workbook.books import written

from shipopt.move.move import Move
from shipopt.workbook.reader import read
from shipopt.workbook.results.writing import write_results

Saved = Callable[[Sequence[Path], Path], list[Path]]


def by_libreoffice(workbooks: Sequence[Path], folder: Path) -> list[Path]:
    """The workbooks saved anew by LibreOffice."""
    need_spreadsheet_program()
    return recalculated(workbooks, folder)


def by_gnumeric(workbooks: Sequence[Path], folder: Path) -> list[Path]:
    """The workbooks opened, worked out again and saved by Gnumeric."""
    need_gnumeric()
    return saved_by_gnumeric(workbooks, folder)


PROGRAMS = pytest.mark.parametrize(
    "saved", [pytest.param(by_libreoffice, marks=pytest.mark.spreadsheet), by_gnumeric], ids=["LibreOffice", "Gnumeric"]
)


def _move(path: Path) -> Move:
    reading = read(path)
    assert reading.move is not None, [str(error) for error in reading.errors]
    return reading.move


@PROGRAMS
def test_an_input_saved_and_saved_again_is_the_same_move(saved: Saved, tmp_path: Path) -> None:
    path = written(tmp_path)
    (once,) = saved([path], tmp_path / "once")
    (twice,) = saved([once], tmp_path / "twice")
    assert _move(once) == _move(path)
    assert _move(twice) == _move(path)


def _amounts(path: Path) -> dict[str, Decimal]:
    """The numbers of the sheet Plan by their label."""
    book = openpyxl.load_workbook(path, data_only=True, read_only=True)  # whole, it stumbles over Gnumeric's notes
    rows = book["Plan"].iter_rows(max_row=40, max_col=2, values_only=True)
    return {str(label): round(Decimal(str(value)), 6) for label, value in rows if type(value) in (int, float) and label}


@PROGRAMS
def test_results_opened_elsewhere_have_equal_totals(saved: Saved, tmp_path: Path) -> None:
    path = tmp_path / "plan.xlsx"
    write_results(path, small_plan())
    (other,) = saved([path], tmp_path / "elsewhere")
    assert len(_amounts(path)) > 10
    assert _amounts(other) == _amounts(path)
