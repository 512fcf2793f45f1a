"""The sheet Labels: two abreast, four deep on a page, with dashed lines to cut along.

A label says which carton it is, which side is up, whether it is heavy, where it goes by initials, and what to keep it
from; nothing about what is inside or what it is worth, which would invite theft.
"""

from typing import Any

from shipopt.workbook import look
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Page
from shipopt.workbook.results.rows.labels import LabelRow

ABREAST, DEEP = 2, 4
CHARS = 45
HEIGHTS = (22, 58, 26, 28, 20)
"""Points of a label's lines: this side up, number, from and to, heavy, keep from."""
UP = "▲  THIS SIDE UP  ▲"
KEEP_FROM = "Keep from sun, heat and damp. Do not lay on its side."
LIFT = "share or wheel it"
NO_LABELS = "Every carton is on its way already: there is nothing to label."
CUT = 3
"""XlsxWriter's number for a dashed border."""


def write(page: Page, results: Results) -> None:
    """Fills the sheet. Labels are in the order of the carton numbers, left to right."""
    for place in range(ABREAST):
        page.hold(place, CHARS)
    rows = results.labels
    if not rows:
        page.words(0, 0, NO_LABELS, page.look())
        page.finish()
        return
    for number, label in enumerate(rows):
        down, across = divmod(number, ABREAST)
        _label(page, down * len(HEIGHTS), across, label)
    deep = (len(rows) - 1) // ABREAST + 1
    for line in range(deep * len(HEIGHTS)):
        page.tall(line, HEIGHTS[line % len(HEIGHTS)])
    page.finish(blocks=[down * len(HEIGHTS) for down in range(deep)], end=deep * len(HEIGHTS))


def _label(page: Page, top: int, across: int, label: LabelRow) -> None:
    shown = number_words(label)
    heavy = ""
    if label.heavy:
        units = page.book.settings.units
        heavy = f"{label.heavy}  {label.gross_weight:,.1f} {units.weight}: {LIFT}"
    lines: tuple[tuple[str, dict[str, Any]], ...] = (
        (UP, {"bold": True, "font_size": 12, "valign": "vcenter"}),
        (shown, {"bold": True, "font_size": 36 if len(shown) <= 12 else 20, "shrink": True, "valign": "vcenter"}),
        (_way(label), {"font_size": 16, "valign": "vcenter"}),
        (heavy, {"bold": True, "font_size": 11, "valign": "vcenter", **(_box() if heavy else {})}),
        (KEEP_FROM, {"font_size": 9, "valign": "vcenter"}),
    )
    for line, (text, properties) in enumerate(lines):
        page.words(top + line, across, text, page.look(align="center", **{**_cut(line, len(lines)), **properties}))


def number_words(label: LabelRow) -> str:
    """The carton's number and how many cartons there are: ``12 of 34``."""
    return f"{label.carton_no} of {label.of}"


def _way(label: LabelRow) -> str:
    ends = (f"From {label.from_initials}" if label.from_initials else "", f"to {label.to_initials}")
    return "  ".join(part for part in ends if part and part != "to ")


def _cut(line: int, lines: int) -> dict[str, Any]:
    """The dashed lines round a label."""
    edge = {"left": CUT, "right": CUT, "left_color": look.RULE, "right_color": look.RULE}
    if line == 0:
        edge |= {"top": CUT, "top_color": look.RULE}
    if line == lines - 1:
        edge |= {"bottom": CUT, "bottom_color": look.RULE}
    return edge


def _box() -> dict[str, Any]:
    """A black bar with white letters: read without colours, and by a bad printer."""
    return {"bg_color": look.INK, "font_color": look.PAPER}
