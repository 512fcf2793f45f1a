"""A small invented move as a workbook, planned, for tests of what is done with its results afterwards."""

from io import BytesIO
from pathlib import Path
from typing import Any

import openpyxl

import shipopt
from shipopt.workbook.stored_values import with_stored_values
from shipopt.workbook.template import write_workbook

TABLES: dict[str, Any] = {
    "Move": {"Title": "Invented move", "Seconds to search": 5, "Insure cartons worth at least": 900},
    "Records": [
        {"Format": "LP", "Artist": "Nobody", "Title": "=1+1", "Value each": 20, "Copies": 90, "Shelf": "A"},
        {"Record ID": "B1", "Format": "LP", "Value each": 35, "Copies": 60, "Shelf": "B", "Grade": "VG+"},
        {"Record ID": "S1", "Format": "7-inch", "Value each": 4, "Copies": 150, "Shelf": "C"},
    ],
    "Cartons": [
        {
            "Carton": name,
            "Takes sleeves": sleeve,
            "Stack length": 31,
            "Outside length": 34,
            "Outside width": 34,
            "Outside height": 34,
            "Empty weight": 0.8,
            "Price each": 2.5,
            "On hand": 1,
            "Most to use": 9,
        }
        for name, sleeve in (("LP carton", "12"), ("Singles carton", "7"))
    ],
    "Quotes": [
        {
            "Quote": "Van",
            "Bidder": "Invented Vans",
            "Means": "van",
            "Fixed charge": 8,
            "Per carton": 4,
            "Most cartons": 2,
            "Liability per weight unit": 5,
        },
        {"Quote": "Post", "Bidder": "Invented Post", "Means": "post", "Per carton": 9, "Tracked": "yes"},
        {"Quote": "Dear van", "Means": "van", "Fixed charge": 300},
    ],
    "Cover": [{"Cover": "Policy", "Covers": "loss", "Basis": "carton", "Fee": 3, "Plus % of value": 0.5, "Excess": 50}],
}


def planned(folder: Path) -> tuple[Path, Path]:
    """The workbook and its results, with a user's own sheet, column and formulas in the workbook."""
    path, results = folder / "move.xlsx", folder / "move.results.xlsx"
    write_workbook(path, "kg / cm", "EUR", TABLES)
    add_own_things(path)
    shipopt.plan_workbook(path, results)
    return path, results


def add_own_things(path: Path) -> None:
    """What a user adds of his own: a sheet, a column with formulas; values stored as other programs do."""
    book = openpyxl.load_workbook(path)
    records = book["Records"]
    own = records.max_column + 1
    records.cell(1, own, "Bought for")
    values = openpyxl.load_workbook(path)
    for row in (2, 3, 4):
        records.cell(row, own, f"=E{row}*2")
        values["Records"].cell(row, own, 2 * records.cell(row, 5).value)
    sheet = book.create_sheet("My own")
    sheet["A1"], sheet["B1"] = "kept", "=SUM(Records!E2:E4)"
    values.create_sheet("My own")["B1"] = 300
    content = BytesIO()
    book.save(content)
    path.write_bytes(with_stored_values(content.getvalue(), book, values, {}))
