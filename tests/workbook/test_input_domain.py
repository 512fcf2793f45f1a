"""From rows to the domain: formats, records, cartons, tariffs, quotes, covers, packed cartons."""

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from workbook.books import Rows, reading_of, sound, told

from shipopt.move.move import Move
from shipopt.move.words import Consignment, CoverBasis, Covers, Means, Status


def move_of(folder: Path, rows: Rows) -> Move:
    reading = reading_of(folder, rows)
    assert told(reading.errors) == []
    assert reading.move is not None
    return reading.move


def test_a_record_takes_from_its_format_what_it_does_not_give(tmp_path: Path) -> None:
    formats = [
        {"Format": "LP", "Sleeve": 12, "Weight each": 0.25, "Thickness each": 0.4, "Value if blank": 9},
        {
            "Format": "Book",
            "Sleeve": 12,
            "Weight each": 1,
            "Thickness each": 2,
            "Thickness with disc outside": 3,
            "Sound recording": "no",
        },
    ]
    records = [
        {"Format": "lp"},
        {"Format": "LP", "Disc outside jacket": "y"},
        {"Format": "LP", "Disc outside jacket": 1, "Thickness each": 0.5, "Weight each": 0.3, "Value each": 0},
        {"Format": "BOOK", "Disc outside jacket": True, "Value each": "€30"},
    ]
    plain, outside, own, book = move_of(tmp_path, sound(Formats=formats, Records=records)).records
    assert (plain.value, plain.weight, plain.thickness, plain.care) == (9, Decimal("0.25"), Decimal("0.4"), "standard")
    assert outside.thickness == Decimal("0.8"), "twice the thickness where the format gives none"
    assert (own.thickness, own.weight, own.value) == (Decimal("0.5"), Decimal("0.3"), 0)
    assert (book.thickness, book.format.sound_recording, book.value) == (3, False, 30)
    assert plain.format.name == "LP", "a reference becomes the name as its own sheet writes it"


def test_a_record_without_any_value_is_an_error(tmp_path: Path) -> None:
    rows = sound(Records=[{"Format": "LP"}])
    assert told(reading_of(tmp_path, rows).errors) == [("no-value", "Records!F2")]


def test_labels_that_look_like_numbers_stay_text(tmp_path: Path) -> None:
    rows = sound(Records=[{"Record ID": 1001, "Title": 1984, "Format": "LP", "Value each": 1, "Shelf": 12.0}])
    (record,) = move_of(tmp_path, rows).records
    assert (record.record_id, record.title, record.shelf) == ("1001", "1984", "12")


def test_sleeves_match_whatever_their_case_or_type(tmp_path: Path) -> None:
    formats = [{"Format": "LP", "Sleeve": 12, "Weight each": 0.2, "Thickness each": 0.4}]
    formats += [{"Format": "Box", "Sleeve": "Box Set", "Weight each": 1, "Thickness each": 3}]
    carton = {"Carton": "C", "Takes sleeves": "12 ;box set", "Stack length": 30, "Outside length": 33}
    carton |= {"Outside width": 33, "Outside height": 33, "Empty weight": 0.5}
    records = [{"Format": "LP", "Value each": 1}, {"Format": "Box", "Value each": 1}]
    move = move_of(tmp_path, sound(Formats=formats, Cartons=[carton], Records=records, Packed_already=[]))
    assert move.cartons["C"].sleeves == ("12", "Box Set")
    assert (move.cartons["C"].inner_cartons, move.cartons["C"].price, move.cartons["C"].most) == (1, 0, None)


def test_care_levels_allow_the_means_ticked(tmp_path: Path) -> None:
    levels = [{"Care": "standard", "Carry-on": "x"}, {"Care": "other", "Van": "yes", "Loss chance at most %": 0.5}]
    assert ("not-yes-or-no", "Care!B2") in told(reading_of(tmp_path, sound(Care=levels)).errors)
    levels[0]["Carry-on"] = "y"
    levels[0]["Van"] = 1
    rows = sound(Care=levels, Records=[{"Format": "LP", "Value each": 1}])
    care = move_of(tmp_path, rows).care
    assert care["standard"].means == {Means.CARRY_ON, Means.VAN}
    assert (care["other"].means, care["other"].most_loss_chance) == ({Means.VAN}, Decimal("0.005"))


def test_quotes_hold_their_tariffs_and_the_chances_of_their_means(tmp_path: Path) -> None:
    means = [
        {"Means": "van", "Loss chance %": 0.1, "Damage chance %": 0.5, "Whole-load loss %": 0.2},
        {
            "Means": "post",
            "Loss chance %": 1,
            "Damage chance %": 3,
            "Whole-load loss %": 0,
            "Insure rule applies": "no",
        },
    ]
    quotes = [
        {"Quote": "Van", "Means": "VAN", "Loss chance %": 0, "Weight breaks": "tariff", "Transit days": 2},
        {"Quote": "Post", "Means": "post", "Rate card": "PARCEL", "Collect from": "2026-04-01"},
        {"Quote": "Own", "Means": "van", "Loss chance %": 1, "Damage chance %": 2, "Whole-load loss %": 3},
        {"Quote": "Parcels by van", "Means": "van", "Consignment": "Carton"},
    ]
    found = move_of(tmp_path, sound(Means=means, Quotes=quotes)).quotes
    van, post, own = found["Van"], found["Post"], found["Own"]
    assert (van.loss_chance, van.damage_chance, van.whole_load_loss) == (0, Decimal("0.005"), Decimal("0.002"))
    assert (van.chances_assumed, van.insure_rule_applies, van.consignment) == (True, True, Consignment.LOAD)
    assert van.weight_breaks is not None
    assert [row.price_per_100 for row in van.weight_breaks.rows] == [60, 45]
    assert (post.consignment, post.insure_rule_applies) == (Consignment.CARTON, False)
    assert post.rate_card is not None
    assert post.rate_card.steps[1].origin.cell("price") == "Rate cards!C3"
    assert post.collect_from == date(2026, 4, 1)
    assert (own.chances_assumed, own.whole_load_loss) == (False, Decimal("0.03"))
    assert found["Parcels by van"].consignment is Consignment.CARTON


@pytest.mark.parametrize(
    ("sheet", "rows", "told_as"),
    [
        ("Rate cards", [(5, 6), (5, 7)], ("steps-not-rising", "Rate cards!B3")),
        ("Rate cards", [(5, 6), (3, 7)], ("steps-not-rising", "Rate cards!B3")),
        ("Weight breaks", [(10, 60), (200, 45)], ("first-break-not-zero", "Weight breaks!B2")),
        ("Weight breaks", [(0, 60), (0, 45)], ("steps-not-rising", "Weight breaks!B3")),
    ],
)
def test_tariffs_out_of_order_are_errors(
    tmp_path: Path, sheet: str, rows: list[tuple[int, int]], told_as: object
) -> None:
    headings = ("Rate card", "Weight up to", "Price")
    name = "Parcel"
    if sheet == "Weight breaks":
        headings, name = ("Weight breaks", "From weight", "Price per 100"), "Tariff"
    table = [dict(zip(headings, (name, *row), strict=True)) for row in rows]
    assert told(reading_of(tmp_path, {**sound(), sheet: table}).errors) == [told_as]


def test_a_means_without_assumptions_is_an_error_where_it_is_used(tmp_path: Path) -> None:
    means = [{"Means": "post", "Loss chance %": 1, "Damage chance %": 3, "Whole-load loss %": 0}]
    errors = reading_of(tmp_path, sound(Means=means)).errors
    assert told(errors) == [("means-without-row", "Quotes!C2"), ("means-without-row", "Quotes!C4")]


def test_chances_over_one_are_errors(tmp_path: Path) -> None:
    quotes = [{"Quote": "Van", "Means": "van", "Loss chance %": 60, "Damage chance %": 50}]
    assert told(reading_of(tmp_path, sound(Quotes=quotes)).errors) == [("chances-over-one", "Quotes!AJ2")]


def test_what_has_no_meaning_for_a_carton_is_told(tmp_path: Path) -> None:
    quotes = [{"Quote": "Post", "Means": "post", "Trips at most": 3, "Most weight": 100, "Most value": 50}]
    reading = reading_of(tmp_path, sound(Quotes=quotes))
    assert told(reading.notices) == [("no-meaning", "Quotes!F2"), ("no-meaning", "Quotes!R2")]
    quotes[0]["Weight breaks"] = "Tariff"
    assert told(reading_of(tmp_path, sound(Quotes=quotes)).errors) == [("weight-breaks-for-carton", "Quotes!M2")]


def test_later_rows_of_a_cover_inherit_from_the_first(tmp_path: Path) -> None:
    bands = [
        {"Cover": "C", "For quotes": "van; POST", "Covers": "Loss and damage", "Basis": "consignment", "Excess": 10},
        {"Cover": "c", "For quotes": "Post; Van", "Plus % of value": 1.5, "Least fee": 4},
    ]
    bands[0] |= {"Value up to": 100, "Fee": 3}
    cover = move_of(tmp_path, sound(Cover=bands)).covers["C"]
    assert (cover.for_quotes, cover.covers, cover.basis) == (
        ("Van", "Post"),
        Covers.LOSS_AND_DAMAGE,
        CoverBasis.CONSIGNMENT,
    )
    assert (cover.excess, len(cover.bands)) == (10, 2)
    assert (cover.bands[1].value_up_to, cover.bands[1].share_of_value) == (None, Decimal("0.015"))


@pytest.mark.parametrize(
    ("second", "told_as"),
    [
        ({"Excess": 20}, ("rows-disagree", "Cover!I3")),
        ({"Basis": "consignment"}, ("rows-disagree", "Cover!D3")),
        ({"For quotes": "Van"}, ("rows-disagree", "Cover!B3")),
        ({"Value up to": 50}, ("steps-not-rising", "Cover!E3")),
    ],
)
def test_rows_of_a_cover_that_clash_are_errors(tmp_path: Path, second: Rows, told_as: object) -> None:
    first = {"Cover": "C", "Excess": 10, "Basis": "carton", "For quotes": "Van; Post", "Value up to": 100, "Fee": 3}
    assert told(reading_of(tmp_path, sound(Cover=[first, {"Cover": "C", **second}])).errors) == [told_as]


def test_a_band_below_one_without_limit_is_an_error(tmp_path: Path) -> None:
    bands = [{"Cover": "C", "Fee": 3}, {"Cover": "C", "Value up to": 50, "Fee": 1}]
    assert told(reading_of(tmp_path, sound(Cover=bands)).errors) == [("band-after-last", "Cover!E2")]


def test_a_gross_limit_below_the_empty_carton_is_an_error(tmp_path: Path) -> None:
    carton = {"Carton": "LP carton", "Takes sleeves": "12; 7", "Stack length": 30, "Outside length": 33}
    carton |= {"Outside width": 33, "Outside height": 33, "Empty weight": 0.5, "Gross limit": 0.5}
    assert told(reading_of(tmp_path, sound(Cartons=[carton])).errors) == [("gross-limit-too-low", "Cartons!I2")]


PACKED = {"Carton no.": "P1", "Carton": "LP carton"}


def _with_packed(row: Rows, *records: Rows) -> Rows:
    named = [{"Format": "LP", "Value each": 10, "Packed in": "P1", **record} for record in records]
    return sound(Packed_already=[{**PACKED, **row}], Records=[*sound()["Records"], *named])


def test_a_packed_carton_is_summed_from_the_records_that_name_it(tmp_path: Path) -> None:
    records: list[Rows] = [{"Copies": 4}, {"Copies": 2, "Care": "guarded", "Must go by": "van"}]
    (packed,) = move_of(tmp_path, _with_packed({}, *records)).packed
    filled = packed.filled
    assert (filled.records, filled.value) == (6, 60)
    assert filled.gross_weight == Decimal("0.55") + 6 * Decimal("0.23")
    assert (filled.care, filled.must_go_by, filled.recordings_only) == (("guarded", "standard"), ("Van",), True)
    assert (filled.closed_by_user, packed.status, len(filled.portions)) == (True, Status.TO_GO, 2)


def test_a_packed_carton_named_in_part_is_not_known_to_hold_recordings_only(tmp_path: Path) -> None:
    row = {"Gross weight": 15, "Value": 500, "Records": 60}
    (packed,) = move_of(tmp_path, _with_packed(row, {})).packed
    assert (packed.filled.records, packed.filled.recordings_only, packed.filled.value) == (60, False, 500)
    assert packed.filled.care == ("standard",)


@pytest.mark.parametrize(
    ("row", "records", "told_as"),
    [
        (
            {"Records": 5},
            [{"Copies": 4}],
            [("packed-not-weighed", "Packed already!C2"), ("packed-not-weighed", "Packed already!D2")],
        ),
        ({"Gross weight": 10, "Value": 1}, [], [("packed-not-weighed", "Packed already!E2")]),
        ({"Gross weight": 10, "Value": 1, "Records": 3}, [{"Copies": 4}], [("packed-too-many", "Packed already!E2")]),
        ({"Gross weight": 24}, [{}], [("packed-too-heavy", "Packed already!C2")]),
        ({}, [{"Must go by": "Van"}, {"Must go by": "Post"}], [("packed-pulled-apart", "Packed already!A2")]),
        ({"Status": "sent"}, [{}], [("packed-gone-how", "Packed already!H2")]),
        ({"Status": "gone"}, [{}], [("not-a-word", "Packed already!G2")]),
        ({"Carton": "Crate"}, [{}], [("name-unknown", "Packed already!B2")]),
    ],
)
def test_packed_cartons_that_cannot_be_are_errors(
    tmp_path: Path, row: Rows, records: list[Rows], told_as: list[tuple[str, str]]
) -> None:
    assert told(reading_of(tmp_path, _with_packed(row, *records)).errors) == told_as


def test_a_packed_carton_that_is_gone_keeps_how_and_what_it_cost(tmp_path: Path) -> None:
    row = {"Status": "Arrived", "Gone by": "Post", "Paid": 12.5, "Gross weight": 60}
    move = move_of(tmp_path, _with_packed(row, {}))
    assert move.to_go == ()
    (gone,) = move.gone
    assert (gone.status, gone.gone_by, gone.paid, gone.filled.gross_weight) == (
        Status.ARRIVED,
        "Post",
        Decimal("12.5"),
        60,
    )


def test_a_value_that_differs_from_the_records_is_noted_and_used(tmp_path: Path) -> None:
    reading = reading_of(tmp_path, _with_packed({"Value": 99}, {}))
    assert told(reading.notices) == [("packed-value-differs", "Packed already!D2")]
    assert reading.move is not None
    assert reading.move.packed[0].filled.value == 99


def test_a_carton_that_is_gone_went_under_a_cover_for_its_quote(tmp_path: Path) -> None:
    cover = [{"Cover": "Policy", "Covers": "loss", "Basis": "carton", "Fee": 5, "For quotes": "Post"}]
    gone = {"Carton no.": "P1", "Carton": "LP carton", "Gross weight": 18, "Value": 700, "Records": 70}
    for quote, found in (("Post", []), ("Van", [("packed-cover-not-offered", "Packed already!J2")])):
        paid = {"Paid": 12, "Cover": "Policy", "Cover fee paid": 5, "Carton paid": 2}
        packed = [gone | paid | {"Status": "sent", "Gone by": quote}]
        reading = reading_of(tmp_path, sound(Cover=cover, Packed_already=packed))
        assert told(reading.errors) == found
        if reading.move:
            (closed,) = reading.move.gone
            assert (closed.paid, closed.cover, closed.cover_fee, closed.carton_paid) == (12, "Policy", 5, 2)
