"""Workbooks saved anew by other spreadsheet programs are read, planned and carried on the same, and results opened
there have equal totals.

LibreOffice and Gnumeric (its command ``ssconvert``); skipped, saying so, where one is not installed.
"""

from collections.abc import Callable, Sequence
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
from afterwards.books import planned
from small_moves import small_plan
from spreadsheet_program import need_gnumeric, need_spreadsheet_program, recalculated, saved_by_gnumeric
from workbook.books import written

import shipopt
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


@pytest.fixture(scope="module")
def pair(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A workbook and its results."""
    return planned(tmp_path_factory.mktemp("planned"))


def _notes(path: Path) -> dict[str, str]:
    """The notes of the sheet Records by cell."""
    cells = (cell for row in openpyxl.load_workbook(path)["Records"].iter_rows(max_row=9) for cell in row)
    return {cell.coordinate: cell.comment.text.strip() for cell in cells if cell.comment}


@PROGRAMS
def test_a_workbook_saved_elsewhere_is_planned_and_carried_on(
    saved: Saved, pair: tuple[Path, Path], tmp_path: Path
) -> None:
    """Results of the original, saved elsewhere, carry on the original; a workbook saved elsewhere is planned anew."""
    here, there = tmp_path / "next.xlsx", tmp_path / "elsewhere"
    shipopt.carry_on(*pair, here)
    path, results = saved(pair, there)
    shipopt.carry_on(pair[0], results, tmp_path / "by other results.xlsx")
    assert _move(tmp_path / "by other results.xlsx") == _move(here)
    other = shipopt.plan_workbook(path, there / "plan.xlsx")
    assert other.totals.total_cost == shipopt.plan_workbook(pair[0], tmp_path / "plan.xlsx").totals.total_cost
    shipopt.carry_on(path, there / "plan.xlsx", tmp_path / "by other workbook.xlsx")
    assert _move(tmp_path / "by other workbook.xlsx") == _move(here)
    assert _notes(tmp_path / "by other workbook.xlsx") == _notes(here)
    assert len(_notes(here)) > 10


@PROGRAMS
def test_claims_and_forms_come_of_files_saved_elsewhere(saved: Saved, pair: tuple[Path, Path], tmp_path: Path) -> None:
    path, results = saved(pair, tmp_path / "elsewhere")
    assert shipopt.check_in(pair[0], results, tmp_path / "claims.xlsx") == shipopt.check_in(
        *pair, tmp_path / "claims again.xlsx"
    )
    assert (tmp_path / "claims.xlsx").read_bytes() == (tmp_path / "claims again.xlsx").read_bytes()
    forms, others = (shipopt.ask_for_bids(each, tmp_path / f"forms {n}") for n, each in enumerate((pair[0], path)))
    assert [form.read_bytes() for form in forms] == [form.read_bytes() for form in others]
