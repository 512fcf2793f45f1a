"""Writing the claims workbook: what was found on arrival, and a sheet for each claim to print and send.

Laid out with the results' own pages and look; totals are live formulas. Called by the job.
"""

from collections.abc import Sequence
from decimal import Decimal
from io import BytesIO
from pathlib import Path
from typing import Any

import xlsxwriter

from shipopt.afterwards.check_in import Arrival, Finding
from shipopt.afterwards.claims import Claim
from shipopt.move.settings import Settings
from shipopt.workbook import look
from shipopt.workbook.look import Look, workbook_options
from shipopt.workbook.results.cell_text import cell_text
from shipopt.workbook.results.claims import CLAIMS
from shipopt.workbook.results.columns import Column, Kind, Sheet, Table
from shipopt.workbook.results.declaration import CARTON_NO, QUOTE, VALUE
from shipopt.workbook.results.page import Book, Page
from shipopt.workbook.results.references import Block, total
from shipopt.workbook.results.sheets.words import make_room_for_catchwords
from shipopt.workbook.results.writing import CREATED

COVER = Column("Cover", Kind.TEXT, "Its cover.", 10, 24)
FOUND = Column("Found", Kind.TEXT, "What is wrong with it.", 11, 20)
EXPECTED = Column("Expected weight", Kind.WEIGHT, "What it should weigh, packed.", 9, 12)
WEIGHED = Column("Weight found", Kind.WEIGHT, "What it weighed on arrival.", 9, 12)
REMARKS = Column("Remarks", Kind.WORDS, "As noted on arrival.", 18, 30)

FOUND_ON_ARRIVAL = Sheet(
    "Found on arrival",
    "Every carton that is missing, damaged, light or not checked yet.",
    (
        Table(
            "Found on arrival",
            (
                CARTON_NO,
                QUOTE,
                COVER,
                FOUND,
                EXPECTED,
                WEIGHED,
                VALUE,
                REMARKS,
            ),
        ),
    ),
    landscape=True,
)
# Columns of the two tables stand below each other: like widths together.
CLAIM_TABLES = (
    Table(
        "Cartons",
        (
            CARTON_NO,
            FOUND,
            EXPECTED,
            WEIGHED,
            VALUE,
            Column("Harm", Kind.MONEY, "Its value if it is missing, else the damage found.", 10, 14),
            Column("Owed at most", Kind.MONEY, "By the quote or the cover in the workbook; the terms decide.", 10, 14),
            REMARKS,
        ),
    ),
    Table(
        "Contents",
        (
            CARTON_NO,
            Column("Record ID", Kind.TEXT, "The record's ID in the workbook.", 9, 16),
            Column("Copies", Kind.COUNT, "How many.", 7, 7),
            Column("Grade", Kind.TEXT, "Its condition before, as in the workbook.", 7, 9),
            VALUE,
            Column("Format", Kind.TEXT, "As in the workbook.", 8, 14),
            Column("Artist", Kind.TEXT, "As in the workbook.", 10, 28),
            Column("Title", Kind.TEXT, "As in the workbook.", 10, 40),
        ),
    ),
)
SUMMED = ("value", "harm", "owed_at_most")
LAST = max(len(table.columns) for table in CLAIM_TABLES) - 1
NOTHING_WRONG = "Every carton has arrived and is sound."
CAUTION = (
    "Amounts and periods here are what the workbook says and what is published in general. They are no advice: the "
    "carrier's and the insurer's terms and local law come before them. Claim nothing that was not in the carton, and "
    "no harm twice: what the one pays, the other does not owe. Keep damaged records and all packing until the claim is "
    "settled, and send copies, not originals: photographs, this list, proof of value, the delivery receipt."
)


class _Found:
    """A row of the sheet Found on arrival."""

    def __init__(self, arrival: Arrival) -> None:
        self.carton_no, self.quote = arrival.filled.number, arrival.quote.name
        self.cover = arrival.cover.name if arrival.cover else ""
        self.found = str(arrival.finding)
        self.expected_weight, self.weight_found = arrival.filled.gross_weight, arrival.weight_found
        self.value, self.remarks = arrival.filled.value, arrival.remarks


def write_claims(path: Path, settings: Settings, arrivals: Sequence[Arrival], claims: Sequence[Claim]) -> None:
    """Writes the workbook; OSError if the file cannot be written. The same findings give the same bytes."""
    content = BytesIO()
    workbook = xlsxwriter.Workbook(content, workbook_options())
    workbook.set_properties({"title": cell_text(settings.title)[:200], "created": CREATED})
    book = Book(workbook, Look(workbook), settings)
    _write_found(Page(book, FOUND_ON_ARRIVAL), arrivals)
    for number, claim in enumerate(claims, start=1):
        _write_claim(Page(book, Sheet(f"Claim {number}", claim.whose, CLAIM_TABLES, landscape=True)), claim)
    workbook.close()
    path.write_bytes(content.getvalue())


def _write_found(page: Page, arrivals: Sequence[Arrival]) -> None:
    table, rows = FOUND_ON_ARRIVAL.tables[0], [_Found(each) for each in arrivals if each.finding is not None]
    page.fit(table, rows)
    last = len(table.columns) - 1
    page.title(0, last, FOUND_ON_ARRIVAL.name)
    counts = {finding: sum(row.found == finding for row in rows) for finding in Finding}
    sound = len(arrivals) - len(rows)
    said = [f"{count} {finding}" for finding, count in counts.items() if count]
    page.paragraph(1, 0, last, "; ".join([f"{sound} of {len(arrivals)} cartons sound", *said]) + ".", page.look.note())
    if rows:
        page.table(table, rows, 3)
    else:
        page.words(3, 0, NOTHING_WRONG, page.look())
    page.finish()


def _write_claim(page: Page, claim: Claim) -> None:
    cartons, contents = CLAIM_TABLES
    make_room_for_catchwords(page, (*claim.facts, *CLAIMS))
    page.fit(cartons, claim.cartons)
    page.fit(contents, claim.records)
    page.title(0, LAST, claim.whose)
    top = _texts(page, claim.facts, 2)
    top = page.section(top + 1, LAST, cartons.name)
    below = page.table(cartons, claim.cartons, top)
    _sums(page, cartons, claim.cartons, top + 1, below, SUMMED)
    top = page.section(below + 2, LAST, contents.name)
    if claim.records:
        below = page.table(contents, claim.records, top)
        _sums(page, contents, claim.records, top + 1, below, ("copies", "value"))
    else:
        below = top
        page.words(below, 0, "Not listed in the workbook: say what was in it.", page.look())
    top = page.section(below + 2, LAST, "Published periods, and cautions")
    top = _texts(page, CLAIMS, top)
    page.paragraph(top, 0, LAST, CAUTION, page.look(text_wrap=True, bg_color=look.CAUTION_FILL))
    page.finish()


def _texts(page: Page, facts: Sequence[tuple[str, str]], top: int) -> int:
    for row, (label, text) in enumerate(facts, start=top):
        page.words(row, 0, label, page.look(bold=True))
        page.paragraph(row, 1, LAST, text, page.look(text_wrap=True, indent=1))
    return top + len(facts)


def _sums(page: Page, table: Table, rows: Sequence[Any], first: int, below: int, keys: Sequence[str]) -> None:
    block = Block(page.sheet, table, first, len(rows))
    sums = {key: sum((getattr(row, key) or Decimal(0) for row in rows), Decimal(0)) for key in keys}
    page.totals(table, below, 0, {key: (total(block, key, elsewhere=False), value) for key, value in sums.items()})
