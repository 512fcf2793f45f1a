"""The words a template shows about a column: header notes, input prompts, the notes beside settings.

Made from the declaration alone. Called by the template and by the manual's column reference.
"""

from shipopt.workbook.declaration import Column
from shipopt.workbook.kinds import NO_UNIT, Terms


def need(column: Column, terms: Terms) -> str:
    """Whether the column must be filled, or what a blank stands for."""
    return "Required." if column.required else f"Blank: {column.default_shown(terms)}."


def header_note(column: Column, terms: Terms) -> str:
    """The note on a heading: help, what a blank stands for, what is accepted, and the unit in its last line."""
    unit = column.unit(terms)
    last = "No unit." if unit == NO_UNIT else f"Unit: {unit}"
    return "\n".join((column.help, need(column, terms), f"Accepted: {column.kind.accepted(terms)}.", last))


def setting_note(column: Column, terms: Terms) -> str:
    """The note beside a setting, in the same order, on one line."""
    unit = column.unit(terms)
    return " ".join((column.help, need(column, terms), *(() if unit == NO_UNIT else (f"Unit: {unit}.",))))
