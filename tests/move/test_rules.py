"""The rules of a move, each at its edge: what takes part, what may travel how, what a carrier owes."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import invented
import pytest

from shipopt.move import rules
from shipopt.move.care import CareLevel, strictest
from shipopt.move.move import Move
from shipopt.move.quotes import Quote
from shipopt.move.records import Format, Record
from shipopt.move.settings import Settings
from shipopt.move.words import Means

READY, NEEDED = date(2031, 5, 10), date(2031, 6, 1)
DATED = replace(invented.settings(), decide_on=date(2031, 5, 1), ready_on=READY, needed_by=NEEDED)
LP = Format("LP", "12", Decimal("0.5"), Decimal("0.14"), Decimal("0.28"))
JACKET = Format("jacket", "12", Decimal("0.2"), Decimal("0.1"), Decimal("0.1"), sound_recording=False)


def test_a_quote_that_is_not_considered_is_out_first() -> None:
    """Whatever else is wrong with it."""
    quote = invented.quote(consider=False, valid_until=date(2000, 1, 1))
    assert rules.why_out(quote, DATED) == "not considered (Consider is no)"


@pytest.mark.parametrize(
    ("dates", "reason"),
    [
        ({"valid_until": date(2031, 4, 30)}, "expired: valid until 2031-04-30, the decision is on 2031-05-01"),
        ({"valid_until": date(2031, 5, 1)}, None),
        ({"collect_until": date(2031, 5, 9)}, "collects too early: until 2031-05-09, the move is ready on 2031-05-10"),
        ({"collect_until": READY}, None),
        ({"transit_days": 22}, None),
        ({"transit_days": 23}, "too late: arrives 2031-06-02, needed by 2031-06-01"),
        ({"collect_from": date(2031, 5, 30), "transit_days": 2}, None),
        ({"collect_from": date(2031, 5, 30), "transit_days": 3}, "too late: arrives 2031-06-02, needed by 2031-06-01"),
        ({"collect_from": date(2031, 6, 2)}, "too late: arrives 2031-06-02, needed by 2031-06-01"),
        ({"collect_from": date(2031, 4, 1), "transit_days": 22}, None),
    ],
)
def test_quotes_are_out_by_their_dates(dates: dict[str, object], reason: str | None) -> None:
    """Expired, collecting before the move is ready, or arriving too late; the day itself is in time."""
    assert rules.why_out(invented.quote(**dates), DATED) == reason


@pytest.mark.parametrize(
    ("setting", "dates"),
    [
        ("decide_on", {"valid_until": date(2000, 1, 1)}),
        ("ready_on", {"collect_until": date(2000, 1, 1)}),
        ("needed_by", {"transit_days": 99}),
    ],
)
def test_a_date_that_is_not_given_is_not_checked(setting: str, dates: dict[str, object]) -> None:
    """Each check needs both of its dates."""
    quote = invented.quote(**dates)
    assert rules.why_out(quote, DATED) is not None
    assert rules.why_out(quote, replace(DATED, **{setting: None})) is None


def test_arrival_counts_from_the_later_start() -> None:
    """Ready on or Collect from, plus Transit days; unknown without either."""
    quote = invented.quote(collect_from=date(2031, 5, 12), transit_days=3)
    assert rules.arrival(quote, DATED) == date(2031, 5, 15)
    assert rules.arrival(replace(quote, collect_from=date(2031, 5, 2)), DATED) == date(2031, 5, 13)
    assert rules.arrival(replace(quote, transit_days=None), DATED) == date(2031, 5, 12)
    assert rules.arrival(invented.quote(transit_days=3), invented.settings()) is None


def test_quotes_in_keep_the_order_of_the_workbook() -> None:
    """Those out are left out."""
    quotes = [invented.quote("z"), invented.quote("b", consider=False), invented.quote("a")]
    assert [quote.name for quote in rules.quotes_in(invented.move(quotes))] == ["z", "a"]


@pytest.mark.parametrize(
    ("level", "offer", "reason"),
    [
        ({"means": frozenset({Means.CARRY_ON})}, {}, "hand may not travel by van"),
        ({"needs_closed_body": True}, {}, "hand needs a closed body"),
        ({"needs_closed_body": True}, {"closed_body": True}, None),
        ({"needs_temperature_held": True}, {"closed_body": True}, "hand needs temperature held"),
        ({"needs_temperature_held": True}, {"temperature_held": True}, None),
        ({"needs_tracking": True}, {"sole_use": True}, "hand needs tracking"),
        ({"needs_tracking": True}, {"tracked": True}, None),
        ({"needs_sole_use": True}, {"tracked": True}, "hand needs sole use"),
        ({"needs_sole_use": True}, {"sole_use": True}, None),
        ({"most_loss_chance": Decimal("0.015")}, {"loss_chance": "0.01", "whole_load_loss": "0.005"}, None),
        (
            {"most_loss_chance": Decimal("0.015")},
            {"loss_chance": "0.01", "whole_load_loss": "0.0051"},
            "hand allows a loss chance of at most 1.500 %",
        ),
        ({"most_loss_chance": Decimal(0)}, {}, None),
        ({}, {"damage_chance": "1"}, None),
    ],
)
def test_care_asks_for_means_features_and_chance(
    level: dict[str, object], offer: dict[str, object], reason: str | None
) -> None:
    """Each need by itself; the chance of loss is that of the carton plus that of the whole load."""
    care = CareLevel(**{"name": "hand", "means": frozenset(Means), **level})
    assert rules.care_refusal(care, invented.quote(**offer)) == reason


def a_move_of(quote: Quote, *levels: CareLevel) -> Move:
    """A move with this quote and these care levels."""
    return replace(invented.move([quote]), care={level.name: level for level in levels})


@pytest.mark.parametrize(
    ("record", "quote", "may"),
    [
        ({}, {}, True),
        ({"must_go_by": "Q"}, {}, True),
        ({"must_go_by": "other"}, {}, False),
        ({"format": JACKET}, {}, True),
        ({"format": JACKET}, {"recordings_only": True}, False),
        ({}, {"recordings_only": True}, True),
        ({"care": "hand"}, {}, False),
    ],
)
def test_a_record_may_go_where_pin_contents_and_care_allow(
    record: dict[str, object], quote: dict[str, object], may: bool
) -> None:
    """All three, whatever carton it is in."""
    made = Record(
        **{
            "record_id": "r",
            "format": LP,
            "care": "standard",
            "value": Decimal(9),
            "weight": LP.weight,
            "thickness": LP.thickness,
            **record,
        }
    )
    standard, hand = CareLevel("standard", frozenset(Means)), CareLevel("hand", frozenset({Means.CARRY_ON}))
    offered = invented.quote(**quote)
    assert rules.record_may_go(made, offered, a_move_of(offered, standard, hand)) is may


@pytest.mark.parametrize(
    ("quote", "reason"),
    [
        ({}, None),
        ({"cartons_accepted": ("crate", "tote")}, None),
        ({"cartons_accepted": ("tote",)}, "Q does not accept crate"),
        ({"cartons_accepted": ()}, "Q does not accept crate"),
        ({"carton_length_limit": "30"}, None),
        ({"carton_length_limit": "29.9"}, "crate is longer than Q takes"),
        ({"carton_girth_limit": "100"}, None),
        ({"carton_girth_limit": "99.9"}, "crate is over the length plus girth that Q takes"),
    ],
)
def test_a_carton_type_is_taken_by_name_and_size(quote: dict[str, object], reason: str | None) -> None:
    """Longest side 30, and 30 + 2 × (20 + 15) = 100, both inclusive; the order of the sides does not matter."""
    assert rules.carton_refusal(invented.carton_type((20, 30, 15)), invented.quote(**quote)) == reason


def test_the_least_of_three_weight_limits_binds() -> None:
    """The carton's own, the quote's, the heaviest to lift; those that are not given do not."""
    at = invented.settings(heaviest_carton="50")
    box = invented.carton_type(gross_limit="45")
    assert rules.most_gross_weight(invented.carton_type(), None, at) == 50
    assert rules.most_gross_weight(box, invented.quote(carton_weight_limit="48"), at) == 45
    assert rules.most_gross_weight(box, invented.quote(carton_weight_limit="40"), at) == 40


@pytest.mark.parametrize(
    ("carton", "quote", "reason"),
    [
        ({}, {}, None),
        ({}, {"cartons_accepted": ("tote",)}, "Q does not accept crate"),
        ({"must_go_by": ("Q",)}, {}, None),
        ({"must_go_by": ("A", "Q")}, {}, "it must go by A, Q"),
        ({"care": ("standard", "hand")}, {}, "hand may not travel by van"),
        ({"recordings_only": False}, {}, None),
        ({"recordings_only": False}, {"recordings_only": True}, "Q takes sound recordings only"),
        ({"gross_weight": Decimal("50")}, {}, None),
        ({"gross_weight": Decimal("50.1")}, {}, "50.1 is heavier than a carton by Q may be"),
        ({}, {"most_value": "500"}, None),
        ({}, {"most_value": "499.99"}, "its value is above the most for one consignment by Q"),
    ],
)
def test_a_filled_carton_is_refused_for_one_named_reason(
    carton: dict[str, object], quote: dict[str, object], reason: str | None
) -> None:
    """Type, pins, care, contents, weight, value, in that order."""
    offered = invented.quote(**quote)
    standard, hand = CareLevel("standard", frozenset(Means)), CareLevel("hand", frozenset({Means.CARRY_ON}))
    box = replace(invented.filled("1", 40, 500), **carton)
    assert rules.filled_carton_refusal(box, offered, a_move_of(offered, standard, hand)) == reason


@pytest.mark.parametrize(
    ("own", "general", "expected"),
    [(None, None, None), ("9", None, "9"), (None, "8", "8"), ("9", "8", "8"), ("7", "8", "7")],
)
def test_the_smaller_cap_on_value_binds(own: str | None, general: str | None, expected: str | None) -> None:
    """The quote's, and that of the whole move."""
    at = invented.settings(most_value_on_consignment=general)
    assert rules.most_value_of_consignment(invented.quote(most_value=own), at) == (expected and Decimal(expected))


@pytest.mark.parametrize(
    ("value", "quote", "must"),
    [
        ("300", {}, True),
        ("299.99", {}, False),
        ("300", {"insure_rule_applies": False}, False),
        ("300", {"liability_per_carton": "300"}, False),
        ("300", {"liability_per_carton": "299.99"}, True),
        ("300", {"liability_per_carton": "400", "most_liability": "299"}, True),
    ],
)
def test_who_must_insure(value: str, quote: dict[str, object], must: bool) -> None:
    """Worth the threshold or more, where the rule applies, unless the carrier owes the whole value."""
    at: Settings = invented.settings(insure_from="300")
    box = invented.filled("1", 9, value)
    assert rules.must_be_covered(box, invented.quote(**quote), at) is must
    assert rules.must_be_covered(box, invented.quote(**quote), invented.settings()) is False


@pytest.mark.parametrize(
    ("quote", "owed"),
    [
        ({}, "0"),
        ({"liability_per_weight": "0.6"}, "24"),
        ({"liability_per_weight": "0.6", "liability_per_carton": "30"}, "30"),
        ({"liability_per_weight": "0.6", "liability_per_carton": "20"}, "24"),
        ({"liability_per_weight": "0.6", "most_liability": "10"}, "10"),
        ({"liability_per_weight": "0.6", "most_liability": "0"}, "0"),
    ],
)
def test_liability_is_the_larger_rule_up_to_the_cap(quote: dict[str, object], owed: str) -> None:
    """For 40 lb."""
    assert rules.liability(invented.quote(**quote), Decimal(40)) == Decimal(owed)


def test_cartons_for_a_sleeve_keep_the_order_of_the_workbook() -> None:
    """Any sleeve word will do, matched as it is spelled."""
    boxes = [invented.carton_type(name=name) for name in ("b", "a")]
    both = replace(invented.carton_type(name="c"), sleeves=("7", "box set"))
    move = invented.move(cartons=[*boxes, both])
    assert [box.name for box in rules.cartons_for("12", move)] == ["b", "a"]
    assert [box.name for box in rules.cartons_for("box set", move)] == ["c"]
    assert rules.cartons_for("10", move) == []


def test_the_strictest_care_is_by_means_then_needs_then_chance() -> None:
    """Fewest means first, whatever the needs; of those alike the first given; of none, none."""
    anything = CareLevel("anything", frozenset(Means))
    by_hand = CareLevel("by hand", frozenset({Means.CARRY_ON}))
    tracked = CareLevel("tracked", frozenset(Means), needs_tracking=True)
    warm_and_tracked = CareLevel("warm", frozenset(Means), needs_tracking=True, needs_temperature_held=True)
    safe = CareLevel("safe", frozenset(Means), needs_tracking=True, most_loss_chance=Decimal("0.01"))
    twin = replace(safe, name="twin")
    assert strictest([anything, tracked, warm_and_tracked, by_hand]) is by_hand
    assert strictest([anything, tracked, warm_and_tracked, safe]) is warm_and_tracked
    assert strictest([anything, tracked, safe, twin]) is safe
    assert strictest([anything, tracked]) is tracked
    assert strictest([]) is None
