"""Prices of one quote changed, and what a known plan says of them: the highest fixed charge, and the highest share of
its prices, at which the plan still costs no more than a given amount.

Pure arithmetic by the pricing room; nothing is solved here. As a plan's cost rises with a price, the highest one is
found by halving, to the minor unit or to a thousandth. Called by the module bidders.
"""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

from shipopt.move.cartons import FilledCarton
from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Plan
from shipopt.move.quotes import Quote
from shipopt.planning.state import objective_of
from shipopt.pricing.carriage import quote_statements

FINEST_SHARE = Decimal("0.001")

PUSH = 3
"""To see what a quote can carry at most, each carton by another is made so many times the plan's average dearer."""


def with_quote(move: Move, quote: Quote) -> Move:
    """The move with this quote instead of the one of its name."""
    return replace(move, quotes={name: quote if name == quote.name else old for name, old in move.quotes.items()})


def without_quote(move: Move, name: str) -> Move:
    """The move with one quote not considered."""
    return with_quote(move, replace(move.quotes[name], consider=False))


def at_share(quote: Quote, share: Decimal) -> Quote:
    """The quote at a share of all its prices (0.9: all of them a tenth lower); the surcharge stays."""
    card, breaks = quote.rate_card, quote.weight_breaks
    return replace(
        quote,
        fixed_charge=quote.fixed_charge * share,
        per_carton=quote.per_carton * share,
        per_weight=quote.per_weight * share,
        per_volume=quote.per_volume * share,
        minimum_charge=quote.minimum_charge * share,
        rate_card=card and replace(card, steps=tuple(replace(s, price=s.price * share) for s in card.steps)),
        weight_breaks=breaks
        and replace(breaks, rows=tuple(replace(r, price_per_100=r.price_per_100 * share) for r in breaks.rows)),
    )


def pushed_to(plan: Plan, objective: Decimal, name: str) -> Move:
    """The plan's move with every other quote made so dear by the carton that one carries all that it can."""
    dearer = objective * PUSH / max(1, len(plan.shipments)) + 1
    quotes = {
        quote.name: quote
        if quote.name == name
        else replace(quote, per_carton=quote.per_carton + dearer, included_cartons=0)
        for quote in plan.move.quotes.values()
    }
    return replace(plan.move, quotes=quotes)


def uses(plan: Plan, name: str) -> bool:
    """Whether a plan sends anything by a quote."""
    return any(shipment.quote.name == name for shipment in plan.shipments)


def carriage_by(plan: Plan, quote: Quote) -> Decimal:
    """What the cartons that the plan sends by the quote of this name are charged at this quote's prices; money."""
    trips: dict[int, list[FilledCarton]] = {}
    for shipment in plan.shipments:
        if shipment.quote.name == quote.name:
            trips.setdefault(shipment.trip, []).append(shipment.filled)
    return sum((each.total for each in quote_statements(quote, trips, plan.move.settings)), ZERO)


def highest_fixed_charge(plan: Plan, name: str, most: Decimal) -> Decimal | None:
    """The highest fixed charge of a quote the plan uses, to the minor unit, at which it costs no more than ``most``;
    None if it costs more even without one."""
    quote, unit = plan.move.quotes[name], plan.move.settings.currency.minor_unit
    others = _others(plan, quote)

    def affordable(units: int) -> bool:
        return others + carriage_by(plan, replace(quote, fixed_charge=units * unit)) <= most

    # A charge is never below its fixed part, so more than all the money left is surely too much.
    highest = _highest(affordable, max(0, int((most - others) / unit)) + 2)
    return None if highest is None else highest * unit


def highest_share(plan: Plan, name: str, most: Decimal) -> Decimal | None:
    """The highest share of all its prices, up to 1 in thousandths, at which the plan costs no more than ``most``; None
    if it costs more even if this carrier asks nothing."""
    quote = plan.move.quotes[name]
    others = _others(plan, quote)

    def affordable(steps: int) -> bool:
        return others + carriage_by(plan, at_share(quote, steps * FINEST_SHARE)) <= most

    highest = _highest(affordable, int(1 / FINEST_SHARE) + 1)
    return None if highest is None else highest * FINEST_SHARE


def _others(plan: Plan, quote: Quote) -> Decimal:
    """All the plan's cost but this quote's carriage."""
    return objective_of(plan.move, plan.shipments) - carriage_by(plan, quote)


def _highest(holds: Callable[[int], bool], too_much: int) -> int | None:
    """The highest whole number from 0, below ``too_much``, up to which something holds; None if not even at 0."""
    if not holds(0):
        return None
    low, high = 0, too_much
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low
