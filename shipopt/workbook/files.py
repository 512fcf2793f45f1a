"""The workbook as a file: what it is, that it is no larger than a workbook may be, that it holds nothing unsafe.

Everything is settled before a spreadsheet library sees the file. Bytes are read once, so that the fingerprint
and the cells are those of one and the same file. Called by ``cells``; knows no sheet.
"""

import hashlib
import re
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from shipopt.workbook import problems
from shipopt.workbook.problems import Problem, problem

MOST_FILE_BYTES = 64 * 1024**2
MOST_UNPACKED_BYTES = 512 * 1024**2
MOST_PARTS = 10_000
CHUNK = 1024**2

ACCEPTED = "a workbook saved as .xlsx (Office Open XML)"

_ZIP, _OLE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
_DOCTYPE = re.compile(b"|".join(re.escape("<!DOCTYPE".encode(code)) for code in ("ascii", "utf-16-le", "utf-16-be")))
_OVERLAP = 64


class NotReadable(Exception):  # noqa: N818 - it names what happened to the file
    """The file cannot be read as a workbook; ``problem`` says why."""

    def __init__(self, found: Problem) -> None:
        super().__init__(found.sentence)
        self.problem = found


@dataclass(frozen=True, slots=True)
class WorkbookFile:
    """The bytes of a workbook that may be parsed, and their fingerprint."""

    content: bytes
    sha256: str

    @property
    def with_macros(self) -> bool:
        """Whether it says that it may hold macros, as one saved as .xlsm does. They are never run, nor looked at."""
        with zipfile.ZipFile(BytesIO(self.content)) as archive:
            return b".macroEnabled." in archive.read("[Content_Types].xml")


def open_file(path: Path) -> WorkbookFile:
    """The workbook's bytes, checked; raises NotReadable."""
    content = _bytes_of(path)
    _check_beginning(content)
    try:
        with zipfile.ZipFile(BytesIO(content)) as archive:
            _check_parts(archive)
            _check_marks(archive)
    except (zipfile.BadZipFile, NotImplementedError, EOFError, OSError, RuntimeError, ValueError) as reason:
        raise NotReadable(problem(problems.FILE_DAMAGED, found=str(reason) or "it is cut short")) from None
    except zlib.error:
        raise NotReadable(problem(problems.FILE_DAMAGED, found="a part does not unpack")) from None
    return WorkbookFile(content, hashlib.sha256(content).hexdigest())


def _bytes_of(path: Path) -> bytes:
    try:
        if path.is_dir():
            raise _not_a_workbook("a folder")
        size = path.stat().st_size
        if size > MOST_FILE_BYTES:
            raise _too_large(size, MOST_FILE_BYTES, "")
        with path.open("rb") as file:
            content = file.read(MOST_FILE_BYTES + 1)
    except FileNotFoundError:
        raise NotReadable(problem(problems.FILE_MISSING, found=path.name, accepted=ACCEPTED)) from None
    except (OSError, ValueError) as reason:
        why = getattr(reason, "strerror", None) or str(reason)
        raise NotReadable(problem(problems.FILE_NOT_OPENED, found=path.name, accepted=ACCEPTED, why=why)) from None
    if len(content) > MOST_FILE_BYTES:
        raise _too_large(len(content), MOST_FILE_BYTES, "")
    return content


def _not_a_workbook(found: str) -> NotReadable:
    return NotReadable(problem(problems.FILE_NOT_A_WORKBOOK, found=found, accepted=ACCEPTED))


def _too_large(size: int, most: int, how: str) -> NotReadable:
    found, accepted = f"{size / 1024**2:,.0f} MB{how}", f"at most {most // 1024**2:,} MB{how}"
    return NotReadable(problem(problems.FILE_TOO_LARGE, found=found, accepted=accepted))


def _check_beginning(content: bytes) -> None:
    """What the first bytes say the file is."""
    if not content:
        raise _not_a_workbook("empty")
    if content.startswith(_OLE):
        raise _not_a_workbook("an old .xls workbook, or one protected by a password")
    if content[:64].lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<"):
        raise _not_a_workbook("a text file with marks (HTML or XML)")
    if not content.startswith(_ZIP):
        raise _not_a_workbook("no workbook at all (text, such as CSV, or something else, under a workbook's name)")


def _check_parts(archive: zipfile.ZipFile) -> None:
    """What the parts say the file is, and how large it is unpacked."""
    names = {info.filename for info in archive.infolist()}
    unpacked = sum(info.file_size for info in archive.infolist())
    if unpacked > MOST_UNPACKED_BYTES:
        raise _too_large(unpacked, MOST_UNPACKED_BYTES, " unpacked")
    if len(archive.infolist()) > MOST_PARTS:
        raise NotReadable(problem(problems.FILE_UNSAFE, found=f"{len(archive.infolist()):,} parts"))
    if any(info.flag_bits & 1 for info in archive.infolist()):
        raise _not_a_workbook("protected by a password")
    if "mimetype" in names:
        raise _not_a_workbook("an OpenDocument file, such as .ods")
    if "xl/workbook.bin" in names:
        raise _not_a_workbook("a binary workbook, .xlsb")
    if "[Content_Types].xml" not in names:
        raise _not_a_workbook("a zip archive, not a workbook")
    if not any(name.lower().startswith("xl/") for name in names):
        raise _not_a_workbook("an office file, but not a workbook")


def _check_marks(archive: zipfile.ZipFile) -> None:
    """Refuses a document type declaration, which could define entities that unfold to any size."""
    for info in archive.infolist():
        if not info.filename.lower().endswith((".xml", ".rels", ".vml")):
            continue
        for piece in _pieces(archive, info):
            if _DOCTYPE.search(piece):
                raise NotReadable(problem(problems.FILE_UNSAFE, found="a document type declaration"))


def _pieces(archive: zipfile.ZipFile, info: zipfile.ZipInfo) -> Iterator[bytes]:
    """A part's bytes in pieces that overlap, so that no mark is cut in two."""
    kept = b""
    with archive.open(info) as part:
        while chunk := part.read(CHUNK):
            yield kept + chunk
            kept = chunk[-_OVERLAP:]
