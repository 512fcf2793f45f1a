"""Dealing on: the cartons of the best plan are dealt anew, as long as that makes a cheaper plan.

What is packed by a guide is dealt anew with the covers that the guide says; a plan knows better ones, and cartons that
were emptied, put together or sent otherwise. Called by ``search`` where losses are part of the cost and a plan is worth
all the time there is.
"""

import time
from collections.abc import Sequence

from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.rules import most_gross_weight
from shipopt.planning.guide import Batch
from shipopt.planning.modes import Mode, modes_of
from shipopt.planning.opened import OpenCarton
from shipopt.planning.packing import as_limit, closed, reopened
from shipopt.planning.redealing import Redealing
from shipopt.planning.sending import send
from shipopt.planning.state import State

STAGE = "dealt anew"
PATIENCE = 5
"""So many times the number of cartons are dealt anew in vain before it is given up."""


def deal_on(state: State) -> None:
    """Deal the best plan's cartons anew until the time is up, or no deal makes a cheaper plan any more."""
    before, rounds = None, 0
    while state.best is not None and state.best_objective != before and state.left > 1 and not state.near_enough:
        before = state.best_objective
        batches, opened = as_batches(state.best, state.move)
        redealing = Redealing(batches, opened, state.move, state.solver, rounds)
        for _ in redealing.improve(time.perf_counter() + state.left, state.enough, PATIENCE):
            send(state, closed(opened).cartons, STAGE)
            if state.best_objective != before:
                break
        rounds += 1


def as_batches(shipments: Sequence[Shipment], move: Move) -> tuple[list[Batch], list[list[OpenCarton]]]:
    """The cartons of loose records of a plan, opened again, and the batches that they are of: those of a quote, a type
    and a mode of cover."""
    batches: dict[tuple[str, int, str], tuple[Batch, list[OpenCarton]]] = {}
    trips = {name: max(s.trip for s in shipments if s.quote.name == name) for name in {s.quote.name for s in shipments}}
    modes = {name: modes_of(move.quotes[name], move) for name in trips}
    for shipment in shipments:
        filled, quote = shipment.filled, shipment.quote
        if filled.closed_by_user:
            continue
        mode = mode_of(shipment, modes[quote.name])
        most = most_gross_weight(filled.carton, quote, move.settings) - filled.carton.empty_weight
        opened = reopened(filled, quote, most, move)
        opened.most_value = as_limit(mode.high)
        made = Batch(quote, mode, trips[quote.name])
        batch, cartons = batches.setdefault((quote.name, mode.index, filled.carton.name), (made, []))
        batch.cartons.append((filled.carton, float(most)))
        batch.lines += [(portion.record, portion.first, portion.copies) for portion in filled.portions]
        cartons.append(opened)
    return [batch for batch, _ in batches.values()], [cartons for _, cartons in batches.values()]


def mode_of(shipment: Shipment, modes: Sequence[Mode]) -> Mode:
    """The mode that a sent carton is in; the nearest by value, where covers of so little are no mode."""
    name = shipment.cover.name if shipment.cover else None
    same = [mode for mode in modes if (mode.cover.name if mode.cover else None) == name] or list(modes)
    value = float(shipment.filled.value)
    return min(same, key=lambda mode: (max(mode.low - value, value - mode.high, 0.0), mode.index))
