"""The sheet Quotes compared: each quote of the workbook, what it carries and costs, or why it stays out."""

from collections.abc import Callable

from shipopt.workbook.results.declaration import QUOTES_COMPARED
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Page
from shipopt.workbook.results.references import Formula, cell, where
from shipopt.workbook.results.rows.quotes import QuoteRow
from shipopt.workbook.results.sheets.carton_list import carton_block
from shipopt.workbook.results.sheets.charges import charge_block
from shipopt.workbook.results.sheets.going import going
from shipopt.workbook.results.sheets.lists import write_list

SUMMED = ("cartons", "records", "gross_weight", "value", "carriage", "cover_fees", "cartons_bought", "all_in_cost")


def write(page: Page, results: Results) -> None:
    """Fills the sheet."""
    sums = {key: sum(getattr(row, key) for row in results.quotes) for key in SUMMED}
    write_list(page, results.quotes, sums, label_at=0, formulas=_formulas(results))


def _formulas(results: Results) -> dict[str, Callable[[int], Formula | None]]:
    table = QUOTES_COMPARED.tables[0]
    cartons, charges = carton_block(results), charge_block(results)

    def at(number: int, key: str) -> str:
        return cell(1 + number, table.place(key))

    def carried(summed: str | None) -> Callable[[int], Formula | None]:
        return lambda number: where(cartons, going(results, at(number, "quote")), summed)

    def each(key: str, divisor: str, scale: str = "") -> Callable[[int], Formula | None]:
        def formula(number: int) -> Formula | None:
            row: QuoteRow = results.quotes[number]
            if getattr(row, key) is None:
                return None
            return Formula(f"={at(number, 'all_in_cost')}/{at(number, divisor)}{scale}")

        return formula

    return {
        "cartons": carried(None),
        "records": carried("records"),
        "gross_weight": carried("gross_weight"),
        "value": carried("value"),
        "carriage": lambda number: where(charges, {"quote": at(number, "quote")}, "charged"),
        "cover_fees": carried("cover_fee"),
        "cartons_bought": carried("carton_price"),
        "all_in_cost": lambda number: Formula(
            f"={at(number, 'carriage')}+{at(number, 'cover_fees')}+{at(number, 'cartons_bought')}"
        ),
        "cost_a_carton": each("cost_a_carton", "cartons"),
        "cost_a_record": each("cost_a_record", "records"),
        "cost_per_1000_of_value": each("cost_per_1000_of_value", "value", "*1000"),
    }
