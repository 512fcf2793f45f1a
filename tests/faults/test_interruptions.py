"""Runs that are cut off: killed at any moment, interrupted, out of room on the disk, or with no right to write.

The input stays as it was, the results are the older ones or whole new ones, and the next run works. The number of
kills is in the environment variable SHIPOPT_KILLS (4 unless set; 50 is a long run):
``SHIPOPT_KILLS=50 python -m pytest tests/faults/test_interruptions.py``.
"""

import hashlib
import json
import os
import random
import resource
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import openpyxl
import pytest
from workbook.books import sound, written

import shipopt
from shipopt.workbook.results.whole_file import whole_file

KILLS = int(os.environ.get("SHIPOPT_KILLS", "4"))
LINUX = pytest.mark.skipif(sys.platform != "linux", reason="asks Linux for limits and children of a process")
QUICK = ("--no-compare", "--no-caution", "--seconds", "60")

EURO = ("--units", "kg / cm", "--currency", "EUR")


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


WRITING = """
import sys, time
from pathlib import Path
from shipopt.workbook.results.whole_file import whole_file
with whole_file(Path(sys.argv[1])) as unfinished:
    unfinished.write_bytes(b"half of it")
    print(unfinished, flush=True)
    time.sleep(300)
"""


def _writing(path: Path) -> tuple[subprocess.Popen[str], Path]:
    """A process in the midst of writing a file, and the unfinished file."""
    process = subprocess.Popen([sys.executable, "-c", WRITING, str(path)], stdout=subprocess.PIPE, text=True)
    assert process.stdout
    return process, Path(process.stdout.readline().strip())


@LINUX
def test_what_a_killed_run_left_unfinished_is_cleared_away_by_the_next(tmp_path: Path) -> None:
    """Only what was to become the same file, and only where no run is writing it."""
    results, other = tmp_path / "move.results.xlsx", tmp_path / "other.results.xlsx"
    longer = tmp_path / f"{'a' * 60}1.xlsx"
    killed = [_writing(path) for path in (results, results, other, longer, longer.with_stem("a" * 60 + "2"))]
    for process, _ in killed:
        process.kill()
        process.communicate()
    running, in_use = _writing(results)
    mine = tmp_path / f"{in_use.stem}.txt"
    for path in (mine, tmp_path / ".move.results-notes.unfinished.xlsx"):
        path.write_text("the user's own")
    try:
        left = [unfinished.exists() for _, unfinished in killed]
        assert left == [False, False, True, True, True], (
            "the run that writes has cleared what was left for its own file"
        )
        for path in (results, longer):
            with whole_file(path) as unfinished:
                unfinished.write_bytes(b"whole")
            assert path.read_bytes() == b"whole"
        assert [unfinished.exists() for _, unfinished in killed] == [False, False, True, False, True]
        assert in_use.read_bytes() == b"half of it"
        assert mine.exists()
    finally:
        running.kill()
        running.communicate()
    assert len([path for path in tmp_path.iterdir() if "unfinished" in path.name]) == 5


@LINUX
def test_runs_that_write_the_same_file_at_once_leave_one_whole_file(tmp_path: Path) -> None:
    code = """
import sys
from pathlib import Path
from shipopt.workbook.results.whole_file import whole_file
for n in range(200):
    with whole_file(Path(sys.argv[1])) as unfinished:
        unfinished.write_bytes(sys.argv[2].encode() * 50_000)
"""
    path = tmp_path / "move.results.xlsx"
    writers = [subprocess.Popen([sys.executable, "-c", code, str(path), letter]) for letter in "abc"]
    while any(writer.poll() is None for writer in writers):
        if path.exists():
            assert path.read_bytes() in (b"a" * 50_000, b"b" * 50_000, b"c" * 50_000)
    assert [writer.returncode for writer in writers] == [0, 0, 0]
    assert list(tmp_path.iterdir()) == [path]


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


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 256 kB, in memory. Only who may mount one can run the tests that need it."""
    place = tmp_path / "disk"
    place.mkdir()
    words = ["mount", "-t", "tmpfs", "-o", "size=256k,nr_inodes=20", "none", str(place)]
    try:
        done = subprocess.run(words, capture_output=True, text=True, check=False)
    except OSError as reason:
        pytest.skip(f"no disk can be mounted here: {reason}")
    if done.returncode:
        pytest.skip(f"no disk can be mounted here: {done.stderr.strip()}")
    yield place
    subprocess.run(["umount", str(place)], check=True)


@LINUX
@pytest.mark.parametrize("free", [0, 8, 40], ids=lambda free: f"{free} kB free")
def test_a_disk_that_is_full_is_told_and_leaves_the_older_results(
    reference: tuple[Path, float], small_disk: Path, free: int
) -> None:
    """A real one: the workbook may be elsewhere, the results are to go there."""
    path, results = reference[0] / "move.xlsx", small_disk / "move.results.xlsx"
    results.write_bytes(b"older results")
    older, ballast = results.read_bytes(), small_disk / "ballast"
    with suppress(OSError), ballast.open("wb", buffering=0) as file:
        while True:
            file.write(b"x" * 4096)
    os.truncate(ballast, ballast.stat().st_size - free * 1024)
    before = digest(path)
    for words in (("optimise", path, *QUICK, "-o", results), ("template", small_disk / "new.xlsx", *EURO)):
        status, said = finished(*words)
        assert (status, results.read_bytes(), digest(path)) == (1, older, before), said
        assert "cannot be written: No space left on device" in said
        assert "Traceback" not in said
        assert sorted(each.name for each in small_disk.iterdir()) == ["ballast", "move.results.xlsx"]
    ballast.unlink()
    status, said = finished("optimise", path, *QUICK, "-o", results)
    assert status == 0, said
    assert "Total cost" in map(str, sums(results))


@LINUX
def test_what_is_no_ordinary_file_is_not_replaced(reference: tuple[Path, float], tmp_path: Path) -> None:
    """A device or a pipe, which a file moved to its name would take away; a link leads to the file it names."""
    pipe, kept, link = tmp_path / "pipe.xlsx", tmp_path / "kept.xlsx", tmp_path / "link.xlsx"
    os.mkfifo(pipe)
    status, said = finished("optimise", reference[0] / "move.xlsx", *QUICK, "-o", pipe)
    assert (status, "no ordinary file" in said, pipe.is_fifo()) == (2, True, True), said
    with pytest.raises(shipopt.CannotWrite, match="no ordinary file"):
        shipopt.write_template(pipe, "kg / cm", "EUR")
    kept.write_bytes(b"older")
    link.symlink_to(kept)
    shipopt.write_template(link, "kg / cm", "EUR")
    assert link.is_symlink()
    assert kept.read_bytes().startswith(b"PK")


@LINUX
def test_a_folder_that_may_not_be_written_is_told(reference: tuple[Path, float]) -> None:
    """No user, not even the one who may do anything, makes files in the kernel's own folder."""
    status, said = finished("optimise", reference[0] / "move.xlsx", *QUICK, "-o", "/sys/out.xlsx")
    assert status == 1
    assert "/sys/out.xlsx cannot be written" in said
    assert "Traceback" not in said


def _children(process: int) -> list[int]:
    """The processes that a process's threads have begun; a thread may end between its listing and its reading."""
    found = []
    for listed in Path(f"/proc/{process}/task").glob("*/children"):
        with suppress(OSError):
            found += [int(child) for child in listed.read_text().split()]
    return found


def _runs(process: int) -> bool:
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except OSError:
        return False


@LINUX
def test_an_interrupted_run_leaves_no_solver_behind(
    tmp_path: Path, tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The signal goes to the command alone, as from a program that started it, not to all that a terminal started.
    Nor are the solver's temporary files left behind."""
    temporary = tmp_path_factory.mktemp("temporary")
    monkeypatch.setenv("TMPDIR", str(temporary))
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
    assert list(temporary.iterdir()) == []


def slow_to_prove(folder: Path) -> Path:
    """A workbook for which a plan is found in seconds and better ones are sought for long after."""
    records = [
        {
            "Format": "LP",
            "Copies": 5 + n % 7,
            "Value each": 5 + n * n % 97,
            "Weight each": 0.2 + n / 997,
            "Care": "guarded" if n % 5 == 0 else "standard",
        }
        for n in range(60)
    ]
    quotes = [
        {
            "Quote": f"Van {n}",
            "Means": "van",
            "Fixed charge": 80 + 13 * n,
            "Per carton": 7 - n,
            "Most cartons": 7 + n,
            "Trips at most": 2,
            "Closed body": "yes",
            "Tracked": "yes",
        }
        for n in range(4)
    ]
    rows = sound(
        Move={"Title": "Invented", "Expected uninsured loss at most": 60, "Stop within %": 0},
        Records=records,
        Quotes=[*quotes, {"Quote": "Post", "Means": "post", "Rate card": "Parcel"}],
        Cover=[{"Cover": "Policy", "Covers": "loss", "Basis": "carton", "Plus % of value": 1, "Least fee": 5}],
        Weight_breaks=[],
        Packed_already=[],
        Last_plan=[],
    )
    return written(folder, rows)


def _line_with(process: subprocess.Popen[str], words: str) -> str:
    """The first line of the standard error with these words."""
    assert process.stderr
    said = []
    for line in process.stderr:
        said.append(line)
        if words in line:
            return line
    raise AssertionError("".join(said))


@LINUX
def test_ctrl_c_writes_the_best_plan_so_far_with_its_true_gap(tmp_path: Path) -> None:
    path, told = slow_to_prove(tmp_path), tmp_path / "plan.json"
    before = digest(path)
    process = started("optimise", path, "--no-compare", "--no-caution", "--seconds", "200", "--json", told)
    _line_with(process, "best")
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 0, out + err
    assert "Interrupted: the best plan found so far is written" in err
    assert "Traceback" not in out + err
    plan = json.loads(told.read_text())["plan"]
    assert f"Total cost {plan['total_cost']:,.2f} EUR" in out
    assert 0 < plan["lower_bound"] < plan["total_cost"]
    gap = (plan["total_cost"] - plan["lower_bound"]) / plan["total_cost"] * 100
    assert plan["gap_percent"] == pytest.approx(gap, abs=0.01)
    assert f"at most {gap:.2f} % could still be saved" in " ".join(out.split())
    shown = [cell.value for row in openpyxl.load_workbook(tmp_path / "move.results.xlsx")["Plan"] for cell in row]
    assert any("it was interrupted" in str(value) for value in shown)
    carried = shipopt.carry_on(path, tmp_path / "move.results.xlsx", tmp_path / "next.xlsx")
    assert sum(part.copies for parts in carried.parts.values() for part in parts) == plan["records"]
    assert digest(path) == before
    assert sorted(each.name for each in tmp_path.iterdir()) == [
        "move.results.xlsx",
        "move.xlsx",
        "next.xlsx",
        "plan.json",
    ]


@LINUX
def test_a_second_ctrl_c_leaves_at_once_and_nothing_half_written(tmp_path: Path) -> None:
    path, older = slow_to_prove(tmp_path), tmp_path / "move.results.xlsx"
    older.write_bytes(b"older results")
    process = started("optimise", path, "--no-compare", "--no-caution", "--seconds", "200")
    _line_with(process, "best")
    process.send_signal(signal.SIGINT)
    _line_with(process, "Ctrl-C once more")
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 130, out + err
    assert "Interrupted: no unfinished file" in err
    assert "Traceback" not in out + err
    assert older.read_bytes() == b"older results"
    assert sorted(each.name for each in tmp_path.iterdir()) == ["move.results.xlsx", "move.xlsx"]


@LINUX
@pytest.mark.parametrize(
    ("without", "left_out", "sheet"),
    [
        ("--no-caution", "without the comparison of bids", "What binds"),
        ("--no-compare", "without the cost of caution", "Cost of caution"),
    ],
)
def test_ctrl_c_after_the_search_writes_the_plan_without_the_rest(
    tmp_path: Path, without: str, left_out: str, sheet: str
) -> None:
    path = slow_to_prove(tmp_path)
    process = started("optimise", path, without, "--seconds", "4")
    workers, deadline = [], time.monotonic() + 120
    while not workers and time.monotonic() < deadline and process.poll() is None:
        time.sleep(0.05)
        workers = _children(process.pid)
    assert workers, "nothing was asked beyond the plan"
    time.sleep(1)
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=60)
    assert process.returncode == 0, out + err
    assert left_out in err
    assert "Traceback" not in out + err
    assert "Total cost" in out
    book = openpyxl.load_workbook(tmp_path / "move.results.xlsx", data_only=True)
    assert "or interrupted" in " ".join(str(cell.value) for row in book[sheet].iter_rows() for cell in row)
    deadline = time.monotonic() + 10
    while any(map(_runs, workers)) and time.monotonic() < deadline:
        time.sleep(0.05)
    assert not any(map(_runs, workers))
