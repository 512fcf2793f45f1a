"""Money: decimal amounts in one currency, rounded half up to its minor unit.

Amounts are ``decimal.Decimal`` in the currency's major unit. Minor units are those of ISO 4217
(Codes for the representation of currencies, List One), taken from the ``iso4217`` package.
"""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal, localcontext

import iso4217

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class Currency:
    """A currency and the number of decimal places of its minor unit (0, 2, 3 or 4)."""

    code: str
    places: int

    @property
    def minor_unit(self) -> Decimal:
        """The smallest amount, as 0.01 for two places."""
        return Decimal(1).scaleb(-self.places)

    def round(self, amount: Decimal) -> Decimal:
        """The amount rounded half up to the minor unit, without loss of digits however large it is."""
        with localcontext() as context:
            context.prec = 60
            return amount.quantize(self.minor_unit, rounding=ROUND_HALF_UP)

    def show(self, amount: Decimal) -> str:
        """The amount for people: ``1,250.00 EUR``."""
        return f"{self.round(amount):,f} {self.code}"


def currency(code: str) -> Currency:
    """The currency of a three-letter code of ISO 4217, upper case; ValueError if there is none."""
    try:
        found = iso4217.Currency(code)
    except ValueError:
        raise ValueError(f"{code!r} is not a currency code of ISO 4217") from None
    return Currency(found.code, found.exponent or 0)
