"""The cost of a whole move: what is added up, and what is left out."""

from decimal import Decimal

import invented
import pytest

from shipopt.move.move import PackedAlready
from shipopt.move.plan import Shipment
from shipopt.move.words import CoverBasis, Status
from shipopt.pricing.cover import CannotBeCovered
from shipopt.pricing.total import price

CRATE = invented.carton_type(name="crate", price="4.255", on_hand=1)
TOTE = invented.carton_type(name="tote", price="9")
VAN = invented.quote("van", fixed_charge="100", trips_at_most=2)
POST = invented.quote("post", by_carton=True, fixed_charge="1", per_weight="0.5")
TOGETHER = invented.cover((None, "0", "0.01", "5"), name="together", basis=CoverBasis.CONSIGNMENT)
SINGLY = invented.cover((500, "2", "0", "0"), name="singly")


def shipment(
    number: str, quote: object, value: object, trip: int = 1, cover: object = None, **given: object
) -> Shipment:
    """A carton of 10 lb on its way."""
    box = invented.filled(number, 10, value, given.pop("carton", CRATE), **given)
    return Shipment(box, quote, trip, cover)


def test_a_move_costs_carriage_cartons_and_cover() -> None:
    """Two trips, post, two covers, boxes beyond the one on hand, and what was paid for cartons already gone."""
    gone = PackedAlready(invented.filled("0", 30), Status.SENT, "post", Decimal("17.5"))
    waiting = PackedAlready(invented.filled("8", 30), Status.TO_GO, None, Decimal(99))
    move = invented.move([POST, VAN], [TOTE, CRATE], [TOGETHER, SINGLY], [gone, waiting])
    cost = price(
        move,
        [
            shipment("1", VAN, 300, cover=TOGETHER),
            shipment("2", VAN, 600, cover=TOGETHER),
            shipment("3", VAN, 100, 2, cover=TOGETHER),
            shipment("4", VAN, 100, 2, carton=TOTE, closed_by_user=True),
            shipment("5", POST, 200, cover=SINGLY),
            shipment("6", POST, 900, cover=TOGETHER, carton=TOTE),
        ],
    )
    assert dict(cost.carriage_by_trip) == {("post", None): 11, ("van", 1): 100, ("van", 2): 100}
    assert cost.fee_shares == (3, 6, 5, 0, 2, 9)
    assert [(fee.quote.name, fee.trip, fee.value, fee.fee) for fee in cost.consignment_fees] == [
        ("van", 1, 900, 9),
        ("van", 2, 100, 5),
    ]
    assert [(b.carton.name, b.used, b.bought, b.amount) for b in cost.bought] == [
        ("tote", 1, 1, 9),
        ("crate", 4, 3, Decimal("12.77")),
    ]
    assert (cost.paid, cost.carriage, cost.cartons, cost.cover) == (
        Decimal("17.50"),
        Decimal("228.50"),
        Decimal("21.77"),
        25,
    )
    assert cost.total == Decimal("275.27")


def test_each_cover_of_a_trip_has_its_own_fee() -> None:
    """Two covers by consignment on one trip insure different cartons."""
    other = invented.cover((None, "0", "0.02", "0"), name="other", basis=CoverBasis.CONSIGNMENT)
    move = invented.move([VAN], [CRATE], [TOGETHER, other])
    cost = price(move, [shipment("1", VAN, 1000, cover=TOGETHER), shipment("2", VAN, 1000, cover=other)])
    assert cost.fee_shares == (10, 20)


def test_who_bears_the_odd_cent_does_not_depend_on_order() -> None:
    """5.00 over three equal cartons: the third of a cent goes to the lowest carton numbers."""
    move = invented.move([VAN], [CRATE], [TOGETHER])
    shipments = [shipment(number, VAN, 1, cover=TOGETHER) for number in "312"]
    assert price(move, shipments).fee_shares == (Decimal("1.66"), Decimal("1.67"), Decimal("1.67"))


def test_a_value_above_the_last_band_has_no_price() -> None:
    """The error names the cover and the value, of a carton or of a consignment."""
    move = invented.move([VAN], [CRATE], [SINGLY])
    with pytest.raises(CannotBeCovered, match="singly does not cover a value of 501"):
        price(move, [shipment("1", VAN, 501, cover=SINGLY)])


def test_nothing_to_move_costs_what_was_paid() -> None:
    """An empty plan has no lines."""
    cost = price(invented.move(), [])
    assert (cost.total, cost.statements, cost.bought, cost.fee_shares) == (0, (), (), ())
