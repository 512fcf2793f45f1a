"""Writing one results sheet: cells by the kind of their column, tables with live formulas, widths, print set-up.

Knows how, not what: each module of the folder sheets decides what stands where. A formula always gets the value it
will show, so that the file reads the same before and after a spreadsheet program works it out again.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import Enum
from operator import attrgetter
from typing import Any

from shipopt.move.settings import Settings
from shipopt.workbook import look
from shipopt.workbook.results.cell_text import cell_text
from shipopt.workbook.results.columns import Column, Kind, Sheet, Table
from shipopt.workbook.results.letters import TITLE, fits, lines_of
from shipopt.workbook.results.measures import MEASURED_ROWS, MOST_LINES, column_width, heading_lines, height
from shipopt.workbook.results.paging import blocks_of_sections, breaks, fewest_pages, heights_of, paper_for
from shipopt.workbook.results.references import Formula

WHOLE_QUANTITY, FINE_QUANTITY = "#,##0", "#,##0.0###"
TITLE_HEIGHT, SECTION_HEIGHT = 24, 18

Style = Callable[..., Any]
Value = str | int | Decimal | date | None


def number_format(kind: Kind, settings: Settings, unit: bool = False) -> str:
    """The number format of a kind, with its unit behind it where ``unit`` is asked for."""
    formats: Mapping[Kind, str] = {
        Kind.COUNT: look.COUNT,
        Kind.MONEY: look.money(settings.currency, unit),
        Kind.RATE: look.finer_money(settings.currency) + (f' "{settings.currency.code}"' if unit else ""),
        Kind.QUANTITY: FINE_QUANTITY,
        Kind.WEIGHT: look.weight(settings.units, unit),
        Kind.LENGTH: look.length(settings.units, unit),
        Kind.VOLUME: "#,##0.000",
        Kind.DENSITY: "0.0##",
        Kind.PERCENT: look.PERCENT,
        Kind.LIKELIHOOD: "0.0##",
        Kind.DATE: look.DATE,
    }
    return formats.get(kind, look.TEXT)


class Line(Enum):
    """How a row of a table is set off: not at all, as the first of a group, or as a sum."""

    PLAIN = 1
    FIRST = 2
    SUM = 3


@dataclass(frozen=True)
class Book:
    """The workbook being written, its look, and the settings that units and currency come from."""

    workbook: Any
    look: look.Look
    settings: Settings


class Page:
    """One sheet of the book."""

    def __init__(self, book: Book, sheet: Sheet) -> None:
        self.book = book
        self.sheet = sheet
        self.look = book.look
        self.worksheet = book.workbook.add_worksheet(sheet.name)
        self._widths: dict[int, int] = {}
        self._heights: dict[int, float] = {}
        self._hidden: set[int] = set()
        self._sections: list[int] = []
        self._end = 0

    def finish(self, first_rows: int = 0, blocks: Sequence[int] = (), end: int = 0) -> None:
        """Sets widths and the print set-up, ``first_rows`` of the sheet repeated on each page. Blocks of rows, given by
        their first rows and the row after the last, are not parted where a page can hold them; where none are given,
        the sheet's sections are such blocks."""
        self.worksheet.set_default_row(look.ROW_HEIGHT)
        for place, wide in sorted(self._widths.items()):
            self.worksheet.set_column(place, place, wide, None, {"hidden": place in self._hidden})
        settings = self.book.settings
        scale = self._print_scale(first_rows, blocks, end)
        look.set_pages(
            self.worksheet,
            header=cell_text(settings.title),
            units=settings.units,
            landscape=self.sheet.landscape,
            first_rows=first_rows,
            scale=scale,
        )

    def _print_scale(self, first_rows: int, blocks: Sequence[int], end: int) -> int | None:
        """Sets page breaks, and returns the scale they hold for; None where the sheet fits on a page as it is."""
        shown = [place for place in range(max(self._widths, default=0) + 1) if place not in self._hidden]
        chars = [self._widths.get(place, 9) for place in shown]
        repeated = sum(self._heights.get(row, look.ROW_HEIGHT) for row in range(first_rows))
        units, landscape = self.book.settings.units, self.sheet.landscape
        if blocks:
            heights = heights_of(blocks, end, self._heights)
            paper = paper_for(chars, [tall + repeated for tall in heights], units, landscape)
            self.worksheet.set_h_pagebreaks(breaks(blocks, heights, paper.room - repeated))
            self._print_to(max(self._end, end), shown[-1])
            return paper.scale
        paper = paper_for(chars, [], units, landscape)
        sections = blocks_of_sections(self._sections, first_rows)
        ends, smaller = fewest_pages(sections, self._end, self._heights, paper, repeated)
        if not ends and smaller == paper:
            return None
        self.worksheet.set_h_pagebreaks(ends)
        self._print_to(self._end, shown[-1])
        return smaller.scale

    def _print_to(self, end: int, last: int) -> None:
        """Prints up to the row before ``end`` and the column ``last``: a chart may reach a hair beyond."""
        self.worksheet.print_area(0, 0, end - 1, last)

    def tall(self, row: int, points: float) -> None:
        """Gives a row its height."""
        self._heights[row] = points
        self.worksheet.set_row(row, points)

    def put(self, row: int, column: int, value: Value, style: Any) -> None:
        """Writes one value; None and empty text leave a formatted blank."""
        self._end = max(self._end, row + 1)
        if isinstance(value, str) and value:
            self.worksheet.write_string(row, column, cell_text(value), style)
        elif isinstance(value, int | Decimal):
            self.worksheet.write_number(row, column, float(value), style)
        elif isinstance(value, date):
            self.worksheet.write_datetime(row, column, value, style)
        else:
            self.worksheet.write_blank(row, column, None, style)

    def words(self, row: int, column: int, text: str, style: Any) -> None:
        """Writes text, never as a formula or a link."""
        self.put(row, column, text, style)

    def formula(self, row: int, column: int, formula: Formula, value: Decimal | int | None, style: Any) -> None:
        """Writes a live formula with the value it has now."""
        self.worksheet.write_formula(row, column, formula, style, 0 if value is None else float(value))

    def style(self, column: Column, place: int, of: Style, dash: bool = False, **properties: Any) -> Any:
        """The cell format of a column: ``of`` is a kind of cell of the look. ``dash`` shows nothing owed as a dash."""
        code = number_format(column.kind, self.book.settings)
        if dash and column.kind in (Kind.COUNT, Kind.MONEY, Kind.WEIGHT):
            code = f'{code};-{code};"–"'
        return of(num_format=code, **self._side(column, place), **properties)

    def headings(self, table: Table, row: int, notes: bool = True, last: int = 0) -> None:
        """The headings of a table, each with its help as a note, in a row high enough for them; that of the table's
        last column over the columns up to ``last``."""
        lines = 1
        for place, column in enumerate(table.columns):
            until = max(place, last) if column is table.columns[-1] else place
            self._spread(row, place, until, column.heading, self.look.heading(**self._side(column, place)))
            if notes:
                self.worksheet.write_comment(row, place, column.help, {"x_scale": 1.4, "font_name": look.FONT})
            lines = max(lines, heading_lines(column, self.span(place, until)))
        self.tall(row, height(lines) + 3)

    def table(
        self,
        table: Table,
        rows: Sequence[Any],
        top: int = 0,
        formulas: Mapping[str, Callable[[int], Formula | None]] | None = None,
        line_of: Callable[[Any], Line] | None = None,
    ) -> int:
        """Headings at row ``top`` and the rows below; returns the first row after the table.

        ``formulas`` gives for a column's key the formula of a row (by its place among the rows); the value stored with
        it is the row's own. ``line_of`` says how a row is set off from the others.
        """
        self.fit(table, rows)
        self.headings(table, top)
        write = self.row_writer(table, formulas, line_of)
        for number, row in enumerate(rows):
            write(top + 1 + number, number, row)
        return top + 1 + len(rows)

    def row_writer(
        self,
        table: Table,
        formulas: Mapping[str, Callable[[int], Formula | None]] | None = None,
        line_of: Callable[[Any], Line] | None = None,
    ) -> Callable[[int, int, Any], None]:
        """A function that writes one row of a table whose columns are fitted: row of the sheet, place among the rows,
        row. It makes the row high enough."""
        live = formulas or {}
        writers = {
            line: [
                self._writer(column, place, live.get(column.key), line) for place, column in enumerate(table.columns)
            ]
            for line in Line
        }

        def write(at: int, number: int, row: Any) -> None:
            lines = max([each(at, number, row) for each in writers[line_of(row) if line_of else Line.PLAIN]])
            if lines > 1:
                self.tall(at, height(lines, MOST_LINES))

        return write

    def totals(self, table: Table, row: int, label_at: int, sums: Mapping[str, tuple[Formula, Decimal | int]]) -> None:
        """A line of totals under a table: formulas with values, by column; the word Total at column ``label_at``."""
        for place, column in enumerate(table.columns):
            style = self.style(column, place, self.look.total)
            if column.key in sums:
                formula, value = sums[column.key]
                self.formula(row, place, formula, value, style)
            else:
                self.words(row, place, "Total" if place == label_at else "", style)

    def fit(self, table: Table, rows: Sequence[Any]) -> None:
        """Makes the columns wide enough for the table."""
        places = self.book.settings.currency.places
        for place, column in enumerate(table.columns):
            self.hold(place, column_width(column, [getattr(row, column.key) for row in rows[:MEASURED_ROWS]], places))

    def hold(self, place: int, chars: int) -> None:
        """Makes a column at least so many characters wide."""
        self._widths[place] = max(self._widths.get(place, 0), chars)

    def hide(self, place: int) -> None:
        """Hides a column that holds nothing, so that the others print larger."""
        self._hidden.add(place)

    def span(self, first: int, last: int) -> int:
        """Characters that columns first to last hold side by side, as fitted so far."""
        return sum(self._widths.get(place, 9) for place in range(first, last + 1))

    def section(self, row: int, last: int, title: str) -> int:
        """The title of a part of the sheet over a rule from the first column to ``last``; returns the next row."""
        self._sections.append(row)
        for place in range(last + 1):
            self.words(row, place, title if place == 0 else "", self.look.section())
        self.tall(row, SECTION_HEIGHT)
        return row + 1

    def title(self, row: int, last: int, text: str) -> None:
        """The sheet's own title, over the columns up to ``last``; call it when they are fitted."""
        self._spread(row, 0, last, text, self.look.title())
        lines = lines_of(cell_text(text), self.span(0, last), TITLE)
        self.tall(row, TITLE_HEIGHT * min(lines, MOST_LINES))

    def paragraph(self, row: int, first: int, last: int, text: str, style: Any) -> None:
        """Wrapped text over columns first to last of one row, which is made high enough for it."""
        self._spread(row, first, last, text, style)
        lines = lines_of(cell_text(text), self.span(first, last))
        if lines > 1:
            self.tall(row, height(lines))

    def _spread(self, row: int, first: int, last: int, text: str, style: Any) -> None:
        if first < last:
            self.worksheet.merge_range(row, first, row, last, "", style)
        self.words(row, first, text, style)

    def _side(self, column: Column, place: int) -> dict[str, Any]:
        """Numbers stand to the right; text to the left, a little away from a number before it."""
        if column.kind.is_text:
            return {"align": "left", "indent": min(place, 1)}
        return {"align": "right"}

    def _writer(
        self, column: Column, place: int, formula: Callable[[int], Formula | None] | None, line: Line
    ) -> Callable[[int, int, Any], int]:
        """A function that writes the column's cell of one row (row of the sheet, place among the rows, row) and says
        how many lines it takes."""
        of = self.look.total if line is Line.SUM else self.look.body
        rule: dict[str, Any] = {"top": 1, "top_color": look.RULE} if line is Line.FIRST else {}
        style = self.style(column, place, of, dash=line is not Line.SUM, **rule)
        other = self._other_style(column, place, of, rule)
        room = self._widths[place] - min(place, 1)
        takes_other = self._test_of_other(column, room)
        value_of, skips = attrgetter(column.key), column.sparse and line is Line.PLAIN

        def write(at: int, number: int, row: Any) -> int:
            value = value_of(row)
            if skips and not value:
                return 1
            if formula and (found := formula(number)) is not None:
                self.formula(at, place, found, value, style)
            elif other and value and takes_other(value):
                self.put(at, place, value, other)
                return lines_of(value, room) if column.kind.is_text else 1
            else:
                self.put(at, place, value, style)
            return 1

        return write

    def _other_style(self, column: Column, place: int, of: Style, rule: Mapping[str, Any]) -> Any:
        """The format of the cells of a column that are not like the rest: long texts wrap, whole quantities and rates
        have no further places; None for kinds whose cells are all alike."""
        if column.kind.is_text:
            return self.style(column, place, of, text_wrap=True, **rule)
        if column.kind in (Kind.QUANTITY, Kind.RATE):
            code = WHOLE_QUANTITY if column.kind is Kind.QUANTITY else look.money(self.book.settings.currency)
            return of(num_format=code, **self._side(column, place), **rule)
        return None

    def _test_of_other(self, column: Column, room: int) -> Callable[[Any], bool]:
        if column.kind.is_text:
            return lambda text: not fits(text, room)
        places = self.book.settings.currency.places if column.kind is Kind.RATE else 0
        return lambda number: number == round(number, places)
