"""What a box maker's certificate allows a single-wall carton of a board grade to weigh and to measure.

Source: National Motor Freight Classification, Item 222, and Uniform Freight Classification, Rule 41, reproduced in the
Fibre Box Handbook. Weights and edge crush seen in suppliers' copies; sizes from memory but for the first two rows. A
certificate says what the board holds, not what a person should lift.
"""

from dataclasses import dataclass
from decimal import Decimal

from shipopt.move.cartons import CartonType
from shipopt.move.words import Units

POUND = Decimal("0.45359237")
"""kg; International Yard and Pound Agreement, 1959."""
INCH = Decimal("2.54")
"""cm; the same."""
POUND_PER_INCH = POUND * Decimal("9.80665") / INCH / 10
"""kN/m of one pound-force per inch."""

ROWS = ((23, 20, 40), (26, 35, 50), (29, 50, 60), (32, 65, 75), (40, 80, 85), (44, 95, 95), (55, 120, 105))
"""Edge crush in lb/in at least, gross weight in lb at most, outside length + width + height in in at most."""


@dataclass(frozen=True, slots=True)
class Certificate:
    """The most that a carton may weigh, packed, and that its three outside sizes may sum to, in the move's units."""

    gross_weight: Decimal
    sizes: Decimal


def certificate(edge_crush: Decimal, units: Units) -> Certificate | None:
    """The limits for a board of this edge crush (lb/in or kN/m); None for a weaker board than the table has."""
    metric = units is Units.KILOGRAM_CENTIMETRE
    grade = edge_crush / POUND_PER_INCH if metric else edge_crush
    # Grades are printed in kN/m to a tenth: 32 lb/in is 5.6.
    found = [row for row in ROWS if grade >= row[0] - (Decimal("0.29") if metric else 0)]
    if not found:
        return None
    _, pounds, inches = found[-1]
    return Certificate(pounds * POUND, inches * INCH) if metric else Certificate(Decimal(pounds), Decimal(inches))


def beyond(carton: CartonType, gross_weight: Decimal, units: Units) -> str | None:
    """Why such a board may not hold this carton so heavy, in words; None if it may, or the board is not known."""
    if carton.edge_crush is None:
        return None
    limits = certificate(carton.edge_crush, units)
    if limits is None:
        return "the board is weaker than any that the certificate table has"
    sizes = carton.length + carton.width + carton.height
    if gross_weight > limits.gross_weight:
        return f"heavier than the {limits.gross_weight:.1f} {units.weight} that a certificate of this board allows"
    if sizes > limits.sizes:
        most = f"{limits.sizes:.1f} {units.length}"
        return f"larger than the {most} (length + width + height) that its certificate allows"
    return None
