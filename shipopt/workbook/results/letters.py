"""How wide text is in print, counted in digits of the house's font, and how many lines it takes in a given width.

Columns of a workbook are measured in digits, but letters differ: a row of W's needs nearly twice the room that its
number of letters says, a row of i's less than half.
"""

from functools import lru_cache
from unicodedata import east_asian_width

# Advance widths in thousandths of an em of the signs from space to tilde in Helvetica (Adobe, font metrics of the base
# fonts), to which the house's font keeps; they equal those of Liberation Sans, version 2, made to the same metrics.
ADVANCES = (
    *(278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278),
    *(556, 556, 556, 556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556),
    *(1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833, 722, 778),
    *(667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556),
    *(333, 556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556),
    *(556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334, 260, 334, 584),
)
DIGIT = 556
OTHER, WIDE = 1.1, 2.0
"""Digits that a sign beyond ASCII takes, and one of the wide signs of East Asian scripts and pictures."""
PLAIN, BOLD, TITLE = 1.0, 1.08, 1.75
"""How much wider than plain text bold text is, and bold text in the size of a sheet's title."""
USABLE = 0.95
"""Share of a column's width that text can use, and be sure of it: programs round widths to whole pixels."""
LONGEST_BROKEN = 2_000
"""Characters up to which a text is broken into words to count its lines; a longer one is counted by its width."""

ASCII = {chr(32 + place): advance / DIGIT for place, advance in enumerate(ADVANCES)}


def text_width(text: str) -> float:
    """Digits that the longest line of a text is wide, in the house's plain font."""
    return max(map(_line_width, text.split("\n")))


def _line_width(line: str) -> float:
    return sum(map(_sign_width, line))


@lru_cache(maxsize=4096)
def _sign_width(sign: str) -> float:
    return ASCII.get(sign) or (WIDE if east_asian_width(sign) in "WF" else OTHER)


def fits(text: str, chars: float) -> bool:
    """Whether a text surely fits on one line of a column of so many characters."""
    room = chars * USABLE
    return "\n" not in text and (len(text) * WIDE <= room or _line_width(text) <= room)


def lines_of(text: str, chars: float, weight: float = PLAIN) -> int:
    """Lines that a text takes in a width of so many characters; ``weight`` is one of PLAIN, BOLD, TITLE."""
    room = max(1.0, chars * USABLE / weight)
    return sum(_lines(line, room) for line in text.split("\n"))


def _lines(line: str, room: float) -> int:
    """Words are kept whole where they fit; a word longer than the line is broken."""
    if len(line) > LONGEST_BROKEN:
        return int(_line_width(line) // room) + 1
    lines, used = 1, 0.0
    for word in line.split(" "):
        wide = _line_width(word)
        if used and used + wide > room:
            lines, used = lines + 1, 0.0
        used += wide + ASCII[" "]
        while used - ASCII[" "] > room:
            lines, used = lines + 1, used - room
    return lines
