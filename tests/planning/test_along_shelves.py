"""Finished plans put in shelf order: the same weights, stacks and costs, less of the shelf in each carton."""

from collections import Counter
from dataclasses import replace
from decimal import Decimal
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from independent.broken import broken_rules
from independent.random_moves import middling
from independent.random_plans import random_plan
from independent.recompute import totals
from small_moves import CRATE, SEARCH, move, record

from shipopt.handling.shelving_order import most_open, steps_to_shelve
from shipopt.handling.stops import stops_of, visited
from shipopt.move.cartons import FilledCarton, Portion, filled
from shipopt.move.plan import Plan, Shipment
from shipopt.move.records import Record
from shipopt.planning.along_shelves import along_the_shelves
from shipopt.planning.dealing import Deal


def reach(cartons: list[FilledCarton]) -> int:
    """Over how many records of the shelf cartons reach, all together."""
    places = [[portion.record.place for portion in each.portions] for each in cartons]
    return sum(max(each) - min(each) for each in places)


def copies(cartons: list[FilledCarton]) -> Counter[tuple[str, int]]:
    """Every copy in cartons, by record and number."""
    portions = [portion for each in cartons for portion in each.portions]
    return Counter((p.record.record_id, n) for p in portions for n in range(p.first, p.first + p.copies))


def in_each(carton: FilledCarton) -> Counter[tuple[int, Decimal, Decimal, str]]:
    """How many copies of each size and care stand in each inner carton."""
    return Counter(
        (p.inner, p.record.thickness, p.record.weight, p.record.care) for p in carton.portions for _ in range(p.copies)
    )


@given(st.integers(0, 300))
@settings(max_examples=25, deadline=None)
def test_alike_copies_change_places_and_nothing_else_does(seed: int) -> None:
    cartons = [each.filled for each in random_plan(middling(seed, cartons=6), seed) if each.filled.portions]
    cartons = [each for each in cartons if not each.closed_by_user]
    most = max(each.value for each in cartons)
    for again in (Deal(cartons).anew(), Deal(cartons).as_they_are()):
        if again is None:
            continue
        assert copies(again) == copies(cartons)
        assert [in_each(each) for each in again] == [in_each(each) for each in cartons]
        for before, after in zip(cartons, again, strict=True):
            assert after == filled(before.number, before.carton, after.portions)
            assert (after.gross_weight, after.stack) == (before.gross_weight, before.stack)
            assert after.value <= most
    assert reach(Deal(cartons).as_they_are()) <= reach(cartons)


def standard(place: int, value: int) -> Record:
    """A record that may travel by any means."""
    return record(place, care="standard", value=Decimal(value), shelf=f"S{place // 10}")


def mixed(records: list[Record], many: int, seed: int = 1) -> Plan:
    """A plan of one van with the records dealt to so many cartons without any order."""
    it = move(records)
    hands: list[list[Record]] = [[] for _ in range(many)]
    for place, each in enumerate(Random(seed).sample(records, len(records))):
        hands[place % many].append(each)
    cartons = [filled(str(n), CRATE, [Portion(r, 1, 1) for r in hand]) for n, hand in enumerate(hands, start=1)]
    return Plan(it, tuple(Shipment(each, it.quotes["Blue van"]) for each in cartons), SEARCH)


def most_open_at_once(plan: Plan) -> int:
    """Cartons open at once at the new place."""
    stops = stops_of(plan.move.records)
    return most_open(steps_to_shelve([visited(each.filled, stops) for each in plan.shipments]))


def test_records_alike_are_dealt_in_runs_of_the_shelf_and_numbers_follow() -> None:
    records = [standard(place, 14) for place in range(240)]
    plan = mixed(records, 4)
    again = along_the_shelves(plan)
    assert most_open_at_once(plan) == 4
    assert most_open_at_once(again) == 1
    runs = [[portion.record.place for portion in each.filled.portions] for each in again.shipments]
    assert runs == [list(range(start, start + 60)) for start in range(0, 240, 60)]
    assert [each.filled.number for each in again.shipments] == ["1", "2", "3", "4"]


@pytest.mark.parametrize("seed", range(5))
def test_it_costs_and_loses_no_more_and_breaks_no_rule(seed: int) -> None:
    random = Random(seed)
    records = [standard(place, random.choice((5, 12, 20, 300))) for place in range(180)]
    plan = mixed(records, 3, seed)
    threshold = max(each.filled.value for each in plan.shipments) + 1
    it = replace(plan.move, settings=replace(plan.move.settings, insure_from=threshold))
    plan = replace(plan, move=it)
    assert broken_rules(it, plan.shipments) == []
    again = along_the_shelves(plan)
    assert broken_rules(it, again.shipments) == []
    before, after = totals(it, plan.shipments), totals(it, again.shipments)
    assert after.total_cost == before.total_cost
    assert after.expected_uninsured_loss <= before.expected_uninsured_loss
    assert reach([each.filled for each in again.shipments]) < reach([each.filled for each in plan.shipments])


def test_cartons_that_are_closed_or_go_apart_are_left_alone() -> None:
    plan = mixed([standard(place, 14) for place in range(60)], 2)
    one, other = plan.shipments
    apart = replace(plan, shipments=(one, replace(other, trip=2)))
    assert along_the_shelves(apart) is apart
    shut = replace(
        plan, shipments=tuple(replace(s, filled=replace(s.filled, closed_by_user=True)) for s in (one, other))
    )
    assert along_the_shelves(shut) is shut


def test_when_time_is_up_nothing_more_is_exchanged() -> None:
    random = Random(1)
    plan = mixed([standard(place, random.choice((5, 12, 20, 300))) for place in range(180)], 3)
    cartons = [each.filled for each in plan.shipments]
    late = Deal(cartons, until=0.0).as_they_are()
    assert [copies([each]) for each in late] == [copies([each]) for each in cartons]
    assert reach(Deal(cartons).as_they_are()) < reach(cartons)
