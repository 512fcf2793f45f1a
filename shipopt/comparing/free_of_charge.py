"""A move at which nothing costs anything, so that its cheapest plan is the one that loses least; and a plan of such a
move as a plan of the move with its prices.

Limits stay what they are: a rate card still ends where it ends, a cover still reaches as far as it does. Called by
caution.
"""

from dataclasses import replace
from decimal import Decimal

from shipopt.move.cartons import CartonType
from shipopt.move.cover import Band, Cover
from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Plan, Shipment
from shipopt.move.quotes import Quote, RateCard

A_UNIT_LOST = Decimal(1000)
"""What a unit of loss costs where nothing else does: as much as a move costs, so that what is worth looking at for
money is worth it for losses too."""


def free_of_charge(move: Move) -> Move:
    """The move with every price 0 and the expected uninsured loss, times A_UNIT_LOST, as its only cost."""
    return replace(
        move,
        settings=replace(move.settings, count_expected_loss=True, weight_of_loss=A_UNIT_LOST),
        cartons={name: _free_carton(carton) for name, carton in move.cartons.items()},
        quotes={name: _free_quote(quote) for name, quote in move.quotes.items()},
        covers={name: _free_cover(cover) for name, cover in move.covers.items()},
        packed=tuple(replace(packed, paid=ZERO, cover_fee=ZERO, carton_paid=ZERO) for packed in move.packed),
    )


def with_prices_of(move: Move, plan: Plan) -> Plan:
    """The plan with the quotes, covers and cartons of the move, which has the same names and the same records."""
    return Plan(move, tuple(_again(move, shipment) for shipment in plan.shipments), plan.search)


def _again(move: Move, shipment: Shipment) -> Shipment:
    filled = replace(shipment.filled, carton=move.cartons[shipment.filled.carton.name])
    cover = move.covers[shipment.cover.name] if shipment.cover else None
    return Shipment(filled, move.quotes[shipment.quote.name], shipment.trip, cover)


def _free_carton(carton: CartonType) -> CartonType:
    return replace(carton, price=ZERO)


def _free_quote(quote: Quote) -> Quote:
    card = quote.rate_card
    return replace(
        quote,
        fixed_charge=ZERO,
        per_carton=ZERO,
        per_weight=ZERO,
        per_volume=ZERO,
        rate_card=RateCard(card.name, tuple(replace(step, price=ZERO) for step in card.steps)) if card else None,
        weight_breaks=None,
        minimum_charge=ZERO,
        included_cartons=0,
    )


def _free_cover(cover: Cover) -> Cover:
    """With one band up to where its last one ended: bands that cost the same are no choice."""
    return replace(cover, bands=(Band(cover.bands[-1].value_up_to),))
