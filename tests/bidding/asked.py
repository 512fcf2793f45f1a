"""An invented move that asks for bids, and its forms filled by a library, for tests of forms and of gathering."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import openpyxl

import shipopt
from shipopt.bidding import form
from shipopt.move.words import Means
from shipopt.workbook.template import write_workbook

SECRETS = ("Zyzzva Quintet", "Live in Nowhere", "QX-77", "Cellar shelf 9", "MINT-ISH", "signed by nobody", "7391.37")
"""What stands in rows of Records and in no form."""

TABLES: dict[str, Any] = {
    "Move": {"From": "Old Town", "To": "New Town", "Decide on": "2026-03-01", "Needed by": "2026-06-01"},
    "Records": [
        {
            "Record ID": "QX-77",
            "Artist": "Zyzzva Quintet",
            "Title": "Live in Nowhere",
            "Format": "LP",
            "Value each": 7391.37,
            "Grade": "MINT-ISH",
            "Shelf": "Cellar shelf 9",
            "Notes": "signed by nobody",
            "Care": "guarded",
            "Copies": 90,
        },
        {"Record ID": "B1", "Format": "7-inch", "Value each": 4, "Copies": 300},
    ],
}


def move_of(folder: Path, **changed: Any) -> Path:
    """The workbook that asks, in kg / cm and EUR; it has no quote yet."""
    path = folder / "move.xlsx"
    write_workbook(path, "kg / cm", "EUR", TABLES | changed)
    return path


def form_of(folder: Path, means: Means = Means.VAN, move: Path | None = None) -> Path:
    """The empty form for one means."""
    shipopt.ask_for_bids(move or move_of(folder), folder / "forms")
    return folder / "forms" / f"bid_form_{means}.xlsx"


def place(field: str, bid: int = 0, means: Means = Means.VAN) -> str:
    """The cell of an answer, by the column's name in the program."""
    rows = {line.column.field: line.row for line in form.answers(means)}
    return f"{'BCD'[bid]}{rows[field]}"


def answers_of(**given: Any) -> dict[str, Any]:
    """The first bid of an invented carrier by van, by cell."""
    sound = {"fixed_charge": 320, "per_carton": "4.50", "closed_body": "yes", "valid_until": "2026-04-30"} | given
    return {f"B{form.BIDDER_ROW}": "Invented Vans"} | {place(name): value for name, value in sound.items()}


def returned(blank: Path, cells: Mapping[str, Any], name: str = "returned.xlsx") -> Path:
    """A form with cells filled, saved beside it by another library than the one that wrote it."""
    book = openpyxl.load_workbook(blank)
    for at, value in cells.items():
        book[form.TO_FILL][at] = value
    book.save(blank.with_name(name))
    return blank.with_name(name)
