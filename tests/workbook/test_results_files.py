"""Results as files: whole or not at all, as JSON with the same figures, as data frames."""

import json
from datetime import date
from decimal import Decimal
from pathlib import Path

import openpyxl
import pandas as pd
import pytest
from small_moves import gone, larger_plan, small_plan

from shipopt.workbook.results.columns import key_of
from shipopt.workbook.results.data_frames import plan_tables
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.json_plan import exact, json_text, write_json
from shipopt.workbook.results.reading import Reading
from shipopt.workbook.results.registry import SHEETS
from shipopt.workbook.results.whole_file import CannotWrite, whole_file
from shipopt.workbook.results.writing import write_results


def write_half(target: Path, fault: Exception) -> None:
    """Half a file, and then a fault."""
    with whole_file(target) as unfinished:
        unfinished.write_text("half")
        raise fault


def test_an_older_file_stays_when_writing_fails(tmp_path: Path) -> None:
    target = tmp_path / "plan.xlsx"
    target.write_text("older")
    with pytest.raises(RuntimeError, match="halfway"):
        write_half(target, RuntimeError("halfway"))
    assert target.read_text() == "older"
    assert list(tmp_path.iterdir()) == [target]


def test_a_file_open_elsewhere_is_named_and_left(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "plan.xlsx"
    target.write_text("older")

    def refused(self: Path, target: Path) -> Path:
        raise PermissionError(13, "The process cannot access the file")

    monkeypatch.setattr(Path, "replace", refused)
    with pytest.raises(CannotWrite, match=r"plan\.xlsx cannot be written: .*open in another program"):
        write_results(target, small_plan())
    assert target.read_text() == "older"
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize(("name", "why"), [("nowhere/plan.xlsx", "there is no folder"), ("folder", "it is a folder")])
def test_a_place_that_cannot_be_written_is_said(name: str, why: str, tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    with pytest.raises(CannotWrite, match=why):
        write_results(tmp_path / name, small_plan())
    assert [path.name for path in tmp_path.iterdir()] == ["folder"]


def test_a_full_disk_is_said_and_nothing_stays(tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match="No space left"):
        write_half(tmp_path / "plan.json", OSError(28, "No space left on device"))
    assert list(tmp_path.iterdir()) == []


def test_a_disk_that_fills_while_the_workbook_is_written_is_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(path: Path, content: bytes) -> None:
        with path.open("wb") as file:
            file.write(content[: len(content) // 2])
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(CannotWrite, match=r"plan\.xlsx cannot be written: No space left on device"):
        write_results(tmp_path / "plan.xlsx", small_plan())
    assert list(tmp_path.iterdir()) == []


def test_an_older_file_is_replaced_and_keeps_its_permissions(tmp_path: Path) -> None:
    target = tmp_path / "plan.json"
    target.write_text("older")
    target.chmod(0o640)
    write_json(target, Results(small_plan()))
    assert json.loads(target.read_text(encoding="utf-8"))["plan"]["currency"] == "EUR"
    assert target.stat().st_mode & 0o777 == 0o640
    assert list(tmp_path.iterdir()) == [target]


def test_json_has_every_total_exactly() -> None:
    results = Results(larger_plan(500), Reading("a.xlsx", "c0ffee", (), ("Noticed.",)))
    found = json.loads(json_text(results), parse_float=Decimal)
    for label in ("total_cost", "carriage", "cartons_bought", "cover_fees", "value_moved", "records", "cartons"):
        assert found["plan"][label] == getattr(results.totals, label)
    assert found["plan"]["gap_percent"] == exact(results.totals.gap_percent)
    assert sum(row["carriage"] for row in found["plan"]["bookings_to_make"]) == results.totals.carriage
    assert sum(row["cover_fee"] for row in found["carton_list"]) == results.totals.cover_fees
    assert found["input_as_read"]["sha_256"] == "c0ffee"
    assert found["plan"]["solver"] == results.plan.search.solver
    assert len(found["packing_list"]) == 500


def test_json_says_the_same_as_the_workbook(tmp_path: Path) -> None:
    path = tmp_path / "move.xlsx"
    results = write_results(path, small_plan(packed_already=[gone()]))
    found = json.loads(json_text(results))
    book = openpyxl.load_workbook(path, data_only=True)
    for sheet in ("Carton list", "Packing list", "Quotes compared"):
        keys = [key_of(str(cell.value)) for cell in book[sheet][1]]
        values_only = book[sheet].iter_rows(min_row=2, max_row=1 + len(found[key_of(sheet)]), values_only=True)
        rows = [dict(zip(keys, values, strict=True)) for values in values_only]
        for row, wanted in zip(rows, found[key_of(sheet)], strict=True):
            assert list(row) == list(wanted)
            for key, value in row.items():
                shown = value.date().isoformat() if isinstance(value, pd.Timestamp) or hasattr(value, "date") else value
                assert shown == (wanted[key] or None) or shown == pytest.approx(wanted[key], abs=1e-6), key


def test_json_is_repeatable_and_its_names_are_snake_case() -> None:
    texts = [json_text(Results(small_plan())) for _ in range(2)]
    assert texts[0] == texts[1]

    def names(value: object) -> set[str]:
        if isinstance(value, dict):
            return set(value).union(*(names(each) for each in value.values())) if value else set()
        return set().union(*(names(each) for each in value)) if isinstance(value, list) else set()

    assert all(name == key_of(name) for name in names(json.loads(texts[0])))


def test_numbers_beyond_six_places_are_rounded_others_kept() -> None:
    assert exact(Decimal("1.23")) == Decimal("1.23")
    assert str(exact(Decimal(1) / 3)) == "0.333333"
    assert str(exact(Decimal("5.00"))) == "5.00"


def test_data_frames_hold_every_table(tmp_path: Path) -> None:
    plan = small_plan(packed_already=[gone()])
    frames, totals = plan_tables(plan), Results(plan).totals
    assert len(frames) == sum(len(entry.sheet.tables) for entry in SHEETS)
    assert frames["carton_list"]["value"].sum() == pytest.approx(float(totals.value_moved))
    assert frames["carton_list"]["trip"].dtype == "Int64"
    assert frames["packing_list"].shape[0] == totals.records - 70
    assert frames["totals"].loc[0, "total_cost"] == pytest.approx(float(totals.total_cost))
    assert frames["quotes_compared"].set_index("quote").loc["Late van", "arrives"] == pd.Timestamp(date(2031, 4, 30))
    assert plan_tables(Results(plan))["bookings_to_make"].equals(frames["bookings_to_make"])
