"""A file that appears whole or not at all: written beside its place under another name, then moved there.

Moving within a folder replaces an older file in one step. What a run that was killed left unfinished, the next one
clears away; its lock tells whether a run still writes to it. Used for all that the commands write.
"""

import hashlib
import os
import re
import stat
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

fcntl: Any
try:
    import fcntl
except ImportError:  # pragma: no cover - not on POSIX: no locks, and nothing is cleared away
    fcntl = None


class CannotWrite(OSError):  # noqa: N818 - it names what happened
    """A file could not be written where it was asked for; nothing was changed there."""


@contextmanager
def whole_file(path: Path) -> Iterator[Path]:
    """A path to write to; what stands there at the end becomes the file ``path``, unless an error is raised.

    A link stays, and the file that it leads to is replaced. What is no file (a device, a pipe) is not replaced.
    CannotWrite, with the reason in words, if it cannot be written or put in its place: an older file is untouched.
    """
    unfinished: Path | None = None
    lock = -1
    try:
        if path.is_dir():
            raise IsADirectoryError(f"{path} is a folder")
        if path.exists() and not path.is_file():
            raise OSError("it is no ordinary file")
        target = path.resolve() if path.is_symlink() else path
        _clear_leftovers(target)
        lock, unfinished = _begun(target)
        yield unfinished
        _settle(unfinished, target)
    except OSError as fault:
        raise CannotWrite(_in_words(path, fault)) from fault
    finally:
        if unfinished is not None:
            with suppress(OSError):
                unfinished.unlink(missing_ok=True)
        if lock >= 0:
            os.close(lock)


def _prefix(path: Path) -> str:
    """How the name of an unfinished file for this one begins; no other file's begins so."""
    return f".{path.stem[:40]}-{hashlib.sha256(path.name.encode(errors='surrogateescape')).hexdigest()[:12]}-"


def _begun(path: Path) -> tuple[int, Path]:
    """An empty unfinished file, and the handle that keeps it locked (-1 where there are no locks)."""
    while True:
        handle, name = tempfile.mkstemp(prefix=_prefix(path), suffix=f".unfinished{path.suffix}", dir=path.parent)
        if fcntl is None:
            os.close(handle)
            return -1, Path(name)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:  # another run has just taken it for a leftover
            os.close(handle)
            continue
        except OSError:  # a file system without locks: nothing there is ever cleared away either
            return handle, Path(name)
        if _is_at(handle, Path(name)):
            return handle, Path(name)
        os.close(handle)


def _is_at(handle: int, place: Path) -> bool:
    """Whether the open file still has this name."""
    try:
        return os.path.samestat(os.fstat(handle), place.lstat())
    except OSError:
        return False


def _clear_leftovers(path: Path) -> None:
    """Takes away unfinished files for this very file that no run holds locked."""
    if fcntl is None:
        return
    pattern = re.compile(re.escape(_prefix(path)) + r"[a-z0-9_]+\.unfinished" + re.escape(path.suffix))
    with suppress(OSError):
        for place in sorted(path.parent.iterdir()):
            if pattern.fullmatch(place.name):
                with suppress(OSError):
                    _clear(place)


def _clear(place: Path) -> None:
    """Takes away one unfinished file; OSError if a run holds it, or if there are no locks."""
    handle = os.open(place, os.O_RDWR | os.O_NOFOLLOW | os.O_NONBLOCK)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        if stat.S_ISREG(os.fstat(handle).st_mode) and _is_at(handle, place):
            place.unlink()
    finally:
        os.close(handle)


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
