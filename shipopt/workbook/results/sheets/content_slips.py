"""The sheet Content slips: for each carton, or each inner carton, a list to lay on top of the records inside.

A slip shows columns of the packing list, without values; copies side by side share a line. A dashed line to cut along
stands below each; a printed page ends between slips where it can.
"""

from dataclasses import replace

from shipopt.workbook import look
from shipopt.workbook.results.columns import Column, Table
from shipopt.workbook.results.declaration import PACKING_LIST
from shipopt.workbook.results.declaration_road import COPIES, PLACES
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.measures import MEASURED_ROWS
from shipopt.workbook.results.page import Page
from shipopt.workbook.results.rows.labels import SlipRow

SHOWN = ("record_id", "artist", "title", "shelf")
WIDER = {"artist": 34, "title": 48}
"""Characters that these columns may be wide on a slip: what wraps makes a long slip longer than a page."""


def _on_a_slip(key: str) -> Column:
    column = PACKING_LIST.tables[0].column(key)
    return replace(column, most=max(column.most, WIDER.get(key, 0)))


ON_A_SLIP = Table("On a slip", (PLACES, COPIES, *map(_on_a_slip, SHOWN)))
LAST = len(ON_A_SLIP.columns) - 1
NO_SLIPS = "No carton is left to pack: there is nothing to list."
CUT = 3
"""XlsxWriter's number for a dashed border."""


def write(page: Page, results: Results) -> None:
    """Fills the sheet, slips in the order to pack."""
    slips = results.slips
    page.fit(ON_A_SLIP, [line for slip in slips for line in slip.lines][:MEASURED_ROWS])
    if not slips:
        page.words(0, 0, NO_SLIPS, page.look())
        page.finish()
        return
    write_row = page.row_writer(ON_A_SLIP)
    starts, top = [], 0
    for slip in slips:
        starts.append(top)
        page.section(top, LAST, words_of(slip))
        page.headings(ON_A_SLIP, top + 1, notes=False)
        top += 2
        for number, row in enumerate(slip.lines):
            write_row(top, number, row)
            top += 1
        for place in range(LAST + 1):
            page.words(top, place, "", page.look(bottom=CUT, bottom_color=look.RULE))
        top += 2
    page.finish(blocks=starts, end=top)


def words_of(slip: SlipRow) -> str:
    """What heads a slip: carton, records, shelves."""
    records = f"{slip.records} record" + ("s" if slip.records != 1 else "")
    shelves = slip.first_shelf if slip.first_shelf == slip.last_shelf else f"{slip.first_shelf} to {slip.last_shelf}"
    return f"Inside carton {slip.slip}:  {records}" + (f",  shelf {shelves}" if shelves.strip() else "")
