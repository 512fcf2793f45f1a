"""Variants solved in workers: answers in order, the same as in this process, and no child left behind."""

import os
import subprocess
import sys
import textwrap
import time
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from independent.random_moves import tiny

from shipopt.comparing import workers
from shipopt.comparing.variants import Impossible, NotInTime, Solved, Variant
from shipopt.comparing.workers import Standing, VariantFailed, Workers, solve_variants
from shipopt.move.move import Move
from shipopt.planning import NoPlan, optimise

SECONDS = 30.0


def without_quotes(move: Move) -> Move:
    """The same move with nobody to carry it."""
    return replace(move, quotes={name: replace(quote, consider=False) for name, quote in move.quotes.items()})


def some_moves(number: int) -> list[Move]:
    """Tiny moves that have a plan."""
    found = []
    for seed in range(100):
        move = tiny(seed)
        try:
            optimise(move, seconds=SECONDS)
        except NoPlan:
            continue
        found.append(move)
        if len(found) == number:
            return found
    raise AssertionError("no such moves")


@pytest.fixture(scope="module")
def variants() -> list[Variant]:
    """Three moves that can be planned and one that cannot."""
    moves = some_moves(3)
    moves.insert(1, without_quotes(moves[0]))
    return [Variant(f"move {place}", move, SECONDS) for place, move in enumerate(moves)]


def told(answers: tuple[Solved | Impossible | NotInTime, ...]) -> list[object]:
    """What answers say, less how long it took."""
    return [
        (a.name, a.plan.shipments, a.objective, a.floor)
        if isinstance(a, Solved)
        else (a.name, getattr(a, "reasons", None))
        for a in answers
    ]


def test_answers_come_in_order_and_are_those_of_this_process(variants: list[Variant]) -> None:
    here = solve_variants(variants, processes=0)
    assert [answer.name for answer in here] == ["move 0", "move 1", "move 2", "move 3"]
    assert [type(answer) for answer in here] == [Solved, Impossible, Solved, Solved]
    assert told(solve_variants(variants, processes=2)) == told(here)


def test_a_move_without_a_plan_says_why(variants: list[Variant]) -> None:
    (answer,) = solve_variants(variants[1:2], processes=0)
    assert isinstance(answer, Impossible)
    assert answer.reasons


def test_workers_serve_one_round_after_another(variants: list[Variant]) -> None:
    with Workers(1) as workers:
        first = workers.solve(variants[:1])
        again = workers.solve(variants[:1], seconds=SECONDS)
    assert told(first) == told(again)


def test_progress_counts_up_to_the_end(variants: list[Variant]) -> None:
    seen: list[Standing] = []
    solve_variants(variants, processes=2, progress=seen.append)
    counts = [standing.done for standing in seen]
    assert counts == sorted(counts)
    assert (seen[-1].done, seen[-1].of) == (4, 4)
    assert any(standing.report for standing in seen)


def test_a_fault_in_a_worker_is_told_with_its_place(variants: list[Variant]) -> None:
    broken = Variant("broken", variants[0].move, SECONDS, known=(None,))  # type: ignore[arg-type]
    faulty = replace(broken, move=replace(broken.move, quotes=None))  # type: ignore[arg-type]
    with pytest.raises(VariantFailed, match="Traceback"):
        solve_variants([faulty, *variants], processes=2)


def test_time_for_all_is_shared_among_what_is_left(variants: list[Variant]) -> None:
    assert variants[0].allowed(3.0).seconds == 3.0
    assert variants[0].allowed(3000.0).seconds == SECONDS
    assert told(solve_variants(variants, processes=0, seconds=4 * SECONDS)) == told(
        solve_variants(variants, processes=0)
    )


def test_a_worker_that_takes_far_too_long_is_ended_and_replaced(
    variants: list[Variant], monkeypatch: pytest.MonkeyPatch
) -> None:
    """That is not enough to start a worker and answer: it is ended, and a new one serves the next round."""
    monkeypatch.setattr(workers, "GRACE", 0.05)
    hasty = replace(variants[0], seconds=0.01)
    with Workers(1) as ready:
        assert ready.solve([hasty]) == (NotInTime("move 0", cut_short=True),)
        monkeypatch.undo()
        assert told(ready.solve(variants[:1])) == told(solve_variants(variants[:1], processes=0))


@pytest.mark.skipif(sys.platform == "win32", reason="counts children by POSIX signals")
def test_a_killed_program_leaves_no_worker_behind() -> None:
    """A program that is killed in the midst of a long solve: its workers are gone shortly after."""
    program = textwrap.dedent(
        """
        import threading
        from shipopt.comparing import workers
        running = [workers._started(), workers._started()]
        print(*[each.pid for each in running], flush=True)
        threading.Event().wait()
        """
    )
    parent = subprocess.Popen([sys.executable, "-c", program], stdout=subprocess.PIPE, text=True)
    assert parent.stdout
    children = [int(pid) for pid in parent.stdout.readline().split()]
    assert len(children) == 2
    assert all(is_running(pid) for pid in children)
    parent.kill()
    parent.wait()
    ends = time.monotonic() + 30
    while any(is_running(pid) for pid in children) and time.monotonic() < ends:
        time.sleep(0.05)
    assert not any(is_running(pid) for pid in children)


@pytest.mark.skipif(sys.platform == "win32", reason="ends a program by POSIX signals")
def test_a_killed_program_leaves_no_folder_of_a_solver_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """CBC, a program of its own, works in a temporary folder, which its worker takes away."""
    monkeypatch.setenv("TMPDIR", str(tmp_path))
    program = textwrap.dedent(
        """
        from benchmarks.moves import realistic
        from shipopt.comparing.variants import Variant
        from shipopt.comparing.workers import solve_variants
        from shipopt.planning import Solver
        solve_variants([Variant("long", realistic(1, 300, 12), 100.0, 0.0, (), Solver.CBC)], processes=1)
        """
    )
    parent = subprocess.Popen([sys.executable, "-c", program], cwd=Path(__file__).parents[1])
    before, now, ends = set[Path](), set[Path](), time.monotonic() + 60
    while not before & now and time.monotonic() < ends:  # one that lasts: CBC is at work in it
        before, now = now, set(tmp_path.iterdir())
        time.sleep(0.2)
    parent.kill()
    parent.wait()
    assert before & now, "CBC was not asked"
    ends = time.monotonic() + 30
    while list(tmp_path.iterdir()) and time.monotonic() < ends:
        time.sleep(0.05)
    assert not list(tmp_path.iterdir())


def is_running(pid: int) -> bool:
    """Whether a process is there and no mere trace of one."""
    try:
        os.kill(pid, 0)
    except OSError:
        return False
    stat = Path(f"/proc/{pid}/stat")
    if stat.exists():
        return stat.read_text(encoding="utf-8").rpartition(")")[2].split()[0] != "Z"
    return True


def test_nothing_to_solve_is_no_work() -> None:
    assert solve_variants([]) == ()


def test_the_objective_is_the_pricing_modules(variants: list[Variant]) -> None:
    (answer,) = solve_variants(variants[:1], processes=0)
    assert isinstance(answer, Solved)
    assert answer.objective >= answer.floor > Decimal(0)


def test_what_no_time_is_left_for_is_said_to_be_cut_short(variants: list[Variant]) -> None:
    with Workers(0) as here:
        answers = here.solve(variants, seconds=0)
    assert answers == tuple(NotInTime(variant.name, cut_short=True) for variant in variants)
