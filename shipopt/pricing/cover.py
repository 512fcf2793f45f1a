"""Cover fees, and how a fee for a whole consignment is shared out to its cartons on lists.

The fee of an insured value is that of the first band whose Value up to is not below it. Where a carton is the
consignment, a cover with basis consignment insures each carton by itself. Called by total and planning.
"""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction

from shipopt.move.cover import Band, Cover
from shipopt.move.money import Currency
from shipopt.pricing.exact import settle


class CannotBeCovered(ValueError):  # noqa: N818 - the insurer refuses; nothing has gone wrong
    """An insured value lies above the last band of its cover."""

    def __init__(self, cover: Cover, value: Decimal) -> None:
        super().__init__(f"{cover.name} does not cover a value of {value:f}: its last band ends below that")
        self.cover = cover
        self.value = value


def band_of(cover: Cover, value: Decimal) -> Band | None:
    """The first band whose Value up to is not below the value; None above the last."""
    for band in cover.bands:
        if band.value_up_to is None or value <= band.value_up_to:
            return band
    return None


def cover_fee(cover: Cover, value: Decimal, currency: Currency) -> Decimal | None:
    """``max(Least fee, Fee + Plus % × value)`` of the value's band, rounded half up once; None above the last band."""
    band = band_of(cover, value)
    if band is None:
        return None
    fee = Fraction(band.fee) + Fraction(band.share_of_value) * Fraction(value)
    return settle(max(fee, Fraction(band.least_fee)), currency)


def share_by_value(fee: Decimal, values: Sequence[Decimal], currency: Currency) -> tuple[Decimal, ...]:
    """A fee (whole minor units) shared out in proportion to values, in minor units, summing to the fee exactly.

    Largest remainders are rounded up (Hamilton's method, A. Hamilton 1792, from memory), of equal ones the
    earlier; equal shares if all values are zero.
    """
    weights = [Fraction(value) for value in values]
    if not sum(weights):
        weights = [Fraction(1)] * len(weights)
    whole = int(Fraction(fee) / Fraction(currency.minor_unit))
    due = [whole * weight / sum(weights) for weight in weights]
    units = [int(share) for share in due]
    by_remainder = sorted(range(len(due)), key=lambda place: (units[place] - due[place], place))
    for place in by_remainder[: whole - sum(units)]:
        units[place] += 1
    return tuple(currency.minor_unit * unit for unit in units)
