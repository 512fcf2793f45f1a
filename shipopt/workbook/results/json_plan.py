"""The results as JSON: the sheets, tables and columns of the results workbook, their names in snake_case.

A sheet of one table is a list of rows; a sheet of several an object of them, its label | value facts beside them.
Amounts are numbers written out in full decimal digits, money to its minor unit: read them as decimals where cents count
(``json.loads(text, parse_float=Decimal)``). What is not charged money (expected losses, fills, costs a record) is
rounded to six places. Dates are text YYYY-MM-DD; what does not apply is null.
"""

import json
import os
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from decimal import ROUND_HALF_EVEN, Decimal
from pathlib import Path
from typing import Any

from shipopt.workbook.results.cell_text import cell_text
from shipopt.workbook.results.columns import Table, key_of
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.registry import SHEETS, Entry
from shipopt.workbook.results.whole_file import whole_file

PLACES = Decimal("0.000001")


def write_json(path: str | os.PathLike[str], results: Results) -> None:
    """Writes the results as JSON (UTF-8), replacing a file of that name; CannotWrite if that is not possible."""
    with whole_file(Path(path)) as unfinished:
        unfinished.write_text(json_text(results), encoding="utf-8")


def json_text(results: Results) -> str:
    """The results as JSON, one row of a table on each line."""
    whole: dict[str, Any] = {}
    for entry in SHEETS:
        whole |= _sheet(entry, results)
    return "".join(_pieces(whole, 0)) + "\n"


def _sheet(entry: Entry, results: Results) -> dict[str, Any]:
    """What a sheet holds, under its key. A list, whose table has the sheet's own name, is a list here too; what stands
    below it has a key of its own."""
    facts, sheet = entry.facts(results), entry.sheet
    tables = list(zip(sheet.tables, entry.rows(results), strict=True))
    if tables[0][0].name == sheet.name and not facts:
        return {sheet.key: _rows(*tables[0])} | {table.key: _rows(table, rows) for table, rows in tables[1:]}
    if len(tables) == 1 and not facts:
        return {sheet.key: _rows(*tables[0])}
    found: dict[str, Any] = {key_of(label): fact for label, fact in facts.items()}
    for table, rows in tables:
        found |= _rows(table, rows)[0] if table.labelled else {table.key: _rows(table, rows)}
    return {sheet.key: found}


def _rows(table: Table, rows: Sequence[Any]) -> list[dict[str, Any]]:
    keys = [column.key for column in table.columns]
    return [{key: getattr(row, key) for key in keys} for row in rows]


def _pieces(value: Any, depth: int) -> Iterator[str]:
    """The JSON of a value in pieces: objects that hold others and lists over several lines, rows on one."""
    pad = "  " * (depth + 1)
    if isinstance(value, Mapping) and (depth == 0 or any(isinstance(each, list | tuple) for each in value.values())):
        yield "{"
        for number, (key, each) in enumerate(value.items()):
            yield f"{',' if number else ''}\n{pad}{json.dumps(key)}: "
            yield from _pieces(each, depth + 1)
        yield "\n" + pad[2:] + "}"
    elif isinstance(value, list | tuple):
        yield "["
        for number, each in enumerate(value):
            yield f"{',' if number else ''}\n{pad}"
            yield from _pieces(each, depth + 1)
        yield "\n" + pad[2:] + "]" if value else "]"
    elif isinstance(value, Mapping):
        yield "{" + ", ".join(f"{json.dumps(key)}: {_single(each)}" for key, each in value.items()) + "}"
    else:
        yield _single(value)


def _single(value: Any) -> str:
    match value:
        case Decimal():
            return format(exact(value), "f")
        case str():
            return json.dumps(cell_text(str(value)), ensure_ascii=False)
        case date():
            return f'"{value.isoformat()}"'
        case _:
            return json.dumps(value)


def exact(value: Decimal) -> Decimal:
    """The number itself where it has at most six decimal places, else rounded to six."""
    exponent = value.as_tuple().exponent
    if isinstance(exponent, int) and exponent < -6:
        return value.quantize(PLACES, rounding=ROUND_HALF_EVEN)
    return value
