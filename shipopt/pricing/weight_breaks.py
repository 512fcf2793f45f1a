"""Weight breaks: the price of a whole consignment per hundred weight units, cheapest over all rows.

A consignment may be rated as a heavier one where that is cheaper. Called by carriage and planning.
"""

from decimal import Decimal
from fractions import Fraction

from shipopt.move.quotes import WeightBreak, WeightBreaks
from shipopt.pricing.exact import measured


def rated(breaks: WeightBreaks, billed: Decimal | Fraction) -> tuple[Fraction, WeightBreak, Fraction]:
    """Exact charge, row and rated weight of a consignment: the cheapest of ``Price per 100 ÷ 100 × max(billed,
    From weight)``; of equal charges the row rated at the lower weight."""
    weight = Fraction(billed)
    found = [(row, max(weight, Fraction(row.from_weight))) for row in breaks.rows]
    charges = [(Fraction(row.price_per_100) / 100 * as_weight, place) for place, (row, as_weight) in enumerate(found)]
    charge, place = min(charges)
    row, as_weight = found[place]
    return charge, row, as_weight


def weight_break_charge(breaks: WeightBreaks, billed: Decimal | Fraction) -> tuple[Decimal, WeightBreak, Decimal]:
    """Charge in money before any rounding, the row that gives it, and the weight the consignment is rated as."""
    charge, row, as_weight = rated(breaks, billed)
    return measured(charge), row, measured(as_weight)
