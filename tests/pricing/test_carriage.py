"""Carriage of loads and of cartons: each charge of a quote by hand, and the lines that lead to it."""

from dataclasses import FrozenInstanceError
from decimal import Decimal

import invented
import pytest

from shipopt.move.words import Units
from shipopt.pricing.carriage import (
    carton_charge,
    carton_charges,
    cartons_statement,
    fixed_once,
    included_places,
    quote_statements,
    trip_statement,
)
from shipopt.pricing.statement import Part, Refused, Statement

SETTINGS = invented.settings()
THREE = [invented.filled("1", 40), invented.filled("2", "30.5"), invented.filled("3", 20)]


def said(statement: Statement) -> list[tuple[str, str]]:
    """Lines as (what, amount), having checked that they sum to the total."""
    assert sum(line.amount for line in statement.lines) == statement.total
    return [(line.what, f"{line.amount:f}") for line in statement.lines]


def test_every_charge_of_a_load_has_its_line() -> None:
    """Fixed, cartons beyond the included, weight, volume, rate card and weight breaks add up; then the surcharge."""
    quote = invented.quote(
        fixed_charge="100",
        included_cartons=1,
        per_carton="5",
        per_weight="0.10",
        per_volume="2",
        rate_card=invented.rate_card((25, "1.10"), (50, "2.20")),
        weight_breaks=invented.weight_breaks((0, 12), (100, 10)),
        surcharge="0.05",
    )
    statement = trip_statement(quote, 2, THREE, SETTINGS)
    assert said(statement) == [
        ("Fixed charge", "100.00"),
        ("Included cartons (free)", "0.00"),
        ("Per carton", "10.00"),
        ("Billed weight", "9.05"),
        ("Outside volume", "7.6284722222"),
        ("Rate card, up to 50 lb", "4.40"),
        ("Rate card, up to 25 lb", "1.10"),
        ("Weight breaks, from 100 lb", "10.00"),
        ("Surcharge", "7.1089236111"),
        ("Rounding", "0.0026041667"),
    ]
    assert (statement.total, statement.trip) == (Decimal("149.29"), 2)


def test_a_load_below_the_minimum_is_raised_to_it_before_the_surcharge() -> None:
    """max(base, minimum) × (1 + surcharge)."""
    quote = invented.quote(per_weight="0.5", minimum_charge="60", surcharge="0.1")
    assert said(trip_statement(quote, 1, THREE, SETTINGS)) == [
        ("Billed weight", "45.25"),
        ("Up to the minimum charge", "14.75"),
        ("Surcharge", "6.00"),
    ]


def test_included_cartons_are_counted_for_each_trip() -> None:
    """Two trips of three cartons with two included each pay for one carton each."""
    quote = invented.quote(included_cartons=2, per_carton="7", trips_at_most=2)
    statements = quote_statements(quote, {2: THREE, 1: THREE, 3: []}, SETTINGS)
    assert [(s.trip, s.total) for s in statements] == [(1, Decimal("7.00")), (2, Decimal("7.00"))]


def test_each_line_says_how_much_of_what_at_which_rate() -> None:
    """Quantity, unit and rate of every kind of line, in the move's units and currency."""
    metric = invented.settings("EUR", Units.KILOGRAM_CENTIMETRE)
    quote = invented.quote(
        fixed_charge="80",
        included_cartons=2,
        per_carton="5",
        per_weight="0.1",
        per_volume="20",
        rate_card=invented.rate_card((30, "1"), (50, "2")),
        weight_breaks=invented.weight_breaks((0, 12), (200, 5)),
        minimum_charge="150",
        surcharge="0.125",
    )
    box = invented.carton_type((40, 40, 50))
    cartons = [invented.filled(str(weight), weight, carton=box) for weight in (20, 30, 35)]
    statement = trip_statement(quote, 1, cartons, metric)
    assert [(line.what, float(line.quantity), line.unit, float(line.rate)) for line in statement.lines] == [
        ("Fixed charge", 1, "trip", 80),
        ("Included cartons (free)", 2, "carton", 0),
        ("Per carton", 1, "carton", 5),
        ("Billed weight", 85, "kg", 0.1),
        ("Outside volume", 0.24, "m³", 20),
        ("Rate card, up to 30 kg", 2, "carton", 1),
        ("Rate card, up to 50 kg", 1, "carton", 2),
        ("Weight breaks, from 200 kg", 2, "100 kg", 5),
        ("Up to the minimum charge", 37.7, "EUR", 1),
        ("Surcharge", 150, "EUR", 0.125),
    ]
    by_carton = invented.quote(by_carton=True, fixed_charge="0.333")
    fixed, rounding = cartons_statement(by_carton, cartons, metric).lines
    assert (fixed.quantity, fixed.unit, fixed.rate) == (1, "quote", Decimal("0.333"))
    assert (rounding.quantity, rounding.unit, rounding.rate) == (Decimal("-0.003"), "EUR", 1)


@pytest.mark.parametrize("terms", [{}, {"surcharge": "0.2"}, {"included_cartons": 2}])
def test_a_free_quote_has_no_lines(terms: dict[str, object]) -> None:
    """What costs nothing says nothing."""
    statement = trip_statement(invented.quote(**terms), 1, THREE, SETTINGS)
    assert (statement.lines, statement.total) == ((), 0)


def test_each_carton_is_rounded_by_itself() -> None:
    """Three cartons at 0.125 a lb: 5.00 + 3.8125 + 2.50, each rounded, and the fixed charge once."""
    quote = invented.quote(by_carton=True, per_weight="0.125", fixed_charge="3.333", surcharge="0.5")
    assert carton_charges(quote, THREE, SETTINGS) == (Decimal("7.50"), Decimal("5.72"), Decimal("3.75"))
    assert fixed_once(quote, SETTINGS) == Decimal("5.00")
    statement = cartons_statement(quote, THREE, SETTINGS)
    assert (statement.total, statement.trip) == (Decimal("21.97"), None)
    assert said(statement)[-1] == ("Rounding", "0.00175")


def test_the_minimum_of_a_carton_does_not_touch_the_fixed_charge() -> None:
    """Each carton is raised to the minimum; the fixed charge is not, and neither counts towards the other."""
    quote = invented.quote(by_carton=True, per_weight="1", minimum_charge="25", fixed_charge="2", surcharge="0.1")
    assert said(cartons_statement(quote, THREE, SETTINGS)) == [
        ("Fixed charge", "2.00"),
        ("Surcharge", "9.75"),
        ("Billed weight", "90.50"),
        ("Up to the minimum charge", "5.00"),
    ]


def test_included_cartons_by_the_carton_are_those_that_save_most() -> None:
    """With a minimum of 30 the light carton saves least by being included; of equal ones the lower number wins."""
    quote = invented.quote(by_carton=True, per_carton="10", per_weight="1", minimum_charge="30", included_cartons=1)
    light, heavy, other = invented.filled("a", 22), invented.filled("c", 45), invented.filled("b", 44)
    for cartons in ([light, heavy, other], [other, heavy, light], [heavy, other, light]):
        free = included_places(quote, cartons, SETTINGS)
        assert [cartons[place].number for place in free] == ["b"]
        assert cartons_statement(quote, cartons, SETTINGS).total == 32 + 44 + 55
    assert carton_charge(quote, light, SETTINGS) == 32
    assert carton_charge(quote, light, SETTINGS, included=True) == 30


def test_more_included_cartons_than_cartons_are_all_free() -> None:
    """The line counts the cartons that go, not those that could."""
    quote = invented.quote(by_carton=True, per_carton="10", included_cartons=5)
    statement = cartons_statement(quote, THREE, SETTINGS)
    assert [(line.what, line.quantity, line.amount) for line in statement.lines] == [("Included cartons (free)", 3, 0)]


def test_a_rate_card_refuses_what_is_too_heavy() -> None:
    """The price is None for one carton, an error that names carton and quote for a statement."""
    quote = invented.quote("slow post", by_carton=True, rate_card=invented.rate_card((30, 9)))
    assert carton_charge(quote, THREE[2], SETTINGS) == 9
    assert carton_charge(quote, THREE[0], SETTINGS) is None
    with pytest.raises(Refused, match=r"^slow post has no price for carton 1: it bills 40, above its rate card$"):
        cartons_statement(quote, THREE, SETTINGS)
    with pytest.raises(Refused):
        trip_statement(invented.quote(rate_card=quote.rate_card), 1, THREE, SETTINGS)


def test_weight_breaks_price_each_carton_where_it_is_the_consignment() -> None:
    """Weight breaks price a consignment, so here each carton by itself."""
    quote = invented.quote(by_carton=True, weight_breaks=invented.weight_breaks((0, 100), (40, 50)))
    assert carton_charges(quote, THREE, SETTINGS) == (Decimal("20.00"), Decimal("20.00"), Decimal("20.00"))


def test_half_a_minor_unit_rounds_up_whatever_it_was_divided_by() -> None:
    """576 cu in at 3.015 a cu ft is exactly 1.005; a third of a cu ft has no finite decimal."""
    quote = invented.quote(per_volume="3.015")
    box = invented.carton_type((12, 8, 6))
    assert trip_statement(quote, 1, [invented.filled("1", 5, carton=box)], SETTINGS).total == Decimal("1.01")


@pytest.mark.parametrize(("code", "total"), [("JPY", "10"), ("EUR", "9.51"), ("KWD", "9.510"), ("CLF", "9.5096")])
def test_money_rounds_to_the_currency(code: str, total: str) -> None:
    """9.50955 at minor units of 0, 2, 3 and 4 places."""
    settings = invented.settings(code, Units.KILOGRAM_CENTIMETRE)
    quote = invented.quote(per_weight="0.4754775")
    assert str(trip_statement(quote, 1, THREE[2:], settings).total) == total


def test_a_quote_by_the_carton_has_one_statement_whatever_the_trips() -> None:
    """Trips mean nothing where a carton is the consignment; without cartons there is no statement."""
    quote = invented.quote(by_carton=True, fixed_charge="4", per_carton="1")
    (statement,) = quote_statements(quote, {1: THREE[:2], 2: THREE[2:]}, SETTINGS)
    assert (statement.trip, statement.total) == (None, 7)
    assert quote_statements(quote, {1: []}, SETTINGS) == ()


def test_what_was_charged_cannot_be_changed() -> None:
    """Statements, lines and their parts are values."""
    statement = trip_statement(invented.quote(fixed_charge="5"), 1, THREE, SETTINGS)
    for value, field in ((statement, "total"), (statement.lines[0], "amount"), (Part("", 1, "", 1), "rate")):
        with pytest.raises(FrozenInstanceError):
            setattr(value, field, Decimal(0))
