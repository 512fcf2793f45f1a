"""Money: minor units by currency, rounding half up, and how an amount is shown."""

from decimal import Decimal

import pytest

from shipopt.move.money import Currency, currency


@pytest.mark.parametrize(
    ("code", "places", "unit"),
    [("USD", 2, "0.01"), ("EUR", 2, "0.01"), ("JPY", 0, "1"), ("KWD", 3, "0.001"), ("CLF", 4, "0.0001")],
)
def test_minor_units_are_the_published_ones(code: str, places: int, unit: str) -> None:
    """ISO 4217, List One, column "Minor unit" (2018 onwards; values from memory)."""
    found = currency(code)
    assert (found.code, found.places, str(found.minor_unit)) == (code, places, unit)


@pytest.mark.parametrize("code", ["usd", "ABC", "US", "", "Dollar"])
def test_other_codes_are_refused_by_name(code: str) -> None:
    """The code itself is in the message."""
    with pytest.raises(ValueError, match=f"{code!r} is not a currency code of ISO 4217"):
        currency(code)


@pytest.mark.parametrize(
    ("amount", "rounded"),
    [("0.005", "0.01"), ("0.0049999999999999999999", "0.00"), ("2.675", "2.68"), ("1.125", "1.13"), ("7", "7.00")],
)
def test_a_half_goes_up(amount: str, rounded: str) -> None:
    """Exactly half a cent is a cent; less than that is none."""
    assert str(currency("USD").round(Decimal(amount))) == rounded


def test_large_amounts_keep_their_digits() -> None:
    """Thirty digits before the point and a rounding after it."""
    amount = Decimal("123456789012345678901234567890.125")
    assert str(currency("USD").round(amount)) == "123456789012345678901234567890.13"


@pytest.mark.parametrize(("places", "shown"), [(2, "1,250.00 XXX"), (0, "1,250 XXX"), (3, "1,250.000 XXX")])
def test_amounts_are_shown_with_thousands_and_code(places: int, shown: str) -> None:
    """For people, never read back."""
    assert Currency("XXX", places).show(Decimal(1250)) == shown
