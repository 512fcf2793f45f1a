"""The sheet Shelving: step by step along the shelves of the new place, pulled records last."""

from collections.abc import Mapping, Sequence
from typing import Any

from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Line, Page
from shipopt.workbook.results.rows.shelving import SLOT_IN, UNLISTED, ShelvingRow
from shipopt.workbook.results.sheets.lists import write_list

MOST_OPEN = "Most cartons open at once"
HOW = (
    "Step by step: open the carton named, take the records at those places and stand them on that shelf among those "
    "from other cartons, in the order of their rows; leave the carton open, or fold it if it is empty. Counted from "
    "the first record taken to the last, at most {most} open at once: the fewest that this packing allows with the "
    "shelves filled one after another. Records that were pulled from among others come last, each after the record it "
    "stands behind. Stand cartons on the floor, on their base, near the shelf they are for; let records come to room "
    "temperature before they are unwrapped. See that shelves are fixed and bear the load, and never lean over an open "
    "carton."
)


def facts(results: Results) -> Mapping[str, int]:
    """The figure under the list."""
    return {MOST_OPEN: most_open(results.shelving)}


def most_open(rows: Sequence[ShelvingRow]) -> int:
    """The most cartons open at any step."""
    return max((row.cartons_open for row in rows), default=0)


def write(page: Page, results: Results) -> None:
    """Fills the sheet."""
    rows = results.shelving
    records = sum(row.records for row in rows if row.records is not None)
    first = {_part(row): row.step for row in reversed(rows)}

    def line_of(row: ShelvingRow) -> Line:
        return Line.FIRST if row.step > 1 and first[_part(row)] == row.step else Line.PLAIN

    if not any(row.stands_after for row in rows):
        page.hide(page.sheet.tables[0].place("stands_after"))
    sums: dict[str, Any] = {"records": records}
    write_list(page, rows, sums, label_at=3, line_of=line_of, note=HOW.format(most=most_open(rows)))


def _part(row: ShelvingRow) -> str:
    """The parts of the list: along the shelves, put back last, not listed."""
    return row.what_to_do if row.what_to_do in (SLOT_IN, UNLISTED) else ""
