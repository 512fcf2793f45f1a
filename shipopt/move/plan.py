"""A plan, as a value: what goes in which carton, with whom, on which trip, under which cover.

Made by planning, priced by pricing, judged by the audit, written by the results writer. It holds no totals:
those come from the pricing module run over it. The floor and the search's own facts travel with it.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property

from shipopt.move.cartons import FilledCarton
from shipopt.move.cover import Cover
from shipopt.move.move import Move
from shipopt.move.quotes import Quote


@dataclass(frozen=True, slots=True)
class Shipment:
    """A filled carton on a trip (from 1) of a quote, under a cover or none. Where a carton is the consignment
    the trip is 1 and means nothing."""

    filled: FilledCarton
    quote: Quote
    trip: int = 1
    cover: Cover | None = None


@dataclass(frozen=True, slots=True)
class Search:
    """How a plan was found: which solver ran, how long, why it stopped, and the floor.

    ``floor`` is a lower bound, in money, on the objective of every plan that obeys the rules (Total cost, plus
    expected uninsured loss where the settings count it); ``floor_kind`` says in words what it bounds.
    """

    solver: str
    seconds: float
    floor: Decimal
    floor_kind: str
    stopped: str = ""
    stages: tuple[str, ...] = ()


@dataclass(frozen=True)
class Plan:
    """Every carton that still has to travel, each on its way. ``shipments`` follow the carton numbers."""

    move: Move
    shipments: tuple[Shipment, ...]
    search: Search

    @cached_property
    def trips(self) -> dict[tuple[str, int], tuple[Shipment, ...]]:
        """Shipments by quote name and trip, in the workbook's order of quotes, trips rising."""
        return by_trip(self.move, self.shipments)


def by_trip(move: Move, shipments: Sequence[Shipment]) -> dict[tuple[str, int], tuple[Shipment, ...]]:
    """Shipments by quote name and trip, in the workbook's order of quotes, trips rising."""
    order = {name: place for place, name in enumerate(move.quotes)}
    found: dict[tuple[str, int], list[Shipment]] = {}
    for shipment in shipments:
        found.setdefault((shipment.quote.name, shipment.trip), []).append(shipment)
    keys = sorted(found, key=lambda key: (order[key[0]], key[1]))
    return {key: tuple(found[key]) for key in keys}
