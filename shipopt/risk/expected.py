"""Uninsured loss of one carton: what may happen to it, what comes back then, what is left on average.

Money is in the move's currency and not rounded, chances are fractions. Dependence between cartons is not here but in
the module distribution. Called by planning (as coefficients and caps) and by the results writer.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from enum import StrEnum

from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.quotes import Quote
from shipopt.move.rules import liability
from shipopt.move.settings import Settings
from shipopt.move.words import Covers, Status

ONE = Decimal(1)
DIGITS = 60
"""Digits kept in products of chances, shares and money, so that a sum of them loses none."""


class Event(StrEnum):
    """What may happen to a carton on its way; exactly one of these does."""

    WHOLE_LOAD = "lost with its whole load"
    LOST = "lost by itself"
    DAMAGED = "damaged"
    SAFE = "safe"


@dataclass(frozen=True, slots=True)
class Outcome:
    """One thing that may happen to a carton: its chance, and what it costs its owner.

    ``uninsured`` is what is left of the loss after the larger of cover and liability; ``from_carrier`` is the part
    of what comes back that only the carrier's liability brings: the liability beyond the cover.
    """

    event: Event
    chance: Decimal
    uninsured: Decimal
    from_carrier: Decimal


def chances(quote: Quote, damage_factor: Decimal) -> tuple[Decimal, Decimal, Decimal]:
    """Chances that a carton is lost with its load, lost by itself, damaged: each counted once, so that they add up.

    Where the three are more than 1 together, loss with the load comes first, then loss alone, then damage, each as
    far as there is room: what is lost cannot be lost or damaged again.
    """
    whole = quote.whole_load_loss
    lost = min(quote.loss_chance, ONE - whole)
    damaged = min(quote.damage_chance * damage_factor, ONE - whole - lost)
    return whole, lost, damaged


def outcomes(move: Move, shipment: Shipment) -> tuple[Outcome, ...]:
    """Everything that may happen to the carton, in the order of ``Event``; the chances sum to 1."""
    with localcontext() as context:
        context.prec = DIGITS
        whole, lost, damaged = chances(shipment.quote, shipment.filled.carton.damage_factor)
        on_loss = _after_loss(shipment)
        on_damage = _after_damage(shipment, move.settings)
        return (
            Outcome(Event.WHOLE_LOAD, whole, *on_loss),
            Outcome(Event.LOST, lost, *on_loss),
            Outcome(Event.DAMAGED, damaged, *on_damage),
            Outcome(Event.SAFE, ONE - whole - lost - damaged, ZERO, ZERO),
        )


def expected_uninsured_loss(move: Move, shipment: Shipment) -> Decimal:
    """Chance of loss × what is then left + chance of damage × what is then left, with liability capped for each
    carton; exact, not rounded."""
    with localcontext() as context:
        context.prec = DIGITS
        return sum((outcome.chance * outcome.uninsured for outcome in outcomes(move, shipment)), ZERO)


def expected_uninsured_loss_of_all(move: Move, shipments: Sequence[Shipment]) -> Decimal:
    """The sum over these shipments and the cartons of the move that are sent but have not arrived."""
    with localcontext() as context:
        context.prec = DIGITS
        return sum((expected_uninsured_loss(move, each) for each in (*shipments, *still_on_their_way(move))), ZERO)


def still_on_their_way(move: Move) -> tuple[Shipment, ...]:
    """Closed cartons that are sent and have not arrived, under the cover that their rows name. Arrived ones are past
    all risk."""
    return tuple(
        Shipment(gone.filled, move.quotes[gone.gone_by], cover=move.covers[gone.cover] if gone.cover else None)
        for gone in move.gone
        if gone.status is Status.SENT and gone.gone_by is not None
    )


def _after_loss(shipment: Shipment) -> tuple[Decimal, Decimal]:
    """What is uninsured, and what only the carrier pays, when the whole value is lost."""
    value = shipment.filled.value
    from_cover = max(ZERO, value - shipment.cover.excess) if shipment.cover else ZERO
    return _left(value, from_cover, liability(shipment.quote, shipment.filled.gross_weight))


def _after_damage(shipment: Shipment, settings: Settings) -> tuple[Decimal, Decimal]:
    """What is uninsured, and what only the carrier pays, when the damaged share of the value is lost."""
    harm = shipment.filled.value * settings.damage_share
    cover, quote = shipment.cover, shipment.quote
    from_cover = ZERO
    if cover is not None and cover.covers is Covers.LOSS_AND_DAMAGE:
        from_cover = max(ZERO, harm - cover.excess)
    owed = ZERO
    if quote.liability_covers is Covers.LOSS_AND_DAMAGE:
        owed = liability(quote, shipment.filled.gross_weight)
    return _left(harm, from_cover, owed)


def _left(harm: Decimal, from_cover: Decimal, owed: Decimal) -> tuple[Decimal, Decimal]:
    """The larger of cover and liability comes back, never more than the harm."""
    from_carrier = max(ZERO, min(harm, owed) - from_cover)
    return harm - from_cover - from_carrier, from_carrier
