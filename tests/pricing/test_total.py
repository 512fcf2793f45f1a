"""The cost of a whole move: what is added up, and what is left out."""

from dataclasses import FrozenInstanceError
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
    unused = invented.carton_type(name="unused", price="7", on_hand=3)
    move = invented.move([POST, VAN], [TOTE, unused, CRATE], [TOGETHER, SINGLY], [gone, waiting])
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


@pytest.mark.parametrize(("on_hand", "bought", "amount"), [(0, 2, "18"), (1, 1, "9"), (2, 0, "0"), (5, 0, "0")])
def test_only_cartons_beyond_those_on_hand_are_bought(on_hand: int, bought: int, amount: str) -> None:
    """Two used; more on hand than that saves nothing further."""
    box = invented.carton_type(price="9", on_hand=on_hand)
    (found,) = price(invented.move([VAN], [box]), [shipment(n, VAN, 1, carton=box) for n in "12"]).bought
    assert (found.used, found.bought, found.amount) == (2, bought, Decimal(amount))


def test_consignment_fees_are_listed_in_one_order() -> None:
    """By quote, trip and cover, whatever the order of the shipments; they are values like all that is priced."""
    other = invented.cover((None, "0", "0.02", "0"), name="other", basis=CoverBasis.CONSIGNMENT)
    move = invented.move([VAN], [CRATE], [TOGETHER, other])
    ways = [("1", 2, TOGETHER), ("2", 1, TOGETHER), ("3", 2, other), ("4", 1, other)]
    cost = price(move, [shipment(number, VAN, 100, trip, cover) for number, trip, cover in ways])
    assert [(fee.trip, fee.cover.name) for fee in cost.consignment_fees] == [
        (1, "other"),
        (1, "together"),
        (2, "other"),
        (2, "together"),
    ]
    for value, field in ((cost, "paid"), (cost.consignment_fees[0], "fee"), (cost.bought[0], "amount")):
        with pytest.raises(FrozenInstanceError):
            setattr(value, field, Decimal(0))


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
    with pytest.raises(CannotBeCovered, match=r"^singly does not cover a value of 501: its last band ends below that$"):
        price(move, [shipment("1", VAN, 501, cover=SINGLY)])


def test_nothing_to_move_costs_what_was_paid() -> None:
    """An empty plan has no lines."""
    cost = price(invented.move(), [])
    assert (cost.total, cost.statements, cost.bought, cost.fee_shares) == (0, (), (), ())
