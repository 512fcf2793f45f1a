"""Writes the results workbook of a plan: all sheets of the registry, to a file that appears whole or not at all.

The same plan gives the same bytes (the program's version apart): the creation date is fixed, and nothing that differs
from run to run is written. Called by the job and by notebooks.
"""

import os
from datetime import datetime
from io import BytesIO
from pathlib import Path

import xlsxwriter

from shipopt.comparing.caution import Caution
from shipopt.comparing.comparison import Comparison
from shipopt.move.plan import Plan
from shipopt.workbook.look import Look, workbook_options
from shipopt.workbook.results.cell_text import cell_text
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Book, Page
from shipopt.workbook.results.reading import Reading
from shipopt.workbook.results.registry import SHEETS
from shipopt.workbook.results.whole_file import whole_file

CREATED = datetime(2000, 1, 1)
"""The creation date in every file, so that equal plans give equal bytes."""


def write_results(
    path: str | os.PathLike[str],
    plan: Plan,
    reading: Reading | None = None,
    comparison: Comparison | None = None,
    caution: Caution | None = None,
) -> Results:
    """Writes the results workbook of the plan, replacing a file of that name, and returns all that it shows.

    With a comparison, its plan is the one written.

    CannotWrite, with the reason in words, if the folder or file cannot be written: an older file is then untouched.
    """
    results = Results(comparison.plan if comparison else plan, reading or Reading(), comparison, caution)
    with whole_file(Path(path)) as unfinished:
        fill(unfinished, results)
    return results


def fill(path: Path, results: Results) -> None:
    """Writes the workbook to a path, without the care for an older file; OSError if that is not possible."""
    content = BytesIO()  # a file half written by the library would raise once more when it is cleared away
    workbook = xlsxwriter.Workbook(content, workbook_options())
    workbook.set_properties({"title": cell_text(results.plan.move.settings.title)[:200], "created": CREATED})
    book = Book(workbook, Look(workbook), results.plan.move.settings)
    for entry in SHEETS:
        if entry.is_shown(results):
            entry.write(Page(book, entry.sheet), results)
    workbook.close()
    path.write_bytes(content.getvalue())
