"""What stands in the results: cartons, packing, charges, quotes compared, warnings, each checked by hand."""

from collections import Counter
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest
from small_moves import (
    CARE,
    CHANCES,
    COVERS,
    CRATE,
    QUOTES,
    SEARCH,
    SINGLE,
    TWIN,
    d,
    gone,
    larger_plan,
    move,
    packed,
    record,
    settings,
    small_plan,
)

from shipopt.move.care import CareLevel, strictest
from shipopt.move.cartons import Portion, filled
from shipopt.move.plan import Plan, Shipment
from shipopt.move.quotes import Quote
from shipopt.move.words import Consignment, Means, Status
from shipopt.pricing.total import price
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.rows.quotes import QuoteRow
from shipopt.workbook.results.rows.unused import instead

POST = "Mule post tracked"


def quote_row(plan: Plan, name: str) -> QuoteRow:
    """The row of one quote on the sheet Quotes compared."""
    return next(row for row in Results(plan).quotes if row.quote == name)


def with_quotes(plan: Plan, *quotes: Quote) -> Plan:
    """The plan with further quotes in its move."""
    return replace(plan, move=replace(plan.move, quotes=plan.move.quotes | {each.name: each for each in quotes}))


def test_the_first_cartons_in_number_order_are_those_on_hand() -> None:
    """Three crates are on hand; a carton that the user closed takes none of them and costs nothing."""
    closed = filled("X", CRATE, [Portion(record(500), 1, 1)])
    closed = replace(closed, closed_by_user=True)
    loose = [record(place) for place in range(450)]
    it = move(loose)
    van = it.quotes["Blue van"]
    cartons = [closed, *packed(loose, CRATE, 1)]
    rows = Results(Plan(it, tuple(Shipment(each, van) for each in cartons), SEARCH)).cartons
    assert [row.carton_price for row in rows] == [d(0)] * 4 + [d("2.35")] * (len(rows) - 4)
    assert len(rows) == 7


def test_odd_carton_prices_sum_to_the_amount_due() -> None:
    """Three cartons at 1.115 cost 3.345, rounded half up to 3.35; the list has 1.12, 1.12 and 1.11."""
    box = replace(CRATE, name="odd", price=d("1.115"), on_hand=0)
    loose = [record(place) for place in range(3)]
    it = replace(move(loose), cartons={"odd": box})
    cartons = [filled(str(number), box, [Portion(each, 1, 1)]) for number, each in enumerate(loose, start=1)]
    results = Results(Plan(it, tuple(Shipment(each, it.quotes["Blue van"]) for each in cartons), SEARCH))
    assert [row.carton_price for row in results.cartons] == [d("1.12"), d("1.12"), d("1.11")]
    assert results.totals.cartons_bought == d("3.35")


def test_filler_fills_a_loose_carton_up_to_the_most() -> None:
    """10 LPs of 0.36 cm in a crate of 31 cm: 11.6 % full; up to 98 % of 31 cm are 30.38 − 3.60 = 26.78 cm."""
    loose = [record(place) for place in range(10)]
    it = move(loose)
    (carton,) = packed(loose, CRATE, 1)
    (row,) = Results(Plan(it, (Shipment(carton, it.quotes["Blue van"]),), SEARCH)).cartons
    assert row.filler == d("26.78")
    assert row.fill_percent == pytest.approx(d("11.6129"), abs=d("0.0001"))
    snug = settings(fill_least=d("0.1"))
    (row,) = Results(Plan(move(loose, snug), (Shipment(carton, it.quotes["Blue van"]),), SEARCH)).cartons
    assert row.filler is None


def test_places_run_in_shelf_order_and_each_copy_has_a_row() -> None:
    loose = [record(9, copies=2), record(3), record(5, copies=3)]
    carton = filled("7", TWIN, [Portion(loose[0], 1, 2, 2), Portion(loose[1], 1, 1), Portion(loose[2], 2, 2)])
    it = move(loose)
    results = Results(Plan(it, (Shipment(carton, it.quotes[POST]),), SEARCH))
    found = [(row.place, row.record_id, row.copy, row.inner_carton) for row in results.packing]
    assert found == [
        (1, "R00004", 1, "7a"),
        (2, "R00006", 2, "7a"),
        (3, "R00006", 3, "7a"),
        (4, "R00010", 1, "7b"),
        (5, "R00010", 2, "7b"),
    ]
    (row,) = results.cartons
    assert (row.first_shelf, row.last_shelf, row.records) == ("A1", "A1", 5)


def test_every_copy_of_a_plan_is_on_the_packing_list_once() -> None:
    plan = larger_plan(400)
    listed = Counter((row.record_id, row.copy) for row in Results(plan).packing)
    assert set(listed.values()) == {1}
    assert len(listed) == sum(each.copies for each in plan.move.records)


@pytest.mark.parametrize(
    ("first", "second", "strict"),
    [
        (CARE["standard"], CARE["guarded"], "guarded"),
        (CARE["hand"], CARE["guarded"], "hand"),
        (CareLevel("a", frozenset(Means)), CareLevel("b", frozenset(Means), needs_tracking=True), "b"),
        (CareLevel("a", frozenset(Means)), CareLevel("b", frozenset(Means), most_loss_chance=d("0.1")), "b"),
        (CareLevel("a", frozenset(Means)), CareLevel("b", frozenset(Means)), "a"),
    ],
)
def test_the_strictest_care_has_fewest_means_then_most_needs_then_the_lowest_chance(
    first: CareLevel, second: CareLevel, strict: str
) -> None:
    found = strictest((first, second))
    assert found is not None
    assert found.name == strict
    if strict != "a":
        assert strictest((second, first)) == found


def test_no_care_level_is_strictest_of_none() -> None:
    assert strictest(()) is None


def test_cartons_gone_are_listed_and_counted_but_not_booked() -> None:
    """One on its way keeps its expected loss, one that has arrived has none."""
    plan = small_plan(packed_already=[gone(), gone("A 2", Status.ARRIVED, paid=d("7.05"))])
    results, before = Results(plan), Results(small_plan())
    assert [row.status for row in results.cartons[-2:]] == ["sent", "arrived"]
    assert results.cartons[-2].expected_uninsured_loss > 0
    assert results.cartons[-1].expected_uninsured_loss == 0
    assert results.bookings == before.bookings
    assert results.totals.carriage == before.totals.carriage + d("48.25")
    assert results.totals.records == before.totals.records + 140
    assert [row.paid for row in results.gone] == [d("41.20"), d("7.05")]
    assert results.totals.expected_uninsured_loss == pytest.approx(results.losses.mean, abs=d("0.01"))


def test_a_statement_has_its_lines_then_its_total() -> None:
    results = Results(larger_plan(900))
    rows = list(results.charges)
    for place, row in enumerate(rows):
        if row.charged is not None:
            above = rows[place - row.lines : place]
            assert {(each.quote, each.trip) for each in above} <= {(row.quote, row.trip)}
            assert sum(each.amount for each in above if each.amount is not None) == row.charged
    assert sum(row.lines + 1 for row in rows if row.charged is not None) == len(rows)


def test_freight_class_by_hand() -> None:
    """One crate of 34 cm a side and 21.96 kg: 34.88 lb per cu ft, class 60 (30 up to 35)."""
    (row,) = Results(small_plan()).freight
    assert row.density_lb_per_cu_ft == pytest.approx(
        Decimal("21.96") / d("0.45359237") / (d("0.34") / d("0.3048")) ** 3
    )
    assert row.freight_class == 60


def test_quotes_out_say_why() -> None:
    plan = small_plan()
    quotes = [
        Quote("Idle", Means.VAN, Consignment.LOAD, consider=False, **CHANCES),
        Quote("Books only", Means.POST, Consignment.CARTON, cartons_accepted=("tube",), **CHANCES),
    ]
    words = {row.quote: row.in_words for row in Results(with_quotes(plan, *quotes)).quotes}
    assert words["Late van"].startswith("too late: arrives 2031-04-30")
    assert words["Old bid"].startswith("expired: valid until 2031-01-02")
    assert words["Idle"].startswith("not considered")
    assert words["Jacket pocket"] == "may carry none of the plan's cartons: Jacket pocket does not accept crate 12"
    assert words["Books only"].startswith("may carry none of the plan's cartons: Books only does not accept")
    assert words["Blue van"] == "in the plan, 2 of 3 trips"
    assert words[POST] == "in the plan, each carton a consignment"


def test_a_dearer_quote_is_dearer_by_what_the_whole_plan_would_cost_more() -> None:
    """Priced a second way: the plan with every carton that the quote may carry moved over to it."""
    plan = small_plan()
    row = quote_row(plan, "Green van")
    green = plan.move.quotes["Green van"]
    moved = [
        replace(each, quote=green, trip=1)
        if each.quote.name in ("Blue van", "Slow freight", POST) and each.filled.care == ("standard",)
        else each
        for each in plan.shipments
    ]
    more = price(plan.move, moved).total - price(plan.move, plan.shipments).total
    assert row.it_would_charge is not None
    assert row.the_plan_saves is not None
    assert row.could_carry == 3
    assert row.it_would_charge - row.the_plan_saves == more > 0
    assert row.in_words == f"dearer: the 3 cartons it may carry would cost {more} EUR more"


def test_a_quote_left_out_is_filled_within_its_limits() -> None:
    """Two cartons a trip and two trips: four of the cartons it may carry, no more; each limit counts by trip."""
    plan = larger_plan(900)
    limits = ({"most_cartons": 2}, {"most_weight": d("44")}, {"most_volume": d("0.08")}, {"most_value": d("2600")})
    for limit in limits:
        bid = Quote("Bid", Means.VAN, Consignment.LOAD, fixed_charge=d(1000), trips_at_most=2, **limit, **CHANCES)
        assert quote_row(with_quotes(plan, bid), "Bid").could_carry == 4


def test_a_quote_that_must_insure_what_none_will_cover_may_not_carry_it() -> None:
    """A rule of 1,000: only the post offers no cover for its crates beyond 2,500, the rest the consignment policy."""
    plan = larger_plan(300, settings(insure_from=d(900)))
    bid = Quote("Bid", Means.VAN, Consignment.LOAD, fixed_charge=d(2000), **CHANCES)
    covered = with_quotes(plan, bid)
    assert (quote_row(covered, "Bid").it_would_charge or 0) > 2000
    bare = replace(covered, move=replace(covered.move, covers={}))
    shipments = tuple(replace(each, cover=None) for each in bare.shipments)
    row = quote_row(replace(bare, shipments=shipments), "Bid")
    worth_less = [each for each in shipments if each.filled.value < 900 and "hand" not in each.filled.care]
    guarded = [each for each in worth_less if each.filled.care == ("guarded",)]
    assert row.could_carry == len(worth_less) - len(guarded)


def test_a_rate_card_that_ends_too_low_may_carry_nothing() -> None:
    plan = larger_plan(300)
    light = replace(QUOTES[POST], name="Light post", rate_card=None)
    heavy_only = [each for each in plan.shipments if each.filled.care == ("standard",) and each.quote.name != POST]
    it = replace(plan, shipments=tuple(heavy_only))
    card = QUOTES[POST].rate_card
    assert card is not None
    short = replace(light, rate_card=replace(card, steps=card.steps[:1]))
    row = quote_row(with_quotes(it, short), "Light post")
    assert row.could_carry is None
    assert "its rate card ends below the carton's weight" in row.in_words


def test_a_quote_cheaper_on_the_same_cartons_is_said_to_be_so() -> None:
    plan = small_plan()
    bid = Quote("Bargain", Means.VAN, Consignment.LOAD, fixed_charge=d(1), **CHANCES)
    row = quote_row(with_quotes(plan, bid), "Bargain")
    assert row.in_words.startswith("not in the plan, though the 3 cartons it may carry would cost ")


def test_a_load_worth_more_than_its_cover_takes_is_not_compared() -> None:
    plan = larger_plan(600, settings(insure_from=d(1)))
    low = replace(
        COVERS["Porcelain Mutual"], bands=(replace(COVERS["Porcelain Mutual"].bands[0], value_up_to=d(1500)),)
    )
    bid = Quote("Bid", Means.VAN, Consignment.LOAD, closed_body=True, **CHANCES)
    it = with_quotes(plan, bid)
    it = replace(it, move=replace(it.move, covers={low.name: low}))
    shipments = tuple(replace(each, cover=None) for each in it.shipments)
    it = replace(it, shipments=shipments)
    found = instead(it, price(it.move, shipments), bid)
    assert found.cartons == 0
    assert "does not cover a value of" in found.why_none


def test_warnings_are_drawn_from_the_plan() -> None:
    plan = small_plan()
    found = "\n".join(Results(plan).warnings)
    for words in (
        "The gap to the lower bound is",
        "Arrives two days or less before Needed by (2031-03-12): Slow freight (2031-03-10).",
        "No transit days are given, so arrival is counted as the day of collection: Train seat.",
        "travels without a cover",
        "planning assumptions, not the bidder's record",
        "Filled less than 90 %",
    ):
        assert words in found
    assert "Pays for loss only" not in found
    assert "Pays for loss only; breakage on the way is yours to bear: Parcel care." in Results(larger_plan()).warnings


def test_a_sound_plan_has_no_warning() -> None:
    loose = [record(place) for place in range(82) if record(place).care == "standard"]
    it = move(loose, settings(needed_by=None))
    (carton,) = packed(loose, CRATE, 1)
    van = replace(it.quotes["Blue van"], chances_assumed=False)
    cover = it.covers["Porcelain Mutual"]
    plan = Plan(it, (Shipment(carton, van, 1, cover),), SEARCH)
    it = replace(it, quotes=it.quotes | {van.name: van})
    floor = price(it, plan.shipments).total
    assert Results(Plan(it, plan.shipments, replace(SEARCH, floor=floor))).warnings == ()


def test_nothing_of_value_and_closed_cartons_are_warned_of() -> None:
    closed = replace(gone().filled, value=d(0), number="C 1")
    it = move(())
    found = Results(Plan(it, (Shipment(closed, it.quotes["Blue van"]),), SEARCH)).warnings
    assert "Every value is 0: nothing is insured, and no loss is counted." in found
    assert "Closed already; counted by their stated totals, their records are not listed: C 1." in found


def test_a_plan_of_nothing_has_rows_of_nothing(tmp_path: Path) -> None:
    results = Results(Plan(move(()), (), replace(SEARCH, floor=d(0))))
    assert results.totals.total_cost == results.totals.gap_percent == results.totals.average_of_worst_5_percent == 0
    assert results.cartons == results.packing == results.bookings == results.charges == ()


def test_singles_stand_in_twin_boxes() -> None:
    """The fixture itself: its larger plan fills no carton beyond its stack length."""
    for shipment in larger_plan(900).shipments:
        assert shipment.filled.fill <= d("0.95")
        assert (shipment.filled.carton is TWIN) == (shipment.filled.portions[0].record.format is SINGLE)
