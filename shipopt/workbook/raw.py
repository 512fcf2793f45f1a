"""Raw cell values: what a cell of the file holds, before anything is known of its column.

A raw value is None, text, a number, True or False, a date, or one of the three marks below. The file half of
the reader makes them, the column kinds read them.
"""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any


@dataclass(frozen=True, slots=True)
class ErrorValue:
    """A cell that shows an error of the spreadsheet program."""

    text: str


@dataclass(frozen=True, slots=True)
class Uncalculated:
    """A cell with a formula and no stored value."""


@dataclass(frozen=True, slots=True)
class ShownAsPercent:
    """A number in a cell with a percent format: 0.98 shows as 98 %."""

    value: int | float


def shown(raw: Any) -> str:
    """What stood in a cell, for a message."""
    match raw:
        case None:
            return "nothing"
        case bool():
            return "TRUE" if raw else "FALSE"
        case str():
            return f"'{raw}'"
        case ErrorValue():
            return raw.text
        case Uncalculated():
            return "a formula without a stored value"
        case ShownAsPercent():
            return f"{(stored_number(raw.value) * 100).normalize():f} %"
        case datetime() | date():
            return f"the date {day_of(raw).isoformat()}"
        case int() | float():
            number = stored_number(raw)
            return f"{number:f}" if number.is_finite() and abs(number.adjusted()) < 20 else f"{number}"
        case _:
            return str(raw)


def stored_number(number: int | float) -> Decimal:
    """A stored number as people see it: 15 significant digits, as spreadsheet programs show."""
    return Decimal(number) if isinstance(number, int) else Decimal(f"{number:.15g}")


def day_of(value: date) -> date:
    """The day of a date, its time of day left off."""
    return value.date() if isinstance(value, datetime) else value
