"""Processes that solve variants of a move side by side, one on each core, and hand their answers back in order.

Each worker is a fresh interpreter that reads tasks from its standard input and writes reports and answers to its
standard output (see the module worker). When this process ends in any way, even killed, that input closes and the
worker ends at once; so no child is left behind, and a script needs no main guard. Used by every question of this room.
"""

import os
import pickle
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from types import TracebackType
from typing import Any

from shipopt.comparing.variants import Answer, NotInTime, Variant
from shipopt.comparing.worker import START, Answered, Failed, Reported
from shipopt.planning import Report

GRACE = 15.0
"""Seconds that a variant may take beyond one and a half times its own: then its worker is ended, whatever it does."""
LEAST_SECONDS = 4.0
"""What a variant is given at least, if any time is left for it."""


class VariantFailed(RuntimeError):  # noqa: N818 - it names what failed
    """Solving a variant failed by a fault of this program; the worker's traceback is the message."""


@dataclass(frozen=True, slots=True)
class Standing:
    """How far the variants are: ``done`` of ``of``, and what the search of the one called ``name`` reported last."""

    done: int
    of: int
    name: str
    report: Report | None = None


Progress = Callable[[Standing], None]


def cores() -> int:
    """How many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return max(1, len(os.sched_getaffinity(0)))
    return os.cpu_count() or 1


def solve_variants(
    variants: Sequence[Variant],
    *,
    seconds: float | None = None,
    processes: int | None = None,
    progress: Progress | None = None,
) -> tuple[Answer, ...]:
    """Answers to variants, in their order, whatever order they were finished in; see ``Workers.solve``."""
    if not variants:
        return ()
    wanted = min(len(variants), cores() if processes is None else processes)
    with Workers(wanted) as workers:
        return workers.solve(variants, seconds=seconds, progress=progress)


class Workers:
    """So many processes that solve variants; none means that they are solved in this one. Use it in a ``with``: they
    start when first needed and end with it."""

    def __init__(self, processes: int | None = None) -> None:
        self.processes = cores() if processes is None else processes
        self._running: list[subprocess.Popen[bytes]] = []

    def __enter__(self) -> "Workers":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, traceback: TracebackType | None
    ) -> None:
        self.stop()

    def stop(self) -> None:
        """Ends all workers at once, whatever they are doing."""
        for worker in self._running:
            worker.kill()
        for worker in self._running:
            for pipe in (worker.stdin, worker.stdout):
                with suppress(OSError):
                    if pipe:
                        pipe.close()
            worker.wait()
        self._running = []

    def solve(
        self, variants: Sequence[Variant], *, seconds: float | None = None, progress: Progress | None = None
    ) -> tuple[Answer, ...]:
        """Answers to variants, in their order. ``seconds`` bounds them all together: each is given its share, by
        weight, of what is left when it starts, and never more than its own. Raises VariantFailed for a fault."""
        round_ = _Round(variants, seconds, max(1, self.processes), progress)
        if not self.processes:
            while (place := round_.next_place()) is not None:
                round_.answered(place, round_.task(place).ask(partial(round_.reported, place)))
            return round_.all_answers()
        while len(self._running) < min(self.processes, len(variants)):
            self._running.append(_started())
        numbers = range(len(self._running))
        threads = [threading.Thread(target=_serve, args=(self._running, n, round_), daemon=True) for n in numbers]
        for thread in threads:
            thread.start()
        for thread in threads:
            while thread.is_alive():
                thread.join(0.1)  # in short waits, so that Ctrl-C is heard on every system
        return round_.all_answers()


class _Round:
    """Variants being solved: which is next, which are answered. Safe to use from several threads."""

    def __init__(
        self, variants: Sequence[Variant], seconds: float | None, processes: int, progress: Progress | None
    ) -> None:
        self.variants = variants
        self.processes = processes
        self.ends = None if seconds is None else time.monotonic() + seconds
        self.progress = progress or (lambda standing: None)
        self.lock = threading.Lock()
        self.started = 0
        self.answers: dict[int, Answer] = {}
        self.fault: BaseException | None = None

    def next_place(self) -> int | None:
        with self.lock:
            if self.started == len(self.variants) or self.fault:
                return None
            if self.ends is not None and time.monotonic() >= self.ends:
                for place in range(self.started, len(self.variants)):
                    self.answers[place] = NotInTime(self.variants[place].name, cut_short=True)
                self.started = len(self.variants)
                return None
            self.started += 1
            return self.started - 1

    def task(self, place: int) -> Variant:
        if self.ends is None:
            return self.variants[place]
        weights = [variant.weight for variant in self.variants[place:]]
        rounds_left = max(1.0, sum(weights) / (weights[0] * self.processes))
        share = (self.ends - time.monotonic()) / rounds_left
        return self.variants[place].allowed(max(share, LEAST_SECONDS))

    def reported(self, place: int, report: Report) -> None:
        with self.lock:
            self.progress(Standing(len(self.answers), len(self.variants), self.variants[place].name, report))

    def answered(self, place: int, answer: Answer) -> None:
        with self.lock:
            self.answers[place] = answer
            self.progress(Standing(len(self.answers), len(self.variants), self.variants[place].name))

    def failed(self, fault: BaseException) -> None:
        with self.lock:
            self.fault = self.fault or fault

    def all_answers(self) -> tuple[Answer, ...]:
        if self.fault:
            raise self.fault
        return tuple(self.answers[place] for place in range(len(self.variants)))


def _started() -> subprocess.Popen[bytes]:
    """A worker that imports from where this process does, and hears no Ctrl-C but the end of its input."""
    command = [sys.executable, "-c", START, *sys.path]
    apart: dict[str, Any] = {"start_new_session": True}
    if sys.platform == "win32":
        apart = {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP | subprocess.CREATE_NO_WINDOW}
    return subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, **apart)


def _serve(workers: list[subprocess.Popen[bytes]], number: int, round_: _Round) -> None:
    """Gives a worker one variant after another until there are no more; a worker that had to be ended is replaced."""
    try:
        while (place := round_.next_place()) is not None:
            if not _ask(workers[number], round_.task(place), place, round_):
                workers[number].wait()
                workers[number] = _started()
    except BaseException as fault:
        round_.failed(fault)


def _ask(worker: subprocess.Popen[bytes], task: Variant, place: int, round_: _Round) -> bool:
    """Has a worker answer a variant; false if it took so long that it was ended, and another worker is needed."""
    ended = threading.Event()

    def end() -> None:
        ended.set()
        worker.kill()

    limit = threading.Timer(1.5 * task.seconds + GRACE, end)
    limit.daemon = True
    limit.start()
    try:
        round_.answered(place, _answer(worker, task, place, round_))
    except (EOFError, OSError, pickle.UnpicklingError) as lost:
        if not ended.is_set():
            raise VariantFailed(f"a worker ended while it solved {task.name!r}") from lost
        round_.answered(place, NotInTime(task.name, cut_short=True))
    finally:
        limit.cancel()
    return not ended.is_set()


def _answer(worker: subprocess.Popen[bytes], task: Variant, place: int, round_: _Round) -> Answer:
    assert worker.stdin
    assert worker.stdout
    pickle.dump(task, worker.stdin)
    worker.stdin.flush()
    while True:
        match pickle.load(worker.stdout):
            case Reported(report):
                round_.reported(place, report)
            case Answered(answer):
                return answer
            case Failed(text):
                raise VariantFailed(text)
