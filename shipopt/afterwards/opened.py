"""Opening a workbook whole, to save it changed: with its notes, formats and drop-downs, by openpyxl.

Mends before that what openpyxl stumbles over in workbooks of other programs. A workbook that it cannot open
even so is told of in words. Called by ``next_workbook``.
"""

import re
import warnings
from io import BytesIO
from typing import Any
from zipfile import ZipFile

import openpyxl

from shipopt.workbook import problems
from shipopt.workbook.files import NotReadable, WorkbookFile
from shipopt.workbook.problems import problem

_NOTES = re.compile(rb"<(?:\w+:)?comments[\s>]")
_AUTHORS = re.compile(rb"<((?:\w+:)?)authors(?:\s*/>|>(.*?)</(?:\w+:)?authors>)", re.DOTALL)
_AUTHOR = re.compile(rb"<(?:\w+:)?author[\s/>]")
_WRITTEN_BY = re.compile(rb'\sauthorId="(\d{1,6})"')


def opened(file: WorkbookFile) -> tuple[Any, Any]:
    """The workbook twice: with its formulas, and with the values they show. NotReadable where it cannot be opened."""
    content = _notes_with_authors(file.content)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # a style that is missing, a drop-down that is not known: no loss of data
        try:
            book = openpyxl.load_workbook(BytesIO(content), rich_text=True)
            values = openpyxl.load_workbook(BytesIO(content), data_only=True)
        except Exception as reason:
            # As in cells: parts that are not as they should be raise whatever comes.
            raise NotReadable(problem(problems.FILE_NOT_COPIED, found=f"{type(reason).__name__}: {reason}")) from reason
    book.template = False  # else a copy of a template would be one, under the name of a workbook
    return book, values


def _notes_with_authors(content: bytes) -> bytes:
    """The workbook with an author, without a name, for each that its notes refer to, by number from 0 (ECMA-376
    Part 1, 18.7.3 comment), and for notes that refer to none: Gnumeric lists no author at all."""
    made = BytesIO()
    changed = False
    with ZipFile(BytesIO(content)) as old, ZipFile(made, "w") as new:
        for info in old.infolist():
            part = old.read(info)
            if info.filename.endswith(".xml") and _NOTES.search(part[:2_000]):
                mended = _with_authors(part)
                changed, part = changed or mended != part, mended
            new.writestr(info, part)
    return made.getvalue() if changed else content


def _with_authors(notes: bytes) -> bytes:
    listed = _AUTHORS.search(notes)
    needed = max((int(author) + 1 for author in _WRITTEN_BY.findall(notes)), default=1)
    if listed is None:
        return notes
    prefix, names = listed[1], listed[2] or b""
    missing = min(needed, 10_000) - len(_AUTHOR.findall(names))
    if missing <= 0:
        return notes
    nobody = b"<%sauthor></%sauthor>" % (prefix, prefix)
    authors = b"<%sauthors>%s%s</%sauthors>" % (prefix, names, nobody * missing, prefix)
    return notes[: listed.start()] + authors + notes[listed.end() :]
