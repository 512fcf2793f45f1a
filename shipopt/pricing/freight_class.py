"""Freight class by density: the scale that quotes for freight in the United States are asked for by.

Classes change and a carrier's item may differ: the class is advice on bid forms, never a price. Densities are
worked out exactly, because a tier starts at its lower bound.
"""

from decimal import Decimal
from fractions import Fraction

from shipopt.move.words import Units

# National Motor Freight Classification, Docket 2025-1, density scale of 13 tiers, in force from 19 July 2025:
# lb per cu ft from (inclusive) and class.
TIERS: tuple[tuple[Decimal, Decimal], ...] = tuple(
    (Decimal(bound), Decimal(grade))
    for bound, grade in (
        ("0", "400"),
        ("1", "300"),
        ("2", "250"),
        ("4", "175"),
        ("6", "125"),
        ("8", "100"),
        ("10", "92.5"),
        ("12", "85"),
        ("15", "70"),
        ("22.5", "65"),
        ("30", "60"),
        ("35", "55"),
        ("50", "50"),
    )
)

# International Yard and Pound Agreement, 1959: 1 lb = 0.45359237 kg and 1 ft = 0.3048 m, exactly.
KILOGRAMS_IN_A_POUND = Fraction("0.45359237")
METRES_IN_A_FOOT = Fraction("0.3048")


def density(weight: Decimal, small_volume: Decimal, units: Units) -> Fraction:
    """Density in lb per cu ft, exactly, of a weight in a volume of cubic length units (cu in or cm³)."""
    volume = Fraction(small_volume) / units.small_volumes_in_a_volume
    found = Fraction(weight) / volume
    if units is Units.POUND_INCH:
        return found
    return found * METRES_IN_A_FOOT**3 / KILOGRAMS_IN_A_POUND


def freight_class(density_lb_per_cu_ft: Decimal | Fraction) -> Decimal:
    """The class of a density, not negative: that of the last tier that starts at or below it."""
    found = Fraction(density_lb_per_cu_ft)
    if found < 0:
        raise ValueError("a density is not negative")
    return [grade for bound, grade in TIERS if Fraction(bound) <= found][-1]
