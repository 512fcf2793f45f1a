"""What must hold between the rows of a move before it is planned, each fault told with the cell to change."""

from datetime import date
from pathlib import Path

import pytest
from workbook.books import Rows, reading_of, sound, told

CARE_STANDARD = {"Care": "standard", "Van": "yes", "Post": "yes", "Freight": "yes"}


def test_a_workbook_without_records_is_one_error(tmp_path: Path) -> None:
    rows = sound(Records=[], Quotes=[], Packed_already=[], Cover=[])
    assert told(reading_of(tmp_path, rows).errors) == [("no-records", "Records!A2")]


def test_closed_cartons_alone_are_a_move(tmp_path: Path) -> None:
    reading = reading_of(tmp_path, sound(Records=[]))
    assert told(reading.errors) == []
    assert reading.move is not None
    assert len(reading.move.to_go) == 1


def test_records_without_quotes_or_cartons_are_errors(tmp_path: Path) -> None:
    rows = sound(Quotes=[], Cartons=[], Packed_already=[])
    assert told(reading_of(tmp_path, rows).errors) == [("no-cartons", "Cartons!A2"), ("no-quotes", "Quotes!A2")]


def test_quotes_that_are_out_are_noted_with_the_reason(tmp_path: Path) -> None:
    settings = {"Decide on": "2026-03-01", "Ready on": "2026-03-10", "Needed by": "2026-03-20"}
    quotes = [
        {"Quote": "In", "Means": "van"},
        {"Quote": "No", "Means": "van", "Consider": "no"},
        {"Quote": "Old", "Means": "van", "Valid until": "2026-02-28"},
        {"Quote": "Early", "Means": "van", "Collect until": date(2026, 3, 9)},
        {"Quote": "Late", "Means": "van", "Transit days": 11},
    ]
    reading = reading_of(tmp_path, sound(Move=settings, Quotes=quotes))
    assert told(reading.errors) == []
    assert told(reading.notices) == [("quote-out", f"Quotes!A{row}") for row in (3, 4, 5, 6)]
    reasons = ["not considered", "expired", "collects too early", "too late"]
    assert all(word in notice.sentence for word, notice in zip(reasons, reading.notices, strict=True))


def test_a_move_whose_quotes_are_all_out_is_an_error(tmp_path: Path) -> None:
    rows = sound(Quotes=[{"Quote": "Van", "Means": "van", "Consider": 0}])
    assert told(reading_of(tmp_path, rows).errors) == [("no-quote-in", "Quotes!A2")]


def test_a_record_pinned_to_a_quote_that_is_out_is_an_error(tmp_path: Path) -> None:
    quotes = [{"Quote": "Van", "Means": "van"}, {"Quote": "Old", "Means": "van", "Valid until": "2026-02-01"}]
    records = [{"Format": "LP", "Value each": 1, "Must go by": "Old"}]
    errors = reading_of(tmp_path, sound(Quotes=quotes, Records=records)).errors
    assert told(errors) == [("pinned-to-quote-out", "Records!M2")]
    assert "expired" in errors[0].sentence


@pytest.mark.parametrize(
    ("record", "why"),
    [({"Care": "hand"}, "hand may not travel by van"), ({"Format": "Empty jacket"}, "no sound recording")],
)
def test_a_record_pinned_to_a_quote_that_refuses_it_is_an_error(tmp_path: Path, record: Rows, why: str) -> None:
    quotes = [{"Quote": "Van", "Means": "van", "Recordings only": "yes"}, {"Quote": "Bag", "Means": "carry-on"}]
    records = [{"Format": "LP", "Value each": 1, "Must go by": "Van", **record}]
    (error,) = reading_of(tmp_path, sound(Quotes=quotes, Records=records)).errors
    assert (error.code, error.place) == ("pinned-to-refusing-quote", "Records!M2")
    assert why in error.sentence


def test_a_care_level_that_no_quote_may_carry_is_an_error_if_it_is_in_use(tmp_path: Path) -> None:
    care = [CARE_STANDARD, {"Care": "cold", "Van": "yes", "Needs temperature held": "yes"}, {"Care": "idle"}]
    records = [{"Format": "LP", "Value each": 1}, {"Format": "LP", "Value each": 1, "Care": "cold", "Copies": 7}]
    (error,) = reading_of(tmp_path, sound(Care=care, Records=records)).errors
    assert (error.code, error.place) == ("care-without-quote", "Care!A3")
    assert "7 records" in error.sentence
    assert "Records!H3" in error.sentence
    assert "Van: cold needs temperature held" in error.sentence


def test_care_of_a_closed_carton_counts(tmp_path: Path) -> None:
    packed = {"Carton no.": "P1", "Carton": "LP carton", "Gross weight": 9, "Value": 1, "Records": 30, "Care": "hand"}
    (error,) = reading_of(tmp_path, sound(Packed_already=[packed])).errors
    assert (error.code, error.place) == ("care-without-quote", "Care!A2")
    assert "30 records have (first: Packed already!F2)" in error.sentence


def test_a_workbook_whose_standard_care_is_gone_says_so_once(tmp_path: Path) -> None:
    care = [{"Care": "plain", "Van": "yes"}]
    records = [{"Format": "LP", "Value each": 1}, {"Format": "LP", "Value each": 1}]
    rows = sound(Care=care, Records=records, Packed_already=[])
    assert told(reading_of(tmp_path, rows).errors) == [("name-unknown", "Records!H2")]
    packed = {"Carton no.": "P1", "Carton": "LP carton", "Gross weight": 9, "Value": 1, "Records": 30}
    rows = sound(Care=care, Records=[], Packed_already=[packed])
    assert told(reading_of(tmp_path, rows).errors) == [("name-unknown", "Packed already!F2")]


def test_what_is_no_recording_needs_a_quote_that_takes_it(tmp_path: Path) -> None:
    quotes = [{"Quote": "Post", "Means": "post", "Recordings only": "yes"}]
    records = [{"Format": "LP", "Value each": 1}, {"Format": "Empty jacket", "Value each": 1, "Copies": 5}]
    rows = sound(Quotes=quotes, Records=records, Packed_already=[])
    assert told(reading_of(tmp_path, rows).errors) == [("record-without-quote", "Records!D3")]


def test_a_sleeve_that_no_carton_takes_is_an_error_if_it_is_in_use(tmp_path: Path) -> None:
    formats = [
        {"Format": "LP", "Sleeve": "12", "Weight each": 0.2, "Thickness each": 0.4},
        {"Format": "Film", "Sleeve": "16", "Weight each": 0.2, "Thickness each": 0.4},
        {"Format": "Idle", "Sleeve": "5", "Weight each": 0.2, "Thickness each": 0.4},
    ]
    records = [{"Format": "LP", "Value each": 1}, {"Format": "Film", "Value each": 1}]
    (error,) = reading_of(tmp_path, sound(Formats=formats, Records=records)).errors
    assert (error.code, error.place) == ("sleeve-without-carton", "Formats!B3")
    assert "10, 12, 7" in error.accepted


@pytest.mark.parametrize(
    ("record", "cell"),
    [
        ({"Thickness each": 40}, "L2"),
        ({"Weight each": 22.5}, "K2"),
        ({"Format": "Crate of discs"}, "D2"),
    ],
)
def test_a_record_too_large_for_every_carton_is_an_error(tmp_path: Path, record: Rows, cell: str) -> None:
    formats = [
        {"Format": "LP", "Sleeve": "12", "Weight each": 0.2, "Thickness each": 0.4},
        {"Format": "Crate of discs", "Sleeve": "12", "Weight each": 12, "Thickness each": 33},
    ]
    records = [{"Format": "LP", "Value each": 1, **record}]
    rows = sound(Formats=formats, Records=records)
    assert told(reading_of(tmp_path, rows).errors) == [("record-without-carton", f"Records!{cell}")]


def test_a_damage_factor_that_makes_damage_more_than_certain_is_an_error(tmp_path: Path) -> None:
    carton = {"Carton": "LP carton", "Takes sleeves": "12; 7", "Stack length": 30, "Outside length": 33}
    carton |= {"Outside width": 33, "Outside height": 33, "Empty weight": 0.5, "Damage factor": 90}
    errors = reading_of(tmp_path, sound(Cartons=[carton])).errors
    assert told(errors) == [("chances-over-one", "Cartons!M2")]


def test_dates_and_fill_limits_that_cross_are_told(tmp_path: Path) -> None:
    settings = {"Ready on": "2026-03-10", "Needed by": "2026-03-01", "Fill at least %": 99}
    reading = reading_of(tmp_path, sound(Move=settings))
    assert ("dates-out-of-order", "Move!B9") in told(reading.notices)
    assert ("fill-limits-cross", "Move!B15") in told(reading.notices)
    quotes = [{"Quote": "Van", "Means": "van", "Collect from": "2026-05-02", "Collect until": "2026-05-01"}]
    assert told(reading_of(tmp_path, sound(Quotes=quotes)).errors) == [("dates-out-of-order", "Quotes!AG2")]


def test_names_that_stand_twice_are_errors_ignoring_case(tmp_path: Path) -> None:
    quotes = [{"Quote": "Van", "Means": "van"}, {"Quote": "VAN ", "Means": "post"}]
    rows = sound(Quotes=quotes)
    (error,) = reading_of(tmp_path, rows).errors
    assert (error.code, error.place) == ("name-twice", "Quotes!A3")
    assert "A2" in error.sentence
