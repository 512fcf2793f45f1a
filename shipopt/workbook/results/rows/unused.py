"""A quote that the plan leaves out, set against the plan by plain pricing: no new solve, no repacking.

It is given, in number order and within its limits, the cartons of the plan that it may carry; what it would charge for
them is held against what the plan would save elsewhere. A quote may still belong in a plan with other cartons or loads:
that is a question for the comparison of bids. Called by the rows of the sheet Quotes compared.
"""

from collections import Counter
from dataclasses import dataclass
from decimal import Decimal

from shipopt.move.cartons import FilledCarton
from shipopt.move.cover import Cover
from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Plan, Shipment
from shipopt.move.quotes import Quote
from shipopt.move.rules import filled_carton_refusal, most_value_of_consignment, must_be_covered
from shipopt.pricing.billing import billed_weight, outside_volume
from shipopt.pricing.cover import CannotBeCovered, cover_fee
from shipopt.pricing.rate_cards import rate_card_price
from shipopt.pricing.total import Cost, price


@dataclass(frozen=True, slots=True)
class Instead:
    """How many cartons of the plan the quote could carry; its carriage and cover fees for them; and the carriage and
    cover fees the plan would save elsewhere. Money, rounded."""

    cartons: int
    charge: Decimal
    saved: Decimal
    why_none: str = "it has no room for one"


def instead(plan: Plan, cost: Cost, quote: Quote) -> Instead:
    """The quote set against the plan, ``cost`` being the plan's own."""
    taken = _taken(plan, quote)
    if not taken:
        return Instead(0, ZERO, ZERO)
    left = [shipment for place, shipment in enumerate(plan.shipments) if place not in taken]
    rest = price(plan.move, left)
    try:
        its = price(plan.move, list(taken.values()))
    except CannotBeCovered as refusal:
        return Instead(0, ZERO, ZERO, str(refusal))
    now = cost.carriage + cost.cover
    return Instead(len(taken), its.carriage - its.paid + its.cover, now - rest.carriage - rest.cover)


def refusals(plan: Plan, quote: Quote) -> Counter[str]:
    """Why the quote may not carry cartons of the plan: each reason with the number of cartons."""
    found = (_refusal(plan.move, shipment, quote) for shipment in plan.shipments)
    return Counter(reason for reason in found if reason)


def verdict(plan: Plan, found: Instead, refused: Counter[str]) -> str:
    """One line in words on a quote that takes part in the move but carries nothing."""
    if not found.cartons:
        reason = max(refused, key=lambda reason: refused[reason], default=found.why_none)
        return f"may carry none of the plan's cartons: {reason}"
    money = plan.move.settings.currency
    cartons = "the carton" if found.cartons == 1 else f"the {found.cartons} cartons"
    if found.charge >= found.saved:
        return f"dearer: {cartons} it may carry would cost {money.show(found.charge - found.saved)} more"
    lower = money.show(found.saved - found.charge)
    why = "a cap keeps it out, or the search did not get there"
    return f"not in the plan, though {cartons} it may carry would cost {lower} less: {why}"


def _taken(plan: Plan, quote: Quote) -> dict[int, Shipment]:
    """Shipments by the quote, by place in the plan, of the cartons it could carry: its trips are filled in number
    order, each carton on the first trip with room for it."""
    trips = [_Load() for _ in range(min(quote.trips_at_most, len(plan.shipments)))]
    taken: dict[int, Shipment] = {}
    for place, shipment in enumerate(plan.shipments):
        if _refusal(plan.move, shipment, quote):
            continue
        cover = _cover(plan.move, shipment, quote)
        if not quote.by_load:
            taken[place] = Shipment(shipment.filled, quote, 1, cover)
            continue
        for number, load in enumerate(trips, start=1):
            if load.take(shipment.filled, quote, plan.move):
                taken[place] = Shipment(shipment.filled, quote, number, cover)
                break
    return taken


@dataclass(slots=True)
class _Load:
    """What one trip holds so far."""

    cartons: int = 0
    weight: Decimal = ZERO
    volume: Decimal = ZERO
    value: Decimal = ZERO

    def take(self, filled: FilledCarton, quote: Quote, move: Move) -> bool:
        """Puts the carton on the trip if every limit of a trip allows it; whether it did."""
        cartons = self.cartons + 1
        weight = self.weight + filled.gross_weight
        volume = self.volume + outside_volume(filled.carton, move.settings.units)
        value = self.value + filled.value
        limits: tuple[tuple[Decimal | int | None, Decimal | int], ...] = (
            (quote.most_cartons, cartons),
            (quote.most_weight, weight),
            (quote.most_volume, volume),
            (most_value_of_consignment(quote, move.settings), value),
        )
        if any(limit is not None and used > limit for limit, used in limits):
            return False
        self.cartons, self.weight, self.volume, self.value = cartons, weight, volume, value
        return True


def _refusal(move: Move, shipment: Shipment, quote: Quote) -> str | None:
    filled = shipment.filled
    refusal = filled_carton_refusal(filled, quote, move)
    if refusal:
        return refusal
    if quote.rate_card:
        billed = billed_weight(quote, filled.carton, filled.gross_weight, move.settings.units)
        if rate_card_price(quote.rate_card, billed) is None:
            return "its rate card ends below the carton's weight"
    if must_be_covered(filled, quote, move.settings) and _cover(move, shipment, quote) is None:
        return "it must be insured, and no cover is to be had"
    return None


def _cover(move: Move, shipment: Shipment, quote: Quote) -> Cover | None:
    """The cover the carton would take: the plan's own if it is offered there, else the cheapest where it must have
    one, each priced for that carton by itself."""
    offered = [
        (fee, cover.name, cover)
        for cover in move.covers.values()
        if cover.offered_to(quote.name)
        and (fee := cover_fee(cover, shipment.filled.value, move.settings.currency)) is not None
    ]
    for _, name, cover in offered:
        if shipment.cover and name == shipment.cover.name:
            return cover
    return min(offered)[2] if offered and must_be_covered(shipment.filled, quote, move.settings) else None
