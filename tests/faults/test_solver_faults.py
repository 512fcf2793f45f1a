"""Solvers that are missing, crash, give up or give a wrong answer: a clear word and an exit status, never a plan."""

import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner, Result
from workbook.books import sound, written

import shipopt
from shipopt.cli import app
from shipopt.planning import search, solving
from shipopt.planning.solving import Outcome, Verdict

GO = "go_"
"""How names of variables begin that send a carton on its way."""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A small workbook that can be planned."""
    return written(tmp_path, sound(Packed_already=[], Last_plan=[]))


def planned(path: Path, *options: str) -> Result:
    """The command on it; nothing may be written unless it ends well."""
    asked = ["optimise", str(path), "--no-compare", "--no-caution", "--seconds", "5", *options]
    result = CliRunner().invoke(app, asked)
    assert "Traceback" not in result.output
    assert path.with_suffix(".results.xlsx").exists() == (result.exit_code == 0), result.output
    assert result.exit_code == 0 or "Nothing was written" in result.stderr or "fault" in result.stderr
    return result


def test_without_the_first_solver_the_other_one_plans(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(solving, "highspy", None)
    result = planned(path)
    assert result.exit_code == 0, result.output
    assert "CBC" in " ".join(map(str, _plan_sheet(path)))


def _plan_sheet(path: Path) -> list[Any]:
    import openpyxl

    book = openpyxl.load_workbook(path.with_suffix(".results.xlsx"), data_only=True)
    return [cell.value for sheet in book.worksheets for row in sheet.iter_rows() for cell in row if cell.value]


def test_a_solver_that_is_not_there_is_a_fault_in_a_line(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(solving.pulp.PULP_CBC_CMD, "available", lambda self: False)
    monkeypatch.setattr(solving.pulp.PULP_CBC_CMD, "path", "/nowhere/cbc", raising=False)
    monkeypatch.setattr(solving.pulp.PULP_CBC_CMD, "pulp_cbc_path", "/nowhere/cbc", raising=False)
    assert planned(path, "--solver", "cbc").exit_code == 1


def test_a_solver_that_crashes_is_a_fault_in_a_line(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def crash(*_: Any, **__: Any) -> None:
        raise solving.pulp.PulpSolverError("the solver ended by itself")

    monkeypatch.setattr(solving.pulp.LpProblem, "solve", crash)
    result = planned(path)
    assert (result.exit_code, "ended by itself" in result.stderr) == (1, True)


def _answering(monkeypatch: pytest.MonkeyPatch, verdict: Verdict) -> None:
    for module in list(sys.modules.values()):
        if getattr(module, "solve", None) is solving.solve and module is not solving:
            monkeypatch.setattr(module, "solve", lambda *_, **__: Outcome(verdict, "none", 0.0))


def test_a_solver_that_finds_nothing_is_no_plan_in_time(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _answering(monkeypatch, Verdict.NOTHING)
    assert planned(path).exit_code == 4


def test_a_solver_that_finds_all_impossible_still_gives_words(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    _answering(monkeypatch, Verdict.IMPOSSIBLE)
    result = planned(path)
    assert result.exit_code == 3
    assert "clash" in result.stderr


def test_a_plan_that_breaks_a_rule_is_a_fault_and_is_not_written(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(search, "findings", lambda plan: ["carton 1: a rule is broken"])
    result = planned(path)
    assert result.exit_code == 1
    assert "a rule is broken" in result.stderr


@pytest.mark.parametrize("seconds", ["0", "-1", "nan"])
def test_no_time_is_refused_or_gives_a_word(path: Path, seconds: str) -> None:
    result = CliRunner().invoke(app, ["optimise", str(path), "--no-compare", "--no-caution", "--seconds", seconds])
    assert result.exit_code == 2
    assert "--seconds" in result.stderr


def test_public_search_takes_no_time_at_all(path: Path) -> None:
    """A tenth of a second is enough for a plan or for the word that there was none."""
    try:
        plan = shipopt.optimise(shipopt.read_workbook(path).move, seconds=0.1)
    except shipopt.NoPlanInTime:
        return
    assert plan.shipments


def _rounded_wrongly(monkeypatch: pytest.MonkeyPatch, value: float) -> list[str]:
    """The solver's solutions with the first carton's way at another value; names of the variables altered."""
    true_solve, altered = solving.solve, []

    def solve(*given: Any, **options: Any) -> Outcome:
        outcome = true_solve(*given, **options)
        gone = [name for name, amount in outcome.values.items() if name.startswith(GO) and round(amount) == 1]
        if not gone:
            return outcome
        altered.append(gone[0])
        return replace(outcome, values={**outcome.values, gone[0]: value})

    for module in list(sys.modules.values()):
        if getattr(module, "solve", None) is true_solve and module is not solving:
            monkeypatch.setattr(module, "solve", solve)
    return altered


@pytest.mark.parametrize("records", ["a few", "many"])
@pytest.mark.parametrize("value", [0.49999, 1.50001, 0.0, 3.0])
def test_a_solution_that_breaks_a_rule_once_rounded_is_a_fault_and_is_not_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, records: str, value: float
) -> None:
    """A carton that falls away or goes twice: on tiny moves, where the programme packs, and on others."""
    lines = [
        {"Format": "LP", "Copies": 5 + n % 7, "Value each": 5 + n, "Weight each": 0.2 + n / 997} for n in range(30)
    ]
    rows = sound(Packed_already=[], Last_plan=[], **({"Records": lines} if records == "many" else {}))
    path = written(tmp_path, rows)
    altered = _rounded_wrongly(monkeypatch, value)
    result = planned(path)
    assert altered, "nothing was rounded wrongly"
    assert result.exit_code == 1, result.output
    assert "fault of the program" in result.stderr
    assert ("packs a copy twice" if value > 1 and records == "a few" else "AuditFailed") in result.stderr
    assert "copy" in result.stderr
    assert sorted(each.name for each in tmp_path.iterdir()) == ["move.xlsx"]
