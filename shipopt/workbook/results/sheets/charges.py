"""The sheet Charges: each booking's statement line by line with live sums, and freight classes as an indication."""

from decimal import Decimal

from shipopt.move.money import ZERO
from shipopt.workbook.results.declaration import CHARGES
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Line, Page
from shipopt.workbook.results.references import Block, Formula, cell
from shipopt.workbook.results.rows.charges import ChargeRow
from shipopt.workbook.results.sheets.lists import block_of, write_list

INDICATION = (
    "Freight class by the density scale of the National Motor Freight Classification (Docket 2025-1, in force from 19 "
    "July 2025), from the cartons alone. An indication only: a pallet adds weight and volume, an item of the "
    "classification may say otherwise, and the carrier decides."
)


def charge_block(results: Results) -> Block:
    """Where the charges stand, for sums on other sheets."""
    return block_of(CHARGES, results.charges)


def write(page: Page, results: Results) -> None:
    """Fills the sheet."""
    rows = results.charges
    table = CHARGES.tables[0]
    quantity, rate, amount = (table.place(key) for key in ("quantity", "rate", "amount"))

    def product(number: int) -> Formula | None:
        if rows[number].amount is None:
            return None
        return Formula(f"={cell(1 + number, quantity)}*{cell(1 + number, rate)}")

    def sum_above(number: int) -> Formula | None:
        lines = rows[number].lines
        if not lines:
            return None
        return Formula(f"=SUM({cell(1 + number - lines, amount)}:{cell(number, amount)})")

    charged = sum((row.charged for row in rows if row.charged is not None), ZERO)
    sums: dict[str, Decimal | int] = {"charged": charged}
    below = write_list(page, rows, sums, 0, {"amount": product, "charged": sum_above}, _line)
    if results.freight:
        _freight(page, results, below + 1)


def _line(row: ChargeRow) -> Line:
    return Line.PLAIN if row.charged is None else Line.SUM


def _freight(page: Page, results: Results, top: int) -> None:
    table = CHARGES.tables[1]
    last = len(table.columns) - 1
    below = page.table(table, results.freight, page.section(top, last, table.name))
    page.paragraph(below, 0, last, INDICATION, page.look.note())
    page.finish(first_rows=1)
