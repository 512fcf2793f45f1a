"""Builders for tests of reading: a small sound workbook, cells changed in a written one, and the reading of it.

Everything in them is invented.
"""

from collections.abc import Callable, Mapping
from copy import deepcopy
from pathlib import Path
from typing import Any

import openpyxl

from shipopt.workbook.problems import Problem
from shipopt.workbook.reader import Reading, read
from shipopt.workbook.template import write_workbook

Rows = dict[str, Any]

SOUND: Rows = {
    "Move": {"Title": "Invented move", "Decide on": "2026-03-01"},
    "Records": [
        {"Record ID": "A1", "Format": "LP", "Value each": 20, "Shelf": "A"},
        {"Record ID": "A2", "Format": "LP", "Value each": 15, "Copies": 3, "Care": "guarded"},
        {"Record ID": "A3", "Format": "7-inch", "Value each": 4, "Copies": 50},
    ],
    "Quotes": [
        {"Quote": "Van", "Means": "van", "Fixed charge": 120, "Closed body": "yes"},
        {"Quote": "Post", "Means": "post", "Rate card": "Parcel"},
        {"Quote": "Freight", "Means": "freight", "Weight breaks": "Tariff"},
    ],
    "Rate cards": [
        {"Rate card": "Parcel", "Weight up to": 5, "Price": 6},
        {"Rate card": "Parcel", "Weight up to": 31.5, "Price": 14},
    ],
    "Weight breaks": [
        {"Weight breaks": "Tariff", "From weight": 0, "Price per 100": 60},
        {"Weight breaks": "Tariff", "From weight": 200, "Price per 100": 45},
    ],
    "Cover": [
        {"Cover": "Policy", "Covers": "loss and damage", "Basis": "carton", "Value up to": 500, "Fee": 5, "Excess": 50},
        {"Cover": "Policy", "Value up to": 2000, "Fee": 5, "Plus % of value": 1},
    ],
    "Packed already": [
        {"Carton no.": "P1", "Carton": "LP carton", "Gross weight": 18, "Value": 700, "Records": 70},
    ],
    "Last plan": [{"Carton no.": "P1", "Quote": "Van, last year", "Carriage": 30}],
}
"""A workbook without a fault, in kg / cm and EUR; formats, cartons, means and care are the planning assumptions."""


def sound(**changed: Any) -> Rows:
    """The sound workbook's rows with some sheets in place of its own (``Packed_already`` for a name with spaces)."""
    return {**deepcopy(SOUND), **{name.replace("_", " "): rows for name, rows in changed.items()}}


def written(folder: Path, rows: Rows | None = None) -> Path:
    """A workbook of those rows (the sound one if none), written."""
    path = folder / "move.xlsx"
    write_workbook(path, "kg / cm", "EUR", sound() if rows is None else rows)
    return path


def reading_of(folder: Path, rows: Rows | None = None) -> Reading:
    """The reading of a workbook of those rows."""
    return read(written(folder, rows))


def changed(path: Path, change: Callable[[openpyxl.Workbook], None]) -> Path:
    """The workbook changed by another program than the one that wrote it."""
    book = openpyxl.load_workbook(path)
    change(book)
    book.save(path)
    return path


def with_cells(path: Path, cells: Mapping[str, Any]) -> Path:
    """The workbook with values put into cells such as ``Records!D2``."""

    def put(book: openpyxl.Workbook) -> None:
        for place, value in cells.items():
            sheet, _, cell = place.partition("!")
            book[sheet][cell] = value

    return changed(path, put)


def told(problems: tuple[Problem, ...]) -> list[tuple[str, str]]:
    """Code and place of each finding."""
    return [(problem.code, problem.place) for problem in problems]
