"""The sheet Packing list: every copy of every record at its place, carton by carton in the order to pack.

A line stands above each carton, and a printed page ends between cartons where it can.
"""

from shipopt.move.money import ZERO
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Line, Page
from shipopt.workbook.results.rows.packing import PackingRow
from shipopt.workbook.results.sheets.lists import write_list

SELDOM = ("inner_carton", "filler")
"""Columns that are hidden where no row has anything in them."""


def write(page: Page, results: Results) -> None:
    """Fills the sheet."""
    rows = results.packing
    value = sum((row.value for row in rows), ZERO)
    for key in SELDOM:
        if not any(getattr(row, key) for row in rows):
            page.hide(page.sheet.tables[0].place(key))
    cartons = [1 + at for at, row in enumerate(rows) if row.place == 1]
    write_list(page, rows, {"value": value}, label_at=2, line_of=_line, still_columns=2, blocks=cartons)


def _line(row: PackingRow) -> Line:
    return Line.FIRST if row.place == 1 else Line.PLAIN
