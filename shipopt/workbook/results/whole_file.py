"""A file that appears whole or not at all: written beside its place under another name, then moved there.

Moving within a folder replaces an older file in one step. Used for the results workbook and the JSON file.
"""

import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path


class CannotWrite(OSError):  # noqa: N818 - it names what happened
    """A file could not be written where it was asked for; nothing was changed there."""


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """A path to write to; what stands there at the end becomes the file ``path``, unless an error is raised.

    CannotWrite, with the reason in words, if it cannot be written or put in its place: an older file is untouched.
    """
    unfinished: Path | None = None
    try:
        if path.is_dir():
            raise IsADirectoryError(f"{path} is a folder")
        handle, name = tempfile.mkstemp(
            prefix=f".{path.stem[:40]}-", suffix=f".unfinished{path.suffix}", dir=path.parent
        )
        os.close(handle)
        unfinished = Path(name)
        yield unfinished
        _settle(unfinished, path)
    except OSError as fault:
        raise CannotWrite(_in_words(path, fault)) from fault
    finally:
        if unfinished is not None:
            with suppress(OSError):
                unfinished.unlink(missing_ok=True)


def made_folder(path: Path) -> None:
    """Makes a folder, with those above it, unless it is there. CannotWrite, with the reason in words."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except FileExistsError as fault:
        raise CannotWrite(f"{path} cannot be made: it is a file.") from fault
    except OSError as fault:
        raise CannotWrite(f"{path} cannot be made: {fault.strerror or fault}.") from fault


def _settle(unfinished: Path, path: Path) -> None:
    """Brings the bytes to the disk, gives the file the usual permissions, and puts it in its place."""
    with unfinished.open("rb+") as written:
        os.fsync(written.fileno())
    mask = os.umask(0)
    os.umask(mask)
    unfinished.chmod(path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~mask)
    unfinished.replace(path)


def _in_words(path: Path, fault: OSError) -> str:
    match fault:
        case IsADirectoryError():
            why = "it is a folder"
        case FileNotFoundError():
            why = f"there is no folder {path.parent}"
        case PermissionError():
            why = "it may not be written: it is open in another program, or you have no right to write there"
        case _:
            why = fault.strerror or str(fault)
    return f"{path} cannot be written: {why}."
