"""Solvers' temporary folders are gone when a process ends under them, whatever its threads do just then."""

import tempfile
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from shipopt.planning import folders
from shipopt.planning.folders import take_folders_away, temporary_folder

LONG = 10.0
"""Seconds after which a thread that has not done its part never will."""


@pytest.fixture
def where(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The place of temporary folders; what is taken away there is of no consequence for the other tests."""
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    monkeypatch.setattr(folders, "_MAKING", making := threading.Lock())
    monkeypatch.setattr(folders, "_folders", [])
    yield tmp_path
    if making.locked():
        making.release()  # lets a thread that waits for a folder end


def taken_away_under(work: Callable[[], None], begun: threading.Event, where: Path) -> threading.Thread:
    """The thread in which some work is going on, whose folders were taken away once it had begun."""
    thread = threading.Thread(target=work, daemon=True)
    thread.start()
    assert begun.wait(LONG)
    take_folders_away()
    assert not list(where.iterdir())
    return thread


def test_a_folder_is_gone_after_its_use(where: Path) -> None:
    with temporary_folder() as folder:
        assert list(where.iterdir()) == [Path(folder)]
        (Path(folder) / "programme.mps").write_text("NAME", encoding="utf-8")
    assert not list(where.iterdir())


def test_folders_in_use_are_taken_away_and_no_more_are_made(where: Path) -> None:
    """A search whose solver was ended may ask for one more before the process is over."""
    asked, used, over = threading.Event(), threading.Event(), threading.Event()

    def search() -> None:
        with temporary_folder():
            used.set()
            asked.wait(LONG)
        with temporary_folder():
            over.set()

    thread = taken_away_under(search, used, where)
    asked.set()
    assert not over.wait(0.3)
    assert not list(where.iterdir())
    folders._MAKING.release()
    assert over.wait(LONG)
    thread.join(LONG)


def test_a_folder_is_taken_away_while_it_is_written_into(where: Path) -> None:
    written, gone = threading.Event(), threading.Event()

    def write() -> None:
        with temporary_folder() as folder:
            for number in range(1_000_000):
                try:
                    (Path(folder) / f"{number}.mps").write_text("NAME", encoding="utf-8")
                except OSError:
                    gone.set()
                    return
                written.set()

    thread = taken_away_under(write, written, where)
    assert gone.wait(LONG)
    thread.join(LONG)


def test_folders_may_be_taken_away_twice(where: Path) -> None:
    """As when Ctrl-C is pressed once more while the process ends: it still ends."""
    for _ in range(2):
        ended = threading.Event()
        threading.Thread(target=lambda ended=ended: (take_folders_away(), ended.set()), daemon=True).start()
        assert ended.wait(LONG)
