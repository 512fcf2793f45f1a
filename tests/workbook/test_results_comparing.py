"""What the comparison found, in the results: differences live, verdicts in words, a word where none was asked for."""

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
from small_moves import small_plan

from shipopt.comparing.bidders import Bidder
from shipopt.comparing.binding import Step
from shipopt.comparing.comparison import Comparison
from shipopt.comparing.looser import looser_rules
from shipopt.move.plan import Plan
from shipopt.planning import Reason
from shipopt.workbook.results.columns import Table
from shipopt.workbook.results.declaration_comparing import BIDDERS, QUOTES_COMPARED, WHAT_BINDS
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.sheets.what_binds import CUT_SHORT, NOT_ASKED, facts
from shipopt.workbook.results.writing import write_results


def d(text: object) -> Decimal:
    """A decimal from text or a number."""
    return Decimal(str(text))


def compared(plan: Plan) -> Comparison:
    """An invented comparison of a plan: the first quote in, the others out for different reasons."""
    first, second, third = list(plan.move.quotes)[:3]
    bidders = (
        Bidder(first, True, d(400), d("512.5"), walk_away=d("150.25"), give_or_take=d(2), stand_ins=(second, third)),
        Bidder(second, False, d(430), d(400), walk_away=d(10), give_or_take=d("0.5"), if_all=plan, if_all_cost=d(500)),
        Bidder(third, False, None, d(400), price_share=d("0.75"), discount=d("33.1"), settled=False),
    )
    rules = looser_rules(plan)
    saving = Step(rules[0], d(12), d(40), d("3.5"), replace(plan, shipments=plan.shipments[1:]))
    others = [Step(rule, d(0), d(0) if place else None, None, None) for place, rule in enumerate(rules[1:])]
    return Comparison(plan, bidders, (saving, *others), False, 7, 1.0)


@pytest.fixture(scope="module")
def shown(tmp_path_factory: pytest.TempPathFactory) -> tuple[Results, Path]:
    """The small plan's results with its comparison, written."""
    path = tmp_path_factory.mktemp("compared") / "move.results.xlsx"
    plan = small_plan()
    return write_results(path, plan, comparison=compared(plan)), path


def rows_of(path: Path, sheet: str, table: Table, *, formulas: bool) -> list[dict[str, object]]:
    """The rows of a table that stands somewhere below others."""
    page = openpyxl.load_workbook(path, data_only=not formulas)[sheet]
    headings = [column.heading for column in table.columns]
    all_rows = [list(values)[: len(headings)] for values in page.iter_rows(values_only=True)]
    first = next(place for place, values in enumerate(all_rows) if values == headings) + 1
    keys = [column.key for column in table.columns]
    return [dict(zip(keys, values, strict=True)) for values in all_rows[first : first + 3]]


def test_differences_are_live_and_stored(shown: tuple[Results, Path]) -> None:
    _, path = shown
    live = rows_of(path, QUOTES_COMPARED.name, BIDDERS, formulas=True)
    stored = rows_of(path, QUOTES_COMPARED.name, BIDDERS, formulas=False)
    assert str(live[0]["losing_it_costs"]).startswith("=")
    assert stored[0]["losing_it_costs"] == pytest.approx(112.5)
    assert live[1]["losing_it_costs"] is None
    assert str(live[1]["room_to_ask"]).startswith("=")
    fixed = stored[1]["fixed_charge"]
    assert isinstance(fixed, int | float)
    assert stored[1]["room_to_ask"] == pytest.approx(10 - fixed)
    assert live[2]["room_to_ask"] is None


def test_verdicts_name_reserves_prices_and_percents(shown: tuple[Results, Path]) -> None:
    results, _ = shown
    first, second, third = results.bidders
    assert "112.50 EUR more" in first.verdict
    assert results.bidders[1].quote in first.keep_in_reserve
    assert "fixed charge of 10.00 EUR" in second.verdict
    assert "25.0 %" in third.verdict
    assert "33.10 EUR" in third.verdict
    assert "higher price may do" in third.verdict
    assert second.cartons_at_most == sum(s.quote.name == second.quote for s in results.plan.shipments)


def test_a_quote_that_the_move_needs_is_said_to_be_needed(shown: tuple[Results, Path]) -> None:
    plan = shown[0].plan
    needed = Bidder(next(iter(plan.move.quotes)), True, d(1), None, indispensable=(Reason("a rule", "a change"),))
    (row,) = Results(plan, comparison=Comparison(plan, (needed,), (), True, 1, 1.0)).bidders
    assert "no plan does without it: a rule: a change" in row.verdict
    assert row.losing_it_costs is None


def test_what_binds_tells_the_best_change_first(shown: tuple[Results, Path]) -> None:
    results, path = shown
    best, cut_short = facts(results)["Changes that would save most"]
    assert cut_short == CUT_SHORT
    assert best.startswith("1. ")
    assert "saves 12.00 EUR" in best
    binds = [row.binds for row in results.binding]
    assert binds[:3] == ["yes", "not seen", "no"]
    rows = rows_of(path, WHAT_BINDS.name, WHAT_BINDS.tables[0], formulas=False)
    assert [row["binds"] for row in rows] == binds[:3]
    assert "1 carton" in results.binding[0].in_words or "cartons" in results.binding[0].in_words


def test_without_a_comparison_the_sheets_say_so(tmp_path: Path) -> None:
    path = tmp_path / "move.results.xlsx"
    results = write_results(path, small_plan())
    book = openpyxl.load_workbook(path)
    for sheet in (QUOTES_COMPARED.name, WHAT_BINDS.name):
        assert NOT_ASKED in [cell.value for row in book[sheet].iter_rows() for cell in row]
    assert (results.bidders, results.binding) == ((), ())


def test_the_results_of_a_comparison_are_repeatable(tmp_path: Path) -> None:
    plan = small_plan()
    files = [tmp_path / f"{n}.xlsx" for n in range(2)]
    for seconds, path in enumerate(files):
        write_results(path, plan, comparison=replace(compared(plan), seconds=float(seconds)))
    assert files[0].read_bytes() == files[1].read_bytes()
