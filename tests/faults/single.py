"""The corpus of single faults: for every column and setting that is declared, wrong values by its kind.

Made from the declaration, so a new column has its faults by itself. Each is a place, a value and the codes of which
one has to be told there. What stands in a sound workbook is invented.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from openpyxl.utils import get_column_letter

from faults.cells import ErrorShown, Formula, Value
from shipopt.workbook.declaration import INPUT_SHEETS
from shipopt.workbook.declaration_terms import Column
from shipopt.workbook.kinds import CurrencyCode, Day, Kind, Reference, References, Word, YesNo
from shipopt.workbook.number_kinds import Number, Percent, Whole

ERROR, FORMULA = ErrorShown("#N/A"), Formula("1+1")


@dataclass(frozen=True)
class Fault:
    """A wrong value in one cell, and the codes of findings of which one must stand there."""

    sheet: str
    cell: str
    heading: str
    value: Value
    codes: tuple[str, ...]

    @property
    def name(self) -> str:
        """For the list of tests."""
        return f"{self.sheet}.{self.heading}={self.value!r:.25}"


def faults() -> Iterator[Fault]:
    """Every fault, in the workbook's order."""
    for sheet in INPUT_SHEETS:
        for place, column in enumerate(sheet.columns):
            cell = f"B{place + 2}" if sheet.settings else f"{get_column_letter(place + 1)}2"
            for value, codes in wrong_values(column):
                yield Fault(sheet.name, cell, column.heading, value, codes)


def wrong_values(column: Column) -> Iterator[tuple[Value, tuple[str, ...]]]:
    """Wrong values for a column by its kind."""
    if column.kind.takes_anything:
        return
    yield ERROR, ("error-value",)
    yield FORMULA, ("formula-without-value",)
    if column.required and column.unique:
        yield None, ("value-missing",)
    yield from _by_kind(column.kind)


def _by_kind(kind: Kind) -> Iterator[tuple[Value, tuple[str, ...]]]:
    match kind:
        case Number():
            yield "a lot", ("not-a-number",)
            yield "1.234,5", ("number-uncertain",)
            yield True, ("not-a-number",)
            yield 1e300, ("out-of-limits", "not-a-number")
            if kind.least is not None:
                yield -5, ("out-of-limits",)
            if isinstance(kind, Whole):
                yield 2.5, ("not-whole",)
            if isinstance(kind, Percent):
                yield "12 kg", ("not-a-number",)
        case Day():
            yield "next week", ("not-a-date",)
            yield "03/04/2031", ("not-a-date",)
            yield 46082, ("not-a-date",)
        case YesNo():
            yield "perhaps", ("not-yes-or-no",)
            yield 2, ("not-yes-or-no",)
        case Word():
            yield "\N{ROCKET}", ("not-a-word",)
            yield 7, ("not-a-word",)
        case CurrencyCode():
            yield "GOLD", ("not-a-word", "not-a-name", "not-a-currency")
        case Reference() | References():
            yield "Nowhere \N{HIGH VOLTAGE SIGN}", ("name-unknown",)
            yield "x" * 32_767, ("name-unknown",)
