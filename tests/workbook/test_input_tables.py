"""Headings, sheets, blank rows, settings: found however they are spelled and wherever they stand."""

from datetime import date, datetime
from decimal import Decimal
from pathlib import Path

import openpyxl
from workbook.books import changed, reading_of, sound, told, with_cells, written

from shipopt.move.words import Units
from shipopt.workbook.declaration import MOVE
from shipopt.workbook.reader import read


def test_headings_match_whatever_their_case_spaces_and_line_breaks(tmp_path: Path) -> None:
    headings = {
        "Records!A1": " RECORD  id ",
        "Records!F1": "Value\neach",
        "Records!D1": "format\u00a0",
        "Move!B1": "VALUE",
    }
    reading = read(with_cells(written(tmp_path), headings))
    assert told(reading.errors) == []
    assert reading.notices == ()
    assert reading.move is not None
    assert [record.record_id for record in reading.move.records] == ["A1", "A2", "A3"]


def test_columns_and_sheets_may_stand_in_any_order(tmp_path: Path) -> None:
    def turn(book: openpyxl.Workbook) -> None:
        for name in book.sheetnames:
            sheet = book[name]
            if name == "Move" or name == "Start here":
                continue
            rows = [list(row) for row in sheet.iter_rows(values_only=True)]
            book.remove(sheet)
            turned = book.create_sheet(name, 0)
            for row in rows:
                turned.append(row[::-1])

    straight = reading_of(tmp_path)
    turned = read(changed(written(tmp_path), turn))
    assert turned.errors == ()
    assert turned.move == straight.move
    assert turned.sha256 != straight.sha256


def test_unknown_sheets_and_columns_are_noted_and_kept_out(tmp_path: Path) -> None:
    def add(book: openpyxl.Workbook) -> None:
        book.create_sheet("My sums")["A1"] = "=1+1"
        book["Records"]["P1"] = "Colour"
        book["Records"]["P2"] = "red"
        book["Records"]["R3"] = "a remark"
        book["Move"]["A30"], book["Move"]["B30"] = "Favourite", "none"

    reading = read(changed(written(tmp_path), add))
    assert reading.move == reading_of(tmp_path).move
    assert told(reading.notices) == [
        ("setting-unknown", "Move!A30"),
        ("column-unknown", "Records!P1"),
        ("column-without-heading", "Records!R1"),
        ("sheet-unknown", "My sums"),
    ]


def test_a_missing_optional_column_means_its_default(tmp_path: Path) -> None:
    def drop(book: openpyxl.Workbook) -> None:
        book["Records"].delete_cols(5)  # Copies
        book["Quotes"].delete_cols(4)  # Consider

    reading = read(changed(written(tmp_path), drop))
    assert reading.errors == ()
    assert reading.move is not None
    assert {record.copies for record in reading.move.records} == {1}
    assert all(quote.consider for quote in reading.move.quotes.values())


def test_optional_sheets_may_be_missing(tmp_path: Path) -> None:
    def drop(book: openpyxl.Workbook) -> None:
        for name in ("Start here", "Cover", "Packed already", "Weight breaks"):
            del book[name]

    quotes = sound()["Quotes"][:2]
    reading = read(changed(written(tmp_path, sound(Quotes=quotes)), drop))
    assert reading.errors == ()


def test_missing_sheets_and_columns_are_errors_without_errors_that_follow_from_them(tmp_path: Path) -> None:
    def drop(book: openpyxl.Workbook) -> None:
        del book["Formats"]
        del book["Means"]
        book["Care"].delete_cols(1)
        book["Quotes"].delete_cols(3)  # Means

    reading = read(changed(written(tmp_path), drop))
    assert told(reading.errors) == [
        ("sheet-missing", "Formats!A1"),
        ("column-missing", "Quotes!AR1"),
        ("sheet-missing", "Means!A1"),
        ("column-missing", "Care!J1"),
    ]


def test_two_sheets_or_columns_of_one_name_are_errors(tmp_path: Path) -> None:
    def double(book: openpyxl.Workbook) -> None:
        book.create_sheet("records ")
        book["Quotes"]["D1"] = "Bidder"

    assert told(read(changed(written(tmp_path), double)).errors) == [
        ("sheet-twice", "Records!A1"),
        ("column-twice", "Quotes!D1"),
    ]


def test_blank_rows_are_skipped_and_row_numbers_kept(tmp_path: Path) -> None:
    def spread(book: openpyxl.Workbook) -> None:
        book["Records"].insert_rows(3, 2)
        book["Records"]["B3"] = "   "
        book["Records"]["C4"] = "\u00a0"

    reading = read(changed(written(tmp_path), spread))
    assert reading.move is not None
    assert [record.origin.row for record in reading.move.records] == [2, 5, 6]
    assert [record.place for record in reading.move.records] == [0, 1, 2]


def test_a_title_line_above_the_headings_does_no_harm(tmp_path: Path) -> None:
    def title(book: openpyxl.Workbook) -> None:
        book["Records"].insert_rows(1, 2)
        book["Records"]["A1"] = "My collection"
        book["Move"].insert_rows(1)
        book["Move"]["A1"] = "The move"

    reading = read(changed(written(tmp_path), title))
    assert reading.errors == ()
    assert reading.move is not None
    assert reading.move.records[0].origin.cell("format") == "Records!D4"


def test_a_record_without_a_number_gets_one_from_its_row(tmp_path: Path) -> None:
    rows = [{"Format": "LP", "Value each": 1}, {"Record ID": "row-2", "Format": "LP", "Value each": 1}]
    reading = reading_of(tmp_path, sound(Records=rows))
    assert reading.move is not None
    assert [record.record_id for record in reading.move.records] == ["row-2+", "row-2"]


def test_settings_are_read_with_their_cells(tmp_path: Path) -> None:
    given = {
        "Title": "Moving out",
        "Decide on": date(2026, 3, 1),
        "Ready on": datetime(2026, 3, 5),
        "Needed by": "2026-04-01",
        "Insure cartons worth at least": "1,000.00",
        "Heaviest carton to lift": "20 kg",
        "Damage costs this share of value %": "25 %",
        "Count expected loss as a cost": True,
        "Stop within %": 0.25,
    }
    reading = reading_of(tmp_path, sound(Move=given))
    assert reading.move is not None
    settings = reading.move.settings
    assert settings.units is Units.KILOGRAM_CENTIMETRE
    assert (settings.decide_on, settings.ready_on, settings.needed_by) == (
        date(2026, 3, 1),
        date(2026, 3, 5),
        date(2026, 4, 1),
    )
    assert (settings.insure_from, settings.heaviest_carton) == (1000, 20)
    assert (settings.damage_share, settings.within) == (Decimal("0.25"), Decimal("0.0025"))
    assert settings.count_expected_loss is True
    assert settings.cells["heaviest_carton"] == "Move!B14"
    assert "seconds" not in settings.cells


def test_input_as_read_tells_each_setting_and_where_it_is_from(tmp_path: Path) -> None:
    facts = {fact.setting: fact for fact in reading_of(tmp_path).settings}
    assert len(facts) == len(MOVE.columns)
    assert (facts["Title"].used, facts["Title"].came_from) == ("Invented move", "Move!B2")
    assert (facts["Heaviest carton to lift"].used, facts["Heaviest carton to lift"].came_from) == ("23 kg", "default")
    assert facts["Fill at most %"].used == "98 %"
    assert facts["Expected uninsured loss at most"].used == "no cap"


def test_defaults_follow_the_units(tmp_path: Path) -> None:
    path = with_cells(written(tmp_path), {"Move!B3": "LB / IN"})
    reading = read(path)
    assert reading.move is not None
    assert reading.move.settings.heaviest_carton == 50


def test_a_setting_given_twice_is_an_error_but_a_blank_second_is_not(tmp_path: Path) -> None:
    cells = {"Move!A60": "title", "Move!B60": "Another", "Move!A61": "Units"}
    assert told(read(with_cells(written(tmp_path), cells)).errors) == [("setting-twice", "Move!B60")]


def test_required_settings_are_missed_at_their_cell_or_below_the_last(tmp_path: Path) -> None:
    def drop(book: openpyxl.Workbook) -> None:
        book["Move"]["B3"] = None
        book["Move"].delete_rows(4)

    reading = read(changed(written(tmp_path), drop))
    assert [(error.code, error.cell) for error in reading.errors if error.code == "value-missing"] == [
        ("value-missing", "B3"),
        ("value-missing", f"A{len(MOVE.columns) + 1}"),
    ]
