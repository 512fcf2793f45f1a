"""Cover fees by band, and fees shared out by value."""

from decimal import Decimal

import invented
import pytest

from shipopt.move.money import currency
from shipopt.pricing.cover import cover_fee, share_by_value

DOLLARS = currency("USD")
BANDS = invented.cover((100, "2", "0", "0"), (500, "1", "0.015", "5"), (1000, "0", "0.02", "0"))


@pytest.mark.parametrize(
    ("value", "fee"),
    [
        ("0", "2"),
        ("100", "2"),
        ("100.01", "5"),
        ("300", "5.5"),
        ("500", "8.5"),
        ("500.01", "10"),
        ("500.25", "10.01"),
        ("1000", "20"),
        ("1000.01", None),
    ],
)
def test_the_fee_is_that_of_the_first_band_that_reaches_the_value(value: str, fee: str | None) -> None:
    """The larger of the least fee and fee + percent, rounded half up (500.25 × 2 % = 10.005); none above the last."""
    assert cover_fee(BANDS, Decimal(value), DOLLARS) == (fee and Decimal(fee))


def test_a_last_band_without_a_limit_covers_anything() -> None:
    """No Value up to: no upper limit."""
    assert cover_fee(invented.cover((None, "0", "0.01", "3")), Decimal("1e9"), DOLLARS) == 10_000_000


def test_a_least_fee_is_rounded_too() -> None:
    """A fee is money whichever of the two it comes from."""
    assert str(cover_fee(invented.cover((None, "0", "0", "3.125")), Decimal(1), DOLLARS)) == "3.13"


@pytest.mark.parametrize(
    ("fee", "values", "shares"),
    [
        ("1.00", [1, 1, 1], ["0.34", "0.33", "0.33"]),
        ("0.02", [1, 1, 1], ["0.01", "0.01", "0"]),
        ("10.00", [100, 300, 0], ["2.5", "7.5", "0"]),
        ("0.05", [10, 70, 20], ["0.01", "0.03", "0.01"]),
        ("0.03", [0, 0], ["0.02", "0.01"]),
        ("0.03", [1, 8, 1], ["0", "0.03", "0"]),
        ("0.02", [1, 5, 4], ["0", "0.01", "0.01"]),
        ("0", [3, 4], ["0", "0"]),
        ("7", [], []),
    ],
)
def test_shares_follow_value_and_sum_to_the_fee(fee: str, values: list[int], shares: list[str]) -> None:
    """The largest remainder is rounded up, of equal ones the earlier; without value all are alike."""
    found = share_by_value(Decimal(fee), [Decimal(value) for value in values], DOLLARS)
    assert found == tuple(Decimal(share) for share in shares)
