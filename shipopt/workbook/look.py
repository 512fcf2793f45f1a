"""The look shared by every workbook the program writes: fonts, fills, rules, number formats, page set-up.

Nothing here knows what a sheet holds. The template, the results and the forms make their cell formats by
``Look``, so that one change of taste is one change here. Meaning is never carried by colour alone.
"""

from typing import Any

from shipopt.move.money import Currency
from shipopt.move.words import Units

FONT = "Arial"
SIZE = 10

INK = "#1B262C"
SOFT_INK = "#4F5D66"
RULE = "#6B7A84"
HAIRLINE = "#D3DADE"
HEADING_FILL = "#DCE6EA"
REQUIRED_FILL = "#B9D0DA"
INPUT_TINT = "#FFF9E6"
TOTAL_FILL = "#F1F4F5"
CAUTION_FILL = "#FBEBDD"
PAPER = "#FFFFFF"

# Blue, orange, bluish green and grey of the palette for all kinds of colour vision in Okabe & Ito, "Color
# Universal Design" (2008); blue darkened for paper (from memory, no stored copy).
CHART_FIRST = "#0072B2"
CHART_SECOND = "#E69F00"
CHART_THIRD = "#009E73"
CHART_REST = "#8C979E"

ROW_HEIGHT = 14.25
"""Points of a row of one line: 19 pixels."""

PAPER_A4 = 9
PAPER_LETTER = 1
LEFT, RIGHT, TOP, BOTTOM = 0.5, 0.5, 0.8, 0.7
"""Margins in inches."""

# The longest text a cell of a workbook holds, in UTF-16 code units: ECMA-376 Part 1 leaves it open; the limit is
# that of the spreadsheet programs (from memory).
LONGEST_TEXT = 32_767


def workbook_options() -> dict[str, Any]:
    """Options of every XlsxWriter workbook, anew each time because XlsxWriter changes what it is given: the house's
    font is the one that columns are measured in; no temporary files; text stays text."""
    return {
        "default_format_properties": {"font_name": FONT, "font_size": SIZE},
        "default_row_height": 17,
        "in_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }


def money(currency: Currency, unit: bool = False) -> str:
    """Number format of money: the currency's own places, with its code behind it where ``unit`` is asked for."""
    places = "." + "0" * currency.places if currency.places else ""
    return f"#,##0{places}" + (f' "{currency.code}"' if unit else "")


def finer_money(currency: Currency) -> str:
    """Number format of rates and amounts before rounding: two further places where there are any."""
    return "#,##0." + "0" * max(currency.places, 1) + "##"


def weight(units: Units, unit: bool = False) -> str:
    """Number format of weights: hundredths of a lb or kg."""
    return "#,##0.00" + (f' "{units.weight}"' if unit else "")


def length(units: Units, unit: bool = False) -> str:
    """Number format of lengths: tenths of an inch or centimetre."""
    return "#,##0.0" + (f' "{units.length}"' if unit else "")


COUNT = "#,##0"
PERCENT = "0.0"
PERCENT_FINE = "0.00"
DATE = "yyyy-mm-dd"
TEXT = "@"


def paper(units: Units) -> int:
    """Paper of a move: letter where it is measured in pounds and inches, A4 elsewhere."""
    return PAPER_LETTER if units is Units.POUND_INCH else PAPER_A4


class Look:
    """Cell formats of one XlsxWriter workbook, each made once: ``look(bold=True, num_format="0.0")``."""

    def __init__(self, workbook: Any) -> None:
        self._workbook = workbook
        self._made: dict[tuple[tuple[str, Any], ...], Any] = {}

    def __call__(self, **properties: Any) -> Any:
        """The format with the house's font and these XlsxWriter properties."""
        whole = {"font_name": FONT, "font_size": SIZE, "font_color": INK, "valign": "top"} | properties
        key = tuple(sorted(whole.items()))
        if key not in self._made:
            self._made[key] = self._workbook.add_format(whole)
        return self._made[key]

    def title(self) -> Any:
        """The sheet's own title, in large letters."""
        return self(bold=True, font_size=16, text_wrap=True)

    def section(self) -> Any:
        """The title of a part of a sheet, over a rule."""
        return self(bold=True, font_size=12, bottom=1, bottom_color=RULE)

    def heading(self, **properties: Any) -> Any:
        """A column heading: bold on a tint, ruled below, wrapped."""
        base = {"bold": True, "bg_color": HEADING_FILL, "bottom": 1, "bottom_color": RULE, "text_wrap": True}
        return self(**base | {"valign": "vcenter"} | properties)

    def required_heading(self, **properties: Any) -> Any:
        """The heading of a column that must be filled: a deeper tint (and, where it is used, a mark in words)."""
        return self.heading(bg_color=REQUIRED_FILL, **properties)

    def body(self, **properties: Any) -> Any:
        """A cell of a list, with a hairline below that leads the eye along the row."""
        return self(bottom=1, bottom_color=HAIRLINE, **properties)

    def input(self, **properties: Any) -> Any:
        """A cell for the user to fill."""
        return self(bg_color=INPUT_TINT, border=1, border_color=HAIRLINE, **properties)

    def total(self, **properties: Any) -> Any:
        """A cell of a line of totals."""
        return self(**{"bold": True, "bg_color": TOTAL_FILL, "top": 1, "top_color": RULE} | properties)

    def note(self, **properties: Any) -> Any:
        """Quiet words beside figures."""
        return self(**{"font_color": SOFT_INK, "text_wrap": True} | properties)


def printable_header(text: str) -> str:
    """Text for a page header: ampersands doubled, since one alone begins a code, and no more than a header holds."""
    clean = " ".join(text.split())
    return (clean[:80].rstrip() + "…" if len(clean) > 80 else clean).replace("&", "&&")


def set_pages(
    worksheet: Any, *, header: str, units: Units, landscape: bool, first_rows: int = 0, scale: int | None = None
) -> None:
    """Print set-up of a sheet: one page wide, by itself or at a ``scale`` in percent; the title above, the sheet's name
    and page numbers below, the first ``first_rows`` rows repeated on each page."""
    worksheet.set_paper(paper(units))
    if landscape:
        worksheet.set_landscape()
    else:
        worksheet.set_portrait()
    if scale is None:
        worksheet.fit_to_pages(1, 0)
    else:
        worksheet.set_print_scale(scale)
    worksheet.set_margins(left=LEFT, right=RIGHT, top=TOP, bottom=BOTTOM)
    worksheet.set_header(f'&L&"{FONT},Bold"&9{printable_header(header)}&R&"{FONT},Regular"&9&A')
    worksheet.set_footer(f'&C&"{FONT},Regular"&9Page &P of &N')
    if first_rows:
        worksheet.repeat_rows(0, first_rows - 1)
    worksheet.hide_gridlines(2)
