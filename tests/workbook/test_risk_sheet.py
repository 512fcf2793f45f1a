"""The sheet Risk: what it tells, in words and figures. Moves, plans and prices are invented."""

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
from small_moves import CHANCES, SEARCH, gone, larger_plan, small_plan

from shipopt.move.plan import Plan
from shipopt.risk.events import LossEvent
from shipopt.risk.expected import Event
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.rows.risk import event_in_words, one_in
from shipopt.workbook.results.sheets.risk import NOTHING, plain_words
from shipopt.workbook.results.writing import write_results


def safe(plan: Plan) -> Plan:
    """The plan with no chance of anything."""
    none = dict.fromkeys(CHANCES, Decimal(0))
    quotes = {name: replace(quote, **none) for name, quote in plan.move.quotes.items()}
    shipments = tuple(replace(each, quote=quotes[each.quote.name]) for each in plan.shipments)
    return Plan(replace(plan.move, quotes=quotes), shipments, SEARCH)


def test_parts_sum_to_the_total_of_the_plan() -> None:
    """By quote and by care; cartons on their way count, those that have arrived do not."""
    results = Results(small_plan(packed_already=[gone()]))
    total = results.totals.expected_uninsured_loss
    for rows in (results.risk_by_quote, results.risk_by_care):
        assert sum(row.expected_uninsured_loss for row in rows) == total
        assert sum(row.cartons for row in rows) == results.totals.cartons
        assert sum(row.value_at_risk for row in rows) == results.totals.value_moved
        assert max(row.worst_event for row in rows) == results.totals.worst_single_event
    assert {row.part: row.cartons for row in results.risk_by_care}[""] == 1


def test_the_figures_are_those_of_the_distribution() -> None:
    results = Results(larger_plan(400))
    figures = {row.figure: row for row in results.risk_figures}
    losses = results.losses
    assert figures["95% point"].amount == losses.point == results.totals.uninsured_loss_in_95_of_100_moves_at_most
    assert figures["Average of worst 5%"].amount == losses.tail_mean == results.totals.average_of_worst_5_percent
    assert figures["Chance of any uninsured loss"].chance_percent == losses.chance_of_any * 100
    assert figures["Worst single event"].amount == losses.worst_event
    assert "Mean, caps of consignments counted" not in figures


def test_a_mean_that_a_carriers_cap_sets_apart_has_a_row_of_its_own() -> None:
    plan = larger_plan(400)
    van = plan.move.quotes["Blue van"]
    capped = replace(van, liability_per_carton=Decimal(600), most_liability=Decimal(650))
    shipments = tuple(replace(each, quote=capped) if each.quote is van else each for each in plan.shipments)
    results = Results(Plan(replace(plan.move, quotes=plan.move.quotes | {van.name: capped}), shipments, SEARCH))
    row = next(row for row in results.risk_figures if row.figure == "Mean, caps of consignments counted")
    assert row.amount == results.losses.mean > results.totals.expected_uninsured_loss


def test_it_says_in_plain_words_what_is_so() -> None:
    results = Results(small_plan())
    told = plain_words(results)
    point = results.plan.move.settings.currency.show(results.losses.point)
    assert f"In 95 of 100 moves the uninsured loss is {point} or less." in told
    assert told[0] == "In about 93 of 100 moves you bear nothing at all."
    assert told[-1] == "The worst single event: Carton 3 by Slow freight, trip 1 is lost: about 1 move in 200."
    assert not any(word in " ".join(told).lower() for word in ("cvar", "percentile", "quantile", "variance"))


def test_where_nothing_can_be_lost_it_says_so(tmp_path: Path) -> None:
    plan = safe(small_plan())
    assert plain_words(Results(plan)) == (NOTHING,)
    write_results(tmp_path / "out.xlsx", plan)
    sheet = openpyxl.load_workbook(tmp_path / "out.xlsx")["Risk"]
    cells = [cell.value for row in sheet.iter_rows() for cell in row if cell.value]
    assert NOTHING in cells
    assert not sheet._charts


def test_assumed_chances_are_marked_wherever_they_stand() -> None:
    plan = small_plan()
    own = {name: replace(quote, chances_assumed=name != "Blue van") for name, quote in plan.move.quotes.items()}
    shipments = tuple(replace(each, quote=own[each.quote.name]) for each in plan.shipments)
    rows = Results(Plan(replace(plan.move, quotes=own), shipments, SEARCH)).risk_by_quote
    assert {row.part: row.chances for row in rows}["Blue van"] == "the quote's own"
    assert {row.chances for row in rows if row.part != "Blue van"} == {"assumed"}


def test_the_riskiest_records_are_told_with_what_would_halve_their_risk() -> None:
    rows = Results(larger_plan(1500)).riskiest
    assert len(rows) == 10
    assert rows[0].what_would_halve_it.startswith("Nothing in this workbook halves it. Carton 1 under Porcelain Mutual")
    offered = next(row for row in rows if row.plan_dearer_by is not None)
    assert offered.what_would_halve_it.startswith("Carton 7 by Slow freight under Porcelain Mutual; or move it to")


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        ("0", "never, by these chances"),
        ("0.004", "about 1 move in 250"),
        ("0.00031", "about 1 move in 3,200"),
        ("0.3", "about 1 move in 3"),
        ("0.87", "about 87 moves in 100"),
        ("0.995", "about 99.5 moves in 100"),
    ],
)
def test_chances_are_said_as_people_say_them(chance: str, words: str) -> None:
    assert one_in(Decimal(chance)) == words


@pytest.mark.parametrize(
    ("event", "trip", "cartons", "words"),
    [
        (Event.WHOLE_LOAD, 2, ("1", "4"), "All 2 cartons of Van, trip 2 are lost at once"),
        (Event.DAMAGED, None, ("7",), "Carton 7 by Van is damaged"),
        (Event.LOST, 1, ("7",), "Carton 7 by Van, trip 1 is lost"),
    ],
)
def test_events_are_said_in_words(event: Event, trip: int | None, cartons: tuple[str, ...], words: str) -> None:
    assert event_in_words(LossEvent(event, "Van", trip, cartons, Decimal("0.1"), Decimal(9))) == words
