"""A bid form as a file from somebody else: no larger than a form, without formulas, links, programs or objects.

Settled before any cell is read, on top of the checks of every workbook. Nothing is opened that the file points to.
Called by ``returned``.
"""

import re
import zipfile
from pathlib import Path
from xml.parsers.expat import ExpatError

from shipopt.bidding import problems as ours
from shipopt.workbook import problems
from shipopt.workbook.cells import column_letter
from shipopt.workbook.files import NotReadable, WorkbookFile, open_file
from shipopt.workbook.problems import Problem, problem
from shipopt.workbook.sheet_xml import stored_rows

MOST_BYTES, MOST_UNPACKED, MOST_PARTS, MOST_ROWS = 2 * 1024**2, 16 * 1024**2, 200, 1_000
"""A filled form has some 20 kB, 150 kB unpacked, 20 parts and 80 rows."""

_UNWANTED = (
    "externallinks/",
    "vbaproject",
    "activex/",
    "embeddings/",
    "querytables/",
    "connections.xml",
    "macrosheets/",
)
_POINTS_OUTSIDE = re.compile(rb"TargetMode\s*=\s*[\"']External[\"']")


def open_form(path: Path) -> WorkbookFile:
    """The form's bytes, checked; raises NotReadable with what is wrong with the file."""
    _check_size(path)
    file = open_file(path)
    try:
        found = _unwanted(path)
    except (ExpatError, ValueError, KeyError) as reason:
        found = problem(problems.FILE_DAMAGED, found=f"{type(reason).__name__}: {reason}")
    if found:
        raise NotReadable(found)
    return file


def _check_size(path: Path) -> None:
    """Before anything is unpacked."""
    try:
        size = path.stat().st_size
        with zipfile.ZipFile(path) as archive:
            unpacked, parts = sum(info.file_size for info in archive.infolist()), len(archive.infolist())
    except (OSError, ValueError, zipfile.BadZipFile, NotImplementedError):
        return  # what kind of file it is instead, open_file tells
    if size > MOST_BYTES or unpacked > MOST_UNPACKED or parts > MOST_PARTS:
        found = f"{size / 1024**2:,.1f} MB, {unpacked / 1024**2:,.0f} MB unpacked, {parts:,} parts"
        accepted = f"{MOST_BYTES // 1024**2} MB, {MOST_UNPACKED // 1024**2} MB unpacked, {MOST_PARTS} parts"
        raise NotReadable(problem(ours.FORM_TOO_LARGE, found=found, accepted=f"at most {accepted}"))


def _unwanted(path: Path) -> Problem | None:
    """The first thing in the file that has no place in a form."""
    with zipfile.ZipFile(path) as archive:
        for name in archive.namelist():
            lower = name.lower()
            if any(part in lower for part in _UNWANTED):
                return problem(ours.FORM_WITH_LINK, found=f"the part {name}")
            if lower.endswith(".rels") and _POINTS_OUTSIDE.search(archive.read(name)):
                return problem(ours.FORM_WITH_LINK, found="a link that points outside the file")
        for name in archive.namelist():
            if name.lower().startswith("xl/worksheets/") and name.lower().endswith(".xml"):
                found = _in_worksheet(archive, name)
                if found:
                    return found
    return None


def _in_worksheet(archive: zipfile.ZipFile, name: str) -> Problem | None:
    with archive.open(name) as part:
        for count, (number, cells) in enumerate(stored_rows(part), start=1):
            if count > MOST_ROWS:
                return problem(problems.TOO_MANY_ROWS, accepted=f"at most {MOST_ROWS:,} rows")
            for cell in cells:
                if cell.formula:
                    place = f"{column_letter(cell.column)}{number}"
                    return problem(ours.FORM_WITH_FORMULA, "", place, f"a formula in {place}")
    return None
