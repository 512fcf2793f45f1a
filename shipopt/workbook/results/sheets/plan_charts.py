"""The charts of the sheet Plan: cost by part, cost by quote, value by quote.

Bars with words beside them, so that nothing is told by colour alone; the two of one chart differ in lightness.
"""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from shipopt.workbook import look
from shipopt.workbook.results.declaration import TOTALS
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.letters import text_width
from shipopt.workbook.results.page import Page
from shipopt.workbook.results.references import Block
from shipopt.workbook.results.rows.bookings import BookingRow
from shipopt.workbook.results.rows.totals import Totals

ROW_PIXELS = 19
PIXELS_A_CHARACTER, PIXELS_A_COLUMN = 7, 5
EDGES = 6
"""Pixels by which a chart is narrower than its columns, so that no edge of it asks for a page of its own."""
BAR, ROOM = 28, 96
ROOM_FOR_FIGURES = 1.25
SHORT_AXIS = '[>=1000000]#,##0.0,,"M";[>=10000]#,##0,"k";#,##0'
FEW, SHORT = 8, 28
"""Bookings, and digits that their names are wide, up to which three charts stand side by side."""
FIRST_PART, LAST_PART = "carriage", "cover_fees"


def draw(page: Page, results: Results, bookings: Block, top: int) -> int:
    """Draws the charts from row ``top`` on; returns the row after them. Nothing is drawn where nothing is booked."""
    if not results.bookings:
        return top
    last = len(bookings.table.columns) - 1
    first = page.section(top, last, "Charts")
    across = pixels_across(page, last)
    names = max(text_width(row.quote) for row in results.bookings)
    abreast = 3 if len(results.bookings) <= FEW and names <= SHORT else 2
    tall, low = ROOM + BAR * max(len(results.bookings), 3), ROOM + BAR * 3
    charts = (
        (_by_quote(page, bookings), tall),
        (_value(page, bookings, results.bookings), tall),
        (_by_part(page, results.totals), low),
    )
    for number, (chart, height) in enumerate(charts):
        down, aside = divmod(number, abreast)
        chart.set_size({"width": across // abreast - EDGES, "height": tall if abreast == 3 else height})
        offset = {"x_offset": aside * (across // abreast) + 2, "y_offset": 4 + down * (tall + 8), "object_position": 2}
        page.worksheet.insert_chart(first, 0, chart, offset)
    return first + (tall + 8 + (low + 8 if abreast == 2 else 0)) // ROW_PIXELS + 1


def pixels_across(page: Page, last: int) -> int:
    """Pixels that the columns up to ``last`` are wide, as fitted so far."""
    return page.span(0, last) * PIXELS_A_CHARACTER + (last + 1) * PIXELS_A_COLUMN


def _by_part(page: Page, totals: Totals) -> Any:
    chart = _bars(page, "Cost by part", max(totals.carriage, totals.cartons_bought, totals.cover_fees))
    rows = [4 + TOTALS.place(key) for key in (FIRST_PART, LAST_PART)]
    name = page.sheet.name
    chart.add_series(
        {
            "name": "Cost by part",
            "categories": [name, rows[0], 0, rows[1], 0],
            "values": [name, rows[0], 1, rows[1], 1],
            "fill": {"color": look.CHART_FIRST},
            "gap": 60,
            "data_labels": _labels(page),
        }
    )
    return chart


def _by_quote(page: Page, bookings: Block) -> Any:
    chart = _bars(page, "Cost by quote", subtype="stacked")
    for key, color in (("carriage", look.CHART_FIRST), ("cover_fees", look.CHART_SECOND)):
        heading = bookings.table.column(key).heading
        cells = _cells(page, bookings, key)
        chart.add_series({"name": heading, "gap": 60, "fill": {"color": color}, "border": {"color": look.INK}, **cells})
    chart.set_legend({"position": "bottom", "font": {"name": look.FONT, "size": 8}})
    return chart


def _value(page: Page, bookings: Block, rows: Sequence[BookingRow]) -> Any:
    chart = _bars(page, "Value by quote", max(row.value for row in rows))
    cells = _cells(page, bookings, "value")
    fill = {"color": look.CHART_REST}
    chart.add_series({"name": "Value", **cells, "fill": fill, "gap": 60, "data_labels": _labels(page)})
    return chart


def _cells(page: Page, block: Block, key: str) -> dict[str, list[Any]]:
    first, last = block.first, block.first + block.rows - 1
    value = block.table.place(key)
    return {"categories": [page.sheet.name, first, 0, last, 0], "values": [page.sheet.name, first, value, last, value]}


def _labels(page: Page) -> dict[str, Any]:
    return {"value": True, "num_format": look.COUNT, "font": {"name": look.FONT, "size": 8, "color": look.INK}}


def _bars(page: Page, title: str, largest: Decimal | None = None, **kind: str) -> Any:
    """A bar chart; where the largest value is told, each bar has its figure, with room for it, and no axis."""
    chart = page.book.workbook.add_chart({"type": "bar", **kind})
    small = {"name": look.FONT, "size": 8, "color": look.INK}
    code = page.book.settings.currency.code
    chart.set_title(
        {"name": f"{title}, {code}", "name_font": {"name": look.FONT, "size": 10, "bold": True}, "overlay": False}
    )
    chart.set_y_axis(
        {
            "reverse": True,
            "crossing": "max",
            "interval_unit": 1,
            "num_font": small,
            "line": {"color": look.RULE},
            "major_tick_mark": "none",
        }
    )
    chart.set_x_axis(
        {
            "num_font": small,
            "num_format": SHORT_AXIS,
            "visible": largest is None,
            "major_gridlines": {"visible": largest is None, "line": {"color": look.HAIRLINE}},
            "line": {"none": True},
            "min": 0,
            "max": float(largest) * ROOM_FOR_FIGURES if largest else None,
        }
    )
    chart.set_legend({"none": True})
    chart.set_chartarea({"border": {"color": look.HAIRLINE}})
    return chart
