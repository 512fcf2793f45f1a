"""The whole job on worked examples 2 and 3: totals, rules and floors, asked of the second working-out; what each shows.

How good their plans are depends on the time there is; the gaps below leave room for a busy machine.
"""

from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from independent.broken import broken_rules
from independent.recompute import totals
from test_worked_examples import EXAMPLES, labelled

import shipopt
from shipopt.workbook.results.gathered import Results

ESTATE = EXAMPLES / "2_estate_by_freight" / "estate.xlsx"
LATE = EXAMPLES / "3_late_finds" / "second_thoughts.xlsx"
GAPS = {ESTATE: 8, LATE: 3}
LOST, SENT = "Tarn & Thimble, one or two trips", "Lumbrel, groupage"

Job = tuple[Path, Results, Path]


@pytest.fixture(scope="module", params=[ESTATE, LATE], ids=["estate", "late finds"])
def job(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Job:
    """An example, what its results show, and their file."""
    written = tmp_path_factory.mktemp("results") / "results.xlsx"
    return request.param, shipopt.plan_workbook(request.param, written), written


def test_totals_are_those_of_a_second_working_out(job: Job) -> None:
    _, results, written = job
    shown, again = labelled(written), totals(results.plan.move, results.plan.shipments)
    for label, amount in (
        ("Total cost", again.total_cost),
        ("Carriage", again.carriage),
        ("Cartons bought", again.cartons_bought),
        ("Cover fees", again.cover_fees),
    ):
        assert Decimal(repr(shown[label])).quantize(Decimal("0.01")) == amount, label
    loss = Fraction(Decimal(repr(shown["Expected uninsured loss"])))
    assert abs(loss - again.expected_uninsured_loss) < Fraction(1, 100)


def test_bookings_come_to_the_carriage(job: Job) -> None:
    _, results, _ = job
    paid = sum((gone.paid for gone in results.plan.move.gone), Decimal(0))
    assert sum((row.carriage for row in results.bookings), paid) == results.totals.carriage
    assert {row.quote for row in results.bookings} == {shipment.quote.name for shipment in results.plan.shipments}


def test_no_rule_is_broken_and_every_record_goes(job: Job) -> None:
    path, results, _ = job
    assert broken_rules(results.plan.move, results.plan.shipments) == []
    assert results.totals.records == sum(r.copies for r in shipopt.read_workbook(path).move.records)


def test_the_floor_is_near(job: Job) -> None:
    path, results, _ = job
    cost = totals(results.plan.move, results.plan.shipments).total_cost
    assert results.plan.search.floor <= cost
    assert (cost - results.plan.search.floor) / cost * 100 <= GAPS[path]


def test_the_estate_is_large_and_goes_mostly_by_freight() -> None:
    move = shipopt.read_workbook(ESTATE).move
    assert 11_500 <= sum(record.copies for record in move.records) <= 12_500
    assert str(move.settings.units) == "lb / in"
    assert sum(str(quote.means) == "freight" for quote in move.quotes.values()) >= 4


def test_late_finds_are_planned_on_top_of_what_is_gone(job: Job) -> None:
    path, results, _ = job
    if path != LATE:
        pytest.skip("of example 3 only")
    move = results.plan.move
    found = [record for record in move.records if record.shelf == "Cupboard"]
    assert sum(record.copies for record in found) == 170
    assert {gone.gone_by for gone in move.gone} == {SENT}
    assert len(move.gone) >= 10
    going = {shipment.filled.number for shipment in results.plan.shipments}
    assert not going & {gone.filled.number for gone in move.gone}
    assert LOST not in {shipment.quote.name for shipment in results.plan.shipments}


def test_the_changes_lead_from_the_first_total_to_this_one(job: Job) -> None:
    path, results, _ = job
    if path != LATE:
        pytest.skip("of example 3 only")
    assert sum(row.amount for row in results.cost_changes) == results.totals.total_cost
    told = " ".join(row.in_words for row in results.carton_changes)
    assert f"instead of {LOST}" in told
    assert "is new" in told


def test_the_first_plan_that_example_3_carries_on_obeys_the_rules_of_example_1() -> None:
    import sys

    sys.path.insert(0, str(EXAMPLES))
    try:
        from first_plan import read_first_plan
    finally:
        sys.path.remove(str(EXAMPLES))
    move = shipopt.read_workbook(EXAMPLES / "1_collector_by_van_and_post" / "collection.xlsx").move
    shipments = read_first_plan(LATE.parent / "first_plan.csv", move)
    assert broken_rules(move, shipments) == []
    last = shipopt.read_workbook(LATE).move.last_plan
    assert sum(way.cost for way in last) == totals(move, shipments).total_cost
