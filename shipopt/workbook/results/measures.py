"""How wide columns and how high rows must be for what stands in them, in characters and in points.

Spreadsheet programs do not fit a file's rows when they open it, so each row that wraps is given its height here. Widths
are counted in digits of the house's font; running text is a little narrower, capitals and bold a little wider.
"""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from math import ceil
from textwrap import wrap
from typing import Any

from shipopt.workbook import look
from shipopt.workbook.results.cell_text import width
from shipopt.workbook.results.columns import Column, Kind

LINE = 12.75
"""Points of one line of text in the house's font."""
HIGHEST = 409
"""Points that no row may exceed (from memory)."""
MOST_LINES = 6
"""Lines that a row of a list shows of a text; all of it is in the cell."""
RUNNING, NARROW = 1.2, 1.0
"""Letters of running text in the width of a digit, a little less than there are; and in a narrow column, where
one line may be all capitals."""
LONGEST_BROKEN = 2_000
"""Characters up to which a text is broken into words to count its lines."""
BOLD, LARGE = 0.92, 0.62
"""Letters of a bold heading, and of a sheet's title, in the width of a digit."""
EDGES = 2
"""Characters beyond its longest text that a column is wide."""
MEASURED_ROWS = 5_000
"""Rows of a long table that are measured; the rest are like them, or wrap."""


def column_width(column: Column, values: Sequence[Any], places: int) -> int:
    """Width of a column, within its limits, that shows its heading and values; ``places`` are those of the money."""
    words = max(ceil(width(word) / BOLD) for word in column.heading.split())
    if column.kind.is_text:
        widest = max((width(value) for value in values[:MEASURED_ROWS] if value), default=0)
    else:
        widest = max((digits(column.kind, value, places) for value in values[:MEASURED_ROWS]), default=0)
    return max(column.least, min(column.most, widest + EDGES), words + 1)


def digits(kind: Kind, value: Decimal | int | date | None, places: int) -> int:
    """Characters that a number or a date takes in the format of its kind."""
    if value is None:
        return 0
    if isinstance(value, date):
        return len("2000-01-01")
    shown = {Kind.COUNT: 0, Kind.MONEY: places, Kind.PERCENT: 1, Kind.LENGTH: 1}.get(kind, max(places, 1) + 2)
    return len(f"{value:,.{shown}f}")


def lines_of(text: str, chars: float, running: float = RUNNING) -> int:
    """Lines that running text takes in a width of so many digits."""
    room = max(1, int(chars * running))
    return sum(_lines(line, room) for line in text.split("\n"))


def _lines(line: str, room: int) -> int:
    """Broken between words as programs do; long texts, and those with wide characters, by their length alone."""
    if len(line) <= LONGEST_BROKEN and line.isascii():
        return max(1, len(wrap(line, room)))
    return max(1, ceil(width(line) / room))


def heading_lines(column: Column, chars: int) -> int:
    """Lines that a bold heading takes."""
    return len(wrap(column.heading, max(4, chars)))


def height(lines: int, most_lines: int = HIGHEST) -> float:
    """Points of a row of so many lines."""
    return look.ROW_HEIGHT if lines <= 1 else min(LINE * min(lines, most_lines) + 3, HIGHEST)
