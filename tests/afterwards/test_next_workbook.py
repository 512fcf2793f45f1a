"""The next workbook: what was packed stands in it, everything else is kept, and the pair of files must match."""

import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import openpyxl
import pytest
from afterwards.books import planned

import shipopt
from shipopt.move.words import Status


@pytest.fixture(scope="module")
def pair(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A workbook and its results."""
    return planned(tmp_path_factory.mktemp("planned"))


def values_of(path: Path, sheet: str) -> list[tuple[Any, ...]]:
    """What a sheet shows."""
    return list(openpyxl.load_workbook(path, data_only=True)[sheet].iter_rows(values_only=True))


def test_the_next_workbook_reads_and_plans_to_the_same_total(pair: tuple[Path, Path], tmp_path: Path) -> None:
    following = tmp_path / "next.xlsx"
    shipopt.carry_on(*pair, following)
    first = shipopt.plan_workbook(pair[0], tmp_path / "first.xlsx")
    again = shipopt.plan_workbook(following, tmp_path / "again.xlsx")
    assert again.totals.total_cost == first.totals.total_cost
    assert again.totals.records == first.totals.records
    before = {row.carton_no: (row.quote, row.cover, row.carton_price) for row in first.cartons}
    assert {row.carton_no: (row.quote, row.cover, row.carton_price) for row in again.cartons} == before


def test_sent_cartons_stand_with_their_quote_and_what_was_paid(pair: tuple[Path, Path], tmp_path: Path) -> None:
    following = tmp_path / "next.xlsx"
    shipopt.carry_on(*pair, following, sent=["Van"], arrived=["1"])
    first = shipopt.plan_workbook(pair[0], tmp_path / "first.xlsx")
    move = shipopt.read_workbook(following).move
    gone = {packed.filled.number: packed for packed in move.gone}
    van = {row.carton_no for row in first.cartons if row.quote == "Van"}
    assert set(gone) == van | {"1"}
    assert all(packed.gone_by == "Van" for number, packed in gone.items() if number in van)
    assert sum(gone[number].paid for number in van) == sum(b.carriage for b in first.bookings if b.quote == "Van")
    assert gone["1"].status is Status.ARRIVED
    assert not move.quotes["Van"].consider
    again = shipopt.plan_workbook(following, tmp_path / "again.xlsx")
    assert again.totals.total_cost == first.totals.total_cost
    assert not {shipment.filled.number for shipment in again.plan.shipments} & set(gone)


def test_lines_in_several_cartons_are_split_in_place(pair: tuple[Path, Path], tmp_path: Path) -> None:
    following = tmp_path / "next.xlsx"
    on = shipopt.carry_on(*pair, following)
    assert any(len(parts) > 1 for parts in on.parts.values())
    records = shipopt.read_workbook(following).move.records
    assert [record.shelf for record in records] == sorted(record.shelf for record in records)
    assert {record.record_id.split("/")[0] for record in records} == {"row-2", "B1", "S1"}
    assert sum(record.copies for record in records) == 300
    assert {record.title for record in records if record.shelf == "A"} == {"=1+1"}


def test_everything_else_is_kept(pair: tuple[Path, Path], tmp_path: Path) -> None:
    following = tmp_path / "next.xlsx"
    shipopt.carry_on(*pair, following)
    old, new = (openpyxl.load_workbook(path) for path in (pair[0], following))
    assert new.sheetnames == [*old.sheetnames, "Last plan"]
    for name in old.sheetnames:
        if name not in ("Records", "Cartons", "Packed already"):
            assert values_of(following, name) == values_of(pair[0], name), name
        first, second = old[name], new[name]
        assert [d.sqref for d in first.data_validations.dataValidation] == [
            d.sqref for d in second.data_validations.dataValidation
        ]
        for cell in next(first.iter_rows(max_row=1)):
            again = second[cell.coordinate]
            assert (cell.value, cell.number_format) == (again.value, again.number_format)
            assert (cell.font.b, cell.font.sz, cell.fill.fgColor.rgb) == (
                again.font.b,
                again.font.sz,
                again.fill.fgColor.rgb,
            )
            assert (cell.comment and cell.comment.text) == (again.comment and again.comment.text)


def test_formulas_move_along_and_keep_their_values(pair: tuple[Path, Path], tmp_path: Path) -> None:
    following = tmp_path / "next.xlsx"
    shipopt.carry_on(*pair, following)
    records = openpyxl.load_workbook(following)["Records"]
    own = records.max_column
    while records.cell(1, own).value != "Bought for":
        own -= 1
    written = [(row, records.cell(row, own).value) for row in range(2, records.max_row + 1)]
    written = [(row, text) for row, text in written if text]
    assert [text for row, text in written] == [f"=E{row}*2" for row, _ in written]
    stored = openpyxl.load_workbook(following, data_only=True)
    assert all(stored["Records"].cell(row, own).value is not None for row, _ in written)
    assert stored["My own"]["B1"].value == 300


def test_boxes_used_up_are_no_longer_on_hand(pair: tuple[Path, Path], tmp_path: Path) -> None:
    following = tmp_path / "next.xlsx"
    on = shipopt.carry_on(*pair, following)
    old, new = (shipopt.read_workbook(path).move.cartons for path in (pair[0], following))
    assert on.boxes
    for name, used in on.boxes.items():
        assert new[name].on_hand == max(0, old[name].on_hand - used)
        assert new[name].most == old[name].most - used


def test_results_of_another_workbook_are_refused(pair: tuple[Path, Path], tmp_path: Path) -> None:
    other = tmp_path / "other.xlsx"
    book = openpyxl.load_workbook(pair[0])
    book["Move"]["B2"] = "Another"
    book.save(other)
    with pytest.raises(shipopt.WrongResults, match="another workbook"):
        shipopt.carry_on(other, pair[1], tmp_path / "next.xlsx")
    with pytest.raises(shipopt.WrongResults):
        shipopt.carry_on(pair[0], pair[0], tmp_path / "next.xlsx")
    assert not (tmp_path / "next.xlsx").exists()


def test_what_is_in_no_carton_or_in_two_is_told_with_its_cell(pair: tuple[Path, Path], tmp_path: Path) -> None:
    changed = tmp_path / "changed.xlsx"
    book = openpyxl.load_workbook(pair[1], data_only=True)
    sheet = book["Packing list"]
    sheet["A2"], sheet["C3"] = "77", "no such record"
    sheet["D5"] = sheet["D4"].value
    book.save(changed)
    with pytest.raises(shipopt.WrongResults) as told:
        shipopt.carry_on(pair[0], changed, tmp_path / "next.xlsx")
    assert {"Packing list!A2", "Packing list!C3", "Packing list!C5"} <= {e.place for e in told.value.errors}
    assert any(error.code == "not-packed" for error in told.value.errors)


def test_the_column_status_of_the_results_may_say_what_is_sent(pair: tuple[Path, Path], tmp_path: Path) -> None:
    marked = tmp_path / "marked.xlsx"
    book = openpyxl.load_workbook(pair[1], data_only=True)
    sheet = book["Carton list"]
    (status,) = [cell.column for cell in sheet[1] if cell.value == "Status"]
    sheet.cell(2, status, "Sent")
    book.save(marked)
    on = shipopt.carry_on(pair[0], marked, tmp_path / "next.xlsx")
    assert [packed.status for packed in on.closed].count(Status.SENT) == 1


def test_the_command(pair: tuple[Path, Path], tmp_path: Path) -> None:
    def run(*arguments: str) -> subprocess.CompletedProcess[str]:
        job = [sys.executable, "-m", "shipopt", "again", *map(str, pair), *arguments]
        return subprocess.run(job, cwd=tmp_path, capture_output=True, text=True, timeout=60)

    done = run("-o", "next.xlsx", "--sent", "Post", "--loose", "1")
    assert done.returncode == 0, done.stderr
    assert "sent" in done.stdout
    assert (tmp_path / "next.xlsx").is_file()
    assert run("-o", str(pair[0])).returncode == 2
    assert "neither a carton" in run("-o", "next.xlsx", "--sent", "99").stderr


def test_a_plan_is_carried_on_again_and_again(pair: tuple[Path, Path], tmp_path: Path) -> None:
    """Packed, then some sent, then all gone: each time from the results before, at the same total. What has gone is
    named by its cartons, since no quote of the plan carries it any more."""
    first = shipopt.plan_workbook(pair[0], tmp_path / "first.xlsx")
    by_van = [row.carton_no for row in first.cartons if row.quote == "Van"]
    workbook, results = pair
    for step, (sent, arrived) in enumerate([([], []), (["Van"], []), (["Post"], by_van)]):
        following = tmp_path / f"move_{step}.xlsx"
        shipopt.carry_on(workbook, results, following, sent=sent, arrived=arrived)
        workbook, results = following, tmp_path / f"move_{step}.results.xlsx"
        again = shipopt.plan_workbook(workbook, results)
        assert again.totals.total_cost == first.totals.total_cost
        assert again.totals.records == first.totals.records
    assert again.plan.shipments == ()
    assert {row.carton_no: row.status for row in again.cartons} == {
        row.carton_no: "arrived" if row.carton_no in by_van else "sent" for row in first.cartons
    }


def _altered(pair: tuple[Path, Path], folder: Path, change: Callable[[Any], None]) -> tuple[Path, Path]:
    """The workbook after a change of its sheet Records, with results of its own."""
    path, results = folder / "altered.xlsx", folder / "altered.results.xlsx"
    book = openpyxl.load_workbook(pair[0])
    change(book["Records"])
    book.save(path)
    shipopt.plan_workbook(path, results)
    return path, results


def test_notes_and_links_stay_with_their_records(pair: tuple[Path, Path], tmp_path: Path) -> None:
    def annotate(records: Any) -> None:
        for row in (2, 3, 4):
            records.cell(row, 2).comment = openpyxl.comments.Comment(f"mine, row {row}", "me")
            records.cell(row, 3).hyperlink = f"https://example.org/{row}"

    following = tmp_path / "next.xlsx"
    on = shipopt.carry_on(*_altered(pair, tmp_path, annotate), following)
    assert any(len(parts) > 1 for parts in on.parts.values())
    records = openpyxl.load_workbook(following)["Records"]
    shelves = {2: "A", 3: "B", 4: "C"}
    told = [
        (row, note.text, records.cell(row, 3).hyperlink.target)
        for row in range(2, records.max_row + 1)
        if (note := records.cell(row, 2).comment)
    ]
    first_of: dict[str, int] = {}
    for row in range(2, records.max_row + 1):
        first_of.setdefault(records.cell(row, 9).value, row)
    assert told == [(first_of[shelf], f"mine, row {n}", f"https://example.org/{n}") for n, shelf in shelves.items()]


def test_rows_that_only_have_a_format_are_not_gone_through(pair: tuple[Path, Path], tmp_path: Path) -> None:
    """Some programs give all rows of a sheet a format; a million of them took hours. What stands there stays there."""

    def reach_down(records: Any) -> None:
        records.cell(900_000, 3).font = openpyxl.styles.Font(bold=True)
        records.merge_cells("M700:N701")

    following = tmp_path / "next.xlsx"
    on = shipopt.carry_on(*_altered(pair, tmp_path, reach_down), following)
    records = openpyxl.load_workbook(following)["Records"]
    more = sum(len(parts) - 1 for parts in on.parts.values() if parts)
    assert more > 0
    assert records.cell(900_000, 3).font.b
    assert [str(merged) for merged in records.merged_cells.ranges] == [f"M{700 + more}:N{701 + more}"]


@pytest.mark.parametrize("authors", ["<authors/>", "<authors></authors>", "<authors><author>me</author></authors>"])
def test_notes_without_authors_are_kept(pair: tuple[Path, Path], tmp_path: Path, authors: str) -> None:
    """Gnumeric lists none; others may refer to one that is not listed."""
    path, results = tmp_path / "noted.xlsx", tmp_path / "noted.results.xlsx"
    with ZipFile(pair[0]) as old, ZipFile(path, "w") as new:
        for info in old.infolist():
            part = old.read(info)
            if re.search(rb"<comments[ >]", part[:500]):
                part = re.sub(rb"<authors.*?</authors>", authors.encode(), part, flags=re.DOTALL)
                part = re.sub(rb' authorId="\d+"', b"" if authors == "<authors/>" else b' authorId="2"', part)
            new.writestr(info, part)
    shipopt.plan_workbook(path, results)
    shipopt.carry_on(path, results, tmp_path / "next.xlsx")
    before, after = (openpyxl.load_workbook(each)["Records"]["A1"] for each in (pair[0], tmp_path / "next.xlsx"))
    assert before.comment is not None
    assert after.comment is not None
    assert after.comment.text == before.comment.text


def test_a_workbook_that_cannot_be_copied_is_told(
    pair: tuple[Path, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stumble(*_: Any, **__: Any) -> None:
        raise IndexError("list index out of range")

    monkeypatch.setattr(openpyxl, "load_workbook", stumble)
    with pytest.raises(shipopt.WorkbookErrors) as told:
        shipopt.carry_on(*pair, tmp_path / "next.xlsx")
    assert [error.code for error in told.value.errors] == ["file-not-copied"]
    assert list(tmp_path.iterdir()) == []
