"""Names between sheets: each listed once where it must be, each reference to a name that is listed.

References are matched ignoring case and become the name as its own sheet writes it. Called by the reader when
every sheet is read; a sheet that is missing or lacks its names is passed over, so that one fault is told once.
"""

from collections.abc import Mapping
from difflib import get_close_matches

from shipopt.workbook import problems
from shipopt.workbook.declaration import Column
from shipopt.workbook.kinds import Reference, References, Terms
from shipopt.workbook.tables import Findings, Row, Table

NAMES_SHOWN = 8
"""Names of a sheet that a message lists."""

Names = Mapping[str, str]
"""Names as matched, to names as written."""


def check_names(tables: Mapping[str, Table], findings: Findings) -> None:
    """Every column that must be different in each row, and every reference, in all sheets."""
    listed = {name: _names(table) for name, table in tables.items()}
    for table in tables.values():
        for column in table.sheet.columns:
            if column.unique:
                _check_different(table, column, findings)
            if isinstance(column.kind, Reference | References):
                target = tables.get(column.kind.to.name)
                if target is None or target.whole:
                    _resolve(table, column, listed.get(column.kind.to.name, {}), column.kind.to.name, findings)


def _names(table: Table) -> Names:
    first = table.sheet.columns[0].field
    found: dict[str, str] = {}
    for row in table.rows:
        if first in row.given:
            found.setdefault(str(row.given[first]).casefold(), row.given[first])
    return found


def _check_different(table: Table, column: Column, findings: Findings) -> None:
    seen: dict[str, Row] = {}
    for row in table.rows:
        if column.field not in row.given:
            continue
        first = seen.setdefault(str(row.given[column.field]).casefold(), row)
        if first is not row:
            row.faults.add(column.field)
            found = f"'{row.given[column.field]}'"
            findings.errors.append(
                row.problem(
                    problems.NAME_TWICE, column.field, found, "a different one", other=first.address(column.field)
                )
            )


def _resolve(table: Table, column: Column, listed: Names, target: str, findings: Findings) -> None:
    """Puts the listed name in place of each reference, or notes that none is listed."""
    default_told = False
    for row in table.rows:
        if column.field in row.faults:
            continue
        if column.field in row.given:
            _resolve_cell(row, column, listed, target, findings)
        elif column.default is not None and column.default.casefold() not in listed:
            row.faults.add(column.field)
            if not default_told:
                default_told = True
                _note_unknown(row, column, column.default, listed, target, findings)


def _resolve_cell(row: Row, column: Column, listed: Names, target: str, findings: Findings) -> None:
    given = row.given[column.field]
    wanted = given if isinstance(given, tuple) else (given,)
    found = tuple(dict.fromkeys(listed[name.casefold()] for name in wanted if name.casefold() in listed))
    unknown = [name for name in wanted if name.casefold() not in listed]
    for name in unknown:
        row.faults.add(column.field)
        _note_unknown(row, column, name, listed, target, findings)
    if not unknown:
        row.given[column.field] = found if isinstance(given, tuple) else found[0]


def _note_unknown(row: Row, column: Column, name: str, listed: Names, target: str, findings: Findings) -> None:
    close = get_close_matches(name.casefold(), list(listed), n=1, cutoff=0.6)
    hint = f" Is {listed[close[0]]!r} meant?" if close else ""
    some = [*list(listed.values())[:NAMES_SHOWN], *(["…"] if len(listed) > NAMES_SHOWN else [])]
    accepted = f"{column.kind.accepted(Terms())} ({', '.join(some) or 'it has none'})"
    findings.errors.append(
        row.problem(problems.NAME_UNKNOWN, column.field, f"'{name}'", accepted, target=target, hint=hint)
    )
