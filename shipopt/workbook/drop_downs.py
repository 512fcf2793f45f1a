"""Drop-downs and input checks of the template's cells, by the kind of their column.

Closed words stand in the check itself; names of another sheet are a range of that sheet, since a list in the check
may hold 255 characters at most. A spreadsheet program that does not honour them changes nothing for the reader.
"""

from collections.abc import Mapping
from typing import Any

from shipopt.workbook.declaration import Column
from shipopt.workbook.kinds import Reference, References, Terms, Word, YesNo

LONGEST_LIST = 255


def drop_down(column: Column, rows: Mapping[str, int]) -> dict[str, Any]:
    """Options of the check for a column's cells, none for a kind that has none. ``rows`` is the number of rows by
    sheet."""
    kind = column.kind
    if isinstance(kind, YesNo | Word):
        return _list(column, list(kind.words), "stop")
    if isinstance(kind, Reference):
        last = rows[kind.to.name] + 1
        names = f"='{kind.to.name}'!$A$2:$A${last}"
        return _list(column, names, "warning")
    if isinstance(kind, References):
        return {
            "validate": "any",
            "input_title": column.heading,
            "input_message": f"Accepted: {kind.accepted(Terms())}.",
        }
    return {}


def _list(column: Column, source: list[str] | str, severity: str) -> dict[str, Any]:
    return {
        "validate": "list",
        "source": source,
        "error_type": severity,
        "error_title": column.heading,
        "error_message": f"Accepted: {column.kind.accepted(Terms())}.",
    }
