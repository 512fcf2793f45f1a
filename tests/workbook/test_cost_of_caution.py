"""The sheet Cost of caution, from levels made by hand. Moves, plans and prices are invented."""

import json
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
from small_moves import larger_plan
from spreadsheet_program import need_spreadsheet_program, recalculated

from shipopt.comparing.caution import Caution, OtherChances, without_caps
from shipopt.comparing.free_of_charge import with_prices_of
from shipopt.comparing.levels import Point
from shipopt.move.plan import Plan
from shipopt.pricing.total import price
from shipopt.risk.expected import expected_uninsured_loss_of_all
from shipopt.workbook.results.declaration_caution import LEVELS, OTHER_CHANCES
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.json_plan import json_text
from shipopt.workbook.results.rows.caution import in_plain_words, level_rows
from shipopt.workbook.results.sheets.cost_of_caution import NOT_ASKED, in_the_chart
from shipopt.workbook.results.writing import write_results


def covered(plan: Plan) -> Plan:
    """The plan with every carton of a load under the consignment policy."""
    mutual = plan.move.covers["Porcelain Mutual"]
    shipments = tuple(replace(each, cover=mutual) if each.quote.by_load else each for each in plan.shipments)
    return replace(plan, shipments=shipments)


def point(plan: Plan, at_most: Decimal | None) -> Point:
    """A point of the curve at this plan."""
    cost = price(plan.move, plan.shipments).total
    return Point(at_most, plan, cost, expected_uninsured_loss_of_all(plan.move, plan.shipments), cost * Decimal("0.99"))


def caution(plan: Plan) -> Caution:
    """Two levels: the plan, and all of it covered; no plan is found if chances double."""
    free = with_prices_of(without_caps(plan.move), plan)
    others = (
        OtherChances(Decimal("0.5"), plan, Decimal(90), Decimal(7), Decimal(8), False),
        OtherChances(Decimal(2), None, None, None, Decimal(300), True),
    )
    points = (point(free, None), point(covered(free), Decimal(99)))
    return Caution(points, point(plan, None), Decimal(3), others, 5.0)


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Results]:
    """The workbook with both levels."""
    path = tmp_path_factory.mktemp("caution") / "out.xlsx"
    plan = larger_plan(700)
    return path, write_results(path, plan, caution=caution(plan))


def texts(path: Path) -> list[object]:
    """Every value of the sheet."""
    sheet = openpyxl.load_workbook(path, data_only=True)["Cost of caution"]
    return [cell.value for row in sheet.iter_rows() for cell in row if cell.value is not None]


def test_levels_are_told_with_what_they_cost_and_change(written: tuple[Path, Results]) -> None:
    path, results = written
    cheapest, careful = results.caution_levels
    assert (cheapest.level, careful.level) == ("cheapest", "most careful found")
    assert cheapest.dearer_than_the_cheapest == 0 < careful.dearer_than_the_cheapest
    assert careful.expected_uninsured_loss < cheapest.expected_uninsured_loss
    assert careful.what_changes.startswith(f"+{careful.dearer_than_the_cheapest:,f}: ")
    assert "more of value under Porcelain Mutual" in careful.what_changes
    assert careful.what_changes in texts(path)
    assert cheapest.gap_percent == 1
    assert cheapest.lower_bound_of_loss is None
    assert careful.lower_bound_of_loss == 3
    lost = careful.expected_uninsured_loss
    assert careful.gap_percent == (lost - 3) / lost * 100


def test_other_chances_are_told(written: tuple[Path, Results]) -> None:
    path, results = written
    halved, doubled = results.other_chances
    assert (halved.all_chances, doubled.all_chances) == ("halved", "doubled")
    assert halved.how_the_plan_changes.startswith("Nothing that shows")
    assert doubled.how_the_plan_changes == "No plan can then meet the rules."
    assert doubled.total_cost_then is None
    assert doubled.how_the_plan_changes in texts(path)


def test_its_formulas_are_live_and_right(written: tuple[Path, Results], tmp_path: Path) -> None:
    need_spreadsheet_program()
    path, _ = written
    formulas = openpyxl.load_workbook(path)["Cost of caution"]
    stored = openpyxl.load_workbook(path, data_only=True)["Cost of caution"]
    (again,) = recalculated([path], tmp_path)
    worked = openpyxl.load_workbook(again, data_only=True)["Cost of caution"]
    live = [cell.coordinate for row in formulas.iter_rows() for cell in row if cell.data_type == "f"]
    assert len(live) == 6
    for place in live:
        assert worked[place].value == pytest.approx(stored[place].value, abs=1e-6)


def test_where_it_was_not_asked_for_the_sheet_says_so(tmp_path: Path) -> None:
    write_results(tmp_path / "out.xlsx", larger_plan(200))
    assert texts(tmp_path / "out.xlsx") == ["Cost of caution", NOT_ASKED]
    told = json.loads(json_text(Results(larger_plan(200))))["cost_of_caution"]
    assert told["in_plain_words"] == [NOT_ASKED]
    assert told["what_each_level_of_caution_costs"] == []


def test_where_no_plan_loses_less_there_is_nothing_to_weigh(tmp_path: Path) -> None:
    plan = larger_plan(200)
    whole = caution(plan)
    write_results(tmp_path / "out.xlsx", plan, caution=replace(whole, points=whole.points[:1]))
    assert any("there is nothing to weigh" in str(text) for text in texts(tmp_path / "out.xlsx"))


def test_plain_words_say_where_cost_and_loss_together_are_least(written: tuple[Path, Results]) -> None:
    """They are least where they are not for the first level; else caution is said to buy the worst case only."""
    path, results = written
    words = [text for text in texts(path) if isinstance(text, str)]
    sums = [row.cost_expected_loss for row in results.caution_levels]
    assert sums[0] < sums[1]
    assert any(text.startswith("On average caution costs more than it saves here") for text in words)


@pytest.mark.parametrize(("least", "told"), [("7.3699", "7.36"), ("0.0099", None), ("0", None)])
def test_what_every_plan_loses_at_the_least_is_told_and_never_too_much(least: str, told: str | None) -> None:
    plan = larger_plan(200)
    whole = replace(caution(plan), least_loss=Decimal(least))
    first, *_ = in_plain_words(whole, level_rows(whole))
    if told is None:
        assert "No plan loses less" not in first
    else:
        assert f"No plan loses less than {told} " in first


def test_a_printed_page_ends_before_a_section_and_charts_ask_for_no_page(tmp_path: Path) -> None:
    plan = larger_plan(700)
    many = caution(plan)
    write_results(tmp_path / "out.xlsx", plan, caution=replace(many, points=many.points * 4))
    sheet = openpyxl.load_workbook(tmp_path / "out.xlsx")["Cost of caution"]
    begins = [sheet.cell(each.id + 1, 1) for each in sheet.row_breaks.brk]
    assert begins
    assert {cell.value for cell in begins} <= {LEVELS.name, OTHER_CHANCES.name}
    assert sheet.print_area == f"'Cost of caution'!$A$1:$J${sheet.max_row}"


@pytest.mark.parametrize(("times", "drawn"), [("2.9", 3), ("3.1", 2)])
def test_a_most_careful_plan_that_is_far_dearer_is_told_and_not_drawn(tmp_path: Path, times: str, drawn: int) -> None:
    plan = larger_plan(700)
    whole = caution(plan)
    first, second = whole.points
    last = replace(second, cost=second.cost * Decimal(times), expected_loss=second.expected_loss / 2)
    results = write_results(tmp_path / "out.xlsx", plan, caution=replace(whole, points=(first, second, last)))
    sheet = openpyxl.load_workbook(tmp_path / "out.xlsx")["Cost of caution"]
    (chart,) = sheet._charts
    (series,) = chart.series
    from_row, to_row = (int(place.rpartition("$")[2]) for place in series.yVal.numRef.f.split(":"))
    assert to_row - from_row + 1 == drawn
    words = [str(text) for text in texts(tmp_path / "out.xlsx") if str(text).startswith("Not drawn")]
    dear = results.caution_levels[-1].total_cost
    assert len(words) == 3 - drawn
    assert all(f"most careful found, which costs {plan.move.settings.currency.show(dear)}" in text for text in words)


@pytest.mark.parametrize("many", [1, 2])
def test_of_few_levels_all_are_drawn(many: int) -> None:
    rows = Results(larger_plan(200), caution=caution(larger_plan(200))).caution_levels[:many]
    dear = [replace(row, total_cost=row.total_cost * 100**place) for place, row in enumerate(rows)]
    assert in_the_chart(dear) == dear


def test_the_last_heading_stands_over_the_words_below_it(written: tuple[Path, Results]) -> None:
    sheet = openpyxl.load_workbook(written[0])["Cost of caution"]
    wide = {(each.min_row, each.min_col): each.max_col for each in sheet.merged_cells.ranges}
    (at,) = [cell for row in sheet.iter_rows() for cell in row if cell.value == OTHER_CHANCES.columns[-1].heading]
    assert wide[at.row, at.column] == wide[at.row + 1, at.column] == len(LEVELS.columns)
