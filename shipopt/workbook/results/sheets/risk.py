"""The sheet Risk: the uninsured loss in plain words, in figures, as a curve, by quote and care, record by record.

Written for somebody who has never met the words of statistics. The chart is in the module risk_chart.
"""

from collections.abc import Callable, Sequence
from typing import Any

from shipopt.workbook.results.columns import Table
from shipopt.workbook.results.declaration_risk import (
    BY_CARE,
    BY_QUOTE,
    FIGURES,
    LIKELIHOOD,
    RECORDS_AT_RISK,
    RISK,
)
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Page
from shipopt.workbook.results.references import Block, Formula, cell, quoted, total, where
from shipopt.workbook.results.rows.risk import in_words
from shipopt.workbook.results.sheets.carton_list import carton_block
from shipopt.workbook.results.sheets.risk_chart import draw, rows_taken

LAST = len(RECORDS_AT_RISK.columns) - 1
NOTHING = "Nothing can be lost uninsured: every chance is 0, or covers and carriers pay for everything."
WHAT_IT_IS = (
    "What loss and damage on the way could cost you once insurance and the carriers have paid. The figures rest on the "
    "chances in the sheets Means and Quotes: planning assumptions that you can change, no forecast, and nobody's "
    "promise. What is not in them: theft from a parked vehicle, heat, loss of time, what an insurer may refuse."
)
HALVING = (
    "A change to a carton is priced with all else as it is. A record taken out of its carton is not priced, and needs "
    "room elsewhere. Pin a record with Must go by, or change its Care, and plan again to see the whole effect."
)


def facts(results: Results) -> dict[str, Any]:
    """The words above the tables, by label."""
    return {"In plain words": plain_words(results)}


def plain_words(results: Results) -> tuple[str, ...]:
    """A few sentences that say it all."""
    if not results.loss_events:
        return (NOTHING,)
    figures = {row.figure: row.in_plain_words for row in results.risk_figures}
    worst = results.risk_figures[-1]
    told = in_words(results.curve, results.plan.move.settings.currency)
    event = f"The worst single event: {worst.in_plain_words}"
    return (figures["Chance of any uninsured loss"], *told, figures["Average of worst 5%"], event)


def write(page: Page, results: Results) -> None:
    """Fills the sheet."""
    tables: tuple[tuple[Table, Sequence[Any]], ...] = (
        (BY_QUOTE, results.risk_by_quote),
        (BY_CARE, results.risk_by_care),
        (RECORDS_AT_RISK, results.riskiest),
        (LIKELIHOOD, results.likelihoods),
    )
    for table, rows in tables:
        page.fit(table, rows)
    page.hold(0, max(len(row.figure) for row in results.risk_figures) + 1)
    page.title(0, LAST, RISK.name)
    page.paragraph(1, 0, LAST, WHAT_IT_IS, page.look.note())
    top = page.section(3, LAST, "In plain words")
    for text in plain_words(results):
        page.paragraph(top, 0, LAST, text, page.look(text_wrap=True))
        top += 1
    expected_at = page.section(top + 1, LAST, FIGURES.name) + 1
    top = _figures(page, results, expected_at - 1)
    chart_at, top = top + 1, top + 1 + rows_taken(results)
    top = _parts(page, BY_QUOTE, results, results.risk_by_quote, top + 1)
    top = _parts(page, BY_CARE, results, results.risk_by_care, top + 1)
    top = _records(page, results, cell(expected_at, FIGURES.place("amount"), fixed=True), top + 1)
    curve_at = page.section(top + 1, LAST, LIKELIHOOD.name)
    page.table(LIKELIHOOD, results.likelihoods, curve_at)
    draw(page, results, Block(RISK, LIKELIHOOD, curve_at + 1, len(results.likelihoods)), chart_at)
    page.finish()


def _figures(page: Page, results: Results, top: int) -> int:
    """The figures, their words running on to the last column."""
    words_at = FIGURES.place("in_plain_words")
    page.headings(FIGURES, top, last=LAST)
    for at, row in enumerate(results.risk_figures, start=top + 1):
        for place, column in enumerate(FIGURES.columns):
            value = getattr(row, column.key)
            style = page.style(column, place, page.look.body)
            if at == top + 1 and column.key == "amount":
                page.formula(at, place, total(carton_block(results), "expected_uninsured_loss"), value, style)
            elif place == words_at:
                page.paragraph(at, place, LAST, value, page.look.body(text_wrap=True, align="left", indent=1))
            else:
                page.put(at, place, value, style)
    return top + 1 + len(results.risk_figures)


def _parts(page: Page, table: Table, results: Results, rows: Sequence[Any], top: int) -> int:
    """A table by quote or by care: expected losses summed live from the carton list."""
    first = page.section(top, LAST, table.name)
    if not rows:
        page.words(first, 0, NOTHING, page.look())
        return first + 1
    key = table.columns[0].key

    def carried(number: int) -> Formula:
        named = cell(first + 1 + number, 0) if rows[number].part else quoted("")
        return where(carton_block(results), {key: named}, "expected_uninsured_loss")

    live: dict[str, Callable[[int], Formula | None]] = {"expected_uninsured_loss": carried}
    below = page.table(table, rows, first, live)
    block = Block(RISK, table, first + 1, len(rows))
    sums = {each: sum(getattr(row, each) for row in rows) for each in ("cartons", "value_at_risk", *live)}
    page.totals(table, below, 0, {each: (total(block, each, elsewhere=False), value) for each, value in sums.items()})
    return below + 1


def _records(page: Page, results: Results, expected: str, top: int) -> int:
    """The riskiest records; their parts of the whole are live."""
    rows = results.riskiest
    first = page.section(top, LAST, RECORDS_AT_RISK.name)
    if not rows:
        page.words(first, 0, NOTHING, page.look())
        return first + 1
    each, copies = (RECORDS_AT_RISK.place(key) for key in ("risk_of_one", "copies"))

    def part(number: int) -> Formula:
        at = first + 1 + number
        return Formula(f"={cell(at, each)}*{cell(at, copies)}/{expected}*100")

    below = page.table(RECORDS_AT_RISK, rows, first, {"part_percent": part})
    page.paragraph(below, 0, LAST, HALVING, page.look.note())
    return below + 1
