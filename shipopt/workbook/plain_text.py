"""Text of cells made plain: every kind of space an ordinary one, nothing invisible, nothing doubled.

Called by whatever matches or reads text: headings, names, words, typed numbers.
"""

SPACES = "\u00a0\u2007\u2009\u202f"
"""Spaces that do not look like one to a program: no-break, figure, thin, narrow no-break."""


def plain_spaces(text: str) -> str:
    """The text with every kind of space made an ordinary one, outer spaces gone."""
    for space in SPACES:
        text = text.replace(space, " ")
    return text.strip()


def tidy(text: str, keeps_lines: bool = False) -> str:
    """The text with outer spaces, runs of spaces and signs that cannot be printed gone, on one line or on its own."""
    if text.isascii() and text.isprintable() and "  " not in text and "_x" not in text:
        return text.strip()
    text = plain_spaces(text.replace("_x000D_", "").replace("\r\n", "\n").replace("\r", "\n"))
    lines = [" ".join("".join(c if c.isprintable() else " " for c in line).split()) for line in text.split("\n")]
    return "\n".join(lines).strip("\n") if keeps_lines else " ".join(line for line in lines if line)
