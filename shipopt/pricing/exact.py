"""Exact amounts, and the one rounding that turns them into money.

Charges are worked out as fractions, because a volume in cu ft (÷ 1,728) or a volumetric weight (÷ 166) has no
finite decimal and a half of a minor unit must round up whatever it was divided by on the way. Used by
every module of this room; nothing here knows a tariff.
"""

from decimal import Decimal, localcontext
from fractions import Fraction

from shipopt.move.money import Currency

SHOWN_PLACES = 10
"""Most decimal places of a line's amount that is not itself money, such as a volume × its rate."""


def settle(amount: Fraction, currency: Currency) -> Decimal:
    """An exact amount of money, not negative, rounded half up to the currency's minor unit."""
    return _half_up(amount, currency.places)


def shown(amount: Fraction, currency: Currency) -> Decimal:
    """An exact amount as a line shows it: with as many places as it needs, from the currency's up to ten.

    At ten places a statement of any real size still sums without loss in decimal arithmetic.
    """
    places = currency.places
    while places < SHOWN_PLACES and (amount * 10**places).denominator != 1:
        places += 1
    return _half_up(amount, places)


def measured(quantity: Fraction) -> Decimal:
    """An exact weight, volume or rate as a decimal: without loss if it has a finite one of up to 28 digits."""
    with localcontext() as context:
        context.prec = 28
        return Decimal(quantity.numerator) / Decimal(quantity.denominator)


def _half_up(amount: Fraction, places: int) -> Decimal:
    units = (2 * amount.numerator * 10**places + amount.denominator) // (2 * amount.denominator)
    return Decimal(f"{units}E-{places}")
