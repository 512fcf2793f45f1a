"""Ways: a filled carton by a quote under a cover, with everything that is constant about it.

What a way costs comes from the pricing module and what it risks from the risk module, so the carton programme
prices exactly what the invoice will say. Ways that another way of the same carton and quote beats are left out.
"""

from dataclasses import dataclass, replace
from decimal import Decimal

from shipopt.move.cartons import FilledCarton
from shipopt.move.cover import Cover
from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.quotes import Quote
from shipopt.move.rules import filled_carton_refusal, must_be_covered
from shipopt.move.words import CoverBasis
from shipopt.pricing.billing import billed_weight
from shipopt.pricing.carriage import carton_charge
from shipopt.pricing.cover import cover_fee
from shipopt.pricing.rate_cards import rate_card_price
from shipopt.risk.expected import expected_uninsured_loss


@dataclass(frozen=True, slots=True)
class Way:
    """A carton by a quote under a cover. ``charge`` is the whole charge of a carton that is its own consignment, or
    the rate card's price of one in a load; ``charge_included`` the same free of Per carton; ``fee`` is ZERO where the
    fee depends on the trip."""

    quote: Quote
    cover: Cover | None
    charge: Decimal
    charge_included: Decimal
    billed_weight: Decimal
    fee: Decimal
    expected_loss: Decimal

    @property
    def fee_by_trip(self) -> bool:
        """Whether the cover's fee is that of all cartons of the trip that take it."""
        return self.quote.by_load and self.cover is not None and self.cover.basis is CoverBasis.CONSIGNMENT


def loss_matters(move: Move) -> bool:
    """Whether any rule or price of the move looks at uninsured losses, so that cover may pay without being a duty."""
    return move.settings.count_expected_loss or loss_is_capped(move)


def loss_is_capped(move: Move) -> bool:
    """Whether a rule of the move says what may be lost at the most, on average or in the worst cases."""
    return move.settings.most_expected_loss is not None or move.settings.most_tail_mean is not None


def without_loss_caps(move: Move) -> Move:
    """The move with no cap on what may be lost: a relaxation of it, and an easier one to plan."""
    return replace(move, settings=replace(move.settings, most_expected_loss=None, most_tail_mean=None))


def ways_of(filled: FilledCarton, quote: Quote, move: Move) -> list[Way]:
    """The ways this carton may go by this quote, none if it may not; those that could belong in a best plan."""
    if filled_carton_refusal(filled, quote, move) is not None:
        return []
    charges = _charges(filled, quote, move)
    if charges is None:
        return []
    billed = billed_weight(quote, filled.carton, filled.gross_weight, move.settings.units)
    covers: list[Cover | None] = [c for c in move.covers.values() if c.offered_to(quote.name)]
    if not must_be_covered(filled, quote, move.settings):
        covers.insert(0, None)
    ways = []
    for cover in covers:
        fee = ZERO if cover is None else cover_fee(cover, filled.value, move.settings.currency)
        if fee is None:
            continue
        loss = expected_uninsured_loss(move, Shipment(filled, quote, 1, cover))
        way = Way(quote, cover, *charges, billed, fee, loss)
        ways.append(replace(way, fee=ZERO) if way.fee_by_trip else way)
    return _worth_having(ways, loss_matters(move))


def _charges(filled: FilledCarton, quote: Quote, move: Move) -> tuple[Decimal, Decimal] | None:
    if not quote.by_load:
        charge = carton_charge(quote, filled, move.settings)
        included = carton_charge(quote, filled, move.settings, included=True) if quote.included_cartons else charge
        return None if charge is None or included is None else (charge, included)
    if quote.rate_card is None:
        return ZERO, ZERO
    billed = billed_weight(quote, filled.carton, filled.gross_weight, move.settings.units)
    price = rate_card_price(quote.rate_card, billed)
    return None if price is None else (price, price)


def _worth_having(ways: list[Way], losses_count: bool) -> list[Way]:
    """Drop ways that cost no less and risk no less than another. A fee that depends on the trip is not known yet:
    such a way stays where cover is a duty or losses count, and goes where no cover at all is allowed and enough."""
    best: list[Way] = []
    for way in sorted((w for w in ways if not w.fee_by_trip), key=lambda w: (w.fee, w.expected_loss)):
        if not best or (losses_count and way.expected_loss < best[-1].expected_loss):
            best.append(way)
    uncovered = any(way.cover is None for way in best)
    if losses_count or not uncovered:
        safest = min((w.expected_loss for w in best if w.fee == 0), default=None)
        best += [w for w in ways if w.fee_by_trip and (safest is None or w.expected_loss < safest)]
    return best
