"""Lays out the sheets of an input workbook: Start here, the settings, and the sheets of rows.

Called by the template with a worksheet to write on. Every word and format comes from the declaration, the notes
and the look; nothing is decided here but where things stand.
"""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from enum import Enum
from math import ceil
from textwrap import wrap
from typing import Any

from shipopt.workbook import look as looks
from shipopt.workbook.cell_formats import column_width, number_format, wraps
from shipopt.workbook.declaration import INPUT_SHEETS, SETTING_ROWS, Column, Sheet
from shipopt.workbook.declaration_terms import heading_key
from shipopt.workbook.drop_downs import drop_down
from shipopt.workbook.kinds import Terms
from shipopt.workbook.look import Look
from shipopt.workbook.number_kinds import Number
from shipopt.workbook.start_here import CAUTIONS, HEADING, LEGEND, OPENING, STEPS
from shipopt.workbook.template_notes import header_note, setting_note

PRINT_TITLE = "Input workbook"
NOTE_WIDTH, NOTE_LINE, NOTE_CHARACTERS = 300, 18, 46
LINE = 13
"""Points from line to line of the house's font."""
PORTRAIT_CHARACTERS, PAGE_CHARACTERS = 95, 150
"""Characters of columns beside each other that fit an upright page, and that are legible on a page turned sideways."""


def write_start_here(worksheet: Any, look: Look, terms: Terms) -> None:
    """How to fill the workbook, in order, on one printed page, with the cautions."""
    worksheet.set_column(0, 0, 4, look())
    worksheet.set_column(1, 1, 26, look())
    worksheet.set_column(2, 2, 66, look())
    worksheet.merge_range(0, 0, 0, 2, HEADING, look.title())
    worksheet.set_row(0, 24)
    row = _block(worksheet, 1, OPENING, look(text_wrap=True))
    row = _block(worksheet, row, LEGEND, look(text_wrap=True))
    row = _line(worksheet, row + 1, "In this order", look.section(), 20)
    for number, (sheets, words) in enumerate(STEPS, start=1):
        worksheet.write_number(row, 0, number, look(align="center"))
        worksheet.write_string(row, 1, sheets, look(bold=True, text_wrap=True))
        worksheet.write_string(row, 2, words, look(text_wrap=True))
        worksheet.set_row(row, _height(words, 80))
        row += 1
    row = _line(worksheet, row + 1, "Take care", look.section(), 20)
    for caution in CAUTIONS:
        row = _block(worksheet, row, caution, look(text_wrap=True, bg_color=looks.CAUTION_FILL))
    assert terms.units is not None
    looks.set_pages(worksheet, header=PRINT_TITLE, units=terms.units, landscape=False)
    worksheet.fit_to_pages(1, 1)


def _line(worksheet: Any, row: int, text: str, cell_format: Any, height: int) -> int:
    for column in range(3):
        worksheet.write_blank(row, column, None, cell_format)
    worksheet.write_string(row, 0, text, cell_format)
    worksheet.set_row(row, height)
    return row + 1


def _block(worksheet: Any, row: int, text: str, cell_format: Any) -> int:
    """A paragraph across the page."""
    worksheet.merge_range(row, 0, row, 2, text, cell_format)
    worksheet.set_row(row, _height(text, 112))
    return row + 1


def _height(text: str, characters: int) -> int:
    """Points that a text takes in a cell where so many characters stand on a line."""
    return LINE * len(wrap(text, characters)) + 4


def write_settings_sheet(worksheet: Any, sheet: Sheet, settings: Mapping[str, Any], look: Look, terms: Terms) -> None:
    """One setting a row, with its value and its note."""
    for index, (column, width) in enumerate(zip(SETTING_ROWS.columns, (36, 26, 84), strict=True)):
        worksheet.set_column(index, index, width, look())
        worksheet.write_string(0, index, column.heading, look.heading())
    for row, column in enumerate(sheet.columns, start=1):
        note = setting_note(column, terms)
        worksheet.write_string(row, 0, column.heading, _label(column, look))
        cell_format = look.input(num_format=number_format(column, terms), align="left")
        write_value(worksheet, row, 1, settings.get(column.heading), cell_format)
        worksheet.write_string(row, 2, note, look.note())
        worksheet.set_row(row, _height(note, 106))
        _add_drop_down(worksheet, column, row, row, 1)
    worksheet.freeze_panes(1, 1)
    assert terms.units is not None
    looks.set_pages(worksheet, header=PRINT_TITLE, units=terms.units, landscape=True, first_rows=1)


def _label(column: Column, look: Look) -> Any:
    return look.body(bold=True, underline=1) if column.required else look.body()


def write_rows_sheet(worksheet: Any, sheet: Sheet, rows: Sequence[Mapping[str, Any]], look: Look, terms: Terms) -> None:
    """Headings with their notes, the rows given, and cells ready to fill below them."""
    worksheet.set_row(0, 44)
    for index, column in enumerate(sheet.columns):
        cell_format = _cell(column, look, terms)
        worksheet.set_column(index, index, column_width(column), cell_format)
        worksheet.write_string(0, index, column.heading, _heading(column, look))
        note = header_note(column, terms)
        lines = sum(len(line) // NOTE_CHARACTERS + 1 for line in note.split("\n"))
        size = {"width": NOTE_WIDTH, "height": NOTE_LINE * lines + 8}
        worksheet.write_comment(0, index, note, {**size, "author": "", "font_size": 9})
        _add_drop_down(worksheet, column, 1, max(sheet.rows, len(rows)), index)
    _write_rows(worksheet, sheet, rows, look, terms)
    worksheet.freeze_panes(1, 1)
    worksheet.autofilter(0, 0, max(sheet.rows, len(rows)), len(sheet.columns) - 1)
    _set_pages(worksheet, sheet, terms)


def _heading(column: Column, look: Look) -> Any:
    """A required column has a heavy rule above and an underlined heading, so that colour is not all that marks it."""
    if column.required:
        return look.required_heading(underline=1, top=5, top_color=looks.INK, **_aligned(column))
    return look.heading(bold=False, **_aligned(column))


def _aligned(column: Column) -> dict[str, Any]:
    """Numbers stand to the right, all else to the left with room before it."""
    return {"align": "right"} if isinstance(column.kind, Number) else {"align": "left", "indent": 1}


def _cell(column: Column, look: Look, terms: Terms) -> Any:
    """The format of a column's input cells."""
    return look.input(num_format=number_format(column, terms), text_wrap=wraps(column), **_aligned(column))


def _write_rows(worksheet: Any, sheet: Sheet, rows: Sequence[Mapping[str, Any]], look: Look, terms: Terms) -> None:
    formats = [_cell(column, look, terms) for column in sheet.columns]
    places = {heading_key(column.heading): index for index, column in enumerate(sheet.columns)}
    for number, row in enumerate(rows, start=1):
        lines = 1
        for heading, value in row.items():
            index = places[heading_key(heading)]
            write_value(worksheet, number, index, value, formats[index])
            lines = max(lines, _lines(value, sheet.columns[index]))
        if lines > 1:
            worksheet.set_row(number, LINE * lines)


def _lines(value: Any, column: Column) -> int:
    """Lines that an entry takes in its column: programs do not all make a row as high as its text."""
    if not isinstance(value, str) or not wraps(column):
        return 1
    return sum(len(wrap(line, column_width(column) * 11 // 10)) or 1 for line in value.split("\n"))


def write_value(worksheet: Any, row: int, column: int, value: Any, cell_format: Any) -> None:
    """One value in its cell: text is never taken for a formula or a number, a decimal stands as a number."""
    match value:
        case None:
            worksheet.write_blank(row, column, None, cell_format)
        case bool():
            worksheet.write_string(row, column, "yes" if value else "no", cell_format)
        case int() | float() | Decimal():
            worksheet.write_number(row, column, float(value), cell_format)
        case datetime() | date():
            worksheet.write_datetime(row, column, value, cell_format)
        case Enum():
            worksheet.write_string(row, column, str(value.value), cell_format)
        case list() | tuple():
            worksheet.write_string(row, column, "; ".join(value), cell_format)
        case _:
            if worksheet.write_string(row, column, str(value), cell_format) != 0:
                raise ValueError(f"a text of {len(str(value)):,} characters is longer than a cell holds")


def _add_drop_down(worksheet: Any, column: Column, first: int, last: int, index: int) -> None:
    options = drop_down(column, {sheet.name: sheet.rows for sheet in INPUT_SHEETS})
    if options:
        worksheet.data_validation(first, index, last, index, options)


def _set_pages(worksheet: Any, sheet: Sheet, terms: Terms) -> None:
    """Narrow sheets stand upright; wide ones go on as many pages side by side as they need to be legible, the first
    column on each."""
    assert terms.units is not None
    width = sum(column_width(column) for column in sheet.columns)
    landscape = width > PORTRAIT_CHARACTERS
    looks.set_pages(worksheet, header=PRINT_TITLE, units=terms.units, landscape=landscape, first_rows=1)
    worksheet.fit_to_pages(ceil(width / PAGE_CHARACTERS), 0)
    worksheet.repeat_columns(0, 0)
