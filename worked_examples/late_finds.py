"""Worked example 3: the plan of example 1 carried on when part of it is gone, a bidder drops out and records turn up.

Made from example 1's workbook and the plan in ``first_plan.csv`` as the command ``shipopt again`` does it, with what a
person would then type in: everything is invented. Called by ``make_examples``.
"""

import tempfile
from datetime import date
from pathlib import Path
from random import Random

import collector_by_van_and_post as collector
import openpyxl
from first_plan import read_first_plan
from invented_titles import artists, grade, title

from shipopt.afterwards.carrying_on import carried_on
from shipopt.afterwards.next_workbook import write_next
from shipopt.move.words import Status
from shipopt.workbook.reader import read
from shipopt.workbook.template import write_workbook

FOLDER = "3_late_finds"
FILE = "second_thoughts.xlsx"
FIRST_PLAN = "first_plan.csv"
SEED = "late finds in a cupboard"

SENT = "Lumbrel, groupage"
LOST = "Tarn & Thimble, one or two trips"
Rows = list[dict[str, object]]


def write(path: Path, folder: Path) -> None:
    """Writes the workbook; ``folder`` holds the examples."""
    source = folder / collector.FOLDER / collector.FILE
    move = read(source).move
    assert move is not None
    shipments = read_first_plan(folder / FOLDER / FIRST_PLAN, move)
    sent = {each.filled.number: Status.SENT for each in shipments if each.quote.name == SENT}
    with tempfile.TemporaryDirectory() as scratch:
        following = Path(scratch) / FILE
        write_next(following, source, move, carried_on(move, shipments, sent))
        tables = tables_of(following)
    add_what_is_new(tables)
    write_workbook(path, str(collector.MOVE["Units"]), str(collector.MOVE["Currency"]), tables)


def tables_of(path: Path) -> dict[str, Rows]:
    """Every sheet of an input workbook as rows by heading."""
    found: dict[str, Rows] = {}
    for sheet in openpyxl.load_workbook(path).worksheets[1:]:
        headings, *rows = sheet.iter_rows(values_only=True)
        given = [{h: v for h, v in zip(headings, row, strict=True) if h and v is not None} for row in rows]
        found[sheet.title] = [row for row in given if row]
    return found


def add_what_is_new(tables: dict[str, Rows]) -> None:
    """What a person types in after some days: the day, the bidder that dropped out, the records that were found."""
    settings = {row["Setting"]: row for row in tables["Move"]}
    settings["Title"]["Value"] = "The collection goes to Valencia, second thoughts (invented)"
    settings["Decide on"]["Value"] = date(2026, 3, 18)
    settings["Expected uninsured loss at most"]["Value"] = 300
    for row in tables["Quotes"]:
        if row["Quote"] == LOST:
            row |= {"Consider": "no", "Notes": "Rang on the 17th: the van has broken down."}
    tables["Records"] += cupboard()


def cupboard() -> Rows:
    """170 records found in a cupboard when the shelves were taken down."""
    draw = Random(SEED)
    rows: Rows = []
    names = artists(draw, 30)
    for place in range(60):
        worth = draw.choice((6, 8, 9, 12, 14, 18, 22, 30))
        rows.append({"Format": "LP", "Artist": names[place // 2], "Title": title(draw), "Value each": worth})
    for name, kind, copies, worth in (
        ("Assorted records, bottom of the cupboard", "LP", 70, 7),
        ("Singles in a biscuit tin", "7-inch", 40, 4),
    ):
        rows.append({"Format": kind, "Title": name, "Copies": copies, "Value each": worth})
    found = [
        {"Record ID": f"C{n:03d}", "Shelf": "Cupboard", "Grade": grade(draw)} | row for n, row in enumerate(rows, 1)
    ]
    assert sum(int(str(row.get("Copies", 1))) for row in found) == 170
    return found
