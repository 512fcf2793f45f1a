"""A plan carried on: with nothing changed nothing changes and nothing is paid twice; what is sent never moves."""

from contextlib import suppress
from dataclasses import replace
from decimal import Decimal
from functools import cache

import pytest
from independent.broken import broken_rules
from independent.random_moves import tiny
from independent.recompute import totals

from shipopt.afterwards.carrying_on import CarriedOn, carried_on, next_move
from shipopt.afterwards.choosing import NoSuchCarton, cartons_named
from shipopt.move.move import Move
from shipopt.move.plan import Plan
from shipopt.move.words import Status
from shipopt.planning.answers import NoPlan, NoPlanInTime
from shipopt.planning.search import optimise
from shipopt.risk.expected import expected_uninsured_loss_of_all

SEEDS = range(60)


@cache
def planned(seed: int) -> Plan | None:
    """The plan of a random move, None where it has none."""
    try:
        return optimise(tiny(seed), seconds=20)
    except (NoPlan, NoPlanInTime):
        return None


def plan_of(seed: int) -> Plan:
    """The plan of a random move; a move without one is passed over."""
    plan = planned(seed)
    if plan is None:
        pytest.skip("the rules of this move clash")
    return plan


def ways(plan: Plan) -> dict[str, tuple[str, int, str | None]]:
    """How each carton goes."""
    return {s.filled.number: (s.quote.name, s.trip, s.cover.name if s.cover else None) for s in plan.shipments}


def carried(plan: Plan, *sent: str, loose: frozenset[str] = frozenset()) -> tuple[CarriedOn, Move]:
    """The plan carried on with some cartons sent."""
    on = carried_on(plan.move, plan.shipments, dict.fromkeys(sent, Status.SENT), loose)
    return on, next_move(plan.move, on)


def test_enough_moves_have_a_plan() -> None:
    assert sum(planned(seed) is not None for seed in SEEDS) >= 30


@pytest.mark.parametrize("seed", SEEDS)
def test_with_nothing_changed_nothing_changes_and_nothing_is_paid_twice(seed: int) -> None:
    plan = plan_of(seed)
    _, move = carried(plan)
    again = optimise(move, seconds=20)
    assert ways(again) == ways(plan)
    assert totals(move, again.shipments).total_cost == totals(plan.move, plan.shipments).total_cost
    assert broken_rules(move, again.shipments) == []


@pytest.mark.parametrize("seed", SEEDS)
def test_all_sent_is_all_paid_and_at_the_same_risk(seed: int) -> None:
    plan = plan_of(seed)
    on, move = carried(plan, *ways(plan))
    assert move.to_go == ()
    before, now = totals(plan.move, plan.shipments), totals(move, [])
    assert (now.carriage, now.cartons_bought, now.cover_fees) == (
        before.carriage,
        before.cartons_bought,
        before.cover_fees,
    )
    loss = expected_uninsured_loss_of_all(move, [])
    assert abs(loss - expected_uninsured_loss_of_all(plan.move, plan.shipments)) < Decimal("1e-12")
    assert sum((way.cost for way in on.last), Decimal(0)) == before.total_cost


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_sent_never_moves_when_what_carried_it_is_lost(seed: int) -> None:
    """Half the cartons are sent; then no quote of theirs is on offer any more."""
    plan = plan_of(seed)
    sent = sorted(ways(plan))[: (len(plan.shipments) + 1) // 2]
    _, move = carried(plan, *sent)
    lost = {ways(plan)[number][0] for number in sent}
    without = {name: replace(each, consider=each.consider and name not in lost) for name, each in move.quotes.items()}
    try:
        again = optimise(replace(move, quotes=without), seconds=20)
    except (NoPlan, NoPlanInTime):
        return
    assert not set(sent) & set(ways(again))
    assert not lost & {shipment.quote.name for shipment in again.shipments}
    gone = {packed.filled.number: packed for packed in again.move.gone}
    assert {number: gone[number].gone_by for number in sent} == {number: ways(plan)[number][0] for number in sent}
    paid = sum((each.paid + each.cover_fee + each.carton_paid for each in gone.values()), Decimal(0))
    assert totals(again.move, again.shipments).total_cost >= paid


@pytest.mark.parametrize("seed", SEEDS)
def test_every_copy_is_kept_once_and_its_line_can_be_traced(seed: int) -> None:
    plan = plan_of(seed)
    _, move = carried(plan, loose=frozenset(sorted(ways(plan))[:1]))
    assert sum(record.copies for record in move.records) == sum(record.copies for record in plan.move.records)
    ids = [record.record_id for record in move.records]
    assert len({record_id.casefold() for record_id in ids}) == len(ids)
    count: dict[str, int] = {}
    for record in move.records:
        of = record.record_id.split("/")[0]
        count[of] = count.get(of, 0) + record.copies
    assert count == {record.record_id: record.copies for record in plan.move.records}


@pytest.mark.parametrize("seed", SEEDS)
def test_cartons_hold_what_they_held(seed: int) -> None:
    plan = plan_of(seed)
    _, move = carried(plan)
    before = {s.filled.number: s.filled for s in plan.shipments}
    now = {packed.filled.number: packed.filled for packed in move.packed if packed.status is Status.TO_GO}
    assert set(now) == set(before)
    for number, filled in now.items():
        held = before[number]
        assert (filled.gross_weight, filled.value, filled.records, filled.care) == (
            held.gross_weight,
            held.value,
            held.records,
            held.care,
        )


def test_cartons_are_named_by_number_range_or_quote() -> None:
    plan = next(plan for seed in SEEDS if (plan := planned(seed)) and len(plan.shipments) > 1)
    numbers = [shipment.filled.number for shipment in plan.shipments]
    quote = plan.shipments[0].quote.name
    by_it = {shipment.filled.number for shipment in plan.shipments if shipment.quote.name == quote}
    assert cartons_named([quote.upper()], numbers, plan.shipments) == by_it
    assert cartons_named(["; ".join(numbers)], numbers, plan.shipments) == set(numbers)
    assert cartons_named(["1-3", "5"], ["1", "2", "3", "4", "5"], ()) == {"1", "2", "3", "5"}
    for unknown in ("99", "1-99", "No such van"):
        with pytest.raises(NoSuchCarton):
            cartons_named([unknown], numbers, plan.shipments)


@pytest.mark.parametrize("seed", SEEDS)
def test_carried_on_twice_is_the_same_as_once(seed: int) -> None:
    """First all are packed, later all are sent: what is paid is what was planned at first."""
    plan = plan_of(seed)
    again = optimise(carried(plan)[1], seconds=20)
    on, move = carried(again, *ways(again))
    assert move.to_go == ()
    assert on.boxes == {}
    assert totals(move, []).total_cost == totals(plan.move, plan.shipments).total_cost
    assert {way.number for way in on.last} == {packed.filled.number for packed in move.packed}


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_sent_counts_in_the_cap_on_the_expected_loss(seed: int) -> None:
    """A cap just above what is on its way leaves the rest nothing to lose; one below it leaves no plan at all."""
    plan = plan_of(seed)
    sent = sorted(ways(plan))[:1]
    _, move = carried(plan, *sent)
    loss = expected_uninsured_loss_of_all(move, [])
    if not loss or not move.to_go:
        return
    below = replace(move.settings, most_expected_loss=loss * Decimal("0.99"))
    with pytest.raises(NoPlan):
        optimise(replace(move, settings=below), seconds=20)
    above = replace(move.settings, most_expected_loss=loss * Decimal("1.01"))
    with suppress(NoPlan, NoPlanInTime):
        again = optimise(replace(move, settings=above), seconds=20)
        assert expected_uninsured_loss_of_all(again.move, again.shipments) <= above.most_expected_loss
