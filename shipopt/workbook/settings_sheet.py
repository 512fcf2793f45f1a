"""Reading the sheet of settings: one setting a row, its kind that of its declaration.

Units and currency are read first, because the other settings are read in their terms. Called by the reader.
"""

from dataclasses import dataclass, field
from typing import Any

from shipopt.move.settings import Settings
from shipopt.workbook import problems
from shipopt.workbook.cells import RawSheet
from shipopt.workbook.declaration import MOVE, SETTING_ROWS, Column
from shipopt.workbook.declaration_terms import heading_key
from shipopt.workbook.kinds import Refused, Terms
from shipopt.workbook.problems import problem
from shipopt.workbook.raw import shown
from shipopt.workbook.tables import Findings, Row, read_cell, read_table

FROM_DEFAULT = "default"


@dataclass(frozen=True, slots=True)
class SettingRead:
    """A setting as it was read: the value used, for people, and where it is from (``Move!B7`` or ``default``)."""

    setting: str
    used: str
    came_from: str


@dataclass(slots=True)
class SettingsRead:
    """Every setting: values by the domain's field names, cells of those given, rows by setting, and the terms."""

    values: dict[str, Any] = field(default_factory=dict)
    rows: dict[str, Row] = field(default_factory=dict)
    terms: Terms = field(default_factory=Terms)

    def cell(self, name: str) -> str:
        """The cell of a setting's value, as ``B7``; "A1" for one that has no row."""
        return self.rows[name].address("value") if name in self.rows else "A1"

    def settings(self) -> Settings:
        """The domain's settings; every required one must have been read."""
        cells = {name: f"{MOVE.name}!{self.cell(name)}" for name in self.values}
        given = {column.field: self.used(column) for column in MOVE.columns}
        return Settings(**given, cells=cells)

    def used(self, column: Column) -> Any:
        """The value used for a setting: that of the cell, or the default in the workbook's units."""
        if column.field in self.values:
            return self.values[column.field]
        return column.default_of(self.terms.units)

    def facts(self) -> tuple[SettingRead, ...]:
        """Each setting with the value used and where it came from, in the order declared."""
        return tuple(self._fact(column) for column in MOVE.columns)

    def _fact(self, column: Column) -> SettingRead:
        if column.field in self.values:
            used = column.kind.show(self.values[column.field], self.terms)
            return SettingRead(column.heading, used, f"{MOVE.name}!{self.cell(column.field)}")
        return SettingRead(column.heading, column.default_shown(self.terms), FROM_DEFAULT)


def read_settings(raw: RawSheet, findings: Findings) -> SettingsRead:
    """Every setting of the sheet, typed; all that is wrong goes to the findings."""
    table = read_table(raw, SETTING_ROWS, Terms(), findings)
    read = SettingsRead(rows=_rows_by_setting(table.rows, findings))
    for column in sorted(MOVE.columns, key=lambda column: not column.required):
        _read_setting(column, read, findings)
        if column.required:
            read.terms = Terms(read.values.get("units"), read.values.get("currency"))
    if table.whole:
        _note_missing(table.rows[-1].origin.row + 1 if table.rows else 2, read, findings)
    _check_together(read, findings)
    return read


def _rows_by_setting(rows: tuple[Row, ...], findings: Findings) -> dict[str, Row]:
    found: dict[str, Row] = {}
    for row in rows:
        name = row["setting"]
        if name is None:
            continue
        column = MOVE.by_heading.get(heading_key(name))
        if column is None:
            findings.notices.append(row.problem(problems.SETTING_UNKNOWN, "setting", shown(name)))
            continue
        first = found.get(column.field)
        if first is None or first["value"] is None:
            found[column.field] = row
        elif row["value"] is not None:
            cell = row.address("value")
            holes = {"column": column.heading, "other": first.address("value")}
            findings.errors.append(
                problem(problems.SETTING_TWICE, MOVE.name, cell, shown(row["value"]), "one row", **holes)
            )
    return found


def _read_setting(column: Column, read: SettingsRead, findings: Findings) -> None:
    raw = read.rows[column.field]["value"] if column.field in read.rows else None
    if raw is None:
        return
    cell, accepted = read.cell(column.field), column.kind.accepted(read.terms)
    try:
        value = read_cell(raw, column, read.terms)
    except Refused as refused:
        holes = {"column": column.heading}
        findings.errors.append(problem(refused.kind, MOVE.name, cell, shown(raw), accepted, **holes))
        read.rows[column.field].faults.add("value")
        return
    read.values[column.field] = value
    if column.seldom_below_one and isinstance(raw, int | float) and 0 < raw < 1:
        holes = {"column": column.heading}
        findings.notices.append(problem(problems.FRACTION_LIKELY, MOVE.name, cell, shown(raw), accepted, **holes))


def _note_missing(next_row: int, read: SettingsRead, findings: Findings) -> None:
    """An error for each required setting that has no value."""
    for column in MOVE.columns:
        row = read.rows.get(column.field)
        if column.required and column.field not in read.values and not (row and row.faults):
            cell = row.address("value") if row else f"A{next_row}"
            accepted = column.kind.accepted(read.terms)
            findings.errors.append(
                problem(problems.VALUE_MISSING, MOVE.name, cell, accepted=accepted, column=column.heading)
            )


def _check_together(read: SettingsRead, findings: Findings) -> None:
    """Settings that make little sense beside each other."""
    ready, needed = read.values.get("ready_on"), read.values.get("needed_by")
    if ready and needed and needed < ready:
        holes = {"column": MOVE.heading("needed_by"), "other": f"{MOVE.heading('ready_on')} ({ready})"}
        cell = read.cell("needed_by")
        findings.notices.append(problem(problems.DATES_OUT_OF_ORDER, MOVE.name, cell, str(needed), **holes))
    least, most = (MOVE.by_field[name] for name in ("fill_least", "fill_most"))
    if read.used(least) > read.used(most):
        name = "fill_least" if "fill_least" in read.values else "fill_most"
        found, accepted = (column.kind.show(read.used(column), read.terms) for column in (least, most))
        findings.notices.append(
            problem(
                problems.FILL_LIMITS_CROSS,
                MOVE.name,
                read.cell(name),
                found,
                accepted,
                column=least.heading,
                other=most.heading,
            )
        )
