"""Texts with a catchword each, under a section's title, wrapped to the width of the sheet's tables.

Used by sheets that end in cautions. Columns must have been fitted before.
"""

from collections.abc import Iterable
from math import ceil

from shipopt.workbook.results.letters import BOLD, USABLE, text_width
from shipopt.workbook.results.page import Page


def write_texts(page: Page, title: str, texts: Iterable[tuple[str, str]], top: int, last: int) -> int:
    """Writes each catchword in the first column, its text beside it; returns the row after them."""
    top = page.section(top, last, title)
    for word, text in texts:
        page.words(top, 0, word, page.look(bold=True))
        page.paragraph(top, 1, last, text, page.look(text_wrap=True))
        top += 1
    return top


def make_room_for_catchwords(page: Page, texts: Iterable[tuple[str, str]]) -> None:
    """Makes the first column wide enough for each catchword."""
    page.hold(0, ceil(max(text_width(word) for word, _ in texts) * BOLD / USABLE) + 1)
