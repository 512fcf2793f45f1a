"""Writing the next workbook: a copy of the input in which cartons are packed already, and the last plan is kept.

Only what must change is changed: sheets, columns and rows of the user's own, formats, notes, drop-downs and formulas
stay. Rows below a split line move down; formulas in them move along. openpyxl, which does the merging, drops pictures
and charts. Called by the job.
"""

from collections.abc import Mapping, Sequence
from copy import copy
from io import BytesIO
from pathlib import Path
from typing import Any

from openpyxl.formula.translate import Translator
from openpyxl.styles import Font, PatternFill
from openpyxl.utils import get_column_letter

from shipopt.afterwards.carrying_on import CarriedOn, Part, boxes_left, trips_left
from shipopt.afterwards.opened import opened
from shipopt.move.last_plan import LastWay
from shipopt.move.move import Move, PackedAlready
from shipopt.move.words import Status
from shipopt.workbook.cells import RawSheet, raw_sheets
from shipopt.workbook.declaration import CARTONS, LAST_PLAN, PACKED, QUOTES, RECORDS
from shipopt.workbook.declaration_terms import Sheet, heading_key
from shipopt.workbook.files import open_file
from shipopt.workbook.look import FONT, HEADING_FILL, SIZE
from shipopt.workbook.stored_values import with_stored_values
from shipopt.workbook.tables import heading_row

NOTE_SIZE = (300, 150)


class _Place:
    """A declared sheet of the book: its worksheet, the row of its headings, and the column of each of its fields."""

    def __init__(self, book: Any, sheet: Sheet, raw: Mapping[str, RawSheet]) -> None:
        self.sheet = sheet
        found = [ws for ws in book.worksheets if heading_key(ws.title) == heading_key(sheet.name)]
        self.worksheet = found[0] if found else book.create_sheet(sheet.name)
        stored = raw.get(heading_key(sheet.name))
        self.heading_row, headings = stored.rows[heading_row(stored, sheet)] if stored and stored.rows else (1, ())
        keys = [heading_key(each) if isinstance(each, str) else "" for each in headings]
        self.columns = {sheet.by_heading[key].field: n for n, key in enumerate(keys, 1) if key in sheet.by_heading}
        self.next_column = len(headings) + 1
        self.next_row = (stored.rows[-1][0] if stored and stored.rows else self.heading_row) + 1
        if not found:
            for column in sheet.columns:
                self.column(column.field)

    def column(self, field: str) -> int:
        """The column of a field, made to the right of all others if the sheet lacks it."""
        if field not in self.columns:
            self.columns[field] = self.next_column
            cell = self.worksheet.cell(self.heading_row, self.next_column, self.sheet.heading(field))
            cell.font = Font(name=FONT, size=SIZE, bold=True)
            cell.fill = PatternFill("solid", fgColor=HEADING_FILL.removeprefix("#"))
            letter = get_column_letter(self.next_column)
            self.worksheet.column_dimensions[letter].width = max(10, len(self.sheet.heading(field)) + 2)
            self.next_column += 1
        return self.columns[field]

    def put(self, row: int, field: str, value: Any) -> None:
        """A value in the field's cell of a row; text stays text, and a new cell looks like its column."""
        cell = self.worksheet.cell(row, self.column(field))
        if not cell.has_style:
            dimension = self.worksheet.column_dimensions.get(get_column_letter(cell.column))
            if dimension is not None and dimension.has_style:
                cell._style = copy(dimension._style)
        cell.value = value
        if isinstance(value, str) and value:
            cell.data_type = "s"

    def add(self, values: Mapping[str, Any]) -> None:
        """A row below all others."""
        for field, value in values.items():
            if value not in (None, "", 0):
                self.put(self.next_row, field, value)
        self.next_row += 1


def write_next(path: Path, source: Path, move: Move, on: CarriedOn) -> None:
    """Writes the workbook ``source``, of which ``move`` was read, carried on. OSError if it cannot be written,
    NotReadable if the source cannot be copied."""
    file = open_file(source)
    raw = {heading_key(sheet.name): sheet for sheet in raw_sheets(file, lambda name: True)}
    book, values = opened(file)
    moved = _write_records(_Place(book, RECORDS, raw), move, on)
    _write_cartons(_Place(book, CARTONS, raw), move, on)
    _write_quotes(_Place(book, QUOTES, raw), move, on)
    _write_packed(_Place(book, PACKED, raw), move, on)
    _write_last_plan(book, raw, on.last)
    for worksheet in book.worksheets:
        _widen_notes(worksheet)
    content = BytesIO()
    book.save(content)
    path.write_bytes(with_stored_values(content.getvalue(), book, values, {RECORDS.name: moved}))


def _write_records(place: _Place, move: Move, on: CarriedOn) -> dict[int, int]:
    """Gives each line its carton; a line in several cartons becomes several. Returns where each new row came from."""
    rows: dict[int, tuple[Part, ...]] = {r.origin.row: on.parts[r.place] for r in move.records if r.place in on.parts}
    ids = {record.origin.row: record.record_id for record in move.records}
    moved = _spread(place.worksheet, {row: len(parts) for row, parts in rows.items()})
    first_of = {old: new for new, old in sorted(moved.items(), reverse=True)}
    for old, record_id in sorted(ids.items()):
        parts = rows.get(old)
        for number, part in enumerate(parts or ()):
            row = first_of.get(old, old) + number
            place.put(row, "record_id", part.record_id)
            if len(parts or ()) > 1:
                place.put(row, "copies", part.copies)
            if part.packed_in is not None:
                place.put(row, "packed_in", part.packed_in)
        if not parts:
            place.put(first_of.get(old, old), "record_id", record_id)
    return moved


def _spread(worksheet: Any, times: Mapping[int, int]) -> dict[int, int]:
    """Repeats rows so many times, moving those below down; returns the old row of every row that is looked at.

    Works from the bottom up, so that each row moves once. Merged cells, row heights, notes and links move along (the
    last two with the first of several). Rows below the last that holds anything stay: other programs give tens of
    thousands of them a format.
    """
    moved: dict[int, int] = {}
    whole = shift = sum(count - 1 for count in times.values())
    if not shift:
        return moved
    last = max((row for (row, _), cell in worksheet._cells.items() if cell.value is not None), default=0)
    width = worksheet.max_column
    heights = {row: dimension.height for row, dimension in worksheet.row_dimensions.items() if dimension.height}
    merged = [copy(each) for each in worksheet.merged_cells.ranges]
    for each in merged:
        worksheet.unmerge_cells(str(each))
    shifts: dict[int, int] = {}
    for row in range(last, 0, -1):
        count = times.get(row, 1)
        shift -= count - 1
        shifts[row] = shift
        for number in reversed(range(count)):
            new = row + shift + number
            moved[new] = row
            if new != row:
                _copy_row(worksheet, row, new, width)
                if number == 0:
                    _move_marks(worksheet, row, new, width)
                worksheet.row_dimensions[new].height = heights.get(row)
        if not shift and not any(each < row for each in times if times[each] > 1):
            break
    for each in merged:
        each.shift(row_shift=whole if each.min_row > last else shifts.get(each.min_row, 0))
        worksheet.merge_cells(str(each))
    return moved


def _copy_row(worksheet: Any, row: int, new: int, width: int) -> None:
    for column in range(1, width + 1):
        source, target = worksheet.cell(row, column), worksheet.cell(new, column)
        value = source.value
        if source.data_type == "f" and isinstance(value, str):
            value = Translator(value, origin=source.coordinate).translate_formula(target.coordinate)
        target.value = value
        target.data_type = source.data_type
        if source.has_style:
            target._style = copy(source._style)


def _move_marks(worksheet: Any, row: int, new: int, width: int) -> None:
    """Notes and links, which a cell has once."""
    for column in range(1, width + 1):
        source, target = worksheet.cell(row, column), worksheet.cell(new, column)
        if source.comment is not None:
            note, source.comment = source.comment, None
            target.comment = note
        if source.hyperlink is not None:
            target._hyperlink, source._hyperlink = source.hyperlink, None
            target.hyperlink.ref = target.coordinate


def _write_cartons(place: _Place, move: Move, on: CarriedOn) -> None:
    """Boxes that are used up are no longer on hand, nor to be used again."""
    for name, used in on.boxes.items():
        carton, left = move.cartons[name], boxes_left(move.cartons[name], used)
        for field in ("on_hand", "most"):
            if getattr(left, field) != getattr(carton, field):
                place.put(carton.origin.row, field, getattr(left, field))


def _write_quotes(place: _Place, move: Move, on: CarriedOn) -> None:
    """Trips that are gone cannot be booked again; a quote whose last trip is gone is no longer considered."""
    for name, gone in on.trips.items():
        quote = trips_left(move.quotes[name], gone)
        if quote.consider:
            place.put(quote.origin.row, "trips_at_most", quote.trips_at_most)
        else:
            place.put(quote.origin.row, "consider", "no")


def _write_packed(place: _Place, move: Move, on: CarriedOn) -> None:
    before = {packed.filled.number: packed for packed in move.packed}
    for packed in on.closed:
        known = before.get(packed.filled.number)
        if known is None:
            place.add({"number": packed.filled.number, "carton": packed.filled.carton.name} | _stands(packed))
        elif known != packed:
            for field, value in _stands(packed).items():
                if value in (None, 0) and field not in place.columns:
                    continue
                place.put(known.filled.origin.row, field, value)


def _stands(packed: PackedAlready) -> dict[str, Any]:
    """The cells that say where a closed carton stands and what was paid for it."""
    found: dict[str, Any] = {"status": packed.status.value}
    if packed.status is not Status.TO_GO:
        found |= {"gone_by": packed.gone_by, "paid": packed.paid, "cover": packed.cover, "cover_fee": packed.cover_fee}
    return found | {"carton_paid": packed.carton_paid}


def _write_last_plan(book: Any, raw: Mapping[str, RawSheet], last: Sequence[LastWay]) -> None:
    for worksheet in [ws for ws in book.worksheets if heading_key(ws.title) == heading_key(LAST_PLAN.name)]:
        book.remove(worksheet)
    place = _Place(book, LAST_PLAN, {key: sheet for key, sheet in raw.items() if key != heading_key(LAST_PLAN.name)})
    for way in last:
        place.add({column.field: getattr(way, column.field) for column in LAST_PLAN.columns})
    place.worksheet.freeze_panes = "A2"


def _widen_notes(worksheet: Any) -> None:
    """Notes get the size they were written with; the library does not keep it."""
    for row in worksheet.iter_rows(max_row=10):
        for cell in row:
            if cell.comment is not None:
                cell.comment.width, cell.comment.height = NOTE_SIZE
