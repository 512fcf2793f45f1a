"""Number formats and widths of input columns, by their kind.

A cell shows its unit behind the number. Percent cells stay in the general format on purpose: there a spreadsheet
program that is given "98%" sets a percent format by itself, by which the reader knows what was meant.
"""

from shipopt.workbook import look
from shipopt.workbook.declaration import Column
from shipopt.workbook.kinds import NO_UNIT, CurrencyCode, Day, Kind, Name, NameList, Terms, Text, Word, YesNo
from shipopt.workbook.number_kinds import Money, MoneyPer100, MoneyPerVolume, MoneyPerWeight, Number, Percent

GENERAL = "General"


def number_format(column: Column, terms: Terms) -> str:
    """The number format of a column's cells."""
    kind = column.kind
    if isinstance(kind, Day):
        return look.DATE
    if isinstance(kind, Text | Name | NameList | Word | YesNo | CurrencyCode):
        return look.TEXT
    if isinstance(kind, MoneyPerWeight | MoneyPerVolume | MoneyPer100) and terms.currency:
        return look.finer_money(terms.currency)
    if isinstance(kind, Money) and terms.currency:
        return look.money(terms.currency)
    if isinstance(kind, Number) and not isinstance(kind, Percent) and kind.unit != NO_UNIT:
        return f'{GENERAL}" {terms.fill(kind.unit)}"'
    return GENERAL


def wraps(column: Column) -> bool:
    """Whether a long entry goes on in the line below, so that nothing of it is cut off."""
    return isinstance(column.kind, Text | Name | NameList)


def column_width(column: Column) -> int:
    """Characters a column is wide: its content's usual width, and no less than the longest word of its heading."""
    longest_word = max(len(word) for word in column.heading.split())
    return max(column.width or _usual_width(column.kind), longest_word + 2)


def _usual_width(kind: Kind) -> int:
    if isinstance(kind, Text):
        return 30 if kind.keeps_lines else 20
    if isinstance(kind, NameList):
        return 24
    if isinstance(kind, Name):
        return 22
    if isinstance(kind, Word):
        return max(len(word) for word in kind.words) + 4
    return 12 if isinstance(kind, Money | Day) else 9
