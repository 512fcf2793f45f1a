"""The sheet Cover to buy, by hand: purchases, declarations, what travels bare, what to photograph; and claims."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import openpyxl
import pytest
from independent.random_moves import middling
from independent.random_plans import random_plan
from small_moves import SEARCH, d, larger_plan, plan_of, record, settings, small_plan

from shipopt.move.plan import Plan
from shipopt.pricing.cover import CannotBeCovered
from shipopt.pricing.statement import Refused
from shipopt.workbook.results.claims import CLAIMS, SHORTEST_DAYS
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.rows.cover import MOST_PHOTOGRAPHS
from shipopt.workbook.results.writing import write_results


def test_a_purchase_is_what_its_cartons_declare() -> None:
    results = Results(larger_plan(1200))
    assert len(results.purchases) > 2
    for place, row in enumerate(results.purchases):
        cartons = [each for each in results.declared if each.purchase == place]
        assert row.cartons == len(cartons)
        assert row.value_to_declare == sum(each.value_to_declare for each in cartons)
        assert row.fee == sum(each.fee for each in cartons)
        assert {(each.cover, each.quote, each.trip) for each in cartons} == {(row.cover, row.quote, row.trip)}


def test_every_carton_to_go_is_declared_or_bare_and_the_sums_are_those_of_the_plan() -> None:
    compared = 0
    for seed in range(40):
        it = middling(seed, cartons=10)
        results = Results(Plan(it, tuple(random_plan(it, seed)), SEARCH))
        try:
            totals = results.totals
        except (Refused, CannotBeCovered):
            continue
        gone = results.cartons[len(results.plan.shipments) :]
        gone_covered = sum(row.value for row in gone if row.cover)
        declared, bare = results.declared, results.bare
        assert len(declared) + sum(row.cartons for row in bare) == len(results.plan.shipments)
        assert sum(row.fee for row in results.purchases) == totals.cover_fees - sum(row.cover_fee for row in gone)
        assert sum(row.value_to_declare for row in declared) == totals.value_covered - gone_covered
        on_their_way = totals.value_moved - sum(row.value for row in gone)
        assert sum(row.value for row in bare) == on_their_way - sum(row.value_to_declare for row in declared)
        assert all(row.carrier_owes + row.you_bear == row.value for row in bare)
        compared += 1
    assert compared >= 10


def test_gaps_of_a_cover_are_told() -> None:
    """Parcel care pays for loss alone, without an excess; Porcelain Mutual for both, less 100 a carton."""
    rows = {row.cover: row for row in Results(larger_plan(1200)).purchases}
    parcel, mutual = rows["Parcel care"], rows["Porcelain Mutual"]
    assert (parcel.it_pays_for, parcel.trip) == ("loss of the carton", None)
    assert parcel.it_does_not_pay_for == "damage on the way; what its terms exclude"
    assert mutual.it_does_not_pay_for == "the first 100.00 EUR of each carton; what its terms exclude"
    assert mutual.trip is not None


def test_deadlines_count_from_the_latest_arrival_and_are_blank_where_terms_are_silent() -> None:
    """Blue van is ready on 1 March, one day on the way; its cover's terms say 30 days."""
    plan = small_plan()
    assert {row.claim_by for row in Results(plan).purchases} == {None}
    covers = {name: replace(cover, claim_days=30, notes="Ask first.") for name, cover in plan.move.covers.items()}
    shipments = tuple(replace(each, cover=covers[each.cover.name] if each.cover else None) for each in plan.shipments)
    told = Results(Plan(replace(plan.move, covers=covers), shipments, SEARCH))
    row = next(row for row in told.purchases if row.quote == "Blue van")
    assert (row.claim_by, row.notes) == (date(2031, 4, 1), "Ask first.")
    undated = replace(told.plan.move, settings=settings(ready_on=None))
    assert {row.claim_by for row in Results(Plan(undated, shipments, SEARCH)).purchases} == {None}


def test_what_the_carrier_owes_is_no_more_than_the_value() -> None:
    """Blue van owes 2 a kilogram: 21.96 kg of one crate, worth more, and a light one worth 1."""
    cheap = [record(place, value=d("0.01"), care="standard") for place in range(8)]
    (row,) = Results(plan_of(cheap)).bare
    assert row.quote == "Blue van"
    assert (row.value, row.carrier_owes, row.you_bear) == (d("0.08"), d("0.08"), d(0))


def test_the_dearest_are_photographed_first() -> None:
    rows = Results(larger_plan(2000)).photographs
    values = [row.value for row in rows]
    assert values == sorted(values, reverse=True)
    assert len(rows) <= MOST_PHOTOGRAPHS
    assert rows[0].value > 200
    alike = [record(place, value=d(9), care="standard") for place in range(30)]
    assert Results(plan_of(alike)).photographs == ()


@pytest.mark.parametrize("number", [5, 900])
def test_sums_are_live_and_notes_shown(number: int, tmp_path: Path) -> None:
    plan = larger_plan(number)
    results = write_results(tmp_path / "r.xlsx", plan)
    sheet = openpyxl.load_workbook(tmp_path / "r.xlsx")["Cover to buy"]
    formulas = [str(cell.value) for row in sheet.iter_rows() for cell in row if cell.data_type == "f"]
    assert sum(text.startswith("=ROWS(") for text in formulas) == len(results.purchases)
    texts = {cell.value for row in sheet.iter_rows() for cell in row}
    assert ("The plan buys no cover." in texts) == (not results.purchases)
    assert {word for word, _ in CLAIMS} <= texts


def test_published_periods_stand_with_their_sources() -> None:
    """The shortest is the seven days of the road convention; what is from memory is marked and says so."""
    texts = dict(CLAIMS)
    assert f"within {SHORTEST_DAYS} days" in texts["By road abroad"]
    assert "article" in texts["By road abroad"]
    assert "14 days for cargo" in texts["By air abroad"]
    assert "9 months" in texts["US interstate carriers"]
    assert all(text.endswith("*") for word, text in CLAIMS if word in ("By road abroad", "By air abroad"))
    assert "from memory" in texts["Whose word counts"]
