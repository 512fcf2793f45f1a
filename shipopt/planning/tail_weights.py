"""How much likelier losses may be taken to be for a bound on the mean of the worst 5 %: whole trips first.

The mean of the worst 5 % is no less than the mean under any change of chances by a factor of at most 20 that keeps
their sum (Artzner, Delbaen, Eber & Heath, "Coherent measures of risk", Mathematical Finance 9, 1999, from memory). Here
"some trip is lost whole" is made that much likelier, and its opposite as much less likely. Called by the constraints.
"""

from decimal import Decimal
from math import prod

from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.quotes import Quote
from shipopt.move.rules import quotes_in
from shipopt.risk.expected import outcomes

WORST_SHARE = Decimal("0.05")
"""The share of outcomes, the worst ones, whose mean the setting caps."""


def growth(move: Move) -> float:
    """The factor for "some trip of a load is lost whole": 20, or less where that would make it surer than sure."""
    arrive = prod(
        (1.0 - float(quote.whole_load_loss)) ** min(quote.trips_at_most, _cartons_at_most(move))
        for quote in quotes_in(move)
        if quote.by_load
    )
    some = 1.0 - arrive
    return min(1.0 / float(WORST_SHARE), 1.0 / some) if some else 1.0


def weights_of(quote: Quote, factor: float) -> tuple[float, float]:
    """Chance that a trip of the quote is lost whole, and by how much its cartons' other mishaps are likelier, under the
    changed chances. Where each carton is a consignment nothing changes."""
    whole = float(quote.whole_load_loss)
    if not quote.by_load or whole >= 1.0:
        return whole, 1.0
    return factor * whole, (1.0 - factor * whole) / (1.0 - whole)


def tail_loss(move: Move, shipment: Shipment, factor: float) -> float:
    """What the carton leaves uninsured on average under the changed chances, in money."""
    on_whole, on_loss, on_damage, _ = outcomes(move, shipment)
    whole, others = weights_of(shipment.quote, factor)
    lost, damaged = float(on_loss.chance) * others, float(on_damage.chance) * others
    return (whole + lost) * float(on_whole.uninsured) + damaged * float(on_damage.uninsured)


def _cartons_at_most(move: Move) -> int:
    """No more trips than copies and closed cartons can be of any use."""
    return max(1, sum(record.copies for record in move.loose) + len(move.to_go))
