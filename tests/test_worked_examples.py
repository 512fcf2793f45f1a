"""The whole job on worked example 1: the command that the README prints, the plan alone by command and by script.

Totals and rules are asked of the second working-out in tests/independent, not of the program. Only a search on one core
is compared to the cent with another run: on two cores what is found depends on which of two works ends first, and with
comparison and caution the command ends by the clock.
"""

import os
import shlex
import shutil
import subprocess
import sys
import zipfile
from collections import Counter
from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import openpyxl
import pytest
from independent.broken import broken_rules
from independent.recompute import totals
from test_readme import command_between

import shipopt
from shipopt.planning.search import optimise
from shipopt.planning.state import Effort
from shipopt.workbook.results.registry import SHEETS

HOUSE = Path(__file__).parents[1]
EXAMPLES = HOUSE / "worked_examples"
COLLECTOR = EXAMPLES / "1_collector_by_van_and_post" / "collection.xlsx"
GAP = Decimal("1.5")
AMPLE = 900
"""Seconds in which the search ends by itself, on a busy machine too: it takes some 15 on an idle one."""
ONE_CORE = """
import pathlib, sys, shipopt, shipopt.planning.search, shipopt.planning.state
workbook, written, seconds = sys.argv[1:]
read = shipopt.read_workbook(pathlib.Path(workbook))
effort = shipopt.planning.state.Effort(cores=1)
plan = shipopt.planning.search.optimise(read.move, seconds=float(seconds), effort=effort)
shipopt.write_results(pathlib.Path(written), plan, read.facts)
"""
COMPARING = ("Quotes compared", "Cost of caution", "What binds")


@pytest.fixture(scope="module")
def plan() -> shipopt.Plan:
    """The plan of worked example 1, from a search on one core, which ends by itself."""
    return optimise(shipopt.read_workbook(COLLECTOR).move, seconds=AMPLE, effort=Effort(cores=1))


@pytest.fixture(scope="module")
def written(plan: shipopt.Plan, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """That plan's results."""
    path = tmp_path_factory.mktemp("written") / "written.xlsx"
    shipopt.write_results(path, plan, shipopt.read_workbook(COLLECTOR).facts)
    return path


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The results of the job that the README's first command runs, in a copy of the example's folder."""
    folder = tmp_path_factory.mktemp("fresh")
    program, *arguments = shlex.split(command_between("first-command")[-1])
    assert program == ".venv/bin/shipopt"
    workbook = folder / arguments[-1]
    workbook.parent.mkdir(parents=True)
    shutil.copy(HOUSE / arguments[-1], workbook)
    job = [sys.executable, "-m", "shipopt", *arguments]
    finished = subprocess.run(job, cwd=folder, capture_output=True, text=True, timeout=300)
    assert finished.returncode == 0, finished.stderr
    assert "Total cost" in finished.stdout
    return workbook.with_name(f"{workbook.stem}.results.xlsx")


@pytest.fixture(scope="module")
def alone(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The results of the command without comparison and without the cost of caution."""
    written = tmp_path_factory.mktemp("alone") / "alone.xlsx"
    command = [sys.executable, "-m", "shipopt", "optimise", str(COLLECTOR), "--no-compare", "--no-caution", "--quiet"]
    command += ["--seconds", str(AMPLE), "-o", str(written)]
    subprocess.run(command, check=True, capture_output=True, timeout=AMPLE)
    return written


def labelled(results: Path) -> Mapping[str, object]:
    """The sheet Plan's totals by label, as a reader of the file finds them."""
    rows = openpyxl.load_workbook(results, data_only=True)["Plan"].iter_rows(values_only=True, max_col=2)
    return {str(label): value for label, value in rows if label is not None}


def rows_of(results: Path, sheet: str) -> list[dict[str, object]]:
    """The rows of a list with a carton number in each, by heading."""
    heads, *rows = openpyxl.load_workbook(results, data_only=True)[sheet].iter_rows(values_only=True)
    return [dict(zip(map(str, heads), row, strict=True)) for row in rows if row[0] not in (None, "Total")]


def test_totals_are_those_of_a_second_working_out(plan: shipopt.Plan, written: Path) -> None:
    shown, again = labelled(written), totals(plan.move, plan.shipments)
    for label, amount in (
        ("Total cost", again.total_cost),
        ("Carriage", again.carriage),
        ("Cartons bought", again.cartons_bought),
        ("Cover fees", again.cover_fees),
    ):
        assert Decimal(repr(shown[label])).quantize(Decimal("0.01")) == amount, label
    loss = again.expected_uninsured_loss
    assert abs(Fraction(Decimal(repr(shown["Expected uninsured loss"]))) - loss) < Fraction(1, 100)


def test_no_rule_is_broken(plan: shipopt.Plan) -> None:
    assert broken_rules(plan.move, plan.shipments) == []


def test_the_floor_is_near(plan: shipopt.Plan, written: Path) -> None:
    cost = totals(plan.move, plan.shipments).total_cost
    assert plan.search.floor <= cost
    assert (cost - plan.search.floor) / cost * 100 <= GAP
    assert labelled(written)["Gap %"] == pytest.approx(float((cost - plan.search.floor) / cost * 100), abs=1e-6)


def test_the_example_shows_what_it_is_meant_to_show(plan: shipopt.Plan) -> None:
    """Several quotes and means, covers chosen, treasures carried by hand, a threshold that some cartons reach."""
    assert len({shipment.quote.name for shipment in plan.shipments}) >= 3
    assert len({shipment.quote.means for shipment in plan.shipments}) >= 3
    assert any(shipment.cover for shipment in plan.shipments)
    assert all(shipment.quote.means == "carry-on" for shipment in plan.shipments if "hand" in shipment.filled.care)
    threshold = plan.move.settings.insure_from
    assert threshold is not None
    assert any(shipment.filled.value >= threshold for shipment in plan.shipments)


def test_the_same_workbook_gives_the_same_results(written: Path, tmp_path: Path) -> None:
    """Two searches on one core, in two processes: the same parts of the file, byte for byte."""
    again = tmp_path / written.name
    command = [sys.executable, "-c", ONE_CORE, str(COLLECTOR), str(again), str(AMPLE)]
    subprocess.run(command, check=True, capture_output=True, timeout=AMPLE)
    first, second = parts(written), parts(again)
    assert [name for name in first if first[name] != second.get(name)] == []
    assert list(first) == list(second)


@pytest.mark.parametrize("command", ["alone", "results"])
def test_the_command_costs_no_more_than_its_gap_allows(
    plan: shipopt.Plan, command: str, request: pytest.FixtureRequest
) -> None:
    """Two runs may find two plans and two floors; but neither costs less than the other's floor."""
    shown = labelled(request.getfixturevalue(command))
    cost, floor = (Decimal(repr(shown[label])) for label in ("Total cost", "Lower bound"))
    assert plan.search.floor <= cost
    assert floor <= totals(plan.move, plan.shipments).total_cost
    assert (cost - floor) / cost * 100 <= GAP


def test_the_whole_command_writes_whole_results(plan: shipopt.Plan, results: Path) -> None:
    shown = labelled(results)
    sums = sum(Decimal(repr(shown[label])) for label in ("Carriage", "Cartons bought", "Cover fees"))
    assert Decimal(repr(shown["Total cost"])).quantize(Decimal("0.01")) == sums.quantize(Decimal("0.01"))
    assert len(rows_of(results, "Carton list")) == shown["Cartons"]
    packed = rows_of(results, "Packing list")
    assert len(packed) == shown["Records"] == sum(record.copies for record in plan.move.records)
    assert Counter(row["Record ID"] for row in packed) == {r.record_id: r.copies for r in plan.move.records}
    book = openpyxl.load_workbook(results)
    assert book.sheetnames == [entry.sheet.name for entry in SHEETS if entry.sheet.name != "Changes"]
    told = {sheet: " ".join(str(c.value) for row in book[sheet].iter_rows() for c in row) for sheet in COMPARING}
    assert [sheet for sheet, words in told.items() if "not asked for" in words.lower()] == []


def parts(workbook: Path) -> dict[str, bytes]:
    """What is inside a workbook's file, by name."""
    with zipfile.ZipFile(workbook) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def test_the_script_makes_the_workbooks_that_are_here(tmp_path: Path) -> None:
    """Compared part by part: how a part is compressed differs from machine to machine."""
    shutil.copytree(
        EXAMPLES, tmp_path, dirs_exist_ok=True, ignore=shutil.ignore_patterns("*.xlsx", "*.png", "__pycache__")
    )
    where = {**os.environ, "PYTHONPATH": str(HOUSE)}
    subprocess.run([sys.executable, "make_examples.py"], cwd=tmp_path, env=where, check=True, capture_output=True)
    here = sorted(path.relative_to(EXAMPLES) for path in EXAMPLES.rglob("*.xlsx") if ".results" not in path.name)
    assert here
    for path in here:
        assert parts(tmp_path / path) == parts(EXAMPLES / path), path


def test_everything_in_the_examples_is_said_to_be_invented() -> None:
    for folder in (path for path in EXAMPLES.iterdir() if path.is_dir() and path.name[0].isdigit()):
        assert "invented" in (folder / "README.md").read_text(encoding="utf-8")
