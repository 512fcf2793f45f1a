"""The sheet Quotes compared: each quote of the workbook, what it carries and costs, or why it stays out."""

from collections.abc import Callable

from shipopt.workbook.results.declaration_comparing import BIDDERS, QUOTES_COMPARED
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.letters import lines_of
from shipopt.workbook.results.measures import height
from shipopt.workbook.results.page import Page
from shipopt.workbook.results.references import Formula, cell, where
from shipopt.workbook.results.rows.quotes import QuoteRow
from shipopt.workbook.results.sheets.carton_list import carton_block
from shipopt.workbook.results.sheets.charges import charge_block
from shipopt.workbook.results.sheets.going import going
from shipopt.workbook.results.sheets.lists import write_list
from shipopt.workbook.results.sheets.what_binds import CUT_SHORT, NOT_ASKED, near_the_cheapest

WORTH = (
    "Costs are of the whole move, by the cheapest plans found with and without each quote, with expected uninsured "
    "loss where the settings count it. All else stays as quoted: a bidder who changes one price may change others."
)

SUMMED = ("cartons", "records", "gross_weight", "value", "carriage", "cover_fees", "cartons_bought", "all_in_cost")


def write(page: Page, results: Results) -> None:
    """Fills the sheet."""
    sums = {key: sum(getattr(row, key) for row in results.quotes) for key in SUMMED}
    below = write_list(page, results.quotes, sums, label_at=0, formulas=_formulas(results))
    _worth(page, results, below + 1)


def _worth(page: Page, results: Results, top: int) -> None:
    """The second table: what each quote is worth, differences being live."""
    last = len(QUOTES_COMPARED.tables[0].columns) - 1
    first = page.section(top, last, BIDDERS.name)
    if results.comparison is None:
        page.words(first, 0, NOT_ASKED, page.look.note(text_wrap=False))
    else:
        below = page.table(BIDDERS, results.bidders, first, _differences(results, first + 1))
        _spread_verdicts(page, results, first, last)
        notes = [WORTH, near_the_cheapest(results)] + [CUT_SHORT] * (not results.comparison.in_time)
        for at, note in enumerate(notes, start=below):
            page.paragraph(at, 0, last, note, page.look.note())
    page.finish(first_rows=1)


def _spread_verdicts(page: Page, results: Results, first: int, last: int) -> None:
    """The verdicts, heading included, over the columns that only the table above has."""
    place = BIDDERS.place("verdict")
    page.paragraph(first, place, last, BIDDERS.columns[place].heading, page.look.heading(align="left", indent=1))
    for at, row in enumerate(results.bidders, start=first + 1):
        page.paragraph(at, place, last, row.verdict, page.look.body(text_wrap=True, align="left", indent=1))
        reserve = BIDDERS.place("keep_in_reserve")
        lines = (
            lines_of(row.verdict, page.span(place, last)),
            lines_of(row.keep_in_reserve, page.span(reserve, reserve) - 1),
            lines_of(row.quote, page.span(0, 0)),
        )
        page.tall(at, height(max(lines)))


def _differences(results: Results, first: int) -> dict[str, Callable[[int], Formula | None]]:
    def live(key: str, formula: str, *of: str) -> Callable[[int], Formula | None]:
        def at(number: int) -> Formula | None:
            if getattr(results.bidders[number], key) is None:
                return None
            return Formula("=" + formula.format(*(cell(first + number, BIDDERS.place(each)) for each in of)))

        return at

    return {
        "losing_it_costs": live("losing_it_costs", "{}-{}", "move_without_it", "move_with_it"),
        "room_to_ask": live("room_to_ask", "{}-{}", "walk_away_price", "fixed_charge"),
        "room_percent": live("room_percent", "{}/{}*100", "room_to_ask", "fixed_charge"),
    }


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
