"""Runs that are cut off: killed at any moment, interrupted, out of room on the disk, or with no right to write.

The input stays as it was, the results are the older ones or whole new ones, and the next run works. The number of
kills is in the environment variable SHIPOPT_KILLS (4 unless set; 50 is a long run):
``SHIPOPT_KILLS=50 python -m pytest tests/faults/test_interruptions.py``.
"""

import hashlib
import os
import random
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
from workbook.books import sound, written

KILLS = int(os.environ.get("SHIPOPT_KILLS", "4"))
LINUX = pytest.mark.skipif(sys.platform != "linux", reason="asks Linux for limits and children of a process")
QUICK = ("--no-compare", "--no-caution", "--seconds", "5")


def started(*arguments: str | Path, before: Callable[[], None] | None = None) -> subprocess.Popen[str]:
    """The command in a process of its own."""
    words = [sys.executable, "-m", "shipopt", *map(str, arguments)]
    return subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, preexec_fn=before)


def finished(*arguments: str | Path, before: Callable[[], None] | None = None) -> tuple[int, str]:
    """Exit status and what was said of the command run to its end."""
    process = started(*arguments, before=before)
    out, err = process.communicate(timeout=240)
    return process.returncode, out + err


def digest(path: Path) -> str:
    """A file's fingerprint."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def plannable(folder: Path) -> Path:
    """A small workbook that is planned in a second or two."""
    return written(folder, sound(Packed_already=[], Last_plan=[]))


@pytest.fixture(scope="module")
def reference(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, float]:
    """A folder with a workbook and the results of a whole run, and how long that took (seconds)."""
    folder = tmp_path_factory.mktemp("whole")
    began = time.monotonic()
    status, said = finished("optimise", plannable(folder), *QUICK)
    assert status == 0, said
    return folder, time.monotonic() - began


def sums(results: Path) -> list[object]:
    """What a results workbook states on its first sheet: a half file would not open."""
    return [cell.value for row in openpyxl.load_workbook(results, data_only=True)["Plan"]["A1:B30"] for cell in row]


def test_a_run_killed_at_any_moment_leaves_whole_files(reference: tuple[Path, float], tmp_path: Path) -> None:
    folder, seconds = reference
    path = tmp_path / "move.xlsx"
    path.write_bytes((folder / "move.xlsx").read_bytes())
    results, before = tmp_path / "move.results.xlsx", digest(path)
    moments = random.Random(7)
    for kill in range(KILLS):
        older = b"older results, of another day"
        results.write_bytes(older)
        process = started("optimise", path, *QUICK)
        time.sleep(seconds * moments.uniform(0.05, 1.1))
        process.kill()
        process.communicate()
        assert digest(path) == before, f"kill {kill}"
        assert results.read_bytes() == older or "Total cost" in map(str, sums(results)), f"kill {kill}"
    status, said = finished("optimise", path, *QUICK)
    assert (status, digest(path)) == (0, before), said
    assert "Total cost" in map(str, sums(results))


@LINUX
@pytest.mark.parametrize("room", [0, 1_000, 20_000])
def test_a_disk_without_room_is_told_and_leaves_the_older_results(
    reference: tuple[Path, float], tmp_path: Path, room: int
) -> None:
    """A limit on the size of any file stands in for a full disk: both fail in the same place, in the act of writing."""
    path = tmp_path / "move.xlsx"
    path.write_bytes((reference[0] / "move.xlsx").read_bytes())
    results = tmp_path / "move.results.xlsx"
    results.write_bytes(b"older results")
    before = digest(path)

    def small_files() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (room, room))

    status, said = finished("optimise", path, *QUICK, before=small_files)
    assert (status, results.read_bytes(), digest(path)) == (1, b"older results", before), said
    assert "cannot be written" in said
    assert "Traceback" not in said
    assert sorted(each.name for each in tmp_path.iterdir()) == ["move.results.xlsx", "move.xlsx"]


@LINUX
def test_a_folder_that_may_not_be_written_is_told(reference: tuple[Path, float]) -> None:
    """No user, not even the one who may do anything, makes files in the kernel's own folder."""
    status, said = finished("optimise", reference[0] / "move.xlsx", *QUICK, "-o", "/sys/out.xlsx")
    assert status == 1
    assert "/sys/out.xlsx cannot be written" in said
    assert "Traceback" not in said


def _children(process: int) -> list[int]:
    found = []
    for listed in Path(f"/proc/{process}/task").glob("*/children"):
        found += [int(child) for child in listed.read_text().split()]
    return found


def _runs(process: int) -> bool:
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


@LINUX
def test_an_interrupted_run_leaves_no_solver_behind(tmp_path: Path) -> None:
    """The signal goes to the command alone, as from a program that started it, not to all that a terminal started."""
    records = [
        {"Format": "LP", "Copies": 5 + n % 7, "Value each": 5 + n * n % 97, "Weight each": 0.2 + n / 997}
        for n in range(400)
    ]
    path = written(tmp_path, sound(Records=records, Packed_already=[], Last_plan=[], Move={"Stop within %": 0}))
    process = started("optimise", path, "--no-compare", "--no-caution", "--seconds", "200", "--solver", "cbc")
    deadline, solvers = time.monotonic() + 90, []
    while not solvers and time.monotonic() < deadline and process.poll() is None:
        time.sleep(0.05)
        solvers = _children(process.pid)
    assert solvers, "the solver never ran"
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 130, out + err
    assert "Traceback" not in out + err
    deadline = time.monotonic() + 10
    while any(map(_runs, solvers)) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not any(map(_runs, solvers))
    assert list(tmp_path.iterdir()) == [path]
