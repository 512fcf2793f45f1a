"""Which records carry the risk, and what would halve it: against the audit, and priced and weighed a second time.

Moves, plans and prices are invented.
"""

from dataclasses import replace
from decimal import Decimal

import pytest
from independent.random_moves import middling
from independent.random_plans import random_plan
from independent.recompute import NoPriceError
from independent.recompute import totals as recomputed
from small_moves import SEARCH, larger_plan, small_plan

from shipopt.move.plan import Plan
from shipopt.planning.audit import findings
from shipopt.risk.by_record import RecordRisk, riskiest_records
from shipopt.risk.expected import expected_uninsured_loss, expected_uninsured_loss_of_all
from shipopt.risk.halving import Change, Remedy, halving, remedies


def with_remedy(plan: Plan, risk: RecordRisk, remedy: Remedy) -> Plan:
    """The plan with the remedy for the whole carton carried out, on whichever trip it breaks no rule."""
    for trip in range(1, remedy.quote.trips_at_most + 1):
        other = replace(risk.shipment, quote=remedy.quote, trip=trip, cover=remedy.cover)
        shipments = tuple(other if each is risk.shipment else each for each in plan.shipments)
        changed = replace(plan, shipments=shipments)
        if not findings(changed):
            return changed
    raise AssertionError(findings(changed))


def test_the_risk_of_all_records_is_that_of_the_plan() -> None:
    plan = larger_plan(900)
    found = riskiest_records(plan.move, plan.shipments, 10**6)
    whole = expected_uninsured_loss_of_all(plan.move, plan.shipments)
    assert sum(risk.whole for risk in found) == pytest.approx(whole)
    assert [risk.each for risk in found] == sorted((risk.each for risk in found), reverse=True)
    assert riskiest_records(plan.move, plan.shipments, 10) == found[:10]


def test_changes_to_a_carton_keep_the_rules_and_cost_and_risk_what_is_said() -> None:
    """On random plans that the audit finds nothing wrong with; costs and losses from the independent working-out."""
    compared = 0
    for seed in range(160):
        move = middling(seed, cartons=6)
        plan = Plan(replace(move, settings=replace(move.settings, most_expected_loss=None)), (), SEARCH)
        plan = replace(plan, shipments=tuple(random_plan(move, seed)))
        if any("packed" not in words for words in findings(plan)):
            continue
        try:
            before = recomputed(plan.move, plan.shipments)
        except NoPriceError:
            continue
        for risk in riskiest_records(plan.move, plan.shipments, 4):
            for remedy in remedies(plan.move, plan.shipments, risk):
                if remedy.change is Change.ALONE:
                    continue
                after = recomputed(plan.move, with_remedy(plan, risk, remedy).shipments)
                assert remedy.dearer == after.total_cost - before.total_cost
                saved = float(before.expected_uninsured_loss - after.expected_uninsured_loss)
                carton = float(expected_uninsured_loss(plan.move, risk.shipment))
                assert saved == pytest.approx(carton * (1 - float(remedy.left)), abs=1e-6)
                compared += 1
    assert compared >= 20


def test_a_record_alone_goes_only_where_it_may() -> None:
    plan = small_plan()
    for risk in riskiest_records(plan.move, plan.shipments, 200):
        for remedy in remedies(plan.move, plan.shipments, risk):
            level = plan.move.care[risk.portion.record.care]
            assert remedy.quote.means in level.means
            assert remedy.quote.closed_body or not level.needs_closed_body
            assert remedy.left < 1


def test_the_first_that_halves_is_found_and_half_is_enough() -> None:
    plan = small_plan()
    van = plan.move.quotes["Blue van"]
    found = [
        Remedy(Change.COVER, van, None, left, Decimal(1)) for left in map(Decimal, ("0.51", "0.5", "0.1"))
    ]
    assert halving(found) is found[1]
    assert halving(found, Change.ALONE) is None
    assert halving(found[:1]) is None
