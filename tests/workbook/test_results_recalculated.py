"""Every formula of a results workbook, worked out again by LibreOffice and by Gnumeric, gives the value stored with it,
and no cell shows an error there."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
import xlsxwriter
from independent.random_moves import middling
from independent.random_plans import random_plan
from small_moves import SEARCH, gone, larger_plan, move, plan_of, record, settings, small_plan
from spreadsheet_program import (
    need_gnumeric,
    need_spreadsheet_program,
    printed,
    recalculated,
    saved_by_gnumeric,
)

from shipopt.move.money import currency
from shipopt.move.plan import Plan
from shipopt.move.words import Status
from shipopt.pricing.cover import CannotBeCovered
from shipopt.pricing.statement import Refused
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.reading import Reading
from shipopt.workbook.results.writing import write_results

PROGRAMS = [pytest.param("LibreOffice", marks=pytest.mark.spreadsheet), "Gnumeric"]
NEEDED: dict[str, tuple[Callable[[], None], Callable[[Sequence[Path], Path], list[Path]]]] = {
    "LibreOffice": (need_spreadsheet_program, recalculated),
    "Gnumeric": (need_gnumeric, saved_by_gnumeric),
}
"""How each program is asked for, and how it works workbooks out again."""

ERRORS = {"#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A"}
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


def cells_of(path: Path) -> dict[str, object]:
    """What each cell holds, by sheet and cell; of a formula the stored value."""
    book = openpyxl.load_workbook(path, data_only=True, read_only=True)
    return {
        f"{sheet.title}!{cell.coordinate}": cell.value
        for sheet in book.worksheets
        for row in sheet.iter_rows()
        for cell in row
        if cell.value is not None
    }


def formulas_of(path: Path) -> list[str]:
    """Sheet and cell of each formula."""
    return [
        f"{sheet.title}!{cell.coordinate}"
        for sheet in openpyxl.load_workbook(path)
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "f"
    ]


def assert_same(before: Path, after: Path) -> int:
    """Asserts that each formula's stored value is what a program made of it; returns how many there are."""
    formulas, stored, again = formulas_of(before), cells_of(before), cells_of(after)
    wrong = {
        cell: (stored[cell], again.get(cell))
        for cell in formulas
        if type(again.get(cell)) not in (int, float) or again[cell] != pytest.approx(stored[cell], abs=NEAR)
    }
    assert not wrong
    assert not {cell: shown for cell, shown in again.items() if str(shown) in ERRORS and stored.get(cell) != shown}
    return len(formulas)


@pytest.fixture(scope="module", params=PROGRAMS)
def pairs(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[Path, Path]]:
    """Each plan's workbook as written, and as the program saved it; all in one run of the program."""
    need, work_out = NEEDED[request.param]
    need()
    folder = tmp_path_factory.mktemp("results")
    every = plans() | random_plans(4)
    written = [folder / f"{number}.xlsx" for number in range(len(every))]
    reading = Reading("move.xlsx", "00" * 32, (("Records", 9),), ("One notice.",))
    for path, plan in zip(written, every.values(), strict=True):
        write_results(path, plan, reading)
    again = work_out(written, tmp_path_factory.mktemp("again"))
    return dict(zip(every, zip(written, again, strict=True), strict=True))


@pytest.mark.parametrize("name", list(plans()))
def test_every_formula_has_the_value_it_works_out_to(name: str, pairs: dict[str, tuple[Path, Path]]) -> None:
    assert assert_same(*pairs[name]) > 15


def test_random_plans_recalculate(pairs: dict[str, tuple[Path, Path]]) -> None:
    drawn = [pair for name, pair in pairs.items() if name.startswith("random")]
    assert len(drawn) == 4
    for pair in drawn:
        assert_same(*pair)


@pytest.mark.parametrize("program", PROGRAMS)
def test_the_check_can_fail(program: str, tmp_path: Path) -> None:
    """A wrong stored value is found: the program does work formulas out again."""
    need, work_out = NEEDED[program]
    need()
    path = tmp_path / "wrong.xlsx"
    with xlsxwriter.Workbook(str(path)) as workbook:
        workbook.add_worksheet().write_formula(0, 0, "=1+1", None, 3)
    (tmp_path / "again").mkdir()
    with pytest.raises(AssertionError, match="A1"):
        assert_same(path, *work_out([path], tmp_path / "again"))


@pytest.mark.spreadsheet
def test_results_print(tmp_path: Path) -> None:
    need_spreadsheet_program()
    path = tmp_path / "move.results.xlsx"
    write_results(path, small_plan())
    (pdf,) = printed([path], tmp_path)
    assert pdf.read_bytes().startswith(b"%PDF")
