"""The sheet Plan: what it costs, what to book, charts, warnings, cautions, what the figures mean.

Totals are live formulas over the lists of the other sheets. The parts below the bookings are in the modules
plan_charts and plan_words.
"""

from collections.abc import Callable
from decimal import Decimal

from shipopt.workbook import look
from shipopt.workbook.results.columns import Kind
from shipopt.workbook.results.declaration import BOOKINGS, CARTONS_TO_BUY, GONE, PLAN, TOTALS
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Page, number_format
from shipopt.workbook.results.references import Block, Formula, cell, total, where
from shipopt.workbook.results.sheets.carton_list import carton_block
from shipopt.workbook.results.sheets.charges import charge_block
from shipopt.workbook.results.sheets.going import going
from shipopt.workbook.results.sheets.plan_charts import draw
from shipopt.workbook.results.sheets.plan_words import write_words

LAST = len(BOOKINGS.columns) - 1
FIRST_TOTAL = 4
BOOKINGS_HEADINGS = FIRST_TOTAL + len(TOTALS.columns) + 2


def write(page: Page, results: Results) -> None:
    """Fills the sheet. Widths are fitted by the tables before the words that wrap within them are written."""
    bookings = Block(PLAN, BOOKINGS, BOOKINGS_HEADINGS + 1, len(results.bookings))
    top = _bookings(page, results, bookings)
    top = _gone(page, results, top)
    gone = Block(PLAN, GONE, top - 1 - len(results.gone), len(results.gone)) if results.gone else None
    top = _to_buy(page, results, top + 1)
    _totals(page, results, bookings, gone)
    page.title(0, LAST, results.plan.move.settings.title)
    page.paragraph(1, 0, LAST, subtitle(results), page.look.note())
    top = draw(page, results, bookings, top + 1)
    write_words(page, results, top + 1)
    page.finish()


def subtitle(results: Results) -> str:
    """One line under the title: from where to where, when, and what the figures are in."""
    settings = results.plan.move.settings
    way = " → ".join(place for place in (settings.from_place, settings.to_place) if place)
    dates = [
        f"{words} {day.isoformat()}"
        for words, day in (("ready on", settings.ready_on), ("needed by", settings.needed_by))
        if day
    ]
    units = settings.units
    measures = f"amounts in {settings.currency.code}, weights in {units.weight}, lengths in {units.length}"
    return "  ·  ".join(part for part in (way, *dates, measures) if part)


def _totals(page: Page, results: Results, bookings: Block, gone: Block | None) -> None:
    page.section(FIRST_TOTAL - 1, LAST, "What it costs")
    formulas = _formulas(results, bookings, gone)
    page.hold(0, max(len(column.heading) for column in TOTALS.columns) + 2)
    page.hold(1, 20)
    for row, column in enumerate(TOTALS.columns, start=FIRST_TOTAL):
        grave = column.key == "total_cost"
        page.words(row, 0, column.heading, page.look.body(bold=grave, font_size=look.SIZE + grave))
        code = number_format(column.kind, page.book.settings, unit=column.kind is Kind.MONEY)
        code = look.PERCENT_FINE if column.kind is Kind.PERCENT else code
        style = page.look.body(bold=True, num_format=code, align="right", font_size=look.SIZE + grave)
        value: Decimal | int = getattr(results.totals, column.key)
        if column.key in formulas:
            page.formula(row, 1, formulas[column.key], value, style)
        else:
            page.put(row, 1, value, style)
        page.paragraph(
            row, 2, LAST, _note(results, column.key), page.look.note(align="left", indent=1, valign="vcenter")
        )


def _note(results: Results, key: str) -> str:
    if key == "lower_bound":
        return f"{TOTALS.column(key).help} Solver: {results.plan.search.solver}."
    return TOTALS.column(key).help


def _formulas(results: Results, bookings: Block, gone: Block | None) -> dict[str, Formula]:
    cartons = carton_block(results)

    def at(key: str) -> str:
        return cell(FIRST_TOTAL + TOTALS.place(key), 1)

    paid, covered_before = (
        f"+SUM({gone.range(key, elsewhere=False)})" if gone else "" for key in ("paid", "cover_fee")
    )
    counted = f"+{at('expected_uninsured_loss')}" if results.plan.move.settings.count_expected_loss else ""
    compared = f"({at('total_cost')}{counted})"
    covered = f'({cartons.range("cover")}<>"")*{cartons.range("value")}'
    return {
        "total_cost": Formula(f"={at('carriage')}+{at('cartons_bought')}+{at('cover_fees')}"),
        "carriage": Formula(total(bookings, "carriage", elsewhere=False) + paid),
        "cartons_bought": total(cartons, "carton_price"),
        "cover_fees": Formula(total(bookings, "cover_fees", elsewhere=False) + covered_before),
        "expected_uninsured_loss": total(cartons, "expected_uninsured_loss"),
        "value_moved": total(cartons, "value"),
        "value_covered": Formula(f"=SUMPRODUCT({covered})"),
        "records": total(cartons, "records"),
        "cartons": Formula(f"=COUNTA({cartons.range('carton_no')})"),
        "gap_percent": Formula(f"=IF({compared}=0,0,({compared}-{at('lower_bound')})/{compared}*100)"),
    }


def _bookings(page: Page, results: Results, block: Block) -> int:
    page.section(BOOKINGS_HEADINGS - 1, LAST, BOOKINGS.name)
    cartons, charges = carton_block(results), charge_block(results)

    def name(number: int) -> str:
        return cell(block.first + number, BOOKINGS.place("quote"))

    def carried(summed: str | None) -> Callable[[int], Formula | None]:
        return lambda number: where(cartons, going(results, name(number)), summed)

    formulas: dict[str, Callable[[int], Formula | None]] = {
        "cartons": carried(None),
        "gross_weight": carried("gross_weight"),
        "value": carried("value"),
        "carriage": lambda number: where(charges, {"quote": name(number)}, "charged"),
        "cover_fees": carried("cover_fee"),
    }
    page.table(BOOKINGS, results.bookings, BOOKINGS_HEADINGS, formulas)
    below = block.first + max(block.rows, 1)
    values = {key: sum(getattr(row, key) for row in results.bookings) for key in formulas}
    page.totals(BOOKINGS, below, 0, {key: (total(block, key, elsewhere=False), values[key]) for key in formulas})
    return below + 1


def _gone(page: Page, results: Results, top: int) -> int:
    if not results.gone:
        return top
    first = page.section(top + 1, LAST, GONE.name)
    below = page.table(GONE, results.gone, first)
    block = Block(PLAN, GONE, first + 1, len(results.gone))
    keys = ("records", "gross_weight", "value", "paid", "cover_fee")
    values = {key: sum(getattr(row, key) for row in results.gone) for key in keys}
    page.totals(GONE, below, 0, {key: (total(block, key, elsewhere=False), values[key]) for key in keys})
    return below + 1


def _to_buy(page: Page, results: Results, top: int) -> int:
    if not results.to_buy:
        return top - 1
    first = page.section(top, LAST, CARTONS_TO_BUY.name)
    to_buy, price = (CARTONS_TO_BUY.place(key) for key in ("to_buy", "price_each"))
    rounds = page.book.settings.currency.places

    def amount(number: int) -> Formula:
        row = first + 1 + number
        return Formula(f"=ROUND({cell(row, to_buy)}*{cell(row, price)},{rounds})")

    below = page.table(CARTONS_TO_BUY, results.to_buy, first, {"amount": amount})
    block = Block(PLAN, CARTONS_TO_BUY, first + 1, len(results.to_buy))
    keys = ("used", "to_buy", "amount")
    values = {key: sum(getattr(row, key) for row in results.to_buy) for key in keys}
    page.totals(CARTONS_TO_BUY, below, 0, {key: (total(block, key, elsewhere=False), values[key]) for key in keys})
    return below + 1
