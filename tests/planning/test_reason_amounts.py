"""Amounts in the reasons for no plan: whole where things are counted, with units, rounded up, in the right number."""

import re
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from invented import move, quote, settings

from shipopt.move.words import Units
from shipopt.planning.constraints.caps import EXPECTED_LOSS, TAIL_MEAN
from shipopt.planning.reason_amounts import left_behind, raised_by

METRIC = settings("EUR", Units.KILOGRAM_CENTIMETRE)


@pytest.mark.parametrize(
    ("rule", "amount", "words"),
    [
        ("most weight: Van", 12.3401, "12.35 kg"),
        ("most weight: Van", 12.0000001, "12 kg"),
        ("most volume: Van", 0.0301, "0.031 m³"),
        ("most value: Van", 1250.001, "1,250.01 EUR"),
        ("most value on one consignment", 3.0, "3.00 EUR"),
        (EXPECTED_LOSS, 0.004, "0.01 EUR"),
        (TAIL_MEAN, 99.999999999, "100.00 EUR"),
        ("most cartons: Van", 0.02, "1 carton"),
        ("most cartons: Van", 1.0000001, "1 carton"),
        ("most to use: crate", 1.4, "2 cartons"),
        ("most cartons: Two trips", 3.0, "3 cartons, over all its trips together"),
    ],
)
def test_a_limit_is_raised_in_its_own_unit(rule: str, amount: float, words: str) -> None:
    it = move([quote("Van"), quote("Two trips", trips_at_most=2)], with_settings=METRIC)
    assert raised_by(rule, amount, it) == words


@pytest.mark.parametrize(
    ("counts", "words"),
    [
        ({"standard records": 1.0}, "1 standard record"),
        ({"standard records": 1812.91}, "1,813 standard records"),
        ({"guarded records": 0.2, "standard records": 1e-9}, "1 guarded record"),
        ({"carton P1": 1.0, "hand records": 2.0}, "carton P1, 2 hand records"),
        ({}, "1 record"),
    ],
)
def test_what_stays_behind_is_whole(counts: dict[str, float], words: str) -> None:
    assert left_behind(counts) == words


@given(st.floats(1e-4, 1e9), st.sampled_from(["most weight: Van", "most value: Van", "most cartons: Van"]))
def test_a_change_is_never_too_small(amount: float, rule: str) -> None:
    said = re.match(r"[\d,.]+", raised_by(rule, amount, move([quote("Van")], with_settings=METRIC)))
    assert said
    assert Decimal(said[0].replace(",", "")) >= Decimal(amount) - Decimal("0.0001")
