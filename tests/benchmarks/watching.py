"""Runs one peer on one move in a process of its own and stops it when its time is long up.

The process is started in a session of its own, so that a solver's program which it started is stopped with it.
"""

import json
import os
import selectors
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

MAKING = 180
"""Seconds that making a move, or pricing and auditing a plan, may take at the most."""


def watched(module: str, argument: dict[str, Any], seconds: float) -> dict[str, Any]:
    """The result of ``python -m module ARGUMENT``, with the ``seconds`` it took. Late by a tenth and ten seconds, it
    is stopped: a peer that does not come to an end in time has found nothing."""
    process = subprocess.Popen(
        [sys.executable, "-m", module, json.dumps(argument)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
        cwd=Path(__file__).parents[1],
    )
    try:
        return _result(process, seconds)
    finally:
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()


def _result(process: subprocess.Popen[bytes], seconds: float) -> dict[str, Any]:
    assert process.stdout is not None
    assert process.stderr is not None
    allowed = {"ready": float(MAKING), "ended": seconds * 1.1 + 10, "result": float(MAKING)}
    lines = _Lines(process.stdout.fileno())
    took = 0.0
    for word, limit in allowed.items():
        began = time.perf_counter()
        line = lines.starting_with(word, limit)
        if line is None and process.poll() is None and not lines.at_end:
            return {"found": False, "word": "did not end in time", "seconds": time.perf_counter() - began}
        if line is None:
            last = process.stderr.read().decode(errors="replace").strip().splitlines()[-1:]
            word = "out of memory" if last and ("MemoryError" in last[0] or "bad_alloc" in last[0]) else ""
            return {"found": False, "word": word or f"broke off: {' '.join(last)}", "seconds": took}
        if word == "ended":
            took = float(line.split()[1])
    return {"seconds": took, **json.loads(line.removeprefix("result "))}


class _Lines:
    """Lines of a pipe, waited for up to a time."""

    def __init__(self, descriptor: int) -> None:
        self.descriptor = descriptor
        self.buffer = b""
        self.at_end = False
        self.selector = selectors.DefaultSelector()
        self.selector.register(descriptor, selectors.EVENT_READ)

    def starting_with(self, word: str, limit: float) -> str | None:
        """The next line that starts with the word, or None once the time is up or the pipe is closed."""
        ends = time.perf_counter() + limit
        while True:
            for line in self._whole_lines():
                if line.startswith(word + " ") or line == word:
                    return line
            left = ends - time.perf_counter()
            if self.at_end or left <= 0 or not self.selector.select(left):
                return None
            read = os.read(self.descriptor, 65536)
            self.at_end = not read
            self.buffer += read

    def _whole_lines(self) -> Iterator[str]:
        while b"\n" in self.buffer:
            line, _, self.buffer = self.buffer.partition(b"\n")
            yield line.decode(errors="replace")
