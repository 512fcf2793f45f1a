"""What the sheets that are one long list have in common: headings in the first row, a filter, a line of totals below.

The headings stay in view and are repeated on each printed page. Used by the modules of the list sheets.
"""

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from shipopt.workbook.results.columns import Sheet
from shipopt.workbook.results.page import Line, Page
from shipopt.workbook.results.references import Block, Formula, total_shown

Sums = Mapping[str, Decimal | int]


def block_of(sheet: Sheet, rows: Sequence[Any]) -> Block:
    """Where the rows of a list sheet stand."""
    return Block(sheet, sheet.tables[0], 1, len(rows))


def write_list(
    page: Page,
    rows: Sequence[Any],
    sums: Sums,
    label_at: int,
    formulas: Mapping[str, Callable[[int], Formula | None]] | None = None,
    line_of: Callable[[Any], Line] | None = None,
    still_columns: int = 1,
    blocks: Sequence[int] = (),
    note: str = "",
) -> int:
    """The list from the sheet's first row on, the sums of the rows shown below it, then the note; returns the row after
    the sums. Printed pages end before ``blocks``, first rows of what belongs together, where they can."""
    block = block_of(page.sheet, rows)
    page.table(block.table, rows, 0, formulas, line_of)
    below = 1 + max(len(rows), 1)
    page.totals(block.table, below, label_at, {key: (total_shown(block, key), value) for key, value in sums.items()})
    if note:
        page.paragraph(below + 2, min(label_at, 1), len(block.table.columns) - 1, note, page.look.note())
    page.worksheet.autofilter(0, 0, below - 1, len(block.table.columns) - 1)
    page.worksheet.freeze_panes(1, still_columns)
    page.finish(first_rows=1, blocks=blocks, end=below + 1)
    return below + 1
