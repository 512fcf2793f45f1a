"""Reading bid forms that come back: every answer by the kind of its column, or everything that is wrong, each with its
cell.

The same kinds and messages as for the workbook. What becomes of the bids is not known here. Called by
``shipopt.bids``.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from shipopt.bidding import form
from shipopt.bidding import problems as ours
from shipopt.bidding.load import Load
from shipopt.bidding.untrusted import open_form
from shipopt.move.words import Consignment, Means
from shipopt.workbook import problems
from shipopt.workbook.cells import column_letter, raw_sheets
from shipopt.workbook.declaration import Column
from shipopt.workbook.declaration_terms import heading_key
from shipopt.workbook.files import NotReadable
from shipopt.workbook.kinds import SEPARATOR, Refused, Terms
from shipopt.workbook.plain_text import tidy
from shipopt.workbook.problems import Problem, ProblemKind, problem
from shipopt.workbook.raw import shown
from shipopt.workbook.tables import read_cell

Steps = tuple[tuple[Any, Any], ...]
"""Rows of a tariff: weight and price."""


@dataclass(frozen=True)
class Bid:
    """One bid of a form: its answers by the columns' names in the program, and its tariffs by the sheet's name."""

    name: str
    bidder: str
    load: Load
    number: int
    answers: Mapping[str, Any]
    tariffs: Mapping[str, Steps]

    @property
    def by_load(self) -> bool:
        """Whether it is priced for all that goes on one trip."""
        given = self.answers.get("consignment")
        return given is Consignment.LOAD or (given is None and self.load.means is not Means.POST)


@dataclass
class _Sheet:
    """The sheet to fill, by cells; findings gather in ``errors``."""

    terms: Terms
    cells: dict[tuple[int, int], Any]
    errors: list[Problem] = field(default_factory=list)

    def note(self, kind: ProblemKind, row: int, at: int, found: str = "", accepted: str = "", **holes: Any) -> None:
        """A finding in a cell: rows from 1, places of columns from 0."""
        place = f"{column_letter(at)}{row}"
        self.errors.append(problem(kind, form.TO_FILL, place, found, accepted, **holes))

    def value(self, row: int, column: int, declared: Column) -> Any:
        """The value of an answer, None for a blank cell or one that is refused."""
        raw = self.cells.get((row, column))
        if raw is None:
            return None
        try:
            return read_cell(raw, declared, self.terms)
        except Refused as refused:
            accepted = declared.kind.accepted(self.terms)
            self.note(refused.kind, row, column, shown(raw), accepted, column=declared.heading)
            return None


def read_form(path: Path, loads: Sequence[Load]) -> tuple[tuple[Bid, ...], list[Problem]]:
    """The bids of a form that answers one of the loads, and what is wrong with it; never raises for what is in it."""
    try:
        raw = raw_sheets(open_form(path), lambda name: heading_key(name) == heading_key(form.TO_FILL))
    except NotReadable as reason:
        return (), [reason.problem]
    found = [sheet for sheet in raw if heading_key(sheet.name) == heading_key(form.TO_FILL)]
    if not found:
        return (), [problem(ours.FORM_NOT_OURS, accepted=form.TO_FILL)]
    own = loads[0].settings
    cells = {(number, place): value for number, values in found[0].rows for place, value in enumerate(values)}
    sheet = _Sheet(Terms(own.units, own.currency), {at: value for at, value in cells.items() if value is not None})
    load = _load_answered(sheet, loads)
    if load is None or not _unchanged(sheet, load.means):
        return (), sheet.errors
    bids = _bids(sheet, load)
    return (() if sheet.errors else tuple(bids)), list(dict.fromkeys(sheet.errors))


def _load_answered(sheet: _Sheet, loads: Sequence[Load]) -> Load | None:
    given = sheet.cells.get((form.REFERENCE_ROW, 1))
    for load in loads:
        if isinstance(given, str) and tidy(given) == load.reference:
            return load
    accepted = " or ".join(load.reference for load in loads)
    sheet.note(ours.FORM_OF_ANOTHER, form.REFERENCE_ROW, 1, shown(given), accepted)
    return None


def _unchanged(sheet: _Sheet, means: Means) -> bool:
    """Whether every line stands where the form has it; each that does not is noted."""
    wanted = {form.REFERENCE_ROW: form.REFERENCE, form.BIDDER_ROW: form.BIDDER.heading}
    wanted |= {line.row: line.column.heading for line in form.answers(means)}
    for row, label in wanted.items():
        given = sheet.cells.get((row, 0))
        if not isinstance(given, str) or heading_key(given) != heading_key(label):
            sheet.note(ours.FORM_CHANGED, row, 0, shown(given), f"'{label}'")
    return not sheet.errors


def _bids(sheet: _Sheet, load: Load) -> list[Bid]:
    bidder = sheet.value(form.BIDDER_ROW, 1, form.BIDDER)
    name = tidy((bidder or "").replace(SEPARATOR, ","))
    if not name:
        holes = {"column": form.BIDDER.heading}
        sheet.note(problems.VALUE_MISSING, form.BIDDER_ROW, 1, accepted="a name", **holes)
    found = [bid for number in range(form.BIDS) if (bid := _bid(sheet, load, name, number))]
    if not found and not sheet.errors:
        sheet.note(ours.FORM_WITHOUT_BID, form.FIRST_ROW, 1, accepted="a price in at least one column")
    return found


def _bid(sheet: _Sheet, load: Load, bidder: str, number: int) -> Bid | None:
    """The bid in one column, None where it has no answer at all."""
    column = 1 + number
    lines, before = form.answers(load.means), len(sheet.errors)
    given = {line.column.field: sheet.value(line.row, column, line.column) for line in lines}
    answers = {name: value for name, value in given.items() if value is not None and value != ""}
    tariffs = {table.tariff.sheet.name: _steps(sheet, table, column) for table in form.tables(load.means)}
    tariffs = {name: steps for name, steps in tariffs.items() if steps}
    if not answers and not tariffs:
        return None
    if not tariffs and not any(name in answers for name in form.PRICES) and len(sheet.errors) == before:
        sheet.note(ours.FORM_WITHOUT_BID, form.FIRST_ROW, column, accepted="a price, 0 if it is free")
    bid = Bid(f"{bidder}, {load.means}{f' {number + 1}' if number else ''}", bidder, load, number, answers, tariffs)
    _check_together(sheet, bid, column)
    return bid


def _steps(sheet: _Sheet, table: form.Table, column: int) -> Steps:
    """A tariff's rows that have a price of this bid; its weights rise, weight breaks from 0."""
    tariff = table.tariff
    found: list[tuple[Any, Any]] = []
    for row in range(table.row + 1, table.row + 1 + form.TABLE_ROWS):
        price = sheet.value(row, column, tariff.price)
        if price is None:
            continue
        weight = sheet.value(row, 0, tariff.weight)
        heading = tariff.weight.heading
        if weight is None:
            if (row, 0) not in sheet.cells:
                sheet.note(ours.PRICE_WITHOUT_WEIGHT, row, 0, column=heading)
            continue
        holes = {"column": heading, "of": f"'{form.bid_heading(column - 1)}'"}
        if not found and tariff.field == "weight_breaks" and weight != 0:
            sheet.note(problems.FIRST_BREAK_NOT_ZERO, row, 0, f"{weight:f}", "0", **holes)
        if found and weight <= found[-1][0]:
            sheet.note(problems.STEPS_NOT_RISING, row, 0, f"{weight:f}", "", other=f"{found[-1][0]:f}", **holes)
        found.append((weight, price))
    return tuple(found)


def _check_together(sheet: _Sheet, bid: Bid, column: int) -> None:
    """What answers of one bid say together: dates in order, no tariff for loads where each carton is priced."""
    rows = {line.column.field: line.row for line in form.answers(bid.load.means)}
    first, last = bid.answers.get("collect_from"), bid.answers.get("collect_until")
    heading = {line.column.field: line.column.heading for line in form.answers(bid.load.means)}
    if first and last and last < first:
        holes = {"column": heading["collect_until"], "other": f"{heading['collect_from']} ({first})"}
        sheet.note(problems.DATES_OUT_OF_ORDER, rows["collect_until"], column, f"{last}", f"{first} or later", **holes)
    for table in form.tables(bid.load.means):
        if table.tariff.field == "weight_breaks" and table.tariff.sheet.name in bid.tariffs and not bid.by_load:
            sheet.note(
                problems.WEIGHT_BREAKS_FOR_CARTON, table.row, column, "prices", "blank", column=table.tariff.sheet.name
            )
