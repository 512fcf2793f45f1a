"""Templates: the same file each time, notes and drop-downs from the declaration, no row that could be priced by
mistake; and workbooks written from rows.
"""

import os
import re
import zipfile
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from openpyxl.utils import get_column_letter
from spreadsheet_program import need_spreadsheet_program, printed, recalculated
from workbook.books import SOUND, reading_of, sound, told, written

from shipopt.workbook.declaration import INPUT_SHEETS, MOVE, QUOTES, RECORDS, START_HERE
from shipopt.workbook.kinds import Reference, Word, YesNo
from shipopt.workbook.number_kinds import Percent
from shipopt.workbook.reader import read
from shipopt.workbook.start_here import CAUTIONS, STEPS
from shipopt.workbook.template import write_template, write_workbook

STORED = Path(__file__).parents[2] / "templates"
TEMPLATES = {"template_lb_in_USD.xlsx": ("lb / in", "USD"), "template_kg_cm_EUR.xlsx": ("kg / cm", "EUR")}
TO_FILL = [sheet for sheet in INPUT_SHEETS if not sheet.by_program]
ROW_SHEETS = [sheet for sheet in TO_FILL if not sheet.settings]


@pytest.fixture(name="book", scope="module")
def _book(tmp_path_factory: pytest.TempPathFactory) -> Any:
    path = tmp_path_factory.mktemp("template") / "template.xlsx"
    write_template(path, "kg / cm", "EUR")
    return openpyxl.load_workbook(path)


def _parts(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as archive:
        return {info.filename: archive.read(info) for info in archive.infolist()}


def test_the_stored_templates_are_those_the_program_writes(tmp_path: Path) -> None:
    """Compared part by part, since compression may differ from one library of it to the next. To accept an intended
    change, run with ``SHIPOPT_GOLDEN=write``."""
    for name, (units, currency) in TEMPLATES.items():
        if os.environ.get("SHIPOPT_GOLDEN") == "write":
            write_template(STORED / name, units, currency)
        write_template(tmp_path / name, units, currency)
        assert _parts(STORED / name) == _parts(tmp_path / name), name
    assert sorted(path.name for path in STORED.iterdir()) == sorted(TEMPLATES)


def test_a_template_is_the_same_file_each_time(tmp_path: Path) -> None:
    for name in ("a.xlsx", "b.xlsx"):
        write_workbook(tmp_path / name, "lb / in", "JPY", SOUND)
    assert (tmp_path / "a.xlsx").read_bytes() == (tmp_path / "b.xlsx").read_bytes()


def test_sheets_and_headings_are_those_declared(book: Any) -> None:
    assert book.sheetnames == [START_HERE, *(sheet.name for sheet in TO_FILL)]
    for sheet in ROW_SHEETS:
        assert [cell.value for cell in book[sheet.name][1]] == [column.heading for column in sheet.columns]
    assert [row[0].value for row in book[MOVE.name].iter_rows(min_row=2)] == [column.heading for column in MOVE.columns]


def test_every_heading_has_a_note_with_help_default_and_unit(book: Any) -> None:
    for sheet in ROW_SHEETS:
        for cell, column in zip(book[sheet.name][1], sheet.columns, strict=True):
            lines = cell.comment.text.split("\n")
            assert lines[0] == column.help
            assert lines[1] == "Required." if column.required else lines[1].startswith("Blank: ")
            assert lines[2].startswith("Accepted: ")
            assert lines[3].startswith(("Unit: ", "No unit."))
    assert book[QUOTES.name]["J1"].comment.text.endswith("Unit: EUR per kg")


def test_required_headings_are_marked_by_more_than_colour(book: Any) -> None:
    for sheet in ROW_SHEETS:
        for cell, column in zip(book[sheet.name][1], sheet.columns, strict=True):
            assert (cell.font.u == "single") is column.required
            assert (cell.border.top.style == "thick") is column.required


def test_closed_words_and_references_have_drop_downs(book: Any) -> None:
    for sheet in ROW_SHEETS:
        validations = {str(each.sqref).split(":")[0]: each for each in book[sheet.name].data_validations.dataValidation}
        for index, column in enumerate(sheet.columns, start=1):
            found = validations.get(f"{get_column_letter(index)}2")
            if isinstance(column.kind, YesNo | Word):
                assert found is not None
                assert found.formula1.strip('"').split(",") == list(column.kind.words)
            if isinstance(column.kind, Reference):
                assert found is not None
                assert re.fullmatch(rf"'?{column.kind.to.name}'?!\$A\$2:\$A\$\d+", found.formula1)
    settings = {str(each.sqref): each.formula1 for each in book[MOVE.name].data_validations.dataValidation}
    assert settings["B3"] == '"lb / in,kg / cm"'


def test_the_title_of_the_first_sheet_stands_across_the_page(tmp_path: Path) -> None:
    """It is wrapped like all text: in one narrow cell only its first letter would show."""
    path = tmp_path / "template.xlsx"
    write_template(path, "kg / cm", "EUR")
    sheet = openpyxl.load_workbook(path)[START_HERE]
    assert "A1:C1" in [str(cells) for cells in sheet.merged_cells.ranges]


def test_sheets_are_set_up_for_screen_and_paper(book: Any) -> None:
    for sheet in ROW_SHEETS:
        worksheet = book[sheet.name]
        assert worksheet.freeze_panes == "B2"
        assert worksheet.auto_filter.ref
        assert worksheet.print_title_rows == "$1:$1"
        wide = len(sheet.columns) > 6
        assert worksheet.page_setup.orientation == ("landscape" if wide else "portrait")
        assert worksheet.sheet_properties.pageSetUpPr.fitToPage
    first = book[START_HERE].page_setup
    assert (first.orientation, first.fitToWidth or 1, first.fitToHeight or 1) == ("portrait", 1, 1)


def test_percent_cells_stay_general_so_that_98_percent_typed_is_understood(book: Any) -> None:
    """In a general cell a spreadsheet program given "98%" sets a percent format; in any other it may not."""
    for sheet in ROW_SHEETS:
        for index, column in enumerate(sheet.columns, start=1):
            if isinstance(column.kind, Percent):
                cell = book[sheet.name].cell(2, index)
                assert cell.number_format == "General"


def test_a_template_holds_no_record_quote_tariff_cover_or_carton_gone(book: Any) -> None:
    filled = {"Formats", "Cartons", "Means", "Care"}
    for sheet in ROW_SHEETS:
        rows = [row for row in book[sheet.name].iter_rows(min_row=2, values_only=True) if any(row)]
        assert bool(rows) is (sheet.name in filled), sheet.name


def test_start_here_names_every_sheet_and_the_cautions() -> None:
    named = " ".join(sheets for sheets, _ in STEPS)
    assert all(sheet.name in named for sheet in TO_FILL)
    words = " ".join(CAUTIONS).casefold()
    for caution in ("lift", "stack", "heat", "driving", "declar", "insurance", "local rules", "licensed"):
        assert caution in words


def test_a_full_carton_of_lps_weighs_what_shelves_of_lps_weigh(tmp_path: Path) -> None:
    """54 kg a metre of 12-inch records (IASA-TC 05, Handling and Storage of Audio and Video Carriers): 0.315 m hold
    about 17 kg. 60 to 80 LPs go into a carton of that length (common practice, no source)."""
    for units, currency, kilograms in (("kg / cm", "EUR", Decimal(1)), ("lb / in", "USD", Decimal("0.45359237"))):
        path = tmp_path / "move.xlsx"
        write_workbook(path, units, currency, sound(Packed_already=[]))
        move = read(path).move
        assert move is not None
        lp, carton = move.records[0].format, move.cartons["LP carton"]
        count = carton.stack_length / lp.thickness
        assert 60 <= count <= 80
        assert float(count * lp.weight * kilograms) == pytest.approx(0.315 * 54, rel=0.03)
        packed = count * move.settings.fill_most * lp.weight + carton.empty_weight
        assert packed <= move.settings.heaviest_carton


def test_values_are_written_as_what_they_are(tmp_path: Path) -> None:
    rows = [{"Record ID": "=1+1", "Title": "007", "Format": "LP", "Value each": Decimal("12.50"), "Copies": 2}]
    quotes = [
        {
            "Quote": "Van",
            "Means": "van",
            "Valid until": date(2026, 5, 1),
            "Tracked": True,
            "Cartons accepted": ["LP carton"],
        }
    ]
    move = reading_of(tmp_path, sound(Records=rows, Quotes=quotes)).move
    assert move is not None
    (record,) = move.records
    assert (record.record_id, record.title, record.value, record.copies) == ("=1+1", "007", Decimal("12.5"), 2)
    van = move.quotes["Van"]
    assert (van.valid_until, van.tracked, van.cartons_accepted) == (date(2026, 5, 1), True, ("LP carton",))


@pytest.mark.parametrize(
    "tables",
    [
        {"Record": []},
        {"Records": [{"Colour": "red"}]},
        {"Move": {"Colour": "red"}},
        {"Records": [{"Notes": "x" * 40_000}]},
    ],
)
def test_what_is_not_declared_is_not_written(tmp_path: Path, tables: Any) -> None:
    with pytest.raises(ValueError, match=r"no such|longer"):
        write_workbook(tmp_path / "move.xlsx", "kg / cm", "EUR", tables)
    assert not (tmp_path / "move.xlsx").exists()


@pytest.mark.parametrize(("units", "currency"), [("kg / in", "EUR"), ("kg / cm", "EURO")])
def test_units_and_currency_must_exist(tmp_path: Path, units: str, currency: str) -> None:
    with pytest.raises(ValueError, match=r"kg / in|EURO"):
        write_template(tmp_path / "move.xlsx", units, currency)


def test_a_folder_that_is_not_there_is_an_os_error(tmp_path: Path) -> None:
    with pytest.raises(OSError, match="absent"):
        write_template(tmp_path / "absent" / "move.xlsx", "kg / cm", "EUR")


@pytest.mark.spreadsheet
def test_a_spreadsheet_program_keeps_what_a_workbook_says(tmp_path: Path) -> None:
    """Opened and saved by another program, a workbook is read as the same move; the template prints."""
    need_spreadsheet_program()
    filled, empty = written(tmp_path), tmp_path / "template.xlsx"
    write_template(empty, "lb / in", "USD")
    saved, template = recalculated([filled, empty], tmp_path / "saved")
    assert read(saved).move == read(filled).move
    assert read(saved).move is not None
    assert told(read(template).errors) == [("no-records", f"{RECORDS.name}!A2")]
    assert read(template).notices == ()
    again = openpyxl.load_workbook(template)
    assert len(again[QUOTES.name].data_validations.dataValidation) > 10
    (pdf,) = printed([empty], tmp_path / "printed")
    assert pdf.read_bytes().startswith(b"%PDF")
