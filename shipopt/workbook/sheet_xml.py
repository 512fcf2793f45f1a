"""Streams cells and shared strings out of a workbook's parts, with the XML parser alone.

A part of a hundred thousand rows is read once, in a few seconds, and formulas are seen in the same pass as their
stored values, which a spreadsheet library's read-only mode does not show together. Elements and types are those of
SpreadsheetML (ECMA-376 Part 1, 18.3 Worksheets and 18.4 Shared String Table). Called by ``cells``.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import IO, Any
from xml.parsers import expat

PIECE = 1 << 16
MOST_MERGED = 100_000
"""Ranges of merged cells that are looked at in one sheet."""


@dataclass(slots=True)
class StoredCell:
    """A cell as stored: column from 0, type (``t``), style index, text of its value, whether it has a formula."""

    column: int
    kind: str
    style: int
    text: str | None
    formula: bool


@dataclass(slots=True)
class _Rows:
    """What is known of the rows while a worksheet is parsed; ``done`` are those that may be handed on."""

    done: list[tuple[int, list[StoredCell]]] = field(default_factory=list)
    cells: list[StoredCell] = field(default_factory=list)
    number: int = 0
    in_data: bool = False
    attributes: dict[str, str] = field(default_factory=dict)
    text: list[str] | None = None
    found: str | None = None
    formula: bool = False
    phonetic: int = 0
    merged: list[str] = field(default_factory=list)


def stored_rows(part: IO[bytes], merged: list[str] | None = None) -> Iterator[tuple[int, list[StoredCell]]]:
    """Rows of a worksheet that have cells with a value or formula, with their numbers from 1; raises ExpatError.

    ``merged`` is given the ranges of merged cells, which stand behind the rows.
    """
    state, columns = _Rows(merged=[] if merged is None else merged), _Columns()
    parser = _parser(_start_of_rows(state), _end_of_rows(state, columns), _text_of_rows(state))
    while piece := part.read(PIECE):
        parser.Parse(piece, False)
        yield from state.done
        state.done.clear()
    parser.Parse(b"", True)
    yield from state.done


def _parser(
    start: Callable[[str, dict[str, str]], None], end: Callable[[str], None], text: Callable[[str], None]
) -> Any:
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartElementHandler, parser.EndElementHandler, parser.CharacterDataHandler = start, end, text
    return parser


def _start_of_rows(state: _Rows) -> Callable[[str, dict[str, str]], None]:
    def start(name: str, attributes: dict[str, str]) -> None:
        name = name.rpartition(":")[2]
        if not state.in_data:
            state.in_data = name == "sheetData"
            if name == "mergeCell" and len(state.merged) < MOST_MERGED:
                state.merged.append(attributes.get("ref", ""))
        elif name == "c":
            state.attributes, state.found, state.formula = attributes, None, False
        elif name in ("v", "t") and not state.phonetic:
            state.text = []
        elif name == "f":
            state.formula = True
        elif name == "row":
            state.number = int(attributes["r"]) if "r" in attributes else state.number + 1
            state.cells = []
        elif name == "rPh":
            state.phonetic += 1

    return start


def _text_of_rows(state: _Rows) -> Callable[[str], None]:
    def text(characters: str) -> None:
        if state.text is not None:
            state.text.append(characters)

    return text


def _end_of_rows(state: _Rows, columns: "_Columns") -> Callable[[str], None]:
    def end(name: str) -> None:
        name = name.rpartition(":")[2]
        if not state.in_data:
            return
        if name == "c":
            attributes = state.attributes
            column = columns.of(attributes.get("r"))
            if state.found is not None or state.formula:
                kind, style = attributes.get("t", "n"), int(attributes.get("s", 0))
                state.cells.append(StoredCell(column, kind, style, state.found, state.formula))
        elif name in ("v", "t"):
            if state.text is not None:
                state.found = (state.found or "") + "".join(state.text)
                state.text = None
        elif name == "row":
            columns.next = 0
            if state.cells:
                state.done.append((state.number, state.cells))
        elif name == "rPh":
            state.phonetic -= 1
        elif name == "sheetData":
            state.in_data = False

    return end


class _Columns:
    """Columns of cell references, from 0, each set of letters worked out once; a cell without a reference stands
    behind the one before it."""

    def __init__(self) -> None:
        self.next = 0
        self._known: dict[str, int] = {}

    def of(self, reference: str | None) -> int:
        """The column of the next cell."""
        if reference is None:
            column = self.next
        else:
            letters = reference.rstrip("0123456789")
            if letters not in self._known:
                self._known[letters] = column_of(letters)
            column = self._known[letters]
        self.next = column + 1
        return column


def column_of(letters: str) -> int:
    """The place of a column from 0: A is 0, Z 25, AA 26. ValueError for what are no letters of a column."""
    place = 0
    for letter in letters.upper():
        if not "A" <= letter <= "Z":
            raise ValueError(f"{letters!r} is no column")
        place = place * 26 + ord(letter) - ord("A") + 1
    if not place:
        raise ValueError("a cell without a column")
    return place - 1


def shared_strings(part: IO[bytes]) -> list[str]:
    """The shared strings in their order, runs of one string joined, phonetic hints left out."""
    found: list[str] = []
    pieces: list[str] = []
    depth = {"phonetic": 0, "text": 0}

    def start(name: str, _: dict[str, str]) -> None:
        match name.rpartition(":")[2]:
            case "si":
                pieces.clear()
            case "t":
                depth["text"] += 1
            case "rPh":
                depth["phonetic"] += 1

    def end(name: str) -> None:
        match name.rpartition(":")[2]:
            case "si":
                found.append("".join(pieces))
            case "t":
                depth["text"] -= 1
            case "rPh":
                depth["phonetic"] -= 1

    def text(characters: str) -> None:
        if depth["text"] and not depth["phonetic"]:
            pieces.append(characters)

    parser = _parser(start, end, text)
    parser.ParseFile(part)
    return found
