"""From the file to raw cell values: the half of reading that knows the spreadsheet library.

A ``RawSheet`` is the rows of one worksheet that hold anything, each with its number, each cell a raw value (see
``raw``). What the cells mean is not known here. Called by the reader.
"""

import re
import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from io import BytesIO
from typing import Any

import openpyxl
from openpyxl.cell.read_only import EMPTY_CELL
from openpyxl.utils import get_column_letter

from shipopt.workbook import problems
from shipopt.workbook.files import NotReadable, WorkbookFile
from shipopt.workbook.plain_text import tidy
from shipopt.workbook.problems import problem
from shipopt.workbook.raw import ErrorValue, ShownAsPercent, Uncalculated

MOST_ROWS = 200_000
"""Rows with anything in them that are read of one sheet."""

MOST_COLUMNS = 256
"""Columns of a sheet that are looked at; the widest sheet declared has fewer than fifty."""

_QUOTED = re.compile(r'"[^"]*"|\\.')


@dataclass(frozen=True)
class RawSheet:
    """One worksheet as stored. ``rows`` are (row number from 1, values from column A on), blank rows left out."""

    name: str
    rows: tuple[tuple[int, tuple[Any, ...]], ...]
    cut_off: bool = False


def raw_sheets(file: WorkbookFile, wanted: Callable[[str], bool]) -> list[RawSheet]:
    """The worksheets in their order; rows only of those whose name ``wanted`` says yes to. Raises NotReadable."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            formulas = _formula_cells(file, wanted) if file.has_formulas else {}
            book = openpyxl.load_workbook(BytesIO(file.content), read_only=True, data_only=True)
            return [
                _raw_sheet(sheet, formulas.get(sheet.title, frozenset()))
                if wanted(sheet.title)
                else RawSheet(sheet.title, ())
                for sheet in book.worksheets
            ]
        except NotReadable:
            raise
        except Exception as reason:
            # The library raises whatever its parts raise (KeyError, TypeError, ParseError, ...) on a damaged
            # workbook; to the reader they are all one finding.
            raise NotReadable(problem(problems.FILE_DAMAGED, found=f"{type(reason).__name__}: {reason}")) from reason


def _formula_cells(file: WorkbookFile, wanted: Callable[[str], bool]) -> dict[str, frozenset[tuple[int, int]]]:
    """Row and column of every cell with a formula, by sheet: stored values do not tell a blank from a formula
    that was never calculated."""
    book = openpyxl.load_workbook(BytesIO(file.content), read_only=True, data_only=False)
    return {
        sheet.title: frozenset(
            (cell.row, cell.column) for _, row in _rows(sheet) for cell in row if cell.data_type == "f"
        )
        for sheet in book.worksheets
        if wanted(sheet.title)
    }


def _rows(sheet: Any) -> Iterator[tuple[int, tuple[Any, ...]]]:
    """Rows with their numbers. The sheet's own statement of its size is not trusted: it may be wrong."""
    sheet.reset_dimensions()
    return enumerate(sheet.iter_rows(), start=1)


def _raw_sheet(sheet: Any, formulas: frozenset[tuple[int, int]]) -> RawSheet:
    rows: list[tuple[int, tuple[Any, ...]]] = []
    percent: dict[str, bool] = {}
    for number, cells in _rows(sheet):
        values = [
            (_blank(cell, formulas) if formulas else None) if cell.value is None else _raw(cell, percent)
            for cell in cells[:MOST_COLUMNS]
        ]
        while values and values[-1] is None:
            values.pop()
        if not values:
            continue
        if len(rows) > MOST_ROWS:
            return RawSheet(sheet.title, tuple(rows), cut_off=True)
        rows.append((number, tuple(values)))
    return RawSheet(sheet.title, tuple(rows))


def _blank(cell: Any, formulas: frozenset[tuple[int, int]]) -> Uncalculated | None:
    """A cell without a value: blank, a formula whose stored value is the empty text (its type is then text), or
    one that was never calculated."""
    never = cell is not EMPTY_CELL and cell.data_type != "str" and (cell.row, cell.column) in formulas
    return Uncalculated() if never else None


def _raw(cell: Any, percent: dict[str, bool]) -> Any:
    """One cell's raw value."""
    value = cell.value
    if isinstance(value, str):
        if cell.data_type == "e":
            return ErrorValue(value)
        return value if tidy(value) else None
    if isinstance(value, int | float) and not isinstance(value, bool):
        number_format = cell.number_format
        if number_format not in percent:
            percent[number_format] = is_percent_format(number_format)
        return ShownAsPercent(value) if percent[number_format] else value
    return value


def is_percent_format(number_format: str) -> bool:
    """Whether a number format shows a hundred times the number, with a percent sign: one that is not quoted."""
    return "%" in _QUOTED.sub("", number_format)


def column_letter(index: int) -> str:
    """The letters of a column, counted from 0: A, B, … Z, AA."""
    letters: str = get_column_letter(index + 1)
    return letters
