"""The sheets for packing day and arrival: packing list, labels, content slips, shelving."""

from collections import Counter
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given
from hypothesis import settings as profile
from hypothesis import strategies as st
from independent.random_moves import middling
from independent.random_plans import random_plan
from small_moves import CRATE, SEARCH, SINGLE, TWIN, d, gone, larger_plan, move, record, settings, small_plan

from shipopt.handling.packing_order import returns
from shipopt.handling.stops import stops_of, visited
from shipopt.move.cartons import Portion, filled
from shipopt.move.plan import Plan, Shipment
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.rows.labels import initials
from shipopt.workbook.results.rows.packing import TICKED, cartons_in_order
from shipopt.workbook.results.rows.shelving import SLOT_IN, UNLISTED
from shipopt.workbook.results.writing import write_results


def random_results(seed: int) -> Results:
    """Results of a random plan of a random move, its shelves labelled at random."""
    it = middling(seed, cartons=8)
    labelled = [replace(each, shelf=f"S{each.place // (1 + seed % 7)}") for each in it.records]
    it = replace(it, records=tuple(labelled))
    return Results(Plan(it, tuple(random_plan(it, seed)), SEARCH))


@given(st.integers(0, 500))
@profile(max_examples=25, deadline=None)
def test_every_copy_is_on_one_list_one_slip_and_one_label(seed: int) -> None:
    results = random_results(seed)
    plan = results.plan
    copies = Counter(
        (portion.record.record_id, copy)
        for each in (*plan.shipments, *plan.move.gone)
        for portion in each.filled.portions
        for copy in range(portion.first, portion.first + portion.copies)
    )
    on_list = {(row.record_id, row.copy): row.carton_no for row in results.packing}
    assert Counter((row.record_id, row.copy) for row in results.packing) == copies
    gone_already = {each.filled.number for each in plan.move.gone}
    closed = gone_already | {each.filled.number for each in plan.shipments if each.filled.closed_by_user}
    on_slips = Counter(
        (line.record_id, copy)
        for slip in results.slips
        for line in slip.lines
        for copy in range(line.first, line.first + line.copies)
    )
    assert on_slips == Counter(key for key in copies if on_list[key] not in closed)
    labels = Counter(label.carton_no for label in results.labels)
    assert set(labels.values()) <= {1}
    assert set(on_list.values()) <= set(labels) | gone_already
    assert not set(labels) & gone_already


@given(st.integers(0, 500))
@profile(max_examples=25, deadline=None)
def test_every_copy_goes_back_on_the_shelves_once_in_their_order(seed: int) -> None:
    results = random_results(seed)
    plan = results.plan
    total = sum(each.filled.records for each in (*plan.shipments, *plan.move.gone))
    assert sum(row.records or 0 for row in results.shelving) == total
    assert [row.step for row in results.shelving] == list(range(1, len(results.shelving) + 1))
    place = {each.record_id: each.place for each in results.plan.move.records}
    lists = {(row.carton_no, row.place): row.record_id for row in results.packing}
    for row in results.shelving:
        if row.places:
            first = int(row.places.split("–")[0])
            assert int(row.places.split("–")[-1]) - first + 1 == row.records
            assert lists[row.carton_no, first] == row.from_record.split("  ")[0]
    along = [
        place[row.from_record.split("  ")[0]] for row in results.shelving if row.from_record and not row.stands_after
    ]
    shelf = [results.plan.move.records[at].shelf for at in along]
    assert [name for name, before in zip(shelf, [None, *shelf], strict=False) if name != before] == list(
        dict.fromkeys(shelf)
    )


def test_cartons_are_packed_in_the_order_with_fewest_returns() -> None:
    plan = larger_plan(700)
    stops = stops_of(plan.move.records)
    plan = replace(plan, shipments=plan.shipments[::-1])
    ordered = cartons_in_order(plan)
    visits = [visited(each, stops) for each in ordered]
    as_numbered = [visited(shipment.filled, stops) for shipment in plan.shipments]
    identity = range(len(visits))
    assert returns(visits, identity) < returns(as_numbered, identity)
    rows = Results(plan).packing
    assert list(dict.fromkeys(row.carton_no for row in rows)) == [each.number for each in ordered]
    assert list(dict.fromkeys(row.pack_order for row in rows)) == list(range(1, len(ordered) + 1))


def test_weight_and_filler_stand_in_a_cartons_first_row() -> None:
    """Two inner cartons of 20 cm, filled to 95 % at least: 5 singles of 0.18 cm leave 19.6 − 0.9 cm in each."""
    loose = [record(place, SINGLE, care="standard") for place in range(10)]
    carton = filled("7", TWIN, [Portion(each, 1, 1, 1 + each.place % 2) for each in loose])
    it = move(loose, settings(fill_least=d("0.95")))
    results = Results(Plan(it, (Shipment(carton, it.quotes["Blue van"]),), SEARCH))
    rows = results.packing
    assert [row.filler for row in rows] == [d("18.7"), d("18.7"), *[None] * 8]
    assert [row.scale_shows for row in rows] == [d("1.15"), *[None] * 9]
    assert rows[0].give_or_take == d("0.1")
    assert results.cartons[0].filler == d("37.4")
    assert [(slip.slip, slip.records) for slip in results.slips] == [("7a", 5), ("7b", 5)]


def test_cartons_closed_or_gone_are_ticked_and_come_last() -> None:
    there = filled("A 1", CRATE, [Portion(record(900 + place), 1, 1) for place in range(3)])
    sent = gone()
    plan = small_plan(packed_already=[replace(sent, filled=replace(there, closed_by_user=True))])
    plan = replace(plan, move=replace(plan.move, records=(*plan.move.records, *(p.record for p in there.portions))))
    rows = Results(plan).packing
    assert [(row.carton_no, row.done, row.pack_order) for row in rows[-3:]] == [("A 1", TICKED, None)] * 3
    assert all(row.pack_order for row in rows[:-3])
    assert "A 1" not in {slip.carton_no for slip in Results(plan).slips}
    assert "A 1" not in {label.carton_no for label in Results(plan).labels}
    assert {label.of for label in Results(plan).labels} == {len(plan.shipments) + 1}


def test_labels_tell_nothing_of_content_or_value(tmp_path: Path) -> None:
    plan = small_plan(artist="The Secret Choir", title="Hidden")
    write_results(tmp_path / "r.xlsx", plan)
    sheet = openpyxl.load_workbook(tmp_path / "r.xlsx")["Labels"]
    texts = " ".join(str(cell.value) for row in sheet.iter_rows() for cell in row if cell.value)
    for told in ("Secret", "Hidden", "record", "vinyl", "LP", "EUR", "value", "Porcelain", "Old Quay", "guarded"):
        assert told.casefold() not in texts.casefold()
    for told in ("1 of 5", "THIS SIDE UP", "From O. Q.  to H.", "HEAVY", "sun, heat"):
        assert told in texts


@pytest.mark.parametrize(("given_weight", "heavy"), [(None, 18), ("21.97", "21.97"), ("2", 2)])
def test_labels_say_heavy_from_the_settings_weight_on(given_weight: str | None, heavy: object) -> None:
    plan = small_plan(settings(mark_heavy_from=d(given_weight) if given_weight else None))
    labels = Results(plan).labels
    assert [bool(label.heavy) for label in labels] == [label.gross_weight >= d(heavy) for label in labels]
    assert len({bool(label.heavy) for label in labels}) == (1 if given_weight == "21.97" else 2)


@pytest.mark.parametrize(
    ("place", "shown"),
    [("Old Quay", "O. Q."), ("", ""), ("12 Élan street (rear)", "1. É. S. R."), ("– a b c d e", "A. B. C. D.")],
)
def test_initials(place: str, shown: str) -> None:
    assert initials(place) == shown


def test_pulled_records_are_put_back_last_each_after_the_one_before_it() -> None:
    """Hand and guarded ones, out of a run of standard ones: one carton open at a time, then each to its neighbour."""
    loose = [record(place) for place in range(80)]
    cartons = [
        filled("1", CRATE, [Portion(each, 1, 1) for each in loose if each.care == "standard"]),
        filled("2", CRATE, [Portion(each, 1, 1) for each in loose if each.care == "hand"]),
        filled("3", CRATE, [Portion(each, 1, 1) for each in loose if each.care == "guarded"]),
    ]
    it = move(loose)
    van = it.quotes["Blue van"]
    results = Results(Plan(it, tuple(Shipment(each, van) for each in cartons), SEARCH))
    slots = [row for row in results.shelving if row.what_to_do == SLOT_IN]
    assert [(row.carton_no, row.places, row.from_record[:6], row.stands_after[:6]) for row in slots] == [
        ("2", "1", "R00006", "R00005"),
        ("3", "1", "R00008", "R00007"),
        ("3", "2", "R00069", "R00068"),
    ]
    assert {row.cartons_open for row in results.shelving} == {1}


def test_what_is_carried_by_hand_or_guarded_by_half_is_put_back_last() -> None:
    """One carton carried by hand though its records need not be; one with two guarded of four; one with one of four."""
    loose = [record(place, care="guarded" if place in (4, 5, 8) else "standard") for place in range(12)]
    parts = (range(3), (3, 4, 5, 6), (7, 8, 9, 10), (11,))
    cartons = [
        filled(str(number), CRATE, [Portion(loose[place], 1, 1) for place in places])
        for number, places in enumerate(parts, start=1)
    ]
    it = move(loose)
    van, train = it.quotes["Blue van"], it.quotes["Train seat"]
    plan = Plan(it, tuple(Shipment(each, train if each.number == "1" else van) for each in cartons), SEARCH)
    last = [row.carton_no for row in Results(plan).shelving if row.what_to_do == SLOT_IN]
    assert list(dict.fromkeys(last)) == ["1", "2"]


def test_unlisted_cartons_are_named_at_the_end() -> None:
    results = Results(small_plan(packed_already=[gone()]))
    last = results.shelving[-1]
    assert (last.carton_no, last.what_to_do, last.records) == ("A 1", UNLISTED, 70)


def test_records_without_a_shelf_label_are_told_in_runs() -> None:
    """Cut by hand in the middle of the row: two runs, each from one carton, that do not overlap."""
    loose = [record(place, shelf="", care="standard") for place in range(60)]
    cartons = [
        filled("1", CRATE, [Portion(each, 1, 1) for each in loose[:35]]),
        filled("2", CRATE, [Portion(each, 1, 1) for each in loose[35:]]),
    ]
    it = move(loose)
    results = Results(Plan(it, tuple(Shipment(each, it.quotes["Blue van"]) for each in cartons), SEARCH))
    assert [(row.carton_no, row.records, row.cartons_open) for row in results.shelving] == [("1", 35, 1), ("2", 25, 1)]


def test_slips_and_packing_list_begin_pages_with_whole_cartons(tmp_path: Path) -> None:
    write_results(tmp_path / "r.xlsx", larger_plan(700))
    book = openpyxl.load_workbook(tmp_path / "r.xlsx")
    for name, begins in (("Packing list", "B"), ("Content slips", "A")):
        sheet = book[name]
        at = [each.id + 1 for each in sheet.row_breaks.brk]
        assert len(at) > 4
        found = {sheet[f"{begins}{row}"].value for row in at}
        assert found == {1} or all(str(text).startswith("Inside carton") for text in found)
    labels = [each.id for each in book["Labels"].row_breaks.brk]
    assert labels == [20 * page for page in range(1, len(labels) + 1)]


def test_a_copy_beside_its_fellow_is_put_back_after_it() -> None:
    line = record(3, copies=4, care="standard")
    guarded = replace(record(5), care="guarded")
    rest = [replace(record(place), care="standard") for place in (1, 2, 4, 6)]
    main = filled("1", CRATE, [Portion(each, 1, 1) for each in rest] + [Portion(line, 1, 4)])
    pulled = filled("2", CRATE, [Portion(guarded, 1, 1)])
    it = replace(move([*rest[:2], line, rest[2], guarded, rest[3]]))
    results = Results(Plan(it, tuple(Shipment(each, it.quotes["Blue van"]) for each in (main, pulled)), SEARCH))
    (slot,) = [row for row in results.shelving if row.what_to_do == SLOT_IN]
    assert slot.stands_after.startswith(rest[2].record_id)
    assert slot.records == Decimal(1)
