"""Arrival: the check-in is read back with its cells, and each claim holds what the plan knows of its cartons."""

import subprocess
import sys
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from afterwards.books import planned

import shipopt
from shipopt.workbook.results.claims import CLAIMS
from shipopt.workbook.results.letters import BOLD, fits

TODAY = date(2026, 5, 4)


@pytest.fixture(scope="module")
def pair(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A workbook and its results."""
    return planned(tmp_path_factory.mktemp("arrived"))


def filled_in(results: Path, into: Path, found: Mapping[str, Mapping[str, Any]], rest: str | None = "yes") -> Path:
    """The results with the check-in filled in: by carton number what stands under which heading, the rest arrived."""
    book = openpyxl.load_workbook(results)
    sheet = book["Check-in"]
    columns = {cell.value: cell.column for cell in sheet[1]}
    for row in range(2, sheet.max_row + 1):
        number = sheet.cell(row, 1).value
        if number:
            sheet.cell(row, columns["Arrived"], rest)
            for heading, value in found.get(number, {}).items():
                sheet.cell(row, columns[heading], value)
    path = into / "filled.results.xlsx"
    book.save(path)
    return path


def cartons_of(results: Path) -> dict[str, dict[str, Any]]:
    """The rows of the carton list by number."""
    rows = list(openpyxl.load_workbook(results, data_only=True)["Carton list"].iter_rows(values_only=True))
    return {row[0]: dict(zip(rows[0], row, strict=True)) for row in rows[1:] if row[0]}


def test_all_sound_is_no_claim(pair: tuple[Path, Path], tmp_path: Path) -> None:
    found, claims = shipopt.check_in(pair[0], filled_in(pair[1], tmp_path, {}), tmp_path / "claims.xlsx")
    assert {each.finding for each in found} == {None}
    assert claims == ()
    assert openpyxl.load_workbook(tmp_path / "claims.xlsx").sheetnames == ["Found on arrival"]


def test_what_is_not_looked_at_is_not_claimed(pair: tuple[Path, Path], tmp_path: Path) -> None:
    found, claims = shipopt.check_in(*pair, tmp_path / "claims.xlsx")
    assert {each.finding for each in found} == {shipopt.Finding.NOT_CHECKED}
    assert claims == ()


def test_missing_damaged_and_light_cartons_are_claimed_of_their_carriers(
    pair: tuple[Path, Path], tmp_path: Path
) -> None:
    cartons = cartons_of(pair[1])
    van = next(number for number, row in cartons.items() if row["Quote"] == "Van")
    posted, light = [number for number, row in cartons.items() if row["Quote"] == "Post"][:2]
    expected = Decimal(str(cartons[light]["Gross weight"]))
    marks = {
        van: {"Arrived": "no"},
        posted: {"Condition": "damaged", "Damage found": 120, "Remarks": "torn"},
        light: {"Weight found": float(expected) * 0.9},
    }
    found, claims = shipopt.check_in(pair[0], filled_in(pair[1], tmp_path, marks), tmp_path / "c.xlsx", TODAY)
    wrong = {each.filled.number: each.finding for each in found if each.finding}
    assert wrong == {van: "missing", posted: "damaged", light: "lighter than it was"}
    by_whom = {claim.whose: claim for claim in claims}
    of_van = by_whom["Claim on the carrier: Invented Vans"]
    (missing,) = of_van.cartons
    # Liability of the invented van: 5 for each kg of gross weight, no more than the value.
    owed = min(5 * Decimal(str(cartons[van]["Gross weight"])), Decimal(str(cartons[van]["Value"])))
    assert missing.owed_at_most == round(owed, 2)
    assert missing.harm == Decimal(str(cartons[van]["Value"]))
    assert sum(record.copies for record in of_van.records) == cartons[van]["Records"]
    assert sum(record.value for record in of_van.records) == missing.value
    of_post = by_whom["Claim on the carrier: Invented Post"]
    assert [(c.carton_no, c.harm, c.owed_at_most) for c in of_post.cartons] == [(posted, 120, 0), (light, None, None)]


def test_a_cover_pays_the_value_less_the_excess(pair: tuple[Path, Path], tmp_path: Path) -> None:
    covered = {number: row for number, row in cartons_of(pair[1]).items() if row["Cover"]}
    assert covered
    marks = {number: {"Arrived": "no"} for number in covered}
    _, claims = shipopt.check_in(pair[0], filled_in(pair[1], tmp_path, marks), tmp_path / "c.xlsx", TODAY)
    (claim,) = [claim for claim in claims if claim.whose == "Claim under the cover: Policy"]
    assert {carton.carton_no: carton.owed_at_most for carton in claim.cartons} == {
        number: Decimal(str(row["Value"])) - 50 for number, row in covered.items()
    }


def test_the_claims_workbook_shows_live_sums_and_no_formula_of_a_user(pair: tuple[Path, Path], tmp_path: Path) -> None:
    number = next(iter(cartons_of(pair[1])))
    marks = {number: {"Arrived": "no", "Remarks": "'=1+1"}}
    path = tmp_path / "c.xlsx"
    _, claims = shipopt.check_in(pair[0], filled_in(pair[1], tmp_path, marks), path, TODAY)
    shown, live = openpyxl.load_workbook(path, data_only=True), openpyxl.load_workbook(path)
    for place, claim in enumerate(claims, start=1):
        sums = [c for row in live[f"Claim {place}"].iter_rows() for c in row if c.data_type == "f"]
        assert sums
        assert all(str(cell.value).startswith("=SUM(") for cell in sums)
        values = [shown[f"Claim {place}"][cell.coordinate].value for cell in sums]
        assert float(sum(carton.value for carton in claim.cartons)) in values
        words = [str(v) for row in shown[f"Claim {place}"].iter_rows(values_only=True) for v in row if v]
        assert all(text in words for _, text in CLAIMS)
        wide = shown[f"Claim {place}"].column_dimensions["A"].width
        assert all(fits(word, wide / BOLD) for word, _ in CLAIMS)


def test_days_to_claim_count_from_the_day_of_arrival(pair: tuple[Path, Path], tmp_path: Path) -> None:
    book = openpyxl.load_workbook(pair[0])
    quotes = book["Quotes"]
    (days,) = [cell.column for cell in quotes[1] if cell.value == "Claim within days"]
    for row in (2, 3, 4):
        quotes.cell(row, days, 21)
    path, results = tmp_path / "move.xlsx", tmp_path / "move.results.xlsx"
    book.save(path)
    book = openpyxl.load_workbook(pair[0], data_only=True)  # formulas of the user's own are not what is tested here
    for row in (2, 3, 4):
        book["Quotes"].cell(row, days, 21)
    book.save(path)
    shipopt.plan_workbook(path, results)
    number = next(iter(cartons_of(results)))
    marked = filled_in(results, tmp_path, {number: {"Arrived": "no"}})
    _, claims = shipopt.check_in(path, marked, tmp_path / "c.xlsx", TODAY)
    assert "2026-05-25" in dict(claims[0].facts)["Claim by"]
    _, claims = shipopt.check_in(path, marked, tmp_path / "c.xlsx")
    assert dict(claims[0].facts)["Claim by"].startswith("21 days after arrival")


def test_without_days_to_claim_the_shortest_published_period_is_told(pair: tuple[Path, Path], tmp_path: Path) -> None:
    number = next(iter(cartons_of(pair[1])))
    marked = filled_in(pair[1], tmp_path, {number: {"Arrived": "no"}})
    _, claims = shipopt.check_in(pair[0], marked, tmp_path / "c.xlsx", TODAY)
    by = dict(claims[0].facts)["Claim by"]
    assert "2026-05-11" in by  # 7 days: CMR, 1956, article 30(1), from memory
    assert "the terms may say less" in by


def test_cells_that_cannot_be_read_are_told_all_at_once(pair: tuple[Path, Path], tmp_path: Path) -> None:
    one, two = list(cartons_of(pair[1]))[:2]
    marks = {one: {"Arrived": "perhaps", "Weight found": -3}, two: {"Condition": "so so"}}
    with pytest.raises(shipopt.WrongResults) as told:
        shipopt.check_in(pair[0], filled_in(pair[1], tmp_path, marks), tmp_path / "c.xlsx")
    assert len(told.value.errors) == 3
    assert {error.sheet for error in told.value.errors} == {"Check-in"}
    assert not (tmp_path / "c.xlsx").exists()


def test_the_command(pair: tuple[Path, Path], tmp_path: Path) -> None:
    number = next(iter(cartons_of(pair[1])))
    filled = filled_in(pair[1], tmp_path, {number: {"Arrived": "no"}})
    job = [sys.executable, "-m", "shipopt", "arrived", str(pair[0]), str(filled), "-o", "c.xlsx", "--on", "2026-05-04"]
    done = subprocess.run(job, cwd=tmp_path, capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, done.stderr
    assert f"carton {number} " in done.stdout
    assert "missing" in done.stdout
    assert "Claim 1" in done.stdout
