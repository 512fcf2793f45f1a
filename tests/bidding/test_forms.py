"""Bid forms say what is to be carried and nothing worth stealing; only their answer cells can be filled."""

from decimal import Decimal
from pathlib import Path
from zipfile import ZipFile

import openpyxl
from asked import SECRETS, form_of, move_of
from small_moves import move, record

from shipopt.bidding import form
from shipopt.bidding.load import loads
from shipopt.move.words import Means
from shipopt.workbook.declaration import QUOTES
from shipopt.workbook.reader import read


def test_there_is_a_form_for_each_means_that_something_may_travel_by(tmp_path: Path) -> None:
    form_of(tmp_path)
    assert sorted(path.name for path in (tmp_path / "forms").iterdir()) == [
        "bid_form_freight.xlsx",
        "bid_form_post.xlsx",
        "bid_form_van.xlsx",
        "covering_note.txt",
    ]


def test_no_part_of_a_form_tells_a_record_or_a_value(tmp_path: Path) -> None:
    form_of(tmp_path)
    for path in (tmp_path / "forms").iterdir():
        parts = [path.read_bytes()]
        if path.suffix == ".xlsx":
            with ZipFile(path) as archive:
                parts = [archive.read(name) for name in archive.namelist()]
        for part in parts:
            assert not [secret for secret in SECRETS if secret.encode() in part], path.name
    with ZipFile(move_of(tmp_path)) as archive:
        whole = b"".join(archive.read(name) for name in archive.namelist())
    assert not [secret for secret in SECRETS if secret.encode() not in whole], "the secrets stand in the workbook"


def test_only_the_answers_are_unlocked(tmp_path: Path) -> None:
    book = openpyxl.load_workbook(form_of(tmp_path))
    assert all(sheet.protection.sheet for sheet in book)
    wanted = {f"{letter}{line.row}" for line in form.answers(Means.VAN) for letter in "BCD"}
    wanted |= {f"{letter}{form.BIDDER_ROW}" for letter in "BCD"}
    for table in form.tables(Means.VAN):
        rows = range(table.row + 1, table.row + 1 + form.TABLE_ROWS)
        wanted |= {f"{letter}{row}" for row in rows for letter in "ABCD"}
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert {cell.coordinate for cell in cells if not cell.protection.locked} == wanted
    assert not [cell for cell in book[form.TO_READ]["A1:J40"] for each in cell if not each.protection.locked]


def test_a_form_is_the_same_each_time(tmp_path: Path) -> None:
    first = form_of(tmp_path).read_bytes()
    assert form_of(tmp_path).read_bytes() == first


def test_answers_are_columns_of_quotes_each_once() -> None:
    fields = [line.column.field for line in form.answers(Means.VAN)]
    assert len(fields) == len(set(fields))
    left_out = {column.field for column in QUOTES.columns} - set(fields) - {form.BIDDER.field}
    tariffs = {tariff.field for tariff in form.TARIFFS}
    own = {"name", "means", "consider", "cartons_accepted", "loss_chance", "damage_chance", "whole_load_loss"}
    assert left_out == own | tariffs


def test_the_reference_changes_with_what_is_asked_and_not_with_the_quotes(tmp_path: Path) -> None:
    before = read(move_of(tmp_path), quotes_to_come=True).move
    quoted = read(move_of(tmp_path, Quotes=[{"Quote": "Q", "Means": "van"}]), quotes_to_come=True).move
    moved = read(move_of(tmp_path, Move={"To": "Elsewhere"}), quotes_to_come=True).move
    assert before
    assert quoted
    assert moved
    references = [load.reference for load in loads(before)]
    assert len(set(references)) == 3
    assert [load.reference for load in loads(quoted)] == references
    assert not set(references) & {load.reference for load in loads(moved)}


def test_the_estimate_carries_all_weight_within_the_limits() -> None:
    it = move([record(0, copies=500)])
    for load in loads(it):
        contents = sum((r.weight * r.copies for r in it.loose), Decimal(0))
        empty = sum((line.count * line.carton.empty_weight for line in load.lines), Decimal(0))
        weight = sum((line.weight for line in load.lines), Decimal(0))
        assert contents + empty <= weight < contents + empty + len(load.lines)
        for line in load.lines:
            assert line.weight / line.count <= it.settings.heaviest_carton
            room = line.count * line.carton.stack_length * it.settings.fill_most
            assert sum((r.thickness * r.copies for r in it.loose), Decimal(0)) <= room


def test_cartons_closed_already_are_counted_as_they_are(tmp_path: Path) -> None:
    closed = [{"Carton no.": "P1", "Carton": "LP carton", "Gross weight": 18, "Value": 700, "Records": 70}]
    plain = read(move_of(tmp_path), quotes_to_come=True).move
    more = read(move_of(tmp_path, **{"Packed already": closed}), quotes_to_come=True).move
    assert plain
    assert more
    counts = [sum(line.count for load in loads(each) for line in load.lines) for each in (plain, more)]
    assert counts[1] == counts[0] + len(loads(more))
