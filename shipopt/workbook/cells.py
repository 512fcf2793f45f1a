"""From the file to raw cell values: the half of reading that knows how a workbook is stored.

A ``RawSheet`` is the rows of one worksheet that hold anything, each with its number, each cell a raw value (see
``raw``). What the cells mean is not known here. The package, its sheets and its styles are openpyxl's affair, rows
are streamed by ``sheet_xml``. Called by the reader.
"""

import re
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from io import BytesIO
from typing import Any, NamedTuple
from zipfile import ZipFile

from openpyxl.reader.excel import ExcelReader
from openpyxl.styles.numbers import builtin_format_code
from openpyxl.styles.stylesheet import Stylesheet
from openpyxl.utils import get_column_letter, range_boundaries
from openpyxl.utils.datetime import from_excel, from_ISO8601
from openpyxl.xml.constants import ARC_STYLE, SHARED_STRINGS
from openpyxl.xml.functions import fromstring

from shipopt.workbook import problems
from shipopt.workbook.files import NotReadable, WorkbookFile
from shipopt.workbook.plain_text import tidy
from shipopt.workbook.problems import problem
from shipopt.workbook.raw import ErrorValue, ShownAsPercent, Uncalculated
from shipopt.workbook.sheet_xml import StoredCell, shared_strings, stored_rows

MOST_ROWS = 200_000
"""Rows with anything in them that are read of one sheet."""

MOST_COLUMNS = 256
"""Columns of a sheet that are looked at; the widest sheet declared has fewer than fifty."""

CUSTOM_FORMATS_FROM = 164
"""Number formats below this are built in (ECMA-376 Part 1, 18.8.30 numFmt)."""

_QUOTED = re.compile(r'"[^"]*"|\\.')


@dataclass(frozen=True)
class RawSheet:
    """One worksheet as stored. ``rows`` are (row number from 1, values from column A on), blank rows left out.
    ``merged`` are ranges of merged cells."""

    name: str
    rows: tuple[tuple[int, tuple[Any, ...]], ...]
    cut_off: bool = False
    merged: tuple["MergedCells", ...] = ()


class MergedCells(NamedTuple):
    """A range of merged cells: rows from 1, columns from 0, each the first and the last."""

    top: int
    left: int
    bottom: int
    right: int


@dataclass(frozen=True, slots=True)
class _Book:
    """What cells of every sheet refer to: shared strings, styles that make dates or percents, the first day."""

    strings: list[str | None]
    dates: frozenset[int]
    durations: frozenset[int]
    percents: frozenset[int]
    epoch: Any


def raw_sheets(file: WorkbookFile, wanted: Callable[[str], bool]) -> list[RawSheet]:
    """The worksheets in their order; rows only of those whose name ``wanted`` says yes to. Raises NotReadable."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            return _raw_sheets(file, wanted)
        except Exception as reason:
            # The parts of a damaged workbook raise whatever comes (KeyError, TypeError, ExpatError, ...); to the
            # reader they are all one finding.
            raise NotReadable(problem(problems.FILE_DAMAGED, found=f"{type(reason).__name__}: {reason}")) from reason


def _raw_sheets(file: WorkbookFile, wanted: Callable[[str], bool]) -> list[RawSheet]:
    package = ExcelReader(BytesIO(file.content), read_only=True, data_only=True, keep_links=False)
    package.read_manifest()
    package.read_workbook()
    archive = package.archive
    strings = package.package.find(SHARED_STRINGS)
    book = _Book(_strings(archive, strings and strings.PartName[1:]), *_styles(archive), package.wb.epoch)
    return [
        _raw_sheet(sheet.name, archive, part.target, book) if wanted(sheet.name) else RawSheet(sheet.name, ())
        for sheet, part in package.parser.find_sheets()
        if part.Type.endswith("/worksheet") and part.target in package.valid_files
    ]


def _strings(archive: ZipFile, name: str | None) -> list[str | None]:
    """The shared strings, None for one in which nothing can be seen."""
    if name is None:
        return []
    with archive.open(name) as part:
        return [_text(text) for text in shared_strings(part)]


def _styles(archive: ZipFile) -> tuple[frozenset[int], frozenset[int], frozenset[int]]:
    """Indices of the cell styles that show dates, durations and percents."""
    if ARC_STYLE not in archive.namelist():
        return frozenset(), frozenset(), frozenset()
    sheet = Stylesheet.from_tree(fromstring(archive.read(ARC_STYLE)))
    percents = set()
    for index, style in enumerate(sheet.cell_styles):
        custom = style.numFmtId - CUSTOM_FORMATS_FROM
        shown = sheet.number_formats[custom] if custom >= 0 else builtin_format_code(style.numFmtId)
        if is_percent_format(shown or ""):
            percents.add(index)
    return frozenset(sheet.date_formats), frozenset(sheet.timedelta_formats), frozenset(percents)


def is_percent_format(number_format: str) -> bool:
    """Whether a number format shows a hundred times the number, with a percent sign: one that is not quoted."""
    return "%" in _QUOTED.sub("", number_format)


def _raw_sheet(name: str, archive: ZipFile, target: str, book: _Book) -> RawSheet:
    rows: list[tuple[int, tuple[Any, ...]]] = []
    merged: list[str] = []
    with archive.open(target) as part:
        for number, cells in stored_rows(part, merged):
            values = _values(cells, book)
            if not values:
                continue
            if len(rows) > MOST_ROWS:
                return RawSheet(name, tuple(rows), cut_off=True)
            rows.append((number, values))
    return RawSheet(name, tuple(rows), merged=tuple(_merged(each) for each in merged))


def _merged(reference: str) -> MergedCells:
    left, top, right, bottom = range_boundaries(reference)
    if None in (left, top, right, bottom):
        raise ValueError(f"{reference!r} is no range of merged cells")
    return MergedCells(top, left - 1, bottom, right - 1)


def _values(cells: list[StoredCell], book: _Book) -> tuple[Any, ...]:
    """Raw values from column A to the last that holds anything."""
    found = [(cell.column, value) for cell in cells if (value := _raw(cell, book)) is not None]
    found = [(column, value) for column, value in found if column < MOST_COLUMNS]
    if not found:
        return ()
    values = [None] * (max(column for column, _ in found) + 1)
    for column, value in found:
        values[column] = value
    return tuple(values)


def _raw(cell: StoredCell, book: _Book) -> Any:
    """One cell's raw value. A formula without a stored value was never calculated, unless its type says that its
    value is a text: that text is empty."""
    if not cell.text:
        return Uncalculated() if cell.formula and cell.kind != "str" else None
    match cell.kind:
        case "n":
            return _number(cell.text, cell.style, book)
        case "s":
            return book.strings[int(cell.text)]
        case "b":
            return bool(int(cell.text))
        case "e":
            return ErrorValue(cell.text)
        case "d":
            return from_ISO8601(cell.text)
        case _:
            return _text(cell.text)


def _text(text: str) -> str | None:
    return text if tidy(text) else None


def _number(text: str, style: int, book: _Book) -> Any:
    number = int(text) if text.lstrip("-").isdecimal() else float(text)
    if style in book.dates:
        try:
            return from_excel(number, book.epoch, timedelta=style in book.durations)
        except (OverflowError, ValueError):
            return ErrorValue(f"a date out of range ({text})")
    return ShownAsPercent(number) if style in book.percents else number


def column_letter(index: int) -> str:
    """The letters of a column, counted from 0: A, B, … Z, AA."""
    letters: str = get_column_letter(index + 1)
    return letters
