"""What rounding to the minor unit (the cent) may save: nothing, where all that is summed up is in whole ones already.

Called by the aggregate programme, which takes off what rounding may save of what it says that plans cost.
"""

from decimal import Decimal

from shipopt.move.cover import Cover
from shipopt.move.money import Currency
from shipopt.move.quotes import Quote


def rounds_charges(quote: Quote, currency: Currency) -> bool:
    """Whether what a trip is charged may have to be rounded: by weight or volume, or by a rate or surcharge that leaves
    parts of a minor unit."""
    if quote.per_weight or quote.per_volume or quote.weight_breaks is not None:
        return True
    steps = quote.rate_card.steps if quote.rate_card is not None else ()
    amounts = (quote.fixed_charge, quote.per_carton, quote.minimum_charge, *(step.price for step in steps))
    return not all(_is_whole((1 + quote.surcharge) * amount, currency) for amount in amounts)


def rounds_fees(cover: Cover, currency: Currency) -> bool:
    """Whether a fee of the cover may have to be rounded, as a share of the value insured may."""
    return any(
        band.share_of_value or not _is_whole(band.fee, currency) or not _is_whole(band.least_fee, currency)
        for band in cover.bands
    )


def _is_whole(amount: Decimal, currency: Currency) -> bool:
    return currency.round(amount) == amount
