"""Ctrl-C while a search runs: the first ends it with what it has found, the second ends the program at once.

A search runs beside the main thread, which alone hears Ctrl-C, and hears none while a solver runs in it. A solver in
a thread cannot be asked to stop: the process ends under it. Called by the module cli.
"""

import os
import signal
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import NoReturn, TypeVar

INTERRUPTED = 130
"""Exit status of a run that ended without what it was asked for."""

Found = TypeVar("Found")
Short = TypeVar("Short")
Told = TypeVar("Told")


class _Over(Exception):  # noqa: N818 - no mistake
    """Ends a search that nobody waits for any more, at its next report."""


class Interruptible:
    """The searches of one run. ``interrupted`` once Ctrl-C has ended one of them early."""

    def __init__(self) -> None:
        self.interrupted = False

    def run(self, search: Callable[[], Found], so_far: Callable[[], Short]) -> Found | Short:
        """What a search finds; after Ctrl-C, what ``so_far`` says it has found by then. Raises KeyboardInterrupt if
        that is raised by ``so_far``, or while it works."""
        found: list[Found] = []
        failed: list[BaseException] = []

        def run() -> None:
            try:
                found.append(search())
            except BaseException as reason:
                failed.append(reason)
            finally:
                ended.set()

        # Waiting for this, not for the thread: in some versions of Python a thread whose wait is interrupted counts as
        # ended from then on.
        ended = threading.Event()
        _searches.append(ended)
        threading.Thread(target=run, daemon=True).start()
        try:
            while not ended.wait(0.1):
                pass
        except KeyboardInterrupt:
            self.interrupted = True
            return so_far()
        if failed:
            raise failed[0]
        return found[0]

    def reporting(self, watch: Callable[[Told], None]) -> Callable[[Told], None]:
        """A watch of the search that no longer watches, but ends it, once the run is interrupted."""

        def tell(told: Told) -> None:
            if self.interrupted:
                raise _Over
            watch(told)

        return tell


_searches: list[threading.Event] = []
"""Each search of this process, set when it has ended."""
TO_CLEAR_UP = 2.0
"""Seconds that a search whose solver was ended has to take its temporary files away."""


def leave_at_once(status: int = INTERRUPTED) -> NoReturn:
    """Ends the process though a solver may still be running in a thread."""
    sys.stdout.flush()
    sys.stderr.flush()
    if _end_children():
        for ended in _searches:
            ended.wait(TO_CLEAR_UP)
    folders = sys.modules.get("shipopt.planning.folders")  # loaded late, and only if a solver is ever asked
    if folders is not None:
        folders.take_folders_away()
    _end_children()
    os._exit(status)


def _end_children() -> bool:
    """Ends solvers that run as processes of their own, which else would go on to the end of their time; whether there
    were any.

    Children are known where the system lists them as files (Linux); elsewhere a terminal's Ctrl-C reaches them itself.
    """
    found = False
    for listed in Path("/proc/self/task").glob("*/children"):
        with suppress(OSError):
            for child in listed.read_text().split():
                found = True
                with suppress(OSError):
                    os.kill(int(child), signal.SIGTERM)
    return found
