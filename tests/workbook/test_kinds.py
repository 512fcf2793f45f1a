"""Column kinds: what each reads, what it refuses, and what it says it accepts."""

from contextlib import suppress
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shipopt.move.money import currency
from shipopt.move.words import Covers, Means, Units
from shipopt.workbook.declaration import INPUT_SHEETS
from shipopt.workbook.kinds import CurrencyCode, Day, Kind, Name, NameList, Refused, Terms, Text, Word, YesNo
from shipopt.workbook.number_kinds import Length, Money, MoneyPerWeight, Number, Percent, Weight, Whole
from shipopt.workbook.raw import ErrorValue, ShownAsPercent, shown

POUNDS = Terms(Units.POUND_INCH, currency("USD"))
KILOGRAMS = Terms(Units.KILOGRAM_CENTIMETRE, currency("EUR"))


@pytest.mark.parametrize(
    ("kind", "raw", "value"),
    [
        (Money(), 12, Decimal(12)),
        (Money(), 12.1, Decimal("12.1")),
        (Money(), 0.1 + 0.2, Decimal("0.3")),
        (Money(), "$40", Decimal(40)),
        (Money(), "US 40", None),
        (Money(), "40 usd", Decimal(40)),
        (Money(), "$1,250.00", Decimal("1250.00")),
        (Money(), 0, Decimal(0)),
        (MoneyPerWeight(), 0.5575, Decimal("0.5575")),
        (Weight(), "3.5 lb", Decimal("3.5")),
        (Weight(), "3.5 kg", None),
        (Length(), "12 in", Decimal(12)),
        (Percent(), 98, Decimal("0.98")),
        (Percent(), 0.98, Decimal("0.0098")),
        (Percent(), ShownAsPercent(0.98), Decimal("0.98")),
        (Percent(), "98 %", Decimal("0.98")),
        (Percent(), "98", Decimal("0.98")),
        (Percent(), 0, Decimal(0)),
        (Whole(), 3.0, 3),
        (Whole(), "1,250", 1250),
        (Number(), -1, None),
        (Whole(), 2.5, None),
        (Whole(), True, None),
        (Whole(), ShownAsPercent(1), None),
        (Number(), datetime(2026, 3, 1), None),
        (Number(), float("nan"), None),
        (Number(), float("inf"), None),
        (Percent(), 101, None),
        (Percent(), "1.234,5", None),
        (Number(above=True), 0, None),
        (YesNo(), "Y", True),
        (YesNo(), " no ", False),
        (YesNo(), "TRUE", True),
        (YesNo(), True, True),
        (YesNo(), False, False),
        (YesNo(), 1, True),
        (YesNo(), 0.0, False),
        (YesNo(), "1", True),
        (YesNo(), 2, None),
        (YesNo(), "perhaps", None),
        (Day(), date(2026, 3, 1), date(2026, 3, 1)),
        (Day(), datetime(2026, 3, 1, 14, 30), date(2026, 3, 1)),
        (Day(), " 2026-03-01 ", date(2026, 3, 1)),
        (Day(), "2026-02-30", None),
        (Day(), "20260301", None),
        (Day(), "01/03/2026", None),
        (Day(), 46082, None),
        (Day(), time(12), None),
        (Day(), date(1850, 1, 1), None),
        (Word(Means), "Carry-On", Means.CARRY_ON),
        (Word(Covers), "Loss  and\u00a0damage", Covers.LOSS_AND_DAMAGE),
        (Word(Means), "carry on", Means.CARRY_ON),
        (Word(Units), "LB/in", Units.POUND_INCH),
        (Word(Means), "rocket", None),
        (Word(Means), 3, None),
        (Text(), "  a \u00a0 b ", "a b"),
        (Text(), "a\nb", "a b"),
        (Text(keeps_lines=True), "a\r\nb", "a\nb"),
        (Text(), 12, "12"),
        (Text(), 12.0, "12"),
        (Text(), 12.5, "12.5"),
        (Text(), 1e21, "1000000000000000000000"),
        (Text(), date(2026, 3, 1), "2026-03-01"),
        (Text(), "a\x00b", "a b"),
        (Name(), 45, "45"),
        (Name(), "a; b", None),
        (Name(), date(2026, 3, 1), None),
        (Name(), "\u200b", None),
        (NameList(), "12; 10 ;7;", ("12", "10", "7")),
        (NameList(), 12, ("12",)),
        (NameList(), "12; 12", ("12",)),
        (NameList(), " ; ", None),
        (CurrencyCode(), "eur ", currency("EUR")),
        (CurrencyCode(), "EURO", None),
        (CurrencyCode(), "XYZ", None),
        (CurrencyCode(), 978, None),
    ],
)
def test_a_cell_is_read_or_refused(kind: Kind, raw: Any, value: Any) -> None:
    if value is None:
        with pytest.raises(Refused):
            kind.read(raw, POUNDS)
    else:
        read = kind.read(raw, POUNDS)
        assert read == value
        assert type(read) is type(value)


@pytest.mark.parametrize(
    ("raw", "code"),
    [
        ("1.234,5", "number-uncertain"),
        ("twelve", "not-a-number"),
        ("$40", "other-currency"),
        ("£40", "other-currency"),
        (-1, "out-of-limits"),
        (10**13, "out-of-limits"),
        (True, "not-a-number"),
    ],
)
def test_refusals_have_their_own_codes(raw: Any, code: str) -> None:
    with pytest.raises(Refused) as refused:
        Money().read(raw, KILOGRAMS)
    assert refused.value.kind.code == code


def test_a_sign_is_read_while_the_currency_is_not_known() -> None:
    """A fault in the currency's own cell does not make faults of all amounts."""
    assert Money().read("$40", Terms()) == 40
    assert Weight().read("3 kg", Terms()) == 3


@given(st.floats(min_value=0, max_value=1e9, allow_nan=False))
def test_stored_numbers_keep_what_people_see(number: float) -> None:
    """Fifteen significant digits of a stored number are kept, and no binary dust beyond them."""
    assert float(Number(most=None).read(number, POUNDS)) == pytest.approx(number, rel=1e-14)
    assert len(Number(most=None).read(number, POUNDS).as_tuple().digits) <= 15


@given(st.one_of(st.text(), st.integers(), st.floats(), st.booleans(), st.dates(), st.datetimes(), st.times()))
def test_no_kind_fails_on_any_cell(raw: Any) -> None:
    """Whatever a cell holds, a kind reads it or refuses it; nothing else comes out."""
    for kind in {column.kind for sheet in INPUT_SHEETS for column in sheet.columns}:
        if kind.takes_anything:
            continue
        with suppress(Refused):
            kind.show(kind.read(raw, POUNDS), POUNDS)
        assert kind.accepted(POUNDS)
    assert shown(raw)


def test_what_stood_in_a_cell_is_shown() -> None:
    assert [
        shown(raw) for raw in (None, True, "a", ErrorValue("#REF!"), ShownAsPercent(0.5), 2.50, date(2026, 3, 1))
    ] == [
        "nothing",
        "TRUE",
        "'a'",
        "#REF!",
        "50 %",
        "2.5",
        "the date 2026-03-01",
    ]


def test_values_are_shown_in_the_terms_of_the_workbook() -> None:
    assert Money().show(Decimal("1250.5"), KILOGRAMS) == "1,250.50 EUR"
    assert Weight().show(Decimal(23), KILOGRAMS) == "23 kg"
    assert Percent().show(Decimal("0.005"), KILOGRAMS) == "0.5 %"
    assert Percent().show(Decimal(1), KILOGRAMS) == "100 %"
    assert YesNo().show(True, KILOGRAMS) == "yes"
