"""The single events that leave a loss uninsured: a trip lost with all that is on it, a carton lost or damaged.

An event's cost is what it leaves to the owner when nothing else happens. The whole distribution is in the module
distribution, whose worst event is the first of these. Called by the results writer.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext

from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Shipment, by_trip
from shipopt.risk.expected import DIGITS, Event, Outcome, outcomes, still_on_their_way


@dataclass(frozen=True, slots=True)
class LossEvent:
    """One event: what happens, by which quote, on which trip (None where each carton is a consignment), to which
    cartons; its chance (a fraction) and what it leaves uninsured (money)."""

    event: Event
    quote: str
    trip: int | None
    cartons: tuple[str, ...]
    chance: Decimal
    uninsured: Decimal


def loss_events(move: Move, shipments: Sequence[Shipment]) -> tuple[LossEvent, ...]:
    """Every event that may happen to these shipments and to the cartons still on their way, the dearest first; of
    equally dear ones the likelier first. Nothing that leaves no loss."""
    with localcontext() as context:
        context.prec = DIGITS
        found: list[LossEvent] = []
        for carried in (*by_trip(move, shipments).values(), *by_trip(move, still_on_their_way(move)).values()):
            each = [(shipment, outcomes(move, shipment)) for shipment in carried]
            together = carried[0].quote.by_load and len(carried) > 1
            if together:
                found.append(_whole_trip(each))
            for shipment, outcome in each:
                found += _of_one(shipment, outcome, apart=not together)
    dear = [event for event in found if event.chance and event.uninsured]
    return tuple(sorted(dear, key=lambda event: (-event.uninsured, -event.chance)))


def _whole_trip(each: Sequence[tuple[Shipment, Sequence[Outcome]]]) -> LossEvent:
    """All cartons of a trip lost at once; the carrier pays no more than its most for the consignment."""
    first = each[0][0]
    lost = [outcome[0] for _, outcome in each]
    from_carrier = sum((outcome.from_carrier for outcome in lost), ZERO)
    most = first.quote.most_liability
    beyond = ZERO if most is None else max(ZERO, from_carrier - most)
    uninsured = sum((outcome.uninsured for outcome in lost), beyond)
    numbers = tuple(shipment.filled.number for shipment, _ in each)
    return LossEvent(Event.WHOLE_LOAD, first.quote.name, first.trip, numbers, lost[0].chance, uninsured)


def _of_one(shipment: Shipment, outcome: Sequence[Outcome], apart: bool) -> Iterator[LossEvent]:
    """A carton lost by itself or damaged; where it is ``apart``, being lost with its load is being lost."""
    whole, lost, damaged, _ = outcome
    quote = shipment.quote
    trip = shipment.trip if quote.by_load else None
    chance = lost.chance + (whole.chance if apart else ZERO)
    numbers = (shipment.filled.number,)
    yield LossEvent(Event.LOST, quote.name, trip, numbers, chance, lost.uninsured)
    yield LossEvent(Event.DAMAGED, quote.name, trip, numbers, damaged.chance, damaged.uninsured)
