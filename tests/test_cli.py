"""The command line: exit statuses, what is said where, that nothing is written when anything is wrong.

Small invented moves, planned in a second or two. Ways a run can end that no small workbook brings about (a fault, no
time) are brought about by standing in for the search.
"""

import io
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from rich.console import Console
from typer.testing import CliRunner, Result

import shipopt
from shipopt import telling
from shipopt.cli import app
from shipopt.workbook.template import write_workbook

SHEETS: dict[str, Any] = {
    "Move": {"Title": "Small invented move", "Seconds to search": 10, "Ready on": "2031-03-01"},
    "Records": [
        {"Record ID": "A1", "Artist": "[bold]The Brackets[/bold]", "Format": "LP", "Value each": 20},
        {"Record ID": "A2", "Format": "LP", "Value each": 15, "Copies": 30, "Care": "guarded"},
        {"Record ID": "A3", "Format": "7-inch", "Value each": 4, "Copies": 50},
    ],
    "Quotes": [
        {"Quote": "Van", "Means": "van", "Fixed charge": 120, "Closed body": "yes", "Tracked": "yes"},
        {"Quote": "Post", "Means": "post", "Rate card": "Parcel"},
    ],
    "Rate cards": [
        {"Rate card": "Parcel", "Weight up to": 5, "Price": 6},
        {"Rate card": "Parcel", "Weight up to": 31.5, "Price": 14},
    ],
}


def run(*arguments: str | Path) -> Result:
    """The command with these arguments, in this process."""
    return CliRunner().invoke(app, [str(argument) for argument in arguments])


@pytest.fixture
def workbook(tmp_path: Path) -> Path:
    """A small sound workbook in a folder of its own, its name with spaces in it."""
    return written(tmp_path / "my move.xlsx")


PLAN_ONLY = ("optimise", "--no-compare", "--no-caution")
"""The command where what is worked out beyond the plan is not what is looked at."""


def written(path: Path, **changed: Any) -> Path:
    """The small workbook with some sheets changed."""
    write_workbook(path, "kg / cm", "EUR", {**SHEETS, **changed})
    return path


def errors_of(path: Path) -> Sequence[shipopt.Problem]:
    """Everything that is wrong with a workbook."""
    with pytest.raises(shipopt.WorkbookErrors) as caught:
        shipopt.read_workbook(path)
    return caught.value.errors


def instead_of_search(monkeypatch: pytest.MonkeyPatch, search: Callable[..., Any]) -> None:
    """Stands in for the search that the command calls."""
    monkeypatch.setattr(shipopt, "optimise", search, raising=False)


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> tuple[Result, Path]:
    """One whole run, with JSON, shared by the tests that look at what it left."""
    path = written(tmp_path_factory.mktemp("planned") / "my move.xlsx")
    before = path.read_bytes()
    result = run("optimise", path, "--json", path.with_name("plan.json"), "--calendar", path.with_name("diary.ics"))
    assert path.read_bytes() == before
    return result, path.parent


def test_a_plan_is_written_beside_the_workbook(planned: tuple[Result, Path]) -> None:
    result, folder = planned
    assert result.exit_code == 0, result.output
    assert sorted(path.name for path in folder.iterdir()) == [
        "diary.ics",
        "my move.results.xlsx",
        "my move.xlsx",
        "plan.json",
    ]
    assert (folder / "diary.ics").read_bytes().startswith(b"BEGIN:VCALENDAR")
    assert openpyxl.load_workbook(folder / "my move.results.xlsx").sheetnames[0] == "Plan"


def test_the_summary_says_what_the_files_say(planned: tuple[Result, Path]) -> None:
    result, folder = planned
    plan = json.loads((folder / "plan.json").read_text())["plan"]
    assert f"Total cost {plan['total_cost']:,.2f} EUR" in result.stdout
    for booking in plan["bookings_to_make"]:
        assert booking["quote"] in result.stdout
    assert str(folder / "my move.results.xlsx") in result.stdout
    assert str(folder / "plan.json") in result.stdout


def test_progress_goes_to_the_standard_error(planned: tuple[Result, Path]) -> None:
    result, _ = planned
    assert "floor" in result.stderr
    assert "Total cost" not in result.stderr
    assert " s  " not in result.stdout


def test_quiet_says_nothing(workbook: Path) -> None:
    result = run(*PLAN_ONLY, workbook, "--quiet", "-o", workbook.with_name("elsewhere.xlsx"))
    assert (result.exit_code, result.output) == (0, "")
    assert workbook.with_name("elsewhere.xlsx").exists()
    assert not workbook.with_name("my move.results.xlsx").exists()


@pytest.mark.parametrize("command", ["check", "optimise"])
def test_all_errors_are_listed_with_their_cells_and_nothing_is_written(tmp_path: Path, command: str) -> None:
    records = [{"Record ID": "A1", "Format": "LPP", "Value each": "1.234,5"}, {"Record ID": "A1", "Format": "LP"}]
    path = written(tmp_path / "move.xlsx", Records=records)
    errors = errors_of(path)
    assert len(errors) >= 3
    result = run(command, path)
    assert result.exit_code == 2
    for error in errors:
        assert error.place in result.stderr
    assert "LPP" in result.stderr
    assert "1.234,5" in result.stderr
    assert result.stdout == ""
    assert list(tmp_path.iterdir()) == [path]


def test_what_is_typed_in_a_cell_is_shown_as_it_is(tmp_path: Path) -> None:
    path = written(tmp_path / "move.xlsx", Records=[{"Format": "[red]LP[/red]"}])
    assert "[red]LP[/red]" in run("check", path).stderr


@pytest.mark.parametrize(
    "content",
    [None, b"", b"no workbook", b"PK\x03\x04 cut short"],
    ids=["missing", "empty", "text", "cut-short"],
)
def test_a_file_that_is_no_workbook_is_an_error_of_the_workbook(tmp_path: Path, content: bytes | None) -> None:
    path = tmp_path / "move.xlsx"
    if content is not None:
        path.write_bytes(content)
    result = run(*PLAN_ONLY, path)
    assert result.exit_code == 2
    assert "the workbook" in result.stderr
    assert not path.with_name("move.results.xlsx").exists()


def test_check_says_what_a_sound_workbook_holds(workbook: Path) -> None:
    result = run("check", workbook)
    assert result.exit_code == 0
    assert "81 records in 3 lines worth 670.00 EUR, 2 quotes" in result.stdout
    assert list(workbook.parent.iterdir()) == [workbook]


def test_check_tells_of_quotes_that_are_out(tmp_path: Path) -> None:
    late = {"Quote": "Late", "Means": "van", "Valid until": "2026-01-01"}
    path = written(tmp_path / "move.xlsx", Quotes=[*SHEETS["Quotes"], late], Move={"Decide on": "2026-02-01"})
    result = run("check", path)
    assert result.exit_code == 0
    assert "'Late' takes no part: expired" in result.stdout


def test_clashing_rules_are_named(tmp_path: Path) -> None:
    quotes = [{**SHEETS["Quotes"][0], "Most weight": 5}]
    path = written(tmp_path / "move.xlsx", Quotes=quotes)
    result = run(*PLAN_ONLY, path)
    assert result.exit_code == 3, result.output
    assert "No plan can meet the rules" in result.stderr
    assert "Van" in result.stderr
    assert list(tmp_path.iterdir()) == [path]


def test_no_plan_in_time_has_its_own_status(workbook: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def out_of_time(*_: Any, **__: Any) -> None:
        raise shipopt.NoPlanInTime

    instead_of_search(monkeypatch, out_of_time)
    result = run(*PLAN_ONLY, workbook)
    assert result.exit_code == 4
    assert "--seconds" in result.stderr
    assert list(workbook.parent.iterdir()) == [workbook]


def test_a_fault_is_told_in_a_line(workbook: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: Any, **__: Any) -> None:
        raise ZeroDivisionError("division by zero")

    instead_of_search(monkeypatch, broken)
    monkeypatch.delenv("SHIPOPT_DEBUG", raising=False)
    result = run(*PLAN_ONLY, workbook)
    assert result.exit_code == 1
    assert "ZeroDivisionError: division by zero" in result.stderr
    assert "Traceback" not in result.output
    assert list(workbook.parent.iterdir()) == [workbook]


def test_a_fault_shows_where_if_asked(workbook: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: Any, **__: Any) -> None:
        raise ZeroDivisionError("division by zero")

    instead_of_search(monkeypatch, broken)
    monkeypatch.setenv("SHIPOPT_DEBUG", "1")
    assert isinstance(run(*PLAN_ONLY, workbook).exception, ZeroDivisionError)


def test_options_reach_the_search(workbook: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked: dict[str, Any] = {}

    def note(_: Any, **options: Any) -> None:
        asked.update(options)
        raise shipopt.NoPlanInTime

    instead_of_search(monkeypatch, note)
    run(*PLAN_ONLY, workbook, "--seconds", "7", "--within", "1.5", "--solver", "cbc")
    assert asked.pop("progress") is not None
    assert asked.pop("hand_over") is not None
    assert asked == {"seconds": 7.0, "within": pytest.approx(0.015), "solver": shipopt.Solver.CBC}


@pytest.mark.parametrize(
    ("options", "word"),
    [
        (["-o", "my move.xlsx"], "never changed"),
        (["-o", "./../{folder}/my move.xlsx"], "never changed"),
        (["--json", "my move.xlsx"], "never changed"),
        (["-o", "same", "--json", "same"], "results workbook too"),
        (["--calendar", "my move.xlsx"], "never changed"),
        (["--calendar", "same", "--json", "same"], "JSON file too"),
        (["-o", "no such folder/out.xlsx"], "no folder"),
        (["-o", "."], "is a folder"),
        (["--solver", "abacus"], "Accepted: highs, cbc"),
        (["--seconds", "0"], "--seconds"),
        (["--within", "-1"], "--within"),
    ],
)
def test_wrong_usage_is_refused_before_anything_is_read(
    workbook: Path, monkeypatch: pytest.MonkeyPatch, options: list[str], word: str
) -> None:
    monkeypatch.chdir(workbook.parent)
    before = workbook.read_bytes()
    filled_in = [option.format(folder=workbook.parent.name) for option in options]
    result = run(*PLAN_ONLY, "my move.xlsx", *filled_in)
    assert result.exit_code == 2
    assert word in " ".join(result.stderr.split())
    assert workbook.read_bytes() == before
    assert list(workbook.parent.iterdir()) == [workbook]


def test_a_link_to_the_input_is_the_input(workbook: Path) -> None:
    link = workbook.with_name("link.xlsx")
    os.link(workbook, link)
    assert run(*PLAN_ONLY, workbook, "-o", link).exit_code == 2


def test_results_that_cannot_be_written_leave_the_older_ones(workbook: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    older = workbook.with_name("my move.results.xlsx")
    older.write_text("older results")

    def refuse(*_: Any) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "replace", refuse)
    result = run(*PLAN_ONLY, workbook)
    assert result.exit_code == 1
    assert "cannot be written" in result.stderr
    assert older.read_text() == "older results"
    assert sorted(path.name for path in workbook.parent.iterdir()) == [older.name, workbook.name]


@pytest.mark.parametrize("units", ["kg / cm", "lb / in", "KG/cm"])
def test_a_template_holds_no_error_but_that_it_is_empty(tmp_path: Path, units: str) -> None:
    path = tmp_path / "new.xlsx"
    assert run("template", path, "--units", units, "--currency", "eur").exit_code == 0
    result = run("check", path)
    assert result.exit_code == 2
    assert "no records" in result.stderr
    assert "1 error" in result.stderr


@pytest.mark.parametrize(
    ("options", "word"),
    [
        (["--units", "stone", "--currency", "EUR"], "kg / cm"),
        (["--units", "kg / cm", "--currency", "EURO"], "ISO 4217"),
        (["--units", "kg / cm"], "--currency"),
    ],
)
def test_a_template_needs_units_and_a_currency(tmp_path: Path, options: list[str], word: str) -> None:
    result = run("template", tmp_path / "new.xlsx", *options)
    assert result.exit_code == 2
    assert word in result.stderr
    assert not list(tmp_path.iterdir())


def test_a_template_is_never_written_over_a_file(workbook: Path) -> None:
    before = workbook.read_bytes()
    result = run("template", workbook, "--units", "kg / cm", "--currency", "EUR")
    assert result.exit_code == 2
    assert workbook.read_bytes() == before


def test_every_command_and_option_has_help() -> None:
    import typer.main

    group = typer.main.get_command(app)
    for command in [group, *group.commands.values()]:  # type: ignore[attr-defined]
        assert command.help, command.name
        for parameter in command.params:
            assert getattr(parameter, "help", None), f"{command.name}: {parameter.name}"


# The command as it is started by people


def command(*arguments: str | Path, **options: Any) -> subprocess.Popen[str]:
    """``python -m shipopt`` in a process of its own."""
    words = [sys.executable, "-m", "shipopt", *map(str, arguments)]
    return subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, **options)


def test_it_runs_as_a_module() -> None:
    said, _ = (process := command("--version")).communicate(timeout=60)
    assert (process.returncode, said) == (0, f"shipopt {shipopt.__version__}\n")


def test_importing_the_package_loads_nothing_heavy() -> None:
    heavy = "pulp pandas openpyxl xlsxwriter numpy highspy"
    code = f"import sys, shipopt.cli; print([name for name in '{heavy}'.split() if name in sys.modules])"
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert said == "[]\n"


@pytest.mark.skipif(os.name != "posix", reason="signals of this kind are POSIX")
def test_ctrl_c_leaves_at_once_with_a_clear_word(tmp_path: Path) -> None:
    """A move too large for its search to end in the time that this test waits."""
    records = [
        {"Format": "LP", "Copies": 5 + n % 7, "Value each": 5 + n * n % 97, "Weight each": 0.2 + n / 997}
        for n in range(600)
    ]
    covers = [{"Cover": "Policy", "Covers": "loss", "Basis": "consignment", "Plus % of value": 1, "Least fee": 20}]
    move = {"Expected uninsured loss at most": 250, "Insure cartons worth at least": 900, "Stop within %": 0}
    path = written(tmp_path / "move.xlsx", Records=records, Cover=covers, Move=move)
    process = command(*PLAN_ONLY, path, "--seconds", "300", cwd=tmp_path)
    assert process.stderr is not None
    said = process.stderr.readline()
    time.sleep(1)
    process.send_signal(signal.SIGINT)
    began = time.monotonic()
    out, rest = process.communicate(timeout=60)
    assert time.monotonic() - began < 5
    assert process.returncode == 130, said + rest
    assert "Interrupted" in rest
    assert "Traceback" not in rest + out
    assert list(tmp_path.iterdir()) == [path]


# What is said on a terminal


def on_terminal(width: int, say: Callable[[Console], None]) -> str:
    """What is said on a terminal of so many columns, without colours."""
    screen = io.StringIO()
    say(Console(file=screen, width=width, force_terminal=True, color_system=None, highlight=False))
    return screen.getvalue()


@pytest.mark.parametrize("width", [80, 120])
def test_findings_keep_their_cells_whole_however_narrow_the_terminal(tmp_path: Path, width: int) -> None:
    records = [{"Record ID": "A1", "Format": "a format of a name so long that it has to be cut " * 2, "Copies": 0.5}]
    path = written(tmp_path / "move.xlsx", Records=records)
    errors = errors_of(path)
    said = on_terminal(width, lambda to: telling.findings(to, errors))
    for error in errors:
        assert any(line.strip().startswith(error.place) for line in said.splitlines())
    assert max(map(len, said.splitlines())) <= width
