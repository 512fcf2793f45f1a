"""How wide columns and how high rows must be for what stands in them, in characters and in points.

Spreadsheet programs do not fit a file's rows when they open it, so each row that wraps is given its height here. How
wide text is stands in the module letters.
"""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from math import ceil
from typing import Any

from shipopt.workbook import look
from shipopt.workbook.results.columns import Column, Kind
from shipopt.workbook.results.letters import BOLD, USABLE, lines_of, text_width

LINE = 12.75
"""Points of one line of text in the house's font."""
HIGHEST = 409
"""Points that no row may exceed (from memory)."""
MOST_LINES = 6
"""Lines that a row of a list shows of a text; all of it is in the cell."""
MEASURED_ROWS = 5_000
"""Rows of a long table that are measured; the rest are like them, or wrap."""


def column_width(column: Column, values: Sequence[Any], places: int) -> int:
    """Width of a column, within its limits, that shows its heading and values; ``places`` are those of the money."""
    words = max(text_width(word) for word in column.heading.split()) * BOLD
    if column.kind.is_text:
        widest = max((text_width(value) for value in values[:MEASURED_ROWS] if value), default=0.0)
    else:
        widest = max((float(digits(column.kind, value, places)) for value in values[:MEASURED_ROWS]), default=0.0)
    return max(column.least, min(column.most, _room_for(widest)), _room_for(words))


def _room_for(digits_wide: float) -> int:
    """Characters of a column that so many digits fit into, with an edge of one."""
    return ceil(digits_wide / USABLE) + 1


def digits(kind: Kind, value: Decimal | int | date | None, places: int) -> int:
    """Characters that a number or a date takes in the format of its kind."""
    if value is None:
        return 0
    if isinstance(value, date):
        return len("2000-01-01")
    known = {Kind.COUNT: 0, Kind.MONEY: places, Kind.PERCENT: 1, Kind.LIKELIHOOD: 3, Kind.LENGTH: 1}
    shown = known.get(kind, max(places, 1) + 2)
    return len(f"{value:,.{shown}f}")


def heading_lines(column: Column, chars: int) -> int:
    """Lines that a bold heading takes."""
    return lines_of(column.heading, chars, BOLD)


def height(lines: int, most_lines: int = HIGHEST) -> float:
    """Points of a row of so many lines."""
    return look.ROW_HEIGHT if lines <= 1 else min(LINE * min(lines, most_lines) + 3, HIGHEST)
