"""From raw cells to typed rows: headings found, every cell read by its column's kind, what is wrong noted.

A ``Row`` holds the values that were given, by the columns' names in the program, and where it stands. What the
values mean together is not known here. Called by the reader, sheet by sheet.
"""

from bisect import bisect_left
from dataclasses import dataclass, field
from typing import Any

from shipopt.move.origin import Origin
from shipopt.workbook import problems
from shipopt.workbook.cells import MOST_ROWS, MergedCells, RawSheet, column_letter
from shipopt.workbook.declaration import Column, Sheet
from shipopt.workbook.declaration_terms import heading_key
from shipopt.workbook.kinds import Refused, Terms, Text
from shipopt.workbook.problems import Problem, ProblemKind, problem
from shipopt.workbook.raw import ErrorValue, Uncalculated, shown

HEADING_WITHIN = 10
"""Rows from the top among which the headings may stand; a title line above them does no harm."""


@dataclass(slots=True)
class Findings:
    """What was found wrong so far: errors stop the run after reading, notices do not."""

    errors: list[Problem] = field(default_factory=list)
    notices: list[Problem] = field(default_factory=list)


@dataclass(slots=True)
class Row:
    """One row of a sheet: values given, by the column's name in the program, and the names of those refused."""

    sheet: Sheet
    origin: Origin
    given: dict[str, Any]
    faults: set[str] = field(default_factory=set)

    def __getitem__(self, name: str) -> Any:
        """The value given, or the column's default."""
        return self.given[name] if name in self.given else self.sheet.by_field[name].default

    @property
    def sound(self) -> bool:
        """Whether no cell of the row was refused."""
        return not self.faults

    def address(self, name: str) -> str:
        """The cell of a column, as ``D7``; column A stands in for a column the sheet does not have."""
        return f"{self.origin.columns.get(self.sheet.heading(name), 'A')}{self.origin.row}"

    def problem(self, kind: ProblemKind, name: str, found: str = "", accepted: str = "", **holes: object) -> Problem:
        """A finding in this row's cell of that column."""
        return problem(
            kind,
            self.sheet.name,
            self.address(name),
            found=found,
            accepted=accepted,
            column=self.sheet.heading(name),
            **holes,
        )


@dataclass(frozen=True, slots=True)
class Table:
    """One sheet read. ``whole`` is false where a required column is missing, so that none of its rows is sound."""

    sheet: Sheet
    rows: tuple[Row, ...] = ()
    whole: bool = True


def read_table(raw: RawSheet, sheet: Sheet, terms: Terms, findings: Findings) -> Table:
    """Every row of a sheet, typed; all that is wrong goes to the findings."""
    place = heading_row(raw, sheet)
    number, headings = raw.rows[place] if raw.rows else (1, ())
    columns = _columns(number, headings, sheet, findings)
    missing = [column for column in sheet.columns if column.required and column.field not in columns]
    for column in missing:
        free = f"{column_letter(len(headings))}{number}"
        found = ", ".join(_heading_shown(heading) for heading in headings if heading is not None)
        findings.errors.append(
            problem(problems.COLUMN_MISSING, sheet.name, free, found, column.heading, column=column.heading)
        )
    if raw.cut_off:
        findings.errors.append(
            problem(problems.TOO_MANY_ROWS, sheet.name, f"A{raw.rows[-1][0]}", accepted=f"at most {MOST_ROWS:,} rows")
        )
    rows = raw.rows[place + 1 :]
    _note_cells_without_heading(rows, number, headings, raw.merged, sheet, findings)
    typed = tuple(_typed_rows(rows, columns, sheet, terms, findings))
    _note_merged_cells(raw.merged, columns, typed, sheet, findings)
    for row in typed if missing else ():
        row.faults.update(column.field for column in missing)
    return Table(sheet, typed, whole=not missing)


def heading_row(raw: RawSheet, sheet: Sheet) -> int:
    """Place of the row with the most of the sheet's headings, among the first rows; the first if none has any."""
    top = raw.rows[:HEADING_WITHIN]
    counts = [sum(_key(value) in sheet.by_heading for value in values) for _, values in top]
    return counts.index(max(counts)) if counts else 0


def _heading_shown(heading: Any) -> str:
    """A heading for a message."""
    return heading if isinstance(heading, str) else shown(heading)


def _key(heading: Any) -> str:
    return heading_key(heading) if isinstance(heading, str) else ""


def _columns(number: int, headings: tuple[Any, ...], sheet: Sheet, findings: Findings) -> dict[str, int]:
    """Index of each declared column that the sheet has, by its name in the program."""
    found: dict[str, int] = {}
    for index, heading in enumerate(headings):
        if heading is None:
            continue
        cell = f"{column_letter(index)}{number}"
        column = sheet.by_heading.get(_key(heading))
        if column is None:
            findings.notices.append(problem(problems.COLUMN_UNKNOWN, sheet.name, cell, shown(heading)))
        elif column.field in found:
            other = f"{column_letter(found[column.field])}{number}"
            findings.errors.append(
                problem(
                    problems.COLUMN_TWICE, sheet.name, cell, column.heading, "one", column=column.heading, other=other
                )
            )
        else:
            found[column.field] = index
    return found


def _note_cells_without_heading(
    rows: tuple[tuple[int, tuple[Any, ...]], ...],
    number: int,
    headings: tuple[Any, ...],
    merged: tuple[MergedCells, ...],
    sheet: Sheet,
    findings: Findings,
) -> None:
    """One notice for each column that has cells but no heading; an error if its heading is merged with another."""
    bare: dict[int, Any] = {}
    without = {index for index, heading in enumerate(headings) if heading is None}
    for _, values in rows:
        for index in (*without, *range(len(headings), len(values))):
            if index < len(values) and values[index] is not None:
                bare.setdefault(index, values[index])
    for index in sorted(bare):
        cell = f"{column_letter(index)}{number}"
        over = [each for each in merged if each.top <= number <= each.bottom and each.left < index <= each.right]
        if over:
            holes = {"column": "the headings", "other": f"{column_letter(over[0].left)}{over[0].top}"}
            findings.errors.append(problem(problems.CELLS_MERGED, sheet.name, cell, shown(bare[index]), **holes))
            continue
        findings.notices.append(problem(problems.COLUMN_WITHOUT_HEADING, sheet.name, cell, shown(bare[index])))


def _note_merged_cells(
    merged: tuple[MergedCells, ...],
    columns: dict[str, int],
    rows: tuple[Row, ...],
    sheet: Sheet,
    findings: Findings,
) -> None:
    """A finding for each range of merged cells that leaves a cell blank in a row that is read: where that is a text for
    people a notice, else an error, since a default would take the place of what shows there."""
    numbers = [row.origin.row for row in rows]
    for each in merged:
        hidden = [
            (isinstance(sheet.by_field[name].kind, Text), index, rows[place], name)
            for name, index in columns.items()
            if each.left <= index <= each.right
            and (place := bisect_left(numbers, each.top + (index == each.left))) < len(numbers)
            and numbers[place] <= each.bottom
        ]
        if hidden:
            is_text, _, row, name = min(hidden, key=lambda found: found[:2])
            finding = row.problem(problems.CELLS_MERGED, name, other=f"{column_letter(each.left)}{each.top}")
            (findings.notices if is_text else findings.errors).append(finding)
            row.faults.update(() if is_text else (name,))


def _typed_rows(
    rows: tuple[tuple[int, tuple[Any, ...]], ...],
    columns: dict[str, int],
    sheet: Sheet,
    terms: Terms,
    findings: Findings,
) -> list[Row]:
    letters = {sheet.heading(name): column_letter(index) for name, index in columns.items()}
    letters |= {name: column_letter(index) for name, index in columns.items()}
    places = [(index, sheet.by_field[name]) for name, index in columns.items()]
    places.sort(key=lambda place: place[0])
    return [
        row
        for number, values in rows
        if (row := _typed_row(values, places, Row(sheet, Origin(sheet.name, number, letters), {}), terms, findings))
    ]


def _typed_row(
    values: tuple[Any, ...], places: list[tuple[int, Column]], row: Row, terms: Terms, findings: Findings
) -> Row | None:
    """The row with its values, or None if none of its declared columns holds anything."""
    width = len(values)
    blank: list[Column] = []
    for index, column in places:
        raw = values[index] if index < width else None
        if raw is None:
            if column.required:
                blank.append(column)
            continue
        try:
            row.given[column.field] = read_cell(raw, column, terms)
        except Refused as refused:
            row.faults.add(column.field)
            findings.errors.append(row.problem(refused.kind, column.field, shown(raw), column.kind.accepted(terms)))
    if not row.given and not row.faults:
        return None
    for column in blank:
        row.faults.add(column.field)
        findings.errors.append(row.problem(problems.VALUE_MISSING, column.field, accepted=column.kind.accepted(terms)))
    return row


def read_cell(raw: Any, column: Column, terms: Terms) -> Any:
    """The value of a cell that is not blank; raises Refused."""
    if column.kind.takes_anything:
        return raw
    if isinstance(raw, ErrorValue):
        raise Refused(problems.ERROR_VALUE)
    if isinstance(raw, Uncalculated):
        raise Refused(problems.FORMULA_WITHOUT_VALUE)
    return column.kind.read(raw, terms)
