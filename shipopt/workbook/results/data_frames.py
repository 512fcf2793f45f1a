"""The results as pandas data frames, for notebooks: one for each table, its columns named in snake_case.

Amounts become floating numbers, which is what data frames reckon in: take totals that must be exact to the cent from
``Results`` or the JSON file. Whole numbers stay whole where some are missing; dates are time stamps.
"""

from collections.abc import Sequence
from typing import Any

import pandas as pd

from shipopt.move.plan import Plan
from shipopt.workbook.results.columns import Column, Kind, Table
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.registry import SHEETS


def plan_tables(plan: Plan | Results) -> dict[str, pd.DataFrame]:
    """Data frames by name: ``totals``, ``bookings_to_make``, ``carton_list``, ``packing_list`` and so on.

    A sheet's only table has the sheet's name, one of several its own.
    """
    results = plan if isinstance(plan, Results) else Results(plan)
    found: dict[str, pd.DataFrame] = {}
    for entry in SHEETS:
        alone = len(entry.sheet.tables) == 1
        for table, rows in zip(entry.sheet.tables, entry.rows(results), strict=True):
            found[entry.sheet.key if alone else table.key] = _frame(table, rows)
    return found


def _frame(table: Table, rows: Sequence[Any]) -> pd.DataFrame:
    return pd.DataFrame(
        {column.key: _series(column, [getattr(row, column.key) for row in rows]) for column in table.columns}
    )


def _series(column: Column, values: Sequence[Any]) -> pd.Series:
    if column.kind is Kind.COUNT:
        return pd.Series(values, dtype="Int64")
    if column.kind is Kind.DATE:
        return pd.Series(pd.to_datetime(pd.Series(values, dtype="object")))
    if column.kind.is_text:
        return pd.Series([value if isinstance(value, str | None) else str(value) for value in values], dtype="object")
    return pd.Series([None if value is None else float(value) for value in values], dtype="float64")
