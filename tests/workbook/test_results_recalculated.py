"""Every formula of a results workbook, worked out again by a spreadsheet program, gives the value stored with it."""

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from independent.random_moves import middling
from independent.random_plans import random_plan
from small_moves import SEARCH, gone, larger_plan, move, plan_of, record, settings, small_plan
from spreadsheet_program import need_spreadsheet_program, printed, recalculated

from shipopt.move.money import currency
from shipopt.move.plan import Plan
from shipopt.move.words import Status
from shipopt.pricing.cover import CannotBeCovered
from shipopt.pricing.statement import Refused
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.reading import Reading
from shipopt.workbook.results.writing import write_results

pytestmark = pytest.mark.spreadsheet

NEAR = 1e-6
"""Money and weights agree to a millionth: sums of decimals in floating arithmetic differ far behind the cent."""


def plans() -> dict[str, Plan]:
    """Invented plans that bring every kind of formula to every kind of sheet."""
    yen = settings(currency=currency("JPY"), insure_from=None, count_expected_loss=True)
    dinar = settings(currency=currency("KWD"))
    tricky = plan_of([record(place) for place in range(90)])
    names = {name: replace(quote, name=f"={name}*?") for name, quote in tricky.move.quotes.items()}
    renamed = replace(tricky.move, quotes={quote.name: quote for quote in names.values()})
    shipments = tuple(replace(each, quote=names[each.quote.name]) for each in tricky.shipments)
    return {
        "small": small_plan(),
        "larger": larger_plan(1500),
        "some gone": small_plan(packed_already=[gone(), gone("A 2", Status.ARRIVED, paid=Decimal("7.05"))]),
        "no minor unit, losses counted": small_plan(yen),
        "three places": small_plan(dinar),
        "names that look like formulas and patterns": Plan(renamed, shipments, SEARCH),
        "nothing to carry": Plan(move(()), (), SEARCH),
    }


def random_plans(number: int) -> dict[str, Plan]:
    """Random plans of random moves that have a price."""
    found: dict[str, Plan] = {}
    for seed in range(200):
        it = middling(seed, cartons=12)
        plan = Plan(it, tuple(random_plan(it, seed)), SEARCH)
        try:
            _ = Results(plan).totals
        except (Refused, CannotBeCovered):
            continue
        found[f"random {seed}"] = plan
        if len(found) == number:
            break
    return found


def stored_values(path: Path, formulas: openpyxl.Workbook) -> dict[str, float | None]:
    """The value that the file holds for each formula cell of a workbook, by sheet and cell."""
    values = openpyxl.load_workbook(path, data_only=True)
    return {
        f"{sheet.title}!{cell.coordinate}": values[sheet.title][cell.coordinate].value
        for sheet in formulas
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "f"
    }


def assert_same(before: Path, after: Path) -> int:
    """Asserts that each formula's stored value is what LibreOffice made of it; returns how many there are."""
    formulas = openpyxl.load_workbook(before)
    stored, again = stored_values(before, formulas), stored_values(after, formulas)
    wrong = {
        cell: (stored[cell], again[cell]) for cell in stored if again[cell] != pytest.approx(stored[cell], abs=NEAR)
    }
    assert not wrong
    return len(stored)


@pytest.fixture(scope="module")
def pairs(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[Path, Path]]:
    """Each plan's workbook as written, and as LibreOffice saved it; all in one run of the program."""
    need_spreadsheet_program()
    folder = tmp_path_factory.mktemp("results")
    every = plans() | random_plans(4)
    written = [folder / f"{number}.xlsx" for number in range(len(every))]
    reading = Reading("move.xlsx", "00" * 32, (("Records", 9),), ("One notice.",))
    for path, plan in zip(written, every.values(), strict=True):
        write_results(path, plan, reading)
    again = recalculated(written, tmp_path_factory.mktemp("again"))
    return dict(zip(every, zip(written, again, strict=True), strict=True))


@pytest.mark.parametrize("name", list(plans()))
def test_every_formula_has_the_value_it_works_out_to(name: str, pairs: dict[str, tuple[Path, Path]]) -> None:
    assert assert_same(*pairs[name]) > 15


def test_random_plans_recalculate(pairs: dict[str, tuple[Path, Path]]) -> None:
    drawn = [pair for name, pair in pairs.items() if name.startswith("random")]
    assert len(drawn) == 4
    for pair in drawn:
        assert_same(*pair)


def test_the_check_can_fail(tmp_path: Path) -> None:
    """A wrong stored value is found: the program does work formulas out again."""
    need_spreadsheet_program()
    path = tmp_path / "wrong.xlsx"
    with xlsxwriter.Workbook(str(path)) as workbook:
        workbook.add_worksheet().write_formula(0, 0, "=1+1", None, 3)
    (tmp_path / "again").mkdir()
    with pytest.raises(AssertionError, match="A1"):
        assert_same(path, *recalculated([path], tmp_path / "again"))


def test_results_print(tmp_path: Path) -> None:
    need_spreadsheet_program()
    path = tmp_path / "move.results.xlsx"
    write_results(path, small_plan())
    (pdf,) = printed([path], tmp_path)
    assert pdf.read_bytes().startswith(b"%PDF")
