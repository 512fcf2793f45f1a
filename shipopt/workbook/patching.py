"""Cells put into a stored workbook without saving it anew: only the bytes of those cells and their rows change.

Every other part of the file, and every other cell, format, note and drop-down, stays byte for byte as it was. Text is
stored as inline text (ECMA-376 Part 1, 18.3.1.53 is), so it is never a formula. What is written where is the caller's
affair.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from io import BytesIO
from typing import Any
from xml.etree import ElementTree
from xml.parsers import expat
from xml.sax.saxutils import escape
from zipfile import ZipFile

from shipopt.workbook.cells import column_letter
from shipopt.workbook.declaration_terms import heading_key
from shipopt.workbook.sheet_xml import column_of

Cells = Mapping[tuple[int, int], Any]
"""Values by row (from 1) and column (from 0): text, numbers, dates, None for a blank cell."""

_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_STRICT_RELATION = "{http://purl.oclc.org/ooxml/officeDocument/relationships}id"
_NOT_IN_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


class CannotPatch(Exception):  # noqa: N818 - it names what happened
    """The workbook is stored in a way that cells cannot be put into."""


@dataclass(slots=True)
class _Span:
    """Where an element stands in the part's bytes: its whole, and where its start tag ends."""

    start: int
    head: int = 0
    end: int = 0
    style: str = ""
    formula: bool = False


@dataclass(slots=True)
class _Row(_Span):
    cells: dict[int, _Span] = field(default_factory=dict)


@dataclass(slots=True)
class _Part:
    """A worksheet's rows and cells by their place, the default style of its columns, and where rows go."""

    content: bytes
    prefix: str = ""
    data: _Span = field(default_factory=lambda: _Span(0))
    rows: dict[int, _Row] = field(default_factory=dict)
    columns: list[tuple[int, int, str]] = field(default_factory=list)

    def style_of(self, column: int) -> str:
        """The style of a column's cells, "" for none."""
        return next((style for first, last, style in self.columns if first <= column <= last), "")


def patched(content: bytes, sheets: Mapping[str, Cells]) -> bytes:
    """The workbook with cells put into sheets, by their name. CannotPatch, or KeyError for a sheet it lacks."""
    made = BytesIO()
    with ZipFile(BytesIO(content)) as old, ZipFile(made, "w") as new:
        parts = _parts_by_sheet(old)
        wanted = {parts[heading_key(name)]: cells for name, cells in sheets.items() if cells}
        for info in old.infolist():
            stored = old.read(info)
            new.writestr(info, _patched(stored, wanted[info.filename]) if info.filename in wanted else stored)
    return made.getvalue()


def formulas_in(content: bytes, sheet: str) -> frozenset[tuple[int, int]]:
    """The cells of a sheet that hold a formula, by row (from 1) and column (from 0)."""
    with ZipFile(BytesIO(content)) as archive:
        part = _scanned(archive.read(_parts_by_sheet(archive)[heading_key(sheet)]))
    return frozenset((n, c) for n, row in part.rows.items() for c, cell in row.cells.items() if cell.formula)


def _parts_by_sheet(archive: ZipFile) -> dict[str, str]:
    """The part of each worksheet, by the sheet's name as it is matched."""
    book = ElementTree.fromstring(archive.read("xl/workbook.xml"))
    relations = ElementTree.fromstring(archive.read("xl/_rels/workbook.xml.rels"))
    targets = {each.get("Id"): each.get("Target", "") for each in relations}
    found = {}
    for sheet in book.iter():
        if sheet.tag.rpartition("}")[2] == "sheet":
            target = targets[sheet.get(_RELATION) or sheet.get(_STRICT_RELATION)]
            found[heading_key(sheet.get("name", ""))] = target[1:] if target.startswith("/") else f"xl/{target}"
    return found


def _patched(content: bytes, cells: Cells) -> bytes:
    part = _scanned(content)
    edits = [*_row_edits(part, cells), *_dimension_edit(content, cells)]
    for start, end, text in sorted(edits, key=lambda edit: edit[0], reverse=True):
        content = content[:start] + text.encode() + content[end:]
    return content


def _row_edits(part: _Part, cells: Cells) -> list[tuple[int, int, str]]:
    """The replacements of bytes that put the cells in, one for each row."""
    edits: list[tuple[int, int, str]] = []
    added: dict[int, list[str]] = {}
    for number in sorted({row for row, _ in cells}):
        values = {column: value for (row, column), value in cells.items() if row == number}
        if number in part.rows:
            row = part.rows[number]
            edits.append((row.start, row.end, _row_again(part, number, values)))
        else:
            before = max((r.end for n, r in part.rows.items() if n < number), default=part.data.head)
            added.setdefault(before, []).append(_row(part, number, values))
    empty = part.content[part.data.start : part.data.head].endswith(b"/>")
    if empty and added:
        name = f"{part.prefix}sheetData"
        return [(part.data.start, part.data.head, f"<{name}>{''.join(added[part.data.head])}</{name}>")]
    return edits + [(at, at, "".join(rows)) for at, rows in added.items()]


def _row(part: _Part, number: int, values: Mapping[int, Any]) -> str:
    inside = "".join(_cell(part, number, column, values[column], part.style_of(column)) for column in sorted(values))
    return f'<{part.prefix}row r="{number}">{inside}</{part.prefix}row>'


def _row_again(part: _Part, number: int, values: Mapping[int, Any]) -> str:
    """A row with some of its cells put in place of those it had, every other as it was."""
    row = part.rows[number]
    kept = {c: part.content[s.start : s.end].decode() for c, s in row.cells.items()}
    for column, value in values.items():
        style = row.cells[column].style if column in row.cells else part.style_of(column)
        kept[column] = _cell(part, number, column, value, style)
    head = re.sub(r'\sspans="[^"]*"', "", part.content[row.start : row.head].decode())
    head = head.removesuffix("/>").removesuffix(">") + ">"
    return f"{head}{''.join(kept[column] for column in sorted(kept))}</{part.prefix}row>"


def _cell(part: _Part, row: int, column: int, value: Any, style: str) -> str:
    p, at = part.prefix, f'r="{column_letter(column)}{row}"' + (f' s="{style}"' if style else "")
    match value:
        case None:
            return f"<{p}c {at}/>"
        case int() | Decimal():
            return f"<{p}c {at}><{p}v>{Decimal(value):f}</{p}v></{p}c>"
        case date():
            text = value.isoformat()
        case _:
            text = escape(_NOT_IN_XML.sub(" ", str(value)))
    return f'<{p}c {at} t="inlineStr"><{p}is><{p}t xml:space="preserve">{text}</{p}t></{p}is></{p}c>'


def _dimension_edit(content: bytes, cells: Cells) -> list[tuple[int, int, str]]:
    """The used range, made to hold the cells: some programs read no further."""
    found = re.search(rb'<(?:\w+:)?dimension ref="([A-Z]+)(\d+)(?::([A-Z]+)(\d+))?"', content)
    if not found:
        return []
    left, top, right, bottom = (each.decode() if each else "" for each in found.groups())
    columns = [column_of(left), column_of(right or left), *(column for _, column in cells)]
    rows = [int(top), int(bottom or top), *(row for row, _ in cells)]
    whole = f"{column_letter(min(columns))}{min(rows)}:{column_letter(max(columns))}{max(rows)}"
    return [(found.start(1), found.end(), f'{whole}"')]


def _scanned(content: bytes) -> _Part:
    """Where rows and cells stand in a worksheet's part, which is UTF-8 in every program's workbooks."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")) or re.match(
        rb'<\?xml[^>]*encoding=["\'](?!utf-8)', content, re.I
    ):
        raise CannotPatch("the workbook is not stored as UTF-8; save it in a spreadsheet program first")
    part = _Part(content)
    parser = expat.ParserCreate()
    scan = _Scan(part, parser)
    parser.StartElementHandler, parser.EndElementHandler = scan.start, scan.end
    parser.Parse(content, True)
    return part


class _Scan:
    """Fills a ``_Part`` while its XML is parsed."""

    def __init__(self, part: _Part, parser: Any) -> None:
        self._part, self._parser = part, parser
        self._inside = False
        self._row: _Row | None = None
        self._number, self._column = 0, 0
        self._cell: _Span | None = None

    def start(self, name: str, attributes: dict[str, str]) -> None:
        """A start tag."""
        prefix, _, local = name.rpartition(":")
        at = self._parser.CurrentByteIndex
        if local == "sheetData":
            self._inside = True
            self._part.prefix = f"{prefix}:" if prefix else ""
            self._part.data = _Span(at, self._head(at))
        elif local == "col" and not self._inside:
            first, last = int(attributes["min"]) - 1, int(attributes["max"]) - 1
            self._part.columns.append((first, last, attributes.get("style", "")))
        elif local == "row" and self._inside:
            self._number = int(attributes.get("r", self._number + 1))
            self._row = _Row(at, self._head(at))
            self._part.rows[self._number] = self._row
            self._column = 0
        elif local == "c" and self._row is not None:
            letters = attributes.get("r", "").rstrip("0123456789")
            self._column = column_of(letters) if letters else self._column
            self._cell = _Span(at, self._head(at), style=attributes.get("s", ""))
            self._row.cells[self._column] = self._cell
            self._column += 1
        elif local == "f" and self._cell is not None:
            self._cell.formula = True

    def end(self, name: str) -> None:
        """An end tag, or the end of an element without one."""
        local = name.rpartition(":")[2]
        if local == "c" and self._cell is not None:
            self._cell.end = self._end(name)
            self._cell = None
        elif local == "row" and self._row is not None:
            self._row.end = self._end(name)
            self._row = None
        elif local == "sheetData":
            self._inside = False

    def _head(self, at: int) -> int:
        """Where the start tag that begins here ends; a ``>`` in an attribute's value does not count."""
        found = re.compile(rb"""<(?:[^>"']|"[^"]*"|'[^']*')*>""").match(self._part.content, at)
        assert found is not None
        return found.end()

    def _end(self, name: str) -> int:
        """Where the element that ends here ends. Of one without an end tag the parser tells the place behind it."""
        at: int = self._parser.CurrentByteIndex
        if self._part.content.startswith(f"</{name}".encode(), at):
            return self._part.content.index(b">", at) + 1
        return at
