"""Temporary folders of solvers that run as programs of their own, gone when a process ends in the midst of a solve.

Called by solving; by interrupting and the workers of comparing when a process ends.
"""

import shutil
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

_folders: list[str] = []
"""Folders that solvers of this process use now."""
_MAKING = threading.Lock()
"""Held while a folder is made; and for ever, once the process ends."""
TO_MAKE_ONE = 0.5
"""Seconds within which a folder that is being made is there."""
TRIES = 100
"""So often a folder is tried to be taken away while somebody still writes into it."""


@contextmanager
def temporary_folder() -> Iterator[str]:
    """A folder that is there for as long as it is used. Waits for ever once the folders are taken away."""
    with _MAKING:
        made = tempfile.TemporaryDirectory(ignore_cleanup_errors=True)
        _folders.append(made.name)
    with made as folder:
        try:
            yield folder
        finally:
            _folders.remove(folder)


def take_folders_away() -> None:
    """Takes the folders away, whatever solvers do, and lets none be made any more: for a process that ends. May be
    called again, as when it is interrupted: the lock is then never to be had."""
    _MAKING.acquire(timeout=TO_MAKE_ONE)
    for folder in list(_folders):
        for _ in range(TRIES):
            shutil.rmtree(folder, ignore_errors=True)
            if not Path(folder).exists():
                break
