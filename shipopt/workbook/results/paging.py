"""Where printed pages end, so that a carton, a label or a slip is not parted without need.

Spreadsheet programs heed page breaks only where a sheet is not fitted to the page (from memory), so the scale is worked
out here from the columns' widths. Lengths are points, 72 to the inch. Called by the module page.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil

from shipopt.move.words import Units
from shipopt.workbook import look
from shipopt.workbook.results import letters

# Width and height in points: ISO 216 (A4, 210 × 297 mm) and ANSI Y14.1 (letter, 8.5 × 11 in).
SIZES = {look.PAPER_A4: (595.28, 841.89), look.PAPER_LETTER: (612.0, 792.0)}
SURE_ACROSS, SURE_DOWN = 0.98, 0.95
"""Shares of the page that are counted on: programs and printers round widths and heights each in its own way."""
READABLE = 60
"""Percent down to which a page is made smaller so that blocks stay whole: a choice of this program."""
DIGIT, EDGES = look.SIZE * letters.DIGIT / 1000, 3.75
"""Points that a character and the edges of a column take. On screens a digit is rounded to seven pixels, which is less;
in print it is not."""
MOST_BREAKS = 1_023
"""Page breaks that a sheet may hold (from memory); beyond, pages end where they are full."""
LEAST_SCALE, WHOLE_SCALE = 10, 100
LITTLE_SMALLER = 0.85
"""Share of the scale down to which sections are printed smaller to save a page: a choice of this program."""
ROWS_OF_A_TITLE = 4
"""A section that begins within so many rows of the sheet's beginning stays with what stands above it."""
ROWS_TOGETHER = 4
"""So many rows stay together at either end of a section that is longer than a page: its title, the headings and two
rows; the last row, the totals and a note."""


@dataclass(frozen=True, slots=True)
class Paper:
    """What fits on one printed page of a sheet: its scale in percent, and points of unscaled rows."""

    scale: int
    room: float


def paper_for(chars: Sequence[float], heights: Sequence[float], units: Units, landscape: bool) -> Paper:
    """The largest scale at which columns of these widths, in characters, stand side by side on the move's paper; less
    where more blocks of these heights then fit on a page each."""
    sides = SIZES[look.paper(units)]
    across, down = (sides[1], sides[0]) if landscape else sides
    wide = sum(each * DIGIT + EDGES for each in chars) or 1.0
    usable = across - 72 * (look.LEFT + look.RIGHT)
    scale = max(LEAST_SCALE, min(WHOLE_SCALE, int(100 * usable * SURE_ACROSS / wide)))
    high = (down - 72 * (look.TOP + look.BOTTOM)) * SURE_DOWN * 100
    if scale > READABLE:
        scale = min(scale, int(high / max((tall for tall in heights if tall <= high / READABLE), default=1.0)))
    return Paper(scale, high / scale)


def heights_of(starts: Sequence[int], end: int, heights: Mapping[int, float]) -> list[float]:
    """Heights of blocks of rows, given by their first rows, rising, and the row after the last; ``heights`` gives the
    rows that are not of the usual height."""
    return [
        sum(heights.get(row, look.ROW_HEIGHT) for row in range(start, after))
        for start, after in pairwise((*starts, end))
    ]


def blocks_of_sections(sections: Sequence[int], first_rows: int) -> list[int]:
    """First rows of what is not parted: the sheet's beginning and each section. The rows repeated on each page are no
    part."""
    return [first_rows, *sorted(row for row in set(sections) if row > first_rows + ROWS_OF_A_TITLE)]


def with_long_ones_parted(starts: Sequence[int], end: int, heights: Sequence[float], room: float) -> list[int]:
    """Blocks, those higher than a page given row by row between their first few and their last few, so that they need
    not begin a page."""
    found: list[int] = []
    for start, after, tall in zip(starts, (*starts[1:], end), heights, strict=True):
        found.append(start)
        if tall > room:
            found += range(start + ROWS_TOGETHER, after - ROWS_TOGETHER + 1)
    return found


def fewest_pages(
    sections: Sequence[int], end: int, heights: Mapping[int, float], paper: Paper, repeated: float
) -> tuple[list[int], Paper]:
    """Rows that begin a page, so that sections stay whole where they fit on one, and the paper they hold for: a little
    smaller than ``paper`` where that saves a page. ``repeated`` is the height of the rows repeated on each page."""
    tried: list[tuple[list[int], Paper]] = []
    high = paper.room * paper.scale
    for scale in range(paper.scale, max(READABLE, ceil(paper.scale * LITTLE_SMALLER)) - 1, -1) or [paper.scale]:
        room = high / scale - repeated
        blocks = with_long_ones_parted(sections, end, heights_of(sections, end, heights), room)
        tried.append((breaks(blocks, heights_of(blocks, end, heights), room), Paper(scale, high / scale)))
    return min(tried, key=lambda found: len(found[0]))


def breaks(starts: Sequence[int], heights: Sequence[float], room: float) -> list[int]:
    """Rows that begin a page, so that blocks stay whole where they fit on one. A block that is higher than a page
    begins a new one and runs on."""
    found: list[int] = []
    used = 0.0
    for start, tall in zip(starts, heights, strict=True):
        if used and used + tall > room:
            found.append(start)
            used = 0.0
        used += tall
        if used > room:
            used -= room * int(used // room)
    return found[:MOST_BREAKS]
