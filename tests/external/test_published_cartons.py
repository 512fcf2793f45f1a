"""Strength and certificates of corrugated cartons against published figures.

McKee, Gander & Wachuta, "Compression strength formula for corrugated boxes", Paperboard Packaging 48(8), 1963, the
simplified formula (from memory; examples marked with their source). National Motor Freight Classification, Item 222,
and Uniform Freight Classification, Rule 41: weights and edge crush seen in suppliers' copies, sizes from memory.
"""

from decimal import Decimal

import pytest
from invented import carton_type

from shipopt.handling.certificates import POUND, POUND_PER_INCH, beyond, certificate
from shipopt.handling.stacking import ROUGH_HANDLING, compression_strength, share_left, stack
from shipopt.move.words import Units

INCH, METRIC = Units.POUND_INCH, Units.KILOGRAM_CENTIMETRE


@pytest.mark.parametrize(
    ("crush", "thickness", "perimeter", "strength"),
    [
        # A public calculator's worked example (box compression test strength, simplified McKee): about 562 lb.
        ("32", "0.16", "56", 562),
        # Worked out by hand from the formula: C and double-wall boards of the trade's usual thickness.
        ("32", "0.156", "52", 535.00),
        ("44", "0.170", "62", 838.52),
        ("48", "0.275", "78", 1304.95),
    ],
)
def test_strength_by_mckee(crush: str, thickness: str, perimeter: str, strength: float) -> None:
    found = compression_strength(Decimal(crush), Decimal(thickness), Decimal(perimeter), INCH)
    assert float(found) == pytest.approx(strength, abs=0.5)


def test_strength_is_the_same_in_both_unit_systems() -> None:
    pounds = compression_strength(Decimal(32), Decimal("0.156"), Decimal(52), INCH)
    inches = Decimal("2.54")
    kilograms = compression_strength(Decimal(32) * POUND_PER_INCH, Decimal("0.156") * inches, 52 * inches, METRIC)
    assert float(kilograms) == pytest.approx(float(pounds * POUND), rel=1e-9)


@pytest.mark.parametrize(
    ("crush", "thickness", "size", "left", "high"),
    [
        # Thirty days at 70 % humidity, columns not quite in line: 535.00 × 0.60 × 0.80 × 0.85 = 218.28 lb, and so on.
        ("32", "0.156", (13, 13, 8), 218.28, 5),
        ("44", "0.170", (18, 13, 5), 342.11, 8),
        ("48", "0.275", (26, 13, 4), 532.42, 12),
    ],
)
def test_how_many_stand_above_each_other(
    crush: str, thickness: str, size: tuple[int, int, int], left: float, high: int
) -> None:
    """Cartons of 45 lb on one that bears what is left: 4, 7 and 11 of them, with nothing taken off for handling."""
    carton = carton_type(size, edge_crush=crush, board_thickness=thickness)
    share = share_left(30, Decimal("0.7"))
    assert share == Decimal("0.60") * Decimal("0.80")
    found = stack(carton, Decimal(45), share / ROUGH_HANDLING, INCH)
    assert found.safe_load is not None
    assert float(found.safe_load) == pytest.approx(left, abs=0.01)
    assert found.high == high


@pytest.mark.parametrize(
    ("size", "weight", "crush", "refused"),
    [
        ((13, 13, 13), 45, 32, ""),
        ((13, 13, 13), 65, 32, ""),
        ((13, 13, 13), "65.01", 32, "heavier"),
        ((26, 13, 13), "95.5", 44, "heavier"),
        ((24, 20, 18), 50, 29, "larger"),
        ((24, 20, 18), 50, 32, ""),
        ((10, 10, 10), 5, 22, "the board is weaker"),
    ],
)
def test_certificates_allow_weight_and_size(
    size: tuple[int, int, int], weight: object, crush: int, refused: str
) -> None:
    found = beyond(carton_type(size, edge_crush=str(crush)), Decimal(str(weight)), INCH)
    assert (found or "").startswith(refused)
    assert (found is None) is (refused == "")


@pytest.mark.parametrize(("kilonewtons", "pounds"), [("5.1", 50), ("5.6", 65), ("7.0", 80), ("7.7", 95)])
def test_grades_printed_in_metric_are_the_same_grades(kilonewtons: str, pounds: int) -> None:
    """29, 32, 40 and 44 lb/in are printed as 5.1, 5.6, 7.0 and 7.7 kN/m."""
    limits = certificate(Decimal(kilonewtons), METRIC)
    assert limits is not None
    assert limits.gross_weight == pounds * POUND
