"""Text as a cell of a workbook can hold it.

Anything may stand in a title or a note of the input; what XML forbids or a cell cannot hold is made visible here, so
that a results file opens whatever it is about. Text that looks like a formula needs nothing: it is written as text.
"""

import re

from shipopt.workbook.look import LONGEST_TEXT

# Extensible Markup Language (XML) 1.0, fifth edition, 2008, section 2.2: a document holds no other characters than
# tab, line feed, carriage return, #x20–#xD7FF, #xE000–#xFFFD, #x10000–#x10FFFF.
FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
REPLACEMENT = "\ufffd"
CUT = " …"


def cell_text(text: str) -> str:
    """The text with forbidden characters shown as �, line ends as line feeds, cut where a cell ends."""
    if not text.isascii() or not text.isprintable():
        text = FORBIDDEN.sub(REPLACEMENT, text.replace("\r\n", "\n").replace("\r", "\n"))
    return text if len(text) * 2 <= LONGEST_TEXT or _units(text) <= LONGEST_TEXT else _cut(text)


def _units(text: str) -> int:
    """UTF-16 code units, in which the limit of a cell is counted."""
    return len(text.encode("utf-16-le")) // 2


def _cut(text: str) -> str:
    whole = text.encode("utf-16-le")[: 2 * (LONGEST_TEXT - len(CUT))]
    return whole.decode("utf-16-le", errors="ignore") + CUT
