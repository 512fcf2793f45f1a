"""One cell of a stored workbook changed, by its XML alone: what no spreadsheet program would write can be put there.

Elements and cell types are those of SpreadsheetML (ECMA-376 Part 1, 18.3.1.4, 18.18.11). Called by the corpus of
single faults and by fuzzing; shares nothing with the reader.
"""

import re
import zipfile
from io import BytesIO
from xml.etree import ElementTree
from xml.sax.saxutils import escape

SPREADSHEET = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"


class Formula(str):
    """A formula without a stored value, its = left off."""

    __slots__ = ()


class ErrorShown(str):
    """An error of the spreadsheet program, such as ``#REF!``."""

    __slots__ = ()


Value = str | int | float | bool | Formula | ErrorShown | None


def parts_of(content: bytes) -> dict[str, bytes]:
    """The parts of a workbook by name."""
    with zipfile.ZipFile(BytesIO(content)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def workbook_of(parts: dict[str, bytes]) -> bytes:
    """A workbook of those parts."""
    made = BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_STORED) as archive:
        for name, part in parts.items():
            archive.writestr(name, part)
    return made.getvalue()


def part_of_sheet(parts: dict[str, bytes], sheet: str) -> str:
    """The name of a sheet's part."""
    book = ElementTree.fromstring(parts["xl/workbook.xml"])
    links = {link.get("Id"): link.get("Target") for link in ElementTree.fromstring(parts["xl/_rels/workbook.xml.rels"])}
    for each in book.iter(f"{SPREADSHEET}sheet"):
        if each.get("name") == sheet:
            return f"xl/{links[each.get(RELATION)]}"
    raise KeyError(sheet)


def with_cell(parts: dict[str, bytes], sheet: str, cell: str, value: Value) -> dict[str, bytes]:
    """The parts with a value in a cell, whose row is there already."""
    name = part_of_sheet(parts, sheet)
    text = parts[name].decode()
    text = re.sub(rf'<c r="{cell}"(?: [^>]*)?(?:/>|>.*?</c>)', "", text, count=1, flags=re.DOTALL)
    row = re.search(r"\d+$", cell)
    assert row
    opened = re.search(rf'<row r="{row[0]}"[^>]*?(/?)>', text)
    assert opened, f"{sheet} has no row {row[0]}"
    assert not opened[1], f"row {row[0]} of {sheet} is empty"
    return {**parts, name: (text[: opened.end()] + _stored(cell, value) + text[opened.end() :]).encode()}


def _stored(cell: str, value: Value) -> str:
    match value:
        case None:
            return ""
        case Formula():
            return f'<c r="{cell}"><f>{escape(value)}</f></c>'
        case ErrorShown():
            return f'<c r="{cell}" t="e"><v>{escape(value)}</v></c>'
        case str():
            return f'<c r="{cell}" t="inlineStr"><is><t xml:space="preserve">{escape(value)}</t></is></c>'
        case bool():
            return f'<c r="{cell}" t="b"><v>{int(value)}</v></c>'
        case _:
            return f'<c r="{cell}"><v>{value!r}</v></c>'
