"""Cartons of a plan that is known already, filled again for a move that differs from the plan's in some rule or price.

A search that starts from them has something to improve on at once. They serve only if the same copies are to go and
each carton still holds what was in it; what they may go by, and at what price, is for the carton programme to say.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import replace
from decimal import Decimal

from shipopt.move.cartons import FilledCarton, filled
from shipopt.move.move import Move
from shipopt.move.plan import Plan
from shipopt.move.records import Record
from shipopt.move.rules import most_gross_weight

Copy = tuple[str, int]
"""A record's ID and the number of the copy, from 1."""


def cartons_again(plan: Plan, move: Move) -> list[FilledCarton] | None:
    """The plan's cartons of loose records as the move describes them; None if they do not serve it."""
    records = {record.record_id: record for record in move.loose}
    again = []
    for shipment in plan.shipments:
        if not shipment.filled.closed_by_user:
            carton = _again(shipment.filled, records, move)
            if carton is None:
                return None
            again.append(carton)
    wanted = Counter((record.record_id, copy) for record in move.loose for copy in range(1, record.copies + 1))
    return again if Counter(copy for carton in again for copy in _copies(carton)) == wanted else None


def _copies(carton: FilledCarton) -> Iterator[Copy]:
    for portion in carton.portions:
        yield from ((portion.record.record_id, portion.first + more) for more in range(portion.copies))


def _again(known: FilledCarton, records: Mapping[str, Record], move: Move) -> FilledCarton | None:
    carton = move.cartons.get(known.carton.name)
    if carton is None or any(portion.record.record_id not in records for portion in known.portions):
        return None
    portions = [replace(portion, record=records[portion.record.record_id]) for portion in known.portions]
    again = filled(known.number, carton, portions)
    room = carton.room_in_each(move.settings.fill_most)
    stacks: defaultdict[int, Decimal] = defaultdict(Decimal)
    for portion in portions:
        stacks[portion.inner] += portion.record.thickness * portion.copies
    fits = (
        max(stacks.values()) <= room
        and again.gross_weight <= most_gross_weight(carton, None, move.settings)
        and all(portion.record.format.sleeve in carton.sleeves for portion in portions)
    )
    return again if fits else None
