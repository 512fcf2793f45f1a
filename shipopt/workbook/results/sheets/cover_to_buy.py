"""The sheet Cover to buy: covers to take out, what to declare for which carton, what travels bare, what to photograph.

Cartons, values and fees of a purchase are live sums over the cartons below it.
"""

from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import Any

from shipopt.workbook.results.claims import CLAIMS
from shipopt.workbook.results.columns import Table
from shipopt.workbook.results.declaration_road import COVER_TO_BUY
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Page
from shipopt.workbook.results.references import Block, Formula, cell, total
from shipopt.workbook.results.rows.cover import DeclareRow
from shipopt.workbook.results.sheets.words import make_room_for_catchwords, write_texts

LAST = len(COVER_TO_BUY.tables[0].columns) - 1
NOTHING = "The plan buys no cover."


def write(page: Page, results: Results) -> None:
    """Fills the sheet."""
    buy, declare, bare, photographs = COVER_TO_BUY.tables
    every = ((buy, results.purchases), (declare, results.declared), (bare, results.bare))
    for table, rows in (*every, (photographs, results.photographs)):
        page.fit(table, rows)
    page.title(0, LAST, COVER_TO_BUY.name)
    top = _purchases(page, results, 2)
    top = _with_sums(page, declare, results.declared, top + 1, ("value_to_declare", "fee"))
    top = _with_sums(page, bare, results.bare, top, ("cartons", "value", "carrier_owes", "you_bear"), _borne(top))
    if results.photographs:
        top = page.table(photographs, results.photographs, page.section(top, LAST, photographs.name)) + 1
    make_room_for_catchwords(page, CLAIMS)
    write_texts(page, "Claims", CLAIMS, top, LAST)
    page.finish()


def _purchases(page: Page, results: Results, top: int) -> int:
    table, declare, *_ = COVER_TO_BUY.tables
    rows = results.purchases
    top = page.section(top, LAST, table.name)
    if not rows:
        page.words(top, 0, NOTHING, page.look())
        return top + 1
    # The cartons stand below: these rows, their line of totals, a blank one, a section's title, the headings.
    first = top + 1 + len(rows) + 4
    spans = _spans(results.declared, first)

    def summed(key: str) -> Callable[[int], Formula | None]:
        place = declare.place(key)
        return lambda number: Formula(f"=SUM({_range(spans[number], place)})")

    formulas: dict[str, Callable[[int], Formula | None]] = {
        "cartons": lambda number: Formula(f"=ROWS({_range(spans[number], declare.place('carton_no'))})"),
        "value_to_declare": summed("value_to_declare"),
        "fee": summed("fee"),
    }
    below = page.table(table, rows, top, formulas)
    _sums(page, table, rows, top + 1, below, tuple(formulas))
    return below + 1


def _spans(declared: Sequence[DeclareRow], first: int) -> list[tuple[int, int]]:
    """First and last row of the sheet of each purchase's cartons, which stand together."""
    spans: dict[int, tuple[int, int]] = {}
    for row, each in enumerate(declared, start=first):
        spans[each.purchase] = (spans.get(each.purchase, (row, row))[0], row)
    return list(spans.values())


def _range(span: tuple[int, int], place: int) -> str:
    return f"{cell(span[0], place)}:{cell(span[1], place)}"


def _with_sums(
    page: Page,
    table: Table,
    rows: Sequence[Any],
    top: int,
    keys: tuple[str, ...],
    formulas: dict[str, Callable[[int], Formula | None]] | None = None,
) -> int:
    """A section with a table and its line of totals; nothing where there are no rows. Returns where the next begins."""
    if not rows:
        return top
    top = page.section(top, LAST, table.name)
    below = page.table(table, rows, top, formulas)
    _sums(page, table, rows, top + 1, below, keys)
    return below + 2


def _sums(page: Page, table: Table, rows: Sequence[Any], first: int, below: int, keys: tuple[str, ...]) -> None:
    block = Block(COVER_TO_BUY, table, first, len(rows))
    values: dict[str, Decimal | int] = {key: sum(getattr(row, key) for row in rows) for key in keys}
    page.totals(table, below, 0, {key: (total(block, key, elsewhere=False), value) for key, value in values.items()})


def _borne(top: int) -> dict[str, Callable[[int], Formula | None]]:
    """What you bear of each row of the table whose section begins at ``top``: value − what the carrier owes."""
    bare = COVER_TO_BUY.tables[2]
    value, owes = bare.place("value"), bare.place("carrier_owes")
    first = top + 2
    return {"you_bear": lambda number: Formula(f"={cell(first + number, value)}-{cell(first + number, owes)}")}
