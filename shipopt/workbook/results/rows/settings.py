"""Rows of the sheet Input as read: every setting with the value used and where it came from.

Labels, kinds and defaults are those of the input's own declaration. Called by the module gathered.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from shipopt.move.settings import Settings
from shipopt.workbook.declaration import MOVE
from shipopt.workbook.declaration_terms import Column
from shipopt.workbook.kinds import Day, Terms
from shipopt.workbook.number_kinds import Money, Number, Percent, Weight
from shipopt.workbook.results.columns import Kind

Shown = str | Decimal | date | None


@dataclass(frozen=True, slots=True)
class SettingRow:
    """One setting. The value is None where it is not given and has no default; ``kind`` says how it is shown."""

    setting: str
    value_used: Shown
    where_from: str
    kind: Kind


def setting_rows(settings: Settings) -> tuple[SettingRow, ...]:
    """A row for each setting of the declaration, in its order."""
    terms = Terms(settings.units, settings.currency)
    return tuple(_row(column, settings, terms) for column in MOVE.columns)


def _row(column: Column, settings: Settings, terms: Terms) -> SettingRow:
    value = getattr(settings, column.field)
    where = settings.cells.get(column.field) or _default(column, value == column.default_of(settings.units))
    shown, kind = _shown(column, value, terms)
    return SettingRow(column.heading, shown, where, kind)


def _default(column: Column, is_default: bool) -> str:
    """Where a value comes from that no cell holds: a notebook may have given it."""
    if not is_default:
        return "given outside the workbook"
    return f"default: {column.default_words}" if column.default_words else "default"


def _plain(value: Decimal) -> Kind:
    return Kind.COUNT if value == value.to_integral_value() else Kind.QUANTITY


def _shown(column: Column, value: object, terms: Terms) -> tuple[Shown, Kind]:
    match column.kind:
        case Day() if value is None or isinstance(value, date):
            return value, Kind.DATE
        case Percent() if isinstance(value, Decimal):
            return value * 100, _plain(value * 100)
        case Money() if isinstance(value, Decimal):
            return value, Kind.MONEY if terms.currency and terms.currency.round(value) == value else Kind.RATE
        case Weight() if isinstance(value, Decimal):
            return value, Kind.WEIGHT
        case Number() if isinstance(value, Decimal):
            return value, _plain(value)
        case _:
            return None if value is None else column.kind.show(value, terms), Kind.WORDS


@dataclass(frozen=True, slots=True)
class RowsRead:
    """How many rows were read from a sheet."""

    sheet: str
    rows: int


@dataclass(frozen=True, slots=True)
class NoticeRow:
    """One notice of the reader."""

    notice: str
