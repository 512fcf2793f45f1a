"""Rows of a move: what they refuse at birth, what a filled carton sums up, how shipments fall into trips."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import invented
import pytest

from shipopt.move.cartons import Portion, filled
from shipopt.move.move import PackedAlready
from shipopt.move.origin import NOWHERE, Origin
from shipopt.move.plan import Plan, Search, Shipment
from shipopt.move.records import Format, Record
from shipopt.move.words import Means, Status, Units

LP = Format("LP", "12", Decimal("0.5"), Decimal("0.14"), Decimal("0.28"))
BOOK = Format("book", "12", Decimal("2"), Decimal("1"), Decimal("1"), sound_recording=False)


def record(name: str, **given: object) -> Record:
    """A line of LPs, each worth 9."""
    plain = {"format": LP, "care": "standard", "value": Decimal(9), "weight": LP.weight, "thickness": LP.thickness}
    return Record(record_id=name, **{**plain, **given})


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: invented.carton_type(inner_cartons=0), "carton 'crate': at least one inner carton"),
        (lambda: invented.carton_type(stack_length="0"), "stack length above zero"),
        (lambda: invented.carton_type((13, 0, 13)), "outside sizes are above zero"),
        (lambda: invented.carton_type(empty_weight="-0.1"), "empty weight is not negative"),
        (lambda: invented.rate_card((2, 1), (1, 2)), "rate card 'card': steps rise"),
        (lambda: invented.rate_card((1, 1), (1, 2)), "all different"),
        (lambda: invented.rate_card(), "rate card 'card'"),
        (lambda: invented.weight_breaks((1, 5)), "weight breaks 'breaks': rows start from 0"),
        (lambda: invented.weight_breaks((0, 5), (0, 6)), "rise"),
        (lambda: invented.weight_breaks(), "rows start from 0"),
        (lambda: invented.quote(trips_at_most=0), "quote 'Q': at least one trip"),
        (lambda: invented.quote(included_cartons=-1), "included cartons not negative"),
        (lambda: invented.quote(per_weight="-1"), "charges and liability are not negative"),
        (lambda: invented.quote(surcharge="-0.1"), "charges and liability are not negative"),
        (lambda: invented.quote(liability_per_carton="-1"), "charges and liability are not negative"),
        (lambda: invented.quote(volumetric_divisor="0"), "the volumetric divisor is above zero"),
        (lambda: invented.quote(weigh_step="0"), "rounded in steps above zero"),
        (lambda: invented.quote(loss_chance="1.01"), "chances lie between 0 and 1"),
        (lambda: invented.quote(whole_load_loss="-0.01"), "chances lie between 0 and 1"),
        (lambda: invented.cover(), "cover 'cover': bands rise"),
        (lambda: invented.cover((None, 0, 0, 0), (9, 0, 0, 0)), "only the last may have no upper limit"),
        (lambda: invented.cover((9, 0, 0, 0), (9, 0, 0, 0)), "bands rise"),
        (lambda: invented.cover((9, 0, 0, 0), excess="-1"), "the excess is not negative"),
        (lambda: invented.settings(heaviest_carton="0"), "weighs more than nothing"),
        (lambda: invented.settings(fill_most="1.01"), "fill limits are fractions"),
        (lambda: invented.settings(fill_most="0"), "fill limits are fractions"),
        (lambda: invented.settings(fill_least="-0.01"), "fill limits are fractions"),
        (lambda: record("r", copies=0), "record 'r': at least one copy"),
        (lambda: record("r", value=Decimal(-1)), "value is not negative"),
        (lambda: record("r", weight=Decimal(0)), "weight and thickness above zero"),
        (lambda: replace(LP, thickness_disc_outside=Decimal(0)), "format 'LP': weight and thickness are above zero"),
    ],
)
def test_nonsense_is_refused_at_birth(make: Callable[[], object], message: str) -> None:
    """With the row's own name and the rule it breaks."""
    with pytest.raises(ValueError, match=message):
        make()


def test_a_filled_carton_sums_its_records() -> None:
    """Copies count; care and pins are sorted and named once; one item that is no recording spoils recordings only."""
    lines = [
        record("a", care="hand", must_go_by="van"),
        record("b", copies=4),
        record("c", format=BOOK, weight=BOOK.weight),
    ]
    box = invented.carton_type(empty_weight="1.5", stack_length="10")
    made = filled("7", box, [Portion(lines[0], 1, 1), Portion(lines[1], 2, 3), Portion(lines[2], 1, 1)])
    assert (made.records, made.gross_weight, made.value) == (5, Decimal("5.5"), 45)
    assert (made.stack, made.fill) == (Decimal("0.70"), Decimal("0.07"))
    assert (made.care, made.must_go_by, made.recordings_only) == (("hand", "standard"), ("van",), False)
    assert filled("8", box, [Portion(lines[0], 1, 1)]).recordings_only
    assert not made.closed_by_user


def test_sides_girth_and_volumes_of_a_carton() -> None:
    """The longest side first, however they are given; rounded lengths take a half up."""
    box = invented.carton_type(("12.5", "20.4", "15"))
    assert box.sides == (Decimal("20.4"), Decimal(15), Decimal("12.5"))
    assert box.length_plus_girth == Decimal("75.4")
    assert box.small_volume == Decimal("3825")
    assert box.rounded_small_volume == 20 * 15 * 13


def test_room_is_shared_by_inner_cartons() -> None:
    """Two inner cartons take half each of what may be filled."""
    box = invented.carton_type(stack_length="25", inner_cartons=2)
    assert box.room_in_each(Decimal("0.98")) == Decimal("12.25")


def test_closed_cartons_go_by_status_and_loose_records_are_the_rest() -> None:
    """To go, gone, and records that no closed carton holds."""
    packed = [PackedAlready(invented.filled(str(n), 9), status) for n, status in enumerate(Status)]
    move = replace(invented.move(packed=packed), records=(record("a"), record("b", packed_in="0")))
    assert [box.number for box in move.to_go] == ["0"]
    assert [gone.filled.number for gone in move.gone] == ["1", "2"]
    assert [each.record_id for each in move.loose] == ["a"]


def test_trips_follow_the_workbook_and_then_the_trip() -> None:
    """Quotes in the workbook's order, trips rising, cartons as they come."""
    z, a = invented.quote("z", trips_at_most=2), invented.quote("a")
    boxes = [invented.filled(str(n), 9) for n in range(4)]
    shipments = (Shipment(boxes[0], a), Shipment(boxes[1], z, 2), Shipment(boxes[2], z), Shipment(boxes[3], a))
    plan = Plan(invented.move([z, a]), shipments, Search("none", 0.0, Decimal(0), ""))
    assert [(key, [s.filled.number for s in trip]) for key, trip in plan.trips.items()] == [
        (("z", 1), ["2"]),
        (("z", 2), ["1"]),
        (("a", 1), ["0", "3"]),
    ]


def test_a_cover_is_offered_to_all_or_to_those_named() -> None:
    """None means every quote, an empty list none."""
    cover = invented.cover((None, 0, 0, 0))
    assert cover.offered_to("van")
    assert replace(cover, for_quotes=("van",)).offered_to("van")
    assert not replace(cover, for_quotes=("van",)).offered_to("post")
    assert not replace(cover, for_quotes=()).offered_to("van")


def test_an_origin_names_its_cell() -> None:
    """Sheet and cell where the column is there, sheet and row where not, nothing for no origin."""
    origin = Origin("Quotes", 7, {"Quote": "B"})
    assert (origin.cell("Quote"), origin.cell("Bidder"), origin.cell()) == ("Quotes!B7", "Quotes row 7", "Quotes row 7")
    assert NOWHERE.cell("Quote") == ""


def test_where_a_row_stood_is_no_part_of_what_it_says() -> None:
    """Two quotes alike on different rows are equal; a different price is a difference."""
    one = invented.quote(per_weight="1")
    assert one == replace(one, origin=Origin("Quotes", 9))
    assert one != replace(one, per_weight=Decimal(2))
    assert hash(one) == hash(replace(one, per_weight=Decimal(2)))


def test_rows_can_be_keys() -> None:
    """Cartons, covers and filled cartons alike but for where they stood are one key."""
    box, cover, closed = invented.carton_type(), invented.cover((None, 0, 0, 0)), invented.filled("1", 9)
    again = [replace(row, origin=Origin("Cartons", 3)) for row in (box, cover, closed)]
    assert len({box, cover, closed, *again}) == 3


def test_words_are_those_of_the_workbook() -> None:
    """Spelled as in its cells, with the units they stand for."""
    assert [str(means) for means in Means] == ["carry-on", "van", "freight", "post"]
    assert [(u.weight, u.length, u.volume, u.small_volumes_in_a_volume) for u in Units] == [
        ("lb", "in", "cu ft", 1728),
        ("kg", "cm", "m³", 1_000_000),
    ]
    assert [str(status) for status in Status] == ["to go", "sent", "arrived"]
