"""Rate cards: the price of one carton by its billed weight.

A card is searched, never extended: what is heavier than its last step has no price. Called by carriage and planning.
"""

from bisect import bisect_left
from decimal import Decimal
from fractions import Fraction

from shipopt.move.quotes import RateCard, RateStep


def rate_card_step(card: RateCard, billed: Decimal | Fraction) -> RateStep | None:
    """The first step whose Weight up to is not below the billed weight; None above the last (not accepted)."""
    weight = Fraction(billed)
    place = bisect_left(card.steps, weight, key=lambda step: Fraction(step.weight_up_to))
    return card.steps[place] if place < len(card.steps) else None


def rate_card_price(card: RateCard, billed: Decimal | Fraction) -> Decimal | None:
    """The price of one carton of that billed weight, in money; None where the card does not accept it."""
    step = rate_card_step(card, billed)
    return None if step is None else step.price
