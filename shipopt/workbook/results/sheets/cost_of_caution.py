"""The sheet Cost of caution: a few plain words, the curve of cost against expected loss, each level, other chances.

Where it was not asked for, the sheet says so in one line.
"""

from collections.abc import Sequence
from typing import Any

from shipopt.move.money import Currency
from shipopt.workbook import look
from shipopt.workbook.results.columns import Table
from shipopt.workbook.results.declaration_caution import COST_OF_CAUTION, LEVELS, OTHER_CHANCES
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Page
from shipopt.workbook.results.references import Formula, cell
from shipopt.workbook.results.rows.caution import LevelRow, in_plain_words
from shipopt.workbook.results.sheets.plan_charts import EDGES, ROW_PIXELS, pixels_across

LAST = len(LEVELS.columns) - 1
HEIGHT = 280
FAR_DEARER = 3
"""So many times the cost of the level before it: the most careful plan is then left out of the chart."""
NOT_ASKED = "The cost of caution was not asked for (leave out --no-caution to have it), or interrupted."
WHAT_IT_IS = (
    "Each row is the cheapest plan found that loses no more on average than its limit. The last is the most careful: "
    "its goal is to lose as little as can be, so its gap is in loss; how cheaply that can be had is told less closely "
    "(its lower bound). The move's own caps on loss are left out, since they are what is varied; every other rule "
    "holds. Chances are planning assumptions that you can change in the sheets Means and Quotes. The average hides the "
    "worst case: for that see the sheet Risk."
)


def facts(results: Results) -> dict[str, Any]:
    """The words above the tables, by label."""
    if results.caution is None:
        return {"In plain words": [NOT_ASKED]}
    return {"In plain words": in_plain_words(results.caution, results.caution_levels)}


def write(page: Page, results: Results) -> None:
    """Fills the sheet."""
    rows = results.caution_levels
    page.fit(LEVELS, rows)
    page.title(0, LAST, COST_OF_CAUTION.name)
    if results.caution is None:
        page.words(2, 0, NOT_ASKED, page.look())
        page.finish()
        return
    page.fit(Table(OTHER_CHANCES.name, OTHER_CHANCES.columns[:-1]), results.other_chances)
    page.paragraph(1, 0, LAST, WHAT_IT_IS, page.look.note())
    top = page.section(3, LAST, "In plain words")
    for text in in_plain_words(results.caution, rows):
        page.paragraph(top, 0, LAST, text, page.look(text_wrap=True))
        top += 1
    chart_at = page.section(top + 1, LAST, "Cost against expected loss")
    drawn = in_the_chart(rows)
    if left_out := rows[len(drawn) :]:
        page.paragraph(chart_at, 0, LAST, why_not_drawn(left_out[0], page.book.settings.currency), page.look.note())
        chart_at += 1
    levels_at = chart_at + (HEIGHT + 8) // ROW_PIXELS + 1
    first = page.section(levels_at, LAST, LEVELS.name)
    others_at = _levels(page, results, first) + 1
    _chart(page, first + 1, first + len(drawn), chart_at)
    end = _other_chances(page, results, page.section(others_at, LAST, OTHER_CHANCES.name))
    page.finish(blocks=(0, levels_at, others_at), end=end)


def in_the_chart(rows: Sequence[LevelRow]) -> Sequence[LevelRow]:
    """The levels that are drawn: all but the most careful one where it is so dear that the others would lie flat."""
    *others, last = rows
    return others if len(others) > 1 and last.total_cost > FAR_DEARER * others[-1].total_cost else rows


def why_not_drawn(row: LevelRow, currency: Currency) -> str:
    """The words above a chart without the most careful level."""
    cost, loss = currency.show(row.total_cost), currency.show(row.expected_uninsured_loss)
    return (
        f"Not drawn, so that the others can be told apart: {row.level}, which costs {cost} and loses {loss} on average."
    )


def _levels(page: Page, results: Results, first: int) -> int:
    """The levels; differences, sums and gaps are live."""

    def at(number: int, key: str) -> str:
        return cell(first + 1 + number, LEVELS.place(key))

    def gap(number: int) -> Formula:
        in_loss = results.caution_levels[number].lower_bound_of_loss is not None
        goal, bound = ("expected_uninsured_loss", "lower_bound_of_loss") if in_loss else ("total_cost", "lower_bound")
        found = at(number, goal)
        return Formula(f"=IF({found}=0,0,({found}-{at(number, bound)})/{found}*100)")

    cheapest = cell(first + 1, LEVELS.place("total_cost"), fixed=True)
    return page.table(
        LEVELS,
        results.caution_levels,
        first,
        {
            "dearer_than_the_cheapest": lambda number: Formula(f"={at(number, 'total_cost')}-{cheapest}"),
            "cost_expected_loss": lambda number: Formula(
                f"={at(number, 'total_cost')}+{at(number, 'expected_uninsured_loss')}"
            ),
            "gap_percent": gap,
        },
    )


def _other_chances(page: Page, results: Results, first: int) -> int:
    """One row a factor, its words running on to the last column; returns the first row after them."""
    words_at = OTHER_CHANCES.place("how_the_plan_changes")
    page.headings(OTHER_CHANCES, first, last=LAST)
    for at, row in enumerate(results.other_chances, start=first + 1):
        for place, column in enumerate(OTHER_CHANCES.columns):
            value = getattr(row, column.key)
            if place == words_at:
                page.paragraph(at, place, LAST, value, page.look.body(text_wrap=True, align="left", indent=1))
            else:
                page.put(at, place, value, page.style(column, place, page.look.body))
    return first + 1 + len(results.other_chances)


def _chart(page: Page, first: int, last: int, top: int) -> None:
    """Cost against expected loss, a mark for each level."""
    chart = page.book.workbook.add_chart({"type": "scatter", "subtype": "straight_with_markers"})
    small = {"name": look.FONT, "size": 8, "color": look.INK}
    code, name = page.book.settings.currency.code, page.sheet.name
    loss, cost = LEVELS.place("expected_uninsured_loss"), LEVELS.place("total_cost")
    chart.add_series(
        {
            "name": LEVELS.name,
            "categories": [name, first, loss, last, loss],
            "values": [name, first, cost, last, cost],
            "line": {"color": look.INK, "width": 1.5},
            "marker": {"type": "circle", "size": 7, "fill": {"color": look.CHART_FIRST}, "border": {"color": look.INK}},
        }
    )
    title = f"To lose less on average (further left) costs more (higher up), {code}"
    chart.set_title({"name": title, "name_font": {"name": look.FONT, "size": 10, "bold": True}, "overlay": False})
    grid: dict[str, Any] = {"visible": True, "line": {"color": look.HAIRLINE}}
    words = {**small, "bold": False}
    chart.set_x_axis(
        {
            "name": f"Expected uninsured loss, {code}",
            "name_font": words,
            "num_font": small,
            "num_format": look.COUNT,
            "min": 0,
            "major_gridlines": grid,
        }
    )
    chart.set_y_axis(
        {
            "name": f"Total cost, {code}",
            "name_font": words,
            "num_font": small,
            "num_format": look.COUNT,
            "min": 0,
            "major_gridlines": grid,
        }
    )
    chart.set_legend({"none": True})
    chart.set_chartarea({"border": {"color": look.HAIRLINE}})
    chart.set_size({"width": pixels_across(page, LAST) - EDGES, "height": HEIGHT})
    page.worksheet.insert_chart(top, 0, chart, {"x_offset": 2, "y_offset": 4, "object_position": 2})
