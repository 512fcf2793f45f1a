"""Sending packed cartons: by the quotes they were packed for, or by others where these may not carry them all."""

from dataclasses import replace
from decimal import Decimal

from benchmarks.moves import realistic

from shipopt.move.rules import quotes_in
from shipopt.move.words import Means
from shipopt.planning import optimise
from shipopt.planning.outline import free_to_book
from shipopt.planning.sending import send
from shipopt.planning.solving import default_solver
from shipopt.planning.state import State

MOVE = realistic(1, 300, 6)


def test_cartons_go_by_other_quotes_where_their_own_may_not_carry_so_many():
    plan = optimise(MOVE, seconds=10, within=0.05)
    cartons = [shipment.filled for shipment in plan.shipments]
    van = next(quote for quote in quotes_in(MOVE) if quote.means is Means.VAN)
    own = [quote.name if quote.by_load else van.name for quote in (shipment.quote for shipment in plan.shipments)]
    assert own.count(van.name) > 1
    move = replace(MOVE, quotes={**MOVE.quotes, van.name: replace(van, trips_at_most=1, most_cartons=1)})
    state = State(move, 30.0, 0.005, default_solver(), lambda report: None)
    send(state, cartons, "packed", own)
    assert state.best is not None
    assert sum(shipment.quote.name == van.name for shipment in state.best) <= 1
    free = {quote.name for quote in quotes_in(MOVE) if free_to_book(quote)}
    assert {shipment.quote.name for shipment in state.best} <= {*own, *free}
    assert sum(shipment.filled.records for shipment in state.best) == sum(record.copies for record in MOVE.records)


def test_cartons_go_by_their_own_quotes_where_these_may_carry_them():
    plan = optimise(MOVE, seconds=10, within=0.05)
    cartons = [shipment.filled for shipment in plan.shipments]
    quotes = [shipment.quote.name for shipment in plan.shipments]
    state = State(MOVE, 30.0, 0.005, default_solver(), lambda report: None)
    send(state, cartons, "packed", quotes)
    sent = {shipment.filled.records: shipment.quote.name for shipment in state.best}
    assert sent == {carton.records: quote for carton, quote in zip(cartons, quotes, strict=True)}
    assert state.best_objective >= plan.search.floor > Decimal(0)
