"""What runs in a worker: tasks come by the standard input, reports and answers go by the standard output, pickled.

Anything else that is printed goes to the standard error. A thread reads the input all the while: when it ends, so does
the process with all it started, in the midst of a solver's work too. Started by the module workers.
"""

import os
import pickle
import queue
import signal
import sys
import threading
import traceback
from dataclasses import dataclass
from typing import BinaryIO

from shipopt.comparing.variants import Answer, Variant
from shipopt.planning import Report
from shipopt.planning.folders import take_folders_away

START = "import sys; sys.path[:] = sys.argv[1:]; from shipopt.comparing.worker import serve; serve()"
"""What a worker's interpreter runs; its arguments are the folders to import from."""


@dataclass(frozen=True, slots=True)
class Reported:
    """A report of the search that is running."""

    report: Report


@dataclass(frozen=True, slots=True)
class Answered:
    """The answer to the task."""

    answer: Answer


@dataclass(frozen=True, slots=True)
class Failed:
    """A fault of the program, as the text of its traceback."""

    text: str


def serve() -> None:
    """Answers tasks until there are no more, which ends the process."""
    to_parent = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    tasks: queue.SimpleQueue[Variant] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(sys.stdin.buffer, tasks), daemon=True).start()
    while True:
        _send(to_parent, _answer(tasks.get(), to_parent))


def _answer(task: Variant, to_parent: BinaryIO) -> Answered | Failed:
    try:
        return Answered(task.ask(lambda report: _send(to_parent, Reported(report))))
    except Exception:
        return Failed(traceback.format_exc())


def _send(to_parent: BinaryIO, message: Reported | Answered | Failed) -> None:
    pickle.dump(message, to_parent)
    to_parent.flush()


def _listen(tasks_in: BinaryIO, tasks: "queue.SimpleQueue[Variant]") -> None:
    while True:
        try:
            tasks.put(pickle.load(tasks_in))
        except BaseException:
            _end()


def _end() -> None:
    """Ends this process, and on POSIX, where it leads a group of its own, every solver that it started. Their temporary
    folders are taken away."""
    take_folders_away()
    if hasattr(os, "killpg") and os.getpgrp() == os.getpid():
        os.killpg(os.getpid(), signal.SIGKILL)
    os._exit(1)
