"""The README says what is so: its commands, links, exit statuses, options and the picture. (That the first command's
job runs is tested with the worked examples; the second command is the one that runs this test on every change.)
"""

import re
import tomllib
from pathlib import Path

import pytest
import typer.main

import shipopt
from shipopt import cli, interrupting

HOUSE = Path(__file__).parents[1]
README = (HOUSE / "README.md").read_text(encoding="utf-8")


def command_between(mark: str) -> list[str]:
    """The steps of the command between two marks, as they are typed."""
    block = README.split(f"<!-- {mark}:start -->")[1].split(f"<!-- {mark}:end -->")[0]
    (line,) = [line for line in block.strip().splitlines() if not line.startswith("```")]
    return [step.strip() for step in line.split("&&")]


def test_the_first_command_makes_an_environment_installs_and_plans() -> None:
    environment, install, job = command_between("first-command")
    assert environment == "python3 -m venv .venv"
    assert install == ".venv/bin/python -m pip install --quiet ."
    assert job.startswith(".venv/bin/shipopt optimise worked_examples/1_")
    assert (HOUSE / job.split()[-1]).is_file()


def test_the_second_command_runs_the_tests() -> None:
    environment, install, tests = command_between("test-command")
    assert environment == "python3 -m venv .venv"
    assert "--editable" in install
    extra = re.search(r"\.\[(\w+)\]", install)
    assert extra is not None
    declared = tomllib.loads((HOUSE / "pyproject.toml").read_text(encoding="utf-8"))
    assert any(line.startswith("pytest") for line in declared["project"]["optional-dependencies"][extra[1]])
    assert tests == ".venv/bin/python -m pytest"


def test_the_automatic_checks_run_the_second_command() -> None:
    script = (HOUSE / ".ci" / "run").read_text(encoding="utf-8")
    assert "test-command:start" in script
    assert "ruff check" in script
    assert "mypy" in script


def test_the_package_is_what_the_commands_install() -> None:
    declared = tomllib.loads((HOUSE / "pyproject.toml").read_text(encoding="utf-8"))
    assert declared["project"]["scripts"]["shipopt"] == "shipopt.cli:main"
    assert declared["project"]["version"] == shipopt.__version__


@pytest.mark.parametrize("target", sorted(set(re.findall(r"\]\(([^)#]+)\)", README))))
def test_links_lead_somewhere(target: str) -> None:
    assert (HOUSE / target).is_file()


def test_exit_statuses_are_those_of_the_program() -> None:
    told = {int(status) for status in re.findall(r"^\| (\d+) \|", README, flags=re.MULTILINE)}
    assert told == {0, cli.FAULT, cli.WORKBOOK_ERRORS, cli.NO_PLAN, cli.NO_PLAN_IN_TIME, interrupting.INTERRUPTED}
    assert cli.DEBUG in README


def test_every_command_and_option_is_named() -> None:
    group = typer.main.get_command(cli.app)
    for name, command in group.commands.items():  # type: ignore[attr-defined]
        assert f"shipopt {name}" in README
        for parameter in command.params:
            options = [option for option in parameter.opts if option.startswith("-") and option != "--help"]
            assert not options or any(option in README for option in options), f"{name} {options}"


def test_public_names_in_the_example_are_there() -> None:
    used = set(re.findall(r"shipopt\.(\w+)\(", README))
    assert used
    assert used <= set(shipopt.__all__)


def test_the_picture_is_small() -> None:
    (picture,) = re.findall(r"!\[[^\]]+\]\(([^)]+\.png)\)", README)
    assert (HOUSE / picture).read_bytes().startswith(b"\x89PNG")
    assert (HOUSE / picture).stat().st_size < 200_000
