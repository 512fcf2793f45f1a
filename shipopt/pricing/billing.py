"""Outside volume, volumetric weight and billed weight of a carton.

Weights and volumes are in the move's units. Each measure comes twice: exact, as a fraction, for the charges
worked out from it, and as a decimal for lists and programmes. Called by carriage, planning and the results.
"""

from decimal import Decimal
from fractions import Fraction

from shipopt.move.cartons import CartonType
from shipopt.move.quotes import Quote
from shipopt.move.words import Units
from shipopt.pricing.exact import measured


def exact_outside_volume(carton: CartonType, units: Units) -> Fraction:
    """Outside volume in cu ft or m³, from the outside lengths as given."""
    return Fraction(carton.small_volume) / units.small_volumes_in_a_volume


def outside_volume(carton: CartonType, units: Units) -> Decimal:
    """Outside volume in cu ft or m³, from the outside lengths as given; what Per volume unit is charged on."""
    return measured(exact_outside_volume(carton, units))


def exact_volumetric_weight(quote: Quote, carton: CartonType, units: Units) -> Fraction | None:
    """Outside volume ÷ divisor, or None where the quote has no divisor or the volume is not above its limit.

    Both the limit and the division take each outside length rounded half up to a whole unit first, and the limit
    itself is not above: a carton of exactly 1,728 cu in is billed by weight. Domestic Mail Manual 123.1.4
    (archive of 2006 to 2019, "dimensional weight"): dimensions to the nearest whole inch, parcels over one cubic foot.
    """
    if quote.volumetric_divisor is None:
        return None
    volume = carton.rounded_small_volume
    if volume <= quote.volumetric_above * units.small_volumes_in_a_volume:
        return None
    return Fraction(volume) / Fraction(quote.volumetric_divisor)


def volumetric_weight(quote: Quote, carton: CartonType, units: Units) -> Decimal | None:
    """The volumetric weight before rounding to the quote's steps, or None where the carton is billed by weight."""
    exact = exact_volumetric_weight(quote, carton, units)
    return None if exact is None else measured(exact)


def exact_billed_weight(quote: Quote, carton: CartonType, gross: Decimal, units: Units) -> Fraction:
    """The larger of gross and volumetric weight, then up to a multiple of the quote's Weigh in steps of."""
    weight = max(Fraction(gross), exact_volumetric_weight(quote, carton, units) or Fraction(0))
    if quote.weigh_step is None:
        return weight
    step = Fraction(quote.weigh_step)
    return -(-weight // step) * step


def billed_weight(quote: Quote, carton: CartonType, gross: Decimal, units: Units) -> Decimal:
    """The weight that a carton of this gross weight is billed at by the quote."""
    return measured(exact_billed_weight(quote, carton, gross, units))
