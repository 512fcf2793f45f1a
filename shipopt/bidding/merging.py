"""Bids put into a copy of the workbook: a row of Quotes for each, added or brought up to date, with its tariffs.

Only those cells change; the user's own columns of a quote (whether it is considered, chances, cartons accepted) stay.
Called by ``shipopt.bids``.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from enum import Enum
from typing import Any

from shipopt.bidding import form
from shipopt.bidding import problems as ours
from shipopt.bidding.returned import Bid
from shipopt.workbook.cells import RawSheet, column_letter, raw_sheets
from shipopt.workbook.declaration import BY_NAME, QUOTES, Column, Sheet
from shipopt.workbook.declaration_terms import heading_key
from shipopt.workbook.files import WorkbookFile
from shipopt.workbook.kinds import Terms
from shipopt.workbook.number_kinds import Percent
from shipopt.workbook.patching import CannotPatch, formulas_in, patched
from shipopt.workbook.problems import Problem, problem
from shipopt.workbook.raw import ShownAsPercent, shown, stored_number
from shipopt.workbook.tables import heading_row, read_cell


class _CannotMerge(Exception):  # noqa: N818 - it names what happened
    def __init__(self, found: Problem) -> None:
        super().__init__(found.sentence)
        self.problem = found


@dataclass
class _Place:
    """A sheet of the workbook: where its headings stand, what its cells hold, and what is put into them."""

    sheet: Sheet
    raw: RawSheet
    terms: Terms
    formulas: frozenset[tuple[int, int]]
    new: dict[tuple[int, int], Any] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.heading_row, headings = self.raw.rows[heading_row(self.raw, self.sheet)] if self.raw.rows else (1, ())
        keys = [heading_key(each) if isinstance(each, str) else "" for each in headings]
        self.columns = {self.sheet.by_heading[k].field: n for n, k in enumerate(keys) if k in self.sheet.by_heading}
        self.cells = {(number, n): value for number, values in self.raw.rows for n, value in enumerate(values)}
        self.next_row = max((number for number, _ in self.raw.rows), default=self.heading_row) + 1
        self.next_column = max((len(values) for _, values in self.raw.rows), default=0)

    def column(self, field_name: str) -> int:
        """The column of a field, made to the right of all others if the sheet lacks it."""
        if field_name not in self.columns:
            self.columns[field_name] = self.next_column
            self.new[self.heading_row, self.next_column] = self.sheet.heading(field_name)
            self.next_column += 1
        return self.columns[field_name]

    def rows_of(self, name: str) -> list[int]:
        """The rows, old and added, whose first column says this name."""
        at, wanted = self.column(self.sheet.columns[0].field), name.casefold()
        both = self.cells | self.new
        return sorted(row for (row, column), value in both.items() if column == at and _name(value) == wanted)

    def add_row(self) -> int:
        """A row below all others."""
        self.next_row += 1
        return self.next_row - 1

    def put(self, row: int, column: Column, value: Any) -> str | None:
        """Puts a value, None for a blank, in a cell; returns what changed in words, None if nothing did."""
        if value is None and column.field not in self.columns:
            return None
        at = row, self.column(column.field)
        before = self._known(self.cells.get(at), column)
        if before == value:
            return None
        if at in self.formulas:
            place = f"{column_letter(at[1])}{row}"
            told = "nothing" if value is None else column.kind.show(value, self.terms)
            raise _CannotMerge(problem(ours.CELL_WITH_FORMULA, self.sheet.name, place, told))
        self.new[at] = _stored(value, column)
        return f"{column.heading}: {self._shown(before, column)} → {self._shown(value, column)}"

    def _known(self, raw: Any, column: Column) -> Any:
        try:
            return None if raw is None else read_cell(raw, column, self.terms)
        except ValueError:
            return raw

    def _shown(self, value: Any, column: Column) -> str:
        if value is None:
            return "blank"
        try:
            return column.kind.show(value, self.terms)
        except (TypeError, ValueError, AttributeError):
            return shown(value)


def _name(value: Any) -> str:
    match value:
        case str():
            return value.strip().casefold()
        case int() | float():
            return f"{stored_number(value):f}"
        case ShownAsPercent() | None:
            return ""
        case _:
            return shown(value).casefold()


def _stored(value: Any, column: Column) -> Any:
    """A value of the domain as its cell holds it."""
    match value:
        case Enum():
            return value.value
        case bool():
            return column.kind.show(value, Terms())
        case Decimal() if isinstance(column.kind, Percent):
            return (value * 100).normalize()
        case _:
            return value


def merged(file: WorkbookFile, terms: Terms, bids: Sequence[Bid]) -> tuple[bytes, tuple[str, ...], list[Problem]]:
    """The workbook with the bids in it, what changed in words, and what stands in the way (then nothing is merged)."""
    raw = {heading_key(s.name): s for s in raw_sheets(file, lambda name: heading_key(name) in BY_NAME)}
    wanted = [QUOTES, *(t.sheet for t in form.TARIFFS if any(t.sheet.name in bid.tariffs for bid in bids))]
    missing = [s for s in wanted if heading_key(s.name) not in raw]
    if missing:
        return b"", (), [problem(ours.SHEET_TO_ADD, s.name, "A1") for s in missing]
    changes: list[str] = []
    errors: list[Problem] = []
    try:
        places = {}
        for sheet in (QUOTES, *(tariff.sheet for tariff in form.TARIFFS)):
            if heading_key(sheet.name) in raw:
                found = raw[heading_key(sheet.name)]
                places[sheet.name] = _Place(sheet, found, terms, formulas_in(file.content, found.name))
        for bid in bids:
            try:
                changes += _merge(bid, places)
            except _CannotMerge as reason:
                errors.append(reason.problem)
        new = b"" if errors else patched(file.content, {p.raw.name: p.new for p in places.values() if p.new})
    except CannotPatch as reason:
        errors.append(problem(ours.NOT_STORED_PLAINLY, found=str(reason)))
        new = b""
    return new, tuple(changes), errors


def _merge(bid: Bid, places: Mapping[str, _Place]) -> list[str]:
    """Puts one bid in; what changed, in words."""
    quotes = places[QUOTES.name]
    rows = quotes.rows_of(bid.name)
    row = rows[0] if rows else quotes.add_row()
    values: dict[str, Any] = {"name": bid.name, "bidder": bid.bidder, "means": bid.load.means}
    values |= {line.column.field: bid.answers.get(line.column.field) for line in form.answers(bid.load.means)}
    tariffs: list[str] = []
    for tariff in form.TARIFFS:
        values[tariff.field] = bid.name if tariff.sheet.name in bid.tariffs else None
        if tariff.sheet.name in places:
            tariffs += _merge_tariff(bid, tariff, places[tariff.sheet.name])
    told = [
        words for column in QUOTES.columns if column.field in values if (words := _put(quotes, row, column, values))
    ]
    if not rows:
        return [f"{bid.name}: added in row {row} of {QUOTES.name}", *tariffs]
    return [*(f"{bid.name}: {words}" for words in told), *tariffs] or [f"{bid.name}: nothing new"]


def _put(place: _Place, row: int, column: Column, values: Mapping[str, Any]) -> str | None:
    return place.put(row, column, values[column.field])


def _merge_tariff(bid: Bid, tariff: form.Tariff, place: _Place) -> list[str]:
    """The rows of a bid's tariff in place of those it had; what changed, in words."""
    steps, rows = bid.tariffs.get(tariff.sheet.name, ()), place.rows_of(bid.name)
    if not steps and not rows:
        return []
    told = []
    name = tariff.sheet.columns[0]
    for number in range(max(len(steps), len(rows))):
        row = rows[number] if number < len(rows) else place.add_row()
        weight, price = steps[number] if number < len(steps) else (None, None)
        given = {name.field: bid.name if number < len(steps) else None}
        given |= {tariff.weight.field: weight, tariff.price.field: price}
        for column in tariff.sheet.columns:
            if column.field in given and _put(place, row, column, given):
                told.append(row)
    return [f"{bid.name}: {len(steps)} rows in {tariff.sheet.name}"] if told else []


def reading_of_merged(content: bytes) -> list[RawSheet]:
    """The raw sheets of a workbook just merged."""
    return raw_sheets(WorkbookFile(content, ""), lambda name: heading_key(name) in BY_NAME)
