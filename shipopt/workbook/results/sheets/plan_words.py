"""The words of the sheet Plan: warnings, cautions, what the figures mean, how the plan was found.

Each text stands on a row of its own, its catchword in the first column, and wraps to the width of the bookings.
"""

from typing import Any

from shipopt.workbook import look
from shipopt.workbook.results.cautions import cautions, meanings
from shipopt.workbook.results.declaration import BOOKINGS
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Page
from shipopt.workbook.results.sheets.words import write_texts

LAST = len(BOOKINGS.columns) - 1
NO_WARNINGS = "None found."


def write_words(page: Page, results: Results, top: int) -> int:
    """Writes all parts from row ``top`` on; returns the row after them."""
    top = page.section(top, LAST, "Warnings")
    tint = page.look(text_wrap=True, bg_color=look.CAUTION_FILL, bottom=1, bottom_color=look.PAPER)
    for text in results.warnings:
        page.paragraph(top, 0, LAST, f"▲  {text}", tint)
        top += 1
    if not results.warnings:
        page.words(top, 0, NO_WARNINGS, page.look())
        top += 1
    settings = results.plan.move.settings
    top = write_texts(page, "Cautions", cautions(settings.units), top + 1, LAST)
    floor_kind = results.plan.search.floor_kind
    top = write_texts(page, "What the figures mean", meanings(floor_kind, settings.count_expected_loss), top + 1, LAST)
    return write_texts(page, "How the plan was found", found(results), top + 1, LAST)


def found(results: Results) -> tuple[tuple[str, str], ...]:
    """Catchword and text on the search. How long it took is left out: the same input gives the same file."""
    search = results.plan.search
    texts = (("Solver", search.solver), ("Stopped", search.stopped), ("Stages", "; ".join(search.stages)))
    return tuple((word, text) for word, text in texts if text)


def facts(results: Results) -> dict[str, Any]:
    """The words of the sheet that belong to this plan alone, by label."""
    settings = results.plan.move.settings
    return {
        "Title": settings.title,
        "Units": settings.units.value,
        "Currency": settings.currency.code,
        "Warnings": results.warnings,
        **dict(found(results)),
    }
