"""Writes a bid form: one sheet to read, which tells what is to be carried, and one to fill, locked but for its answers.

Words, kinds, drop-downs and notes of the answers are those of the declaration. No formula, no link, no value of a
record is in it. Called by ``shipopt.bids``.
"""

from datetime import datetime
from decimal import Decimal
from io import BytesIO
from math import ceil
from pathlib import Path
from typing import Any

import xlsxwriter

from shipopt.bidding import form
from shipopt.bidding.load import Line, Load
from shipopt.move.care import CareLevel
from shipopt.move.words import Consignment
from shipopt.workbook import look as looks
from shipopt.workbook.cell_formats import number_format
from shipopt.workbook.declaration import Column
from shipopt.workbook.drop_downs import drop_down
from shipopt.workbook.kinds import NO_UNIT, Day, Terms, Text
from shipopt.workbook.look import Look, workbook_options
from shipopt.workbook.number_kinds import Number

CREATED = datetime(2025, 1, 1)
"""Stands in every form as its date, so that the same load gives the same file."""
LINE, NOTE_CHARACTERS, PAGE_CHARACTERS = 13, 46, 92
HELP = form.BIDS + 1
"""The column of the explanations, from 0."""
NO_FURTHER = {"select_locked_cells": True, "select_unlocked_cells": True, "format_columns": True, "format_rows": True}

HEADINGS = ("Kind", "Size", "Length", "Width", "Height", "Cartons", "Weight", "Heaviest", "Volume", "Stack at most")
WIDTHS = (13, 6, 10, 10, 10, 9, 11, 10, 12, 10)

CAUTIONS = (
    "The cartons are an estimate from thickness and weight, made before anything is packed: take counts and weights as "
    "give or take one tenth, and tell us if your price hangs on them.",
    "Contents: gramophone records and the like, fragile, upright in corrugated cartons. Carry cartons on their base, "
    "never on a side; out of the sun and away from heaters; nothing heavy on top.",
    "Weigh a carton before you lift it, and share or wheel the heavy ones. Your own rules for lifting, loading and "
    "driving, and the law where you work, come first.",
    "You may bid for a part: one kind, one trip, or so many cartons. Three bids fit on this form; use them for "
    "different services, such as a shared van and one of your own.",
)


def write_form(path: Path, load: Load) -> None:
    """Writes the form that asks for bids by the load's means. OSError if it cannot be written."""
    content = BytesIO()
    book = xlsxwriter.Workbook(content, workbook_options())
    book.set_properties({"title": "Bid form", "created": CREATED})
    look = Look(book)
    terms = Terms(load.settings.units, load.settings.currency)
    to_read, to_fill = book.add_worksheet(form.TO_READ), book.add_worksheet(form.TO_FILL)
    _write_to_read(to_read, load, look, terms)
    _write_to_fill(to_fill, load, look, terms)
    book.close()
    path.write_bytes(content.getvalue())


def _write_to_read(worksheet: Any, load: Load, look: Look, terms: Terms) -> None:
    worksheet.protect("", NO_FURTHER)
    for column, width in enumerate(WIDTHS):
        worksheet.set_column(column, column, width, look())
    last = len(WIDTHS) - 1
    worksheet.merge_range(0, 0, 0, last, f"Request for a bid: {load.means}", look.title())
    worksheet.set_row(0, 24)
    row = 1
    for name, text in _facts(load):
        worksheet.merge_range(row, 0, row, 1, name, look(bold=True))
        worksheet.merge_range(row, 2, row, last, text, look(text_wrap=True))
        worksheet.set_row(row, LINE * ceil(len(text) / 72) + 4)
        row += 1
    row = _write_load(worksheet, row + 1, load, look, terms)
    worksheet.merge_range(row, 0, row, last, "What each kind needs", look.section())
    for level in load.kinds:
        row += 1
        worksheet.write_string(row, 0, level.name, look(bold=True, text_wrap=True))
        worksheet.merge_range(row, 1, row, last, needs_of(level), look(text_wrap=True))
    row += 2
    worksheet.merge_range(row, 0, row, last, "Please note", look.section())
    for text in CAUTIONS:
        row += 1
        worksheet.merge_range(row, 0, row, last, text, look(text_wrap=True, bg_color=looks.CAUTION_FILL))
        worksheet.set_row(row, LINE * ceil(len(text) / PAGE_CHARACTERS) + 4)
    assert terms.units is not None
    looks.set_pages(worksheet, header="Bid form", units=terms.units, landscape=False)


def _facts(load: Load) -> list[tuple[str, str]]:
    own, asked = (
        load.settings,
        f"on the sheet {form.TO_FILL}, in the tinted cells. Then save the file and send it back.",
    )
    dates = (("Ready on", own.ready_on), ("Needed by", own.needed_by), ("Decided on", own.decide_on))
    found = [
        (form.REFERENCE, load.reference),
        ("From", own.from_place or "not told"),
        ("To", own.to_place or "not told"),
    ]
    found += [(name, day.isoformat()) for name, day in dates if day]
    return [*found, ("Please answer", asked)]


def needs_of(level: CareLevel) -> str:
    """What a kind of care needs of whoever carries it, in words."""
    wanted = (
        (level.needs_closed_body, "a vehicle with a closed body"),
        (level.needs_temperature_held, "a temperature that is held on the way"),
        (level.needs_tracking, "tracking on the way"),
        (level.needs_sole_use, "nobody else's goods on the same trip"),
    )
    return "; ".join(words for needed, words in wanted if needed) or "no more than care: upright, dry, out of the sun"


def _write_load(worksheet: Any, row: int, load: Load, look: Look, terms: Terms) -> int:
    """The table of cartons with its totals; returns the row to go on from."""
    assert terms.units is not None
    units = terms.units
    behind = {2: units.length, 3: units.length, 4: units.length, 6: units.weight, 7: units.weight, 8: units.volume}
    for column, heading in enumerate(HEADINGS):
        unit = f" ({behind[column]})" if column in behind else ""
        worksheet.write_string(row, column, heading + unit, look.heading(align="right" if column > 1 else "left"))
    worksheet.set_row(row, 2 * LINE + 6)
    for line in load.lines:
        row += 1
        worksheet.write_string(row, 0, line.care.name, look.body(text_wrap=True))
        worksheet.write_string(row, 1, line.size, look.body())
        for column, (value, shown) in enumerate(_measures(line, load), start=2):
            worksheet.write_number(row, column, float(value), look.body(num_format=shown))
    row += 1
    count, weight = sum(line.count for line in load.lines), sum(line.weight for line in load.lines)
    volume = sum(_volume(line, load) for line in load.lines)
    for column in range(len(HEADINGS)):
        worksheet.write_blank(row, column, None, look.total())
    worksheet.write_string(row, 0, "Total", look.total())
    for column, value, shown in ((5, count, looks.COUNT), (6, weight, looks.COUNT), (8, volume, "#,##0.00")):
        worksheet.write_number(row, column, float(value), look.total(num_format=shown))
    return row + 2


def _measures(line: Line, load: Load) -> list[tuple[Decimal | int, str]]:
    sides: list[tuple[Decimal | int, str]] = [
        (side, "#,##0.0") for side in (line.carton.length, line.carton.width, line.carton.height)
    ]
    rest: list[tuple[Decimal | int, str]] = [
        (line.count, looks.COUNT),
        (line.weight, looks.COUNT),
        (line.heaviest, looks.COUNT),
    ]
    return [*sides, *rest, (_volume(line, load), "#,##0.00"), (line.high, looks.COUNT)]


def _volume(line: Line, load: Load) -> Decimal:
    return line.volume / load.settings.units.small_volumes_in_a_volume


def _write_to_fill(worksheet: Any, load: Load, look: Look, terms: Terms) -> None:
    worksheet.protect("", NO_FURTHER)
    worksheet.set_column(0, 0, 30, look())
    worksheet.set_column(1, form.BIDS, 15, look())
    worksheet.set_column(HELP, HELP, 52, look())
    worksheet.merge_range(0, 0, 0, HELP, f"{form.TO_FILL}: {load.means}", look.title())
    worksheet.set_row(0, 24)
    intro = (
        "Fill the tinted cells, one column for each bid; the first alone will do. Prices are in "
        f"{load.settings.currency.code}, weights in {load.settings.units.weight}, lengths in "
        f"{load.settings.units.length}. Plain numbers and dates only: a form with formulas or links is not read."
    )
    worksheet.merge_range(1, 0, 1, HELP, intro, look(text_wrap=True))
    worksheet.set_row(1, 2 * LINE + 4)
    worksheet.write_string(form.REFERENCE_ROW - 1, 0, form.REFERENCE, look.body(bold=True))
    worksheet.write_string(form.REFERENCE_ROW - 1, 1, load.reference, look(bold=True))
    worksheet.write_string(form.BIDDER_ROW - 1, 0, form.BIDDER.heading, look.body(bold=True, underline=1))
    name = _answer_format(form.BIDDER, look, terms)
    worksheet.merge_range(form.BIDDER_ROW - 1, 1, form.BIDDER_ROW - 1, form.BIDS, "", name)
    aside = look.note(font_size=9, align="left", indent=1)
    worksheet.write_string(form.BIDDER_ROW - 1, HELP, "Your name or firm, as it shall stand in our list.", aside)
    worksheet.write_string(form.HEADING_ROW - 1, 0, "Answers", look.heading())
    for bid in range(form.BIDS):
        worksheet.write_string(form.HEADING_ROW - 1, 1 + bid, form.bid_heading(bid), look.heading(align="right"))
    worksheet.write_string(form.HEADING_ROW - 1, HELP, "What is meant", look.heading(indent=1))
    for line in form.lines(load.means):
        match line:
            case form.Title():
                _write_title(worksheet, line, look)
            case form.Answer():
                _write_answer(worksheet, line, look, terms)
            case form.Table():
                _write_table(worksheet, line, look, terms)
    assert terms.units is not None
    looks.set_pages(worksheet, header="Bid form", units=terms.units, landscape=False)
    worksheet.set_h_pagebreaks([form.tables(load.means)[0].row - 2])
    worksheet.freeze_panes(form.HEADING_ROW, 1)
    worksheet.activate()


def _write_title(worksheet: Any, line: form.Title, look: Look) -> None:
    row = line.row - 1
    worksheet.write_string(row, 0, line.text, look.section())
    for column in range(1, HELP + 1):
        worksheet.write_blank(row, column, None, look.section())
    worksheet.set_row(row, 18)


def _write_answer(worksheet: Any, line: form.Answer, look: Look, terms: Terms) -> None:
    row, column = line.row - 1, line.column
    worksheet.write_string(row, 0, column.heading, look.body())
    for bid in range(form.BIDS):
        worksheet.write_blank(row, 1 + bid, None, _answer_format(column, look, terms))
    options = drop_down(column, {})
    if options:
        worksheet.data_validation(row, 1, row, form.BIDS, options)
    text = explained(column, terms)
    worksheet.write_string(row, HELP, text, look.note(font_size=9, align="left", indent=1))
    worksheet.set_row(row, max(looks.ROW_HEIGHT + 2, LINE * ceil(len(text) / 58) + 3))


def explained(column: Column, terms: Terms) -> str:
    """What an answer means, its unit, and what a blank cell stands for, in the bidder's words."""
    unit = column.unit(terms)
    if isinstance(column.kind, Text):
        return "Whatever else we should know."
    if isinstance(column.kind, Day):
        unit = "YYYY-MM-DD"
    if column.field == "consignment":
        return f"What your price is for: {Consignment.LOAD} (all on one trip) or {Consignment.CARTON} (each by itself)."
    told = column.help.replace("you can follow", "we can follow").replace("You can follow", "We can follow")
    told = told.replace("with yours", "with ours")
    return told + (f" ({unit})" if unit != NO_UNIT else "")


def _write_table(worksheet: Any, line: form.Table, look: Look, terms: Terms) -> None:
    row, tariff = line.row - 1, line.tariff
    worksheet.write_string(row, 0, _with_unit(tariff.weight, terms), look.heading())
    for bid in range(form.BIDS):
        worksheet.write_string(row, 1 + bid, form.bid_heading(bid), look.heading(align="right"))
    worksheet.write_string(row, HELP, _with_unit(tariff.price, terms), look.note(font_size=9, align="left", indent=1))
    for place in range(1, form.TABLE_ROWS + 1):
        worksheet.write_blank(row + place, 0, None, _answer_format(tariff.weight, look, terms))
        for bid in range(form.BIDS):
            worksheet.write_blank(row + place, 1 + bid, None, _answer_format(tariff.price, look, terms))


def _with_unit(column: Column, terms: Terms) -> str:
    return f"{column.heading} ({column.unit(terms)})"


def _answer_format(column: Column, look: Look, terms: Terms) -> Any:
    aligned = "right" if isinstance(column.kind, Number) else "left"
    return look.input(
        num_format=number_format(column, terms), align=aligned, locked=False, text_wrap=isinstance(column.kind, Text)
    )
