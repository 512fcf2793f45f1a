"""The workbook's input, declared once: every sheet in its order, gathered from the three declaration modules.

Template, reader, messages, drop-downs, header notes and the manual's column reference are all made from here.
A column is added by adding it there; its reading follows from its kind.
"""

from collections.abc import Mapping

from shipopt.workbook.declaration_collection import CARE, FORMATS, LAST_PLAN, PACKED, RECORDS
from shipopt.workbook.declaration_move import MOVE, SETTING_ROWS
from shipopt.workbook.declaration_quotes import CARTONS, COVER, MEANS, QUOTES, RATE_CARDS, WEIGHT_BREAKS
from shipopt.workbook.declaration_terms import Column, Sheet, heading_key

START_HERE = "Start here"
"""The sheet that explains the workbook; nothing is read from it."""

INPUT_SHEETS: tuple[Sheet, ...] = (
    MOVE,
    RECORDS,
    FORMATS,
    CARTONS,
    QUOTES,
    RATE_CARDS,
    WEIGHT_BREAKS,
    MEANS,
    CARE,
    COVER,
    PACKED,
    LAST_PLAN,
)
"""Every sheet that is read, in the order of the workbook."""

BY_NAME: Mapping[str, Sheet] = {heading_key(sheet.name): sheet for sheet in INPUT_SHEETS}
"""Sheets by their name as matched, see ``heading_key``."""

__all__ = [
    "BY_NAME",
    "CARE",
    "CARTONS",
    "COVER",
    "FORMATS",
    "INPUT_SHEETS",
    "LAST_PLAN",
    "MEANS",
    "MOVE",
    "PACKED",
    "QUOTES",
    "RATE_CARDS",
    "RECORDS",
    "SETTING_ROWS",
    "START_HERE",
    "WEIGHT_BREAKS",
    "Column",
    "Sheet",
]
