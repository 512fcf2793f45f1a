"""What has changed against the last plan: the steps lead from its total to this one's, each carton is told in words."""

from dataclasses import replace
from decimal import Decimal

import pytest
from afterwards.test_carrying_on import SEEDS, carried, plan_of, ways
from independent.recompute import totals

from shipopt.move.move import Move
from shipopt.move.plan import Plan
from shipopt.planning.answers import NoPlan, NoPlanInTime
from shipopt.planning.search import optimise
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.rows.changes import CHOSEN, LAST, LOST, NEW, OTHER_PRICES


def again(move: Move) -> Results:
    """The results of planning a move that was carried on."""
    return Results(optimise(move, seconds=20))


def steps(results: Results) -> dict[str, Decimal]:
    """Amounts by reason."""
    return {row.reason: row.amount for row in results.cost_changes}


def check_sum(before: Plan, results: Results) -> None:
    """The first step is the last plan's total; all of them come to this plan's."""
    found = results.cost_changes
    assert found[0].reason == LAST
    assert found[0].amount == totals(before.move, before.shipments).total_cost
    now = totals(results.plan.move, results.plan.shipments).total_cost
    assert sum((row.amount for row in found), Decimal(0)) == now


@pytest.mark.parametrize("seed", SEEDS)
def test_nothing_changed_says_nothing(seed: int) -> None:
    plan = plan_of(seed)
    results = again(carried(plan)[1])
    assert list(steps(results)) == [LAST]
    assert results.carton_changes == ()
    check_sum(plan, results)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_lost_quote_a_dearer_one_and_late_finds_come_to_the_whole_difference(seed: int) -> None:
    plan = plan_of(seed)
    _, move = carried(plan, *sorted(ways(plan))[:1])
    used = list(dict.fromkeys(shipment.quote.name for shipment in plan.shipments))
    quotes = dict(move.quotes)
    quotes[used[0]] = replace(quotes[used[0]], fixed_charge=quotes[used[0]].fixed_charge + 7)
    if len(quotes) > 1:
        quotes[used[-1]] = replace(quotes[used[-1]], consider=False)
    first = move.records[0]
    late = replace(first, record_id="found late", packed_in=None, must_go_by=None, copies=1, place=len(move.records))
    try:
        results = again(replace(move, quotes=quotes, records=(*move.records, late)))
    except (NoPlan, NoPlanInTime):
        return
    check_sum(plan, results)
    told = {row.carton_no: row.in_words for row in results.carton_changes}
    before = ways(plan)
    for shipment in results.plan.shipments:
        number, filled = shipment.filled.number, shipment.filled
        if not filled.closed_by_user:
            assert " is new: " in told[number] or " is packed anew: " in told[number]
        elif shipment.quote.name != before[number][0]:
            assert f"goes by {shipment.quote.name} instead of {before[number][0]}" in told[number]
        elif (shipment.trip, shipment.cover and shipment.cover.name) == before[number][1:]:
            assert number not in told


def test_each_reason_is_met_somewhere() -> None:
    """The moves above are of many kinds: over all of them each step occurs."""
    met: set[str] = set()
    for seed in SEEDS:
        try:
            plan = plan_of(seed)
        except pytest.skip.Exception:
            continue
        _, move = carried(plan)
        quotes = {name: replace(quote, fixed_charge=quote.fixed_charge * 3) for name, quote in move.quotes.items()}
        lost = plan.shipments[0].quote.name
        without = dict(move.quotes) | {lost: replace(move.quotes[lost], consider=False)}
        for changed in (quotes, without):
            try:
                results = again(replace(move, quotes=changed))
            except (NoPlan, NoPlanInTime):
                continue
            check_sum(plan, results)
            met |= set(steps(results))
    assert {LAST, OTHER_PRICES} < met
    assert any(reason.startswith(LOST.split("{", maxsplit=1)[0]) for reason in met)
    assert CHOSEN in met
    assert NEW not in met
