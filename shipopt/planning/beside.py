"""Work beside the search: solvers leave Python's lock alone while they work, so a thread gives them a second core.

What the search finds may depend on which of the two ends first, as it depends on the time allowed.
"""

import threading
from collections.abc import Callable
from contextlib import ExitStack
from typing import TypeVar

T = TypeVar("T")


class Beside:
    """Work that goes on in a thread of its own; with one core, where it is waited for."""

    def __init__(self, work: Callable[[], object], cores: int) -> None:
        self._work = work
        self._failed: list[BaseException] = []
        # The program may end while a solver works here, which cannot be asked to stop.
        self._thread = threading.Thread(target=self._run, daemon=True) if cores > 1 else None
        if self._thread is not None:
            self._thread.start()

    def wait(self) -> None:
        """Returns when the work is done; raises what it raised."""
        if self._thread is None:
            self._run()
        else:
            self._thread.join()
        if self._failed:
            raise self._failed[0]

    def _run(self) -> None:
        try:
            self._work()
        except BaseException as reason:
            self._failed.append(reason)


def sooner(
    here: Callable[[], T],
    beside: Callable[[], T],
    serves: Callable[[T], bool],
    stop: threading.Event,
    ended: ExitStack,
) -> T:
    """What the first of two works comes to that serves, the second in a thread of its own; what the one here comes to,
    if neither serves. ``stop`` tells the other to end soon, which is waited for as late as when the stack ``ended`` is
    closed. Raises what a work raised, then at the latest.
    """
    served: list[T] = []

    def other() -> None:
        found = beside()
        if serves(found):
            served.append(found)
            stop.set()

    running = Beside(other, 2)
    ended.callback(running.wait)
    try:
        found = here()
    except BaseException:
        stop.set()
        raise
    if serves(found):
        stop.set()
        return found
    running.wait()
    return served[0] if served else found
