"""The chart of the sheet Risk: of a hundred such moves, how many leave an uninsured loss above each amount.

One filled curve with its axes in words, so that nothing is told by colour.
"""

from shipopt.workbook import look
from shipopt.workbook.results.declaration_risk import LIKELIHOOD, RECORDS_AT_RISK
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Page
from shipopt.workbook.results.references import Block
from shipopt.workbook.results.sheets.plan_charts import EDGES, ROW_PIXELS, SHORT_AXIS, pixels_across

HEIGHT = 280
LABELS = 8
"""About how many amounts are written along the axis."""
LAST = len(RECORDS_AT_RISK.columns) - 1


def rows_taken(results: Results) -> int:
    """Rows of the sheet that the chart and its title take: none where nothing can be lost."""
    return (HEIGHT + 8) // ROW_PIXELS + 2 if results.loss_events else 0


def draw(page: Page, results: Results, curve: Block, top: int) -> None:
    """Draws the curve, whose figures stand in ``curve``, under its title at row ``top``."""
    if not results.loss_events:
        return
    first = page.section(top, LAST, "How likely larger losses are")
    chart = page.book.workbook.add_chart({"type": "area"})
    small = {"name": look.FONT, "size": 8, "color": look.INK}
    words = {**small, "bold": False}
    code = page.book.settings.currency.code
    name, last = page.sheet.name, curve.first + curve.rows - 1
    amounts, chances = (LIKELIHOOD.place(key) for key in ("loss_above", "moves_in_100"))
    chart.add_series(
        {
            "name": LIKELIHOOD.name,
            "categories": [name, curve.first, amounts, last, amounts],
            "values": [name, curve.first, chances, last, chances],
            "fill": {"color": look.CHART_REST},
            "border": {"color": look.INK, "width": 1.5},
        }
    )
    chart.set_title(
        {
            "name": f"Of 100 such moves, so many leave you an uninsured loss above the amount below, {code}",
            "name_font": {"name": look.FONT, "size": 10, "bold": True},
            "overlay": False,
        }
    )
    chart.set_x_axis(
        {
            "name": f"Uninsured loss above, {code} (what is rarer than about 1 move in 100 lies further right)",
            "name_font": words,
            "num_font": small,
            "num_format": SHORT_AXIS,
            "interval_unit": max(1, curve.rows // LABELS),
            "interval_tick": max(1, curve.rows // LABELS),
            "position_axis": "on_tick",
            "line": {"color": look.RULE},
        }
    )
    chart.set_y_axis(
        {
            "name": "Moves in 100",
            "name_font": words,
            "num_font": small,
            "num_format": "0.0##" if results.losses.chance_of_any < 0.02 else "0",
            "min": 0,
            "major_gridlines": {"visible": True, "line": {"color": look.HAIRLINE}},
            "line": {"none": True},
        }
    )
    chart.set_legend({"none": True})
    chart.set_chartarea({"border": {"color": look.HAIRLINE}})
    chart.set_size({"width": pixels_across(page, LAST) - EDGES, "height": HEIGHT})
    page.worksheet.insert_chart(first, 0, chart, {"x_offset": 2, "y_offset": 4, "object_position": 2})
