"""Numbers typed as text: read where the meaning is certain, and only there."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shipopt.workbook.number_text import looks_like_number, typed_number, without_sign


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("1,250.00", "1250.00"),
        ("1,250", "1250"),
        ("12,345,678.9", "12345678.9"),
        ("1 250.00", "1250.00"),
        ("1\u00a0250", "1250"),
        ("1\u202f250.5", "1250.5"),
        ("1'250", "1250"),
        ("1’250", "1250"),
        ("  7 ", "7"),
        ("\u00a07\u00a0", "7"),
        (".5", "0.5"),
        ("5.", "5"),
        ("-3.5", "-3.5"),
        ("\u22123.5", "-3.5"),
        ("- 3", "-3"),
        ("+3", "3"),
        ("007", "7"),
        ("1.234", "1.234"),
    ],
)
def test_certain_numbers_are_read(text: str, number: str) -> None:
    assert typed_number(text) == Decimal(number)


@pytest.mark.parametrize(
    "text",
    [
        "1.234,5",
        "1,25",
        "0,125",
        "1,2345",
        "1,250,00",
        "1.250.000",
        "12,34,567",
        "1,250 000",
        "1 25",
        "3,5",
        ",5",
        "1e3",
        "1/2",
        "",
        ".",
        "-",
        "١٢",
        "twelve",
        "12 34",
        "NaN",
        "9" * 41,
    ],
)
def test_what_is_not_certain_is_not_read(text: str) -> None:
    assert typed_number(text) is None


@given(st.decimals(min_value=0, max_value=10**9, places=2), st.sampled_from([",", " ", "'", "\u00a0", ""]))
def test_grouped_numbers_come_back(number: Decimal, part: str) -> None:
    assert typed_number(f"{number:,}".replace(",", part)) == number


@given(st.text(alphabet="0123456789.,' -", max_size=12))
def test_a_number_read_is_the_number_without_its_separators(text: str) -> None:
    """Whatever is read at all, no digit is dropped or made up."""
    number = typed_number(text)
    if number is not None:
        assert f"{abs(number):f}".replace(".", "").strip("0") == "".join(filter(str.isdigit, text)).strip("0")


@pytest.mark.parametrize(
    ("text", "uncertain"), [("1.234,5", True), ("1,25", True), ("12 %", False), ("a", False), ("", False)]
)
def test_uncertain_is_told_from_absent(text: str, uncertain: bool) -> None:
    assert looks_like_number(text) is uncertain


@pytest.mark.parametrize(
    ("text", "sign", "bare"),
    [
        ("$40", "$", "40"),
        ("$ 40", "$", "40"),
        ("40 $", "$", "40"),
        ("-$40", "$", "-40"),
        ("12 %", "%", "12"),
        ("12\u00a0%", "%", "12"),
        ("40 EUR", "eur", "40"),
        ("3 lb", "lb", "3"),
        ("40", "$", None),
    ],
)
def test_a_sign_stands_at_either_end(text: str, sign: str, bare: str | None) -> None:
    assert without_sign(text, sign) == bare
