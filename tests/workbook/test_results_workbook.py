"""The results workbook: its sheets, headings and labels, its totals against an independent working-out, its texts."""

from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from zipfile import ZipFile

import openpyxl
import pytest
from independent.random_moves import middling
from independent.random_plans import random_plan
from independent.recompute import NoPriceError
from independent.recompute import totals as recomputed
from openpyxl.worksheet.worksheet import Worksheet
from small_moves import SEARCH, gone, larger_plan, plan_of, record, settings, small_plan

from shipopt.move.plan import Plan
from shipopt.workbook.look import LONGEST_TEXT
from shipopt.workbook.results.cell_text import cell_text
from shipopt.workbook.results.columns import key_of
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.reading import Reading
from shipopt.workbook.results.registry import SHEETS, Entry
from shipopt.workbook.results.writing import write_results

SHEET_ORDER = [
    "Plan",
    "Carton list",
    "Packing list",
    "Quotes compared",
    "Cost of caution",
    "What binds",
    "Charges",
    "Risk",
    "Cover to buy",
    "Shelving",
    "Labels",
    "Diary",
    "Content slips",
    "Handling",
    "Check-in",
    "Input as read",
]
PAGED = ["Packing list", "Labels", "Content slips"]
"""Sheets that always have page breaks of their own, which fitting to the page would undo."""
LABELS = [
    "Total cost",
    "Carriage",
    "Cartons bought",
    "Cover fees",
    "Expected uninsured loss",
    "Average of worst 5%",
    "Value moved",
    "Value covered",
    "Records",
    "Cartons",
    "Lower bound",
    "Gap %",
]
HEADINGS = {
    "Carton list": "Carton no. | Carton | Quote | Trip | Records | Fill % | Gross weight | Billed weight | Value | "
    "Care | Cover | Cover fee | Carton price | Expected uninsured loss | First shelf | Last shelf",
    "Packing list": "Carton no. | Place | Record ID | Copy | Artist | Title | Format | Grade | Value | Care | Shelf",
}
BOOKINGS = "Quote | Bidder | Means | Trips | Cartons | Gross weight | Value | Carriage | Cover fees"


def written(plan: Plan, folder: Path, reading: Reading | None = None) -> openpyxl.Workbook:
    """The workbook of a plan, with stored values."""
    path = folder / "move.results.xlsx"
    write_results(path, plan, reading)
    return openpyxl.load_workbook(path, data_only=True)


def rows_of(sheet: Worksheet, first_heading: str) -> list[dict[str, object]]:
    """Rows of the table whose first heading is given, by heading, down to the first row without a first cell."""
    rows = [[cell.value for cell in row] for row in sheet.iter_rows()]
    top = next(number for number, row in enumerate(rows) if row[0] == first_heading)
    found = []
    for row in rows[top + 1 :]:
        if row[0] in (None, "Total"):
            break
        found.append({str(heading): value for heading, value in zip(rows[top], row, strict=True) if heading})
    return found


def labels_of(sheet: Worksheet) -> dict[str, object]:
    """Column B of the sheet by column A."""
    return {str(row[0].value): row[1].value for row in sheet.iter_rows(max_col=2) if row[0].value}


def test_sheets_headings_and_labels_are_those_of_the_contract(tmp_path: Path) -> None:
    book = written(small_plan(), tmp_path)
    assert book.sheetnames == SHEET_ORDER
    for name, headings in HEADINGS.items():
        wanted = headings.split(" | ")
        assert [cell.value for cell in book[name][1]][: len(wanted)] == wanted
    assert list(rows_of(book["Plan"], "Quote")[0]) == BOOKINGS.split(" | ")
    found = [row[0].value for row in book["Plan"].iter_rows(max_col=1) if row[0].value in LABELS]
    assert found == LABELS


def test_totals_are_live_formulas_and_equal_the_sums_of_the_lists(tmp_path: Path) -> None:
    plan = small_plan(packed_already=[gone()])
    book = written(plan, tmp_path)
    formulas = labels_of(openpyxl.load_workbook(tmp_path / "move.results.xlsx")["Plan"])
    assert {label for label in LABELS if str(formulas[label]).startswith("=")} == set(LABELS) - {
        "Average of worst 5%",
        "Lower bound",
    }
    totals, cartons = labels_of(book["Plan"]), rows_of(book["Carton list"], "Carton no.")
    assert totals["Cartons"] == len(cartons) == len(plan.shipments) + 1
    for label, column in (("Records", "Records"), ("Value moved", "Value"), ("Cartons bought", "Carton price")):
        assert totals[label] == pytest.approx(sum(float(str(row[column] or 0)) for row in cartons))
    assert totals["Value covered"] == pytest.approx(sum(float(str(row["Value"])) for row in cartons if row["Cover"]))
    carriage = sum(float(str(row["Carriage"])) for row in rows_of(book["Plan"], "Quote"))
    assert totals["Carriage"] == pytest.approx(carriage + 41.2)
    assert totals["Gap %"] == pytest.approx(100 * (1 - 400 / float(str(totals["Total cost"]))))


def test_the_gap_counts_the_expected_loss_where_the_settings_do(tmp_path: Path) -> None:
    totals = labels_of(written(small_plan(settings(count_expected_loss=True)), tmp_path)["Plan"])
    cost = float(str(totals["Total cost"])) + float(str(totals["Expected uninsured loss"]))
    assert totals["Gap %"] == pytest.approx(100 * (cost - 400) / cost)


def test_totals_equal_an_independent_working_out() -> None:
    """On random plans of random moves, to the minor unit; the loss to a millionth."""
    compared = 0
    for seed in range(40):
        it = middling(seed, cartons=10)
        shipments = random_plan(it, seed)
        try:
            wanted = recomputed(it, shipments)
        except NoPriceError:
            continue
        found = Results(Plan(it, tuple(shipments), SEARCH)).totals
        money = (found.total_cost, found.carriage, found.cartons_bought, found.cover_fees)
        assert money == (wanted.total_cost, wanted.carriage, wanted.cartons_bought, wanted.cover_fees)
        assert float(found.expected_uninsured_loss) == pytest.approx(float(wanted.expected_uninsured_loss), abs=1e-6)
        compared += 1
    assert compared >= 10


def test_the_parts_of_each_list_sum_to_the_totals() -> None:
    results = Results(larger_plan(700))
    totals = results.totals
    assert sum(row.carton_price for row in results.cartons) == totals.cartons_bought
    assert sum(row.cover_fee for row in results.cartons) == totals.cover_fees
    assert sum(row.charged for row in results.charges if row.charged is not None) == totals.carriage
    assert sum(row.all_in_cost for row in results.quotes) == totals.total_cost
    assert len(results.packing) == totals.records
    assert sum(row.value for row in results.packing) == totals.value_moved


HOSTILE = (
    "=1+1",
    "+cmd|' /C calc'!A0",
    "@SUM(A1:A9)",
    "-2",
    "{=1+1}",
    '=HYPERLINK("http://example.invalid","click")',
    "http://example.invalid/",
    "internal:'Plan'!A1",
    "mailto:nobody@example.invalid",
    "\t=1+1",
    "007",
    "1E5",
    "TRUE",
    "#REF!",
    "_x0041_",
    "<b>&amp;</b>]]>",
    "café 日本語 🎵👩‍🎤",
    "مرحبا",
    "two\nlines",
)


@pytest.mark.parametrize("text", HOSTILE)
def test_text_is_written_as_the_text_it_is(text: str, tmp_path: Path) -> None:
    first = record(0, artist=text, title=text, grade=text, shelf=text, record_id=text)
    plan = plan_of([first, *(record(place) for place in range(1, 9))])
    quotes = {name: replace(quote, bidder=text) for name, quote in plan.move.quotes.items()}
    move = replace(plan.move, quotes=quotes, settings=settings(title=text, from_place=text, to_place=text))
    shipments = tuple(replace(each, quote=quotes[each.quote.name]) for each in plan.shipments)
    path = tmp_path / "out.xlsx"
    write_results(path, Plan(move, shipments, SEARCH), Reading(text, "ab", ((text, 1),), (text,)))
    book = openpyxl.load_workbook(path)
    found = [cell for sheet in book for row in sheet.iter_rows() for cell in row if cell.value == text]
    assert len(found) >= 12
    assert {cell.data_type for cell in found} == {"s"}
    assert not any(cell.hyperlink for sheet in book for row in sheet.iter_rows() for cell in row)


def test_names_never_stand_inside_a_formula(tmp_path: Path) -> None:
    """Formulas of one plan and of the same plan with other names are the same."""
    plan = small_plan()
    quotes = {f'"&{name}': replace(quote, name=f'"&{name}') for name, quote in plan.move.quotes.items()}
    shipments = tuple(replace(each, quote=quotes['"&' + each.quote.name]) for each in plan.shipments)
    renamed = Plan(replace(plan.move, quotes=quotes), shipments, SEARCH)
    found = []
    for number, each in enumerate((plan, renamed)):
        path = tmp_path / f"{number}.xlsx"
        write_results(path, each)
        cells = (cell for sheet in openpyxl.load_workbook(path) for row in sheet.iter_rows() for cell in row)
        found.append([getattr(cell.value, "text", cell.value) for cell in cells if cell.data_type == "f"])
    assert found[0] == found[1]
    assert len(found[0]) > 40


@pytest.mark.parametrize("signs", ["\x00\x01\x1f", "\ud800", "\ufffe\uffff"])
def test_characters_that_no_file_may_hold_are_shown_as_such(signs: str, tmp_path: Path) -> None:
    book = written(small_plan(title=f"a{signs}b"), tmp_path)
    titles = [row["Title"] for row in rows_of(book["Packing list"], "Carton no.")]
    assert "a" + "\ufffd" * len(signs) + "b" in titles


def test_line_ends_of_all_kinds_become_one_kind() -> None:
    assert cell_text("a\r\nb\rc\nd") == "a\nb\nc\nd"


@pytest.mark.parametrize("sign", ["x", "🎵"])
def test_the_longest_text_is_kept_and_a_longer_one_is_cut(sign: str, tmp_path: Path) -> None:
    """The limit counts UTF-16 code units, of which 🎵 takes two."""
    most = LONGEST_TEXT // (len(sign.encode("utf-16-le")) // 2)
    book = written(small_plan(artist=sign * most, title=sign * (most + 1)), tmp_path)
    row = next(row for row in rows_of(book["Packing list"], "Carton no.") if str(row["Artist"]).startswith(sign))
    assert row["Artist"] == sign * most
    assert str(row["Title"]).endswith(" …")
    assert len(str(row["Title"]).encode("utf-16-le")) // 2 <= LONGEST_TEXT


def test_the_same_plan_gives_the_same_bytes(tmp_path: Path) -> None:
    paths = [tmp_path / "one.xlsx", tmp_path / "two.xlsx"]
    for path, seconds in zip(paths, (1.5, 99.0), strict=True):
        plan = small_plan()
        write_results(path, replace(plan, search=replace(plan.search, seconds=seconds)))
    assert paths[0].read_bytes() == paths[1].read_bytes()


def test_every_sheet_is_set_up_to_print(tmp_path: Path) -> None:
    book = written(small_plan(settings(title="Crates & more")), tmp_path)
    for sheet in book:
        if sheet.title in PAGED or sheet.row_breaks.brk or sheet.page_setup.scale:
            assert 40 <= (sheet.page_setup.scale or 100) <= 100
            assert not sheet.page_setup.fitToHeight
        else:
            assert sheet.page_setup.fitToWidth in (None, 1)
            assert sheet.page_setup.fitToHeight == 0
            assert sheet.sheet_properties.pageSetUpPr.fitToPage
        assert sheet.oddFooter.center.text == "Page &P of &N"
        assert "Crates && more" in sheet.oddHeader.left.text
    for name in ("Carton list", "Packing list", "Quotes compared", "Charges"):
        assert book[name].print_title_rows == "$1:$1"
        assert book[name].freeze_panes
        assert book[name].auto_filter.ref
    assert book["Carton list"].page_setup.orientation == "landscape"
    assert book["Packing list"].page_setup.orientation == "landscape"
    names = ZipFile(tmp_path / "move.results.xlsx").namelist()
    assert sum(name.startswith("xl/charts/chart") for name in names) == 4


@pytest.mark.parametrize("entry", SHEETS, ids=lambda entry: entry.sheet.name)
def test_each_column_is_a_field_of_its_rows_and_has_help(entry: Entry) -> None:
    results = Results(larger_plan(300), Reading("a", "b", (("Records", 1),), ("n",)))
    for table, rows in zip(entry.sheet.tables, entry.rows(results), strict=True):
        keys = [column.key for column in table.columns]
        assert len(set(keys)) == len(keys)
        assert all(column.help.endswith(".") for column in table.columns)
        assert all(hasattr(row, key) for row in rows[:3] for key in keys)
    assert len(entry.sheet.name) <= 31


def test_headings_have_notes(tmp_path: Path) -> None:
    book = written(small_plan(), tmp_path)
    for entry in SHEETS[1:4]:
        texts = [cell.comment.text for cell in book[entry.sheet.name][1] if cell.value]
        assert texts == [column.help for column in entry.sheet.tables[0].columns]


def test_input_as_read_names_values_and_where_they_are_from(tmp_path: Path) -> None:
    book = written(small_plan(), tmp_path, Reading("attic.xlsx", "c0ffee", (("Records", 168),), ("Mind the gap.",)))
    sheet = book["Input as read"]
    labels = labels_of(sheet)
    assert (labels["Input file"], labels["SHA-256"]) == ("attic.xlsx", "c0ffee")
    assert str(labels["Program version"]).startswith("shipopt ")
    found = {row["Setting"]: (row["Value used"], row["Where from"]) for row in rows_of(sheet, "Setting")}
    assert found["Currency"] == ("EUR", "Move!B4")
    assert found["Fill at most %"] == (98, "default")
    assert found["Most value on one consignment"] == (None, "default: no cap")
    assert found["Insure cartons worth at least"] == (2000, "given outside the workbook")
    assert found["Count expected loss as a cost"] == ("no", "default")
    assert any(row[0].value == "Mind the gap." for row in sheet.iter_rows(max_col=1))
    assert rows_of(sheet, "Sheet")[0]["Rows"] == 168


def test_keys_are_the_headings_in_snake_case() -> None:
    headings = ("Carton no.", "Fill %", "Cost per 1,000 of value", "All-in cost", "Average of worst 5%")
    keys = ["carton_no", "fill_percent", "cost_per_1000_of_value", "all_in_cost", "average_of_worst_5_percent"]
    assert [key_of(heading) for heading in headings] == keys


def test_money_of_the_fixture_is_what_it_was_by_hand() -> None:
    """Blue van, trip 1, of the small plan: 180 fixed, one of four included cartons free, 7.5 % on top: 193.50."""
    results = Results(small_plan())
    lines = [(row.charge, row.amount) for row in results.charges if (row.quote, row.trip) == ("Blue van", 1)]
    assert lines == [
        ("Fixed charge", Decimal("180.00")),
        ("Included cartons (free)", Decimal("0.00")),
        ("Surcharge", Decimal("13.50")),
        ("Charged for trip 1", None),
    ]
    (charged,) = [row.charged for row in results.charges if (row.quote, row.trip) == ("Blue van", 1) and row.charged]
    assert charged == Decimal("193.50")
