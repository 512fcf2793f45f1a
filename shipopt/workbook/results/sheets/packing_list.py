"""The sheet Packing list: every copy of every record at its place, carton by carton, a line above each carton."""

from shipopt.move.money import ZERO
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Line, Page
from shipopt.workbook.results.rows.packing import PackingRow
from shipopt.workbook.results.sheets.lists import write_list


def write(page: Page, results: Results) -> None:
    """Fills the sheet."""
    value = sum((row.value for row in results.packing), ZERO)
    write_list(page, results.packing, {"value": value}, label_at=2, line_of=_line, still_columns=2)


def _line(row: PackingRow) -> Line:
    return Line.FIRST if row.place == 1 else Line.PLAIN
