"""Volumetric and billed weight, rate cards and weight breaks at their edges."""

from decimal import Decimal

import invented
import pytest

from shipopt.move.words import Units
from shipopt.pricing.billing import billed_weight, outside_volume, volumetric_weight
from shipopt.pricing.rate_cards import rate_card_price
from shipopt.pricing.weight_breaks import weight_break_charge

POUNDS, KILOS = Units.POUND_INCH, Units.KILOGRAM_CENTIMETRE


def test_outside_volume_takes_lengths_as_given() -> None:
    """12.5 × 12 × 11.52 in is exactly one cu ft; 50 × 40 × 25 cm a twentieth of a m³."""
    assert outside_volume(invented.carton_type(("12.5", 12, "11.52")), POUNDS) == 1
    assert outside_volume(invented.carton_type((50, 40, 25)), KILOS) == Decimal("0.05")


def test_no_divisor_means_no_volumetric_weight() -> None:
    """However large the carton is."""
    assert volumetric_weight(invented.quote(), invented.carton_type((99, 99, 99)), POUNDS) is None


@pytest.mark.parametrize(
    ("size", "volume"),
    [
        ((12, 12, 12), None),
        (("12.49",) * 3, None),
        (("11.5", 12, 12), None),
        (("12.5", 12, 12), 1872),
        ((13, 12, 12), 1872),
    ],
)
def test_the_volume_limit_compares_rounded_lengths(size: tuple[object, ...], volume: int | None) -> None:
    """A limit of one cu ft is not passed by 12 × 12 × 12 in, nor by 12.49 in each way; 12.5 in counts as 13."""
    quote = invented.quote(volumetric_divisor="12", volumetric_above="1")
    found = volumetric_weight(quote, invented.carton_type(size), POUNDS)
    assert found == (volume and volume // 12)


@pytest.mark.parametrize(
    ("gross", "step", "expected"),
    [
        ("4.225", "1", "5"),
        ("5", "1", "5"),
        ("0.1", "1", "1"),
        ("4.2", "0.3", "4.2"),
        ("4.21", "0.3", "4.5"),
        ("7", None, "7"),
        ("0.4", None, "0.4"),
    ],
)
def test_weights_are_rounded_up_to_steps(gross: str, step: str | None, expected: str) -> None:
    """A multiple stays as it is, anything above it is the next."""
    assert billed_weight(invented.quote(weigh_step=step), invented.carton_type(), Decimal(gross), POUNDS) == Decimal(
        expected
    )


def test_the_larger_of_gross_and_volumetric_weight_is_billed() -> None:
    """60 × 40 × 40 cm at 5,000 is 19.2 kg."""
    quote = invented.quote(volumetric_divisor="5000", weigh_step="0.5")
    box = invented.carton_type((60, 40, 40))
    assert billed_weight(quote, box, Decimal("19.2"), KILOS) == Decimal("19.5")
    assert billed_weight(quote, box, Decimal("11"), KILOS) == Decimal("19.5")
    assert billed_weight(quote, box, Decimal("19.51"), KILOS) == Decimal("20.0")


@pytest.mark.parametrize(("billed", "price"), [("0", "3"), ("1", "3"), ("1.01", "5"), ("2", "5"), ("2.000001", None)])
def test_a_rate_card_step_includes_its_weight(billed: str, price: str | None) -> None:
    """The first row whose Weight up to is not below the billed weight."""
    found = rate_card_price(invented.rate_card((1, 3), (2, 5)), Decimal(billed))
    assert found == (price and Decimal(price))


def test_of_equal_weight_break_charges_the_lower_rated_weight_is_named() -> None:
    """80 lb at 50 a hundred costs the same as 100 lb at 40."""
    breaks = invented.weight_breaks((0, 50), (100, 40))
    assert weight_break_charge(breaks, Decimal(80)) == (Decimal(40), breaks.rows[0], Decimal(80))
    assert weight_break_charge(breaks, Decimal("80.01")) == (Decimal(40), breaks.rows[1], Decimal(100))
    assert weight_break_charge(breaks, Decimal(120)) == (Decimal(48), breaks.rows[1], Decimal(120))


def test_the_cheapest_weight_break_may_be_two_rows_up() -> None:
    """All rows are looked at, not the next one only."""
    breaks = invented.weight_breaks((0, 100), (100, 99), (120, 10))
    assert weight_break_charge(breaks, Decimal(50)) == (Decimal(12), breaks.rows[2], Decimal(120))


def test_measures_without_a_finite_decimal_keep_28_digits() -> None:
    """1,000 cu in ÷ 166, and a cube of 10 in in cu ft."""
    cube = invented.carton_type((10, 10, 10))
    assert (
        str(volumetric_weight(invented.quote(volumetric_divisor="166"), cube, POUNDS))
        == "6.024096385542168674698795181"
    )
    assert str(outside_volume(cube, POUNDS)) == "0.5787037037037037037037037037"
