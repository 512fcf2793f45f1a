"""The recomputation itself, held to figures worked out by hand; the working stands beside each.

It judges the program, so something has to judge it. Where a figure is published its source is named; all other
prices are invented.
"""

from decimal import Decimal
from fractions import Fraction

import invented
import pytest

from independent import recompute
from shipopt.move.cover import Cover
from shipopt.move.move import Move, PackedAlready
from shipopt.move.plan import Shipment
from shipopt.move.words import CoverBasis, Covers, Means, Status

BREAKS = invented.weight_breaks((0, 62), (500, 48), (1000, "39.50"), (2000, 31))
TIN = invented.carton_type(name="tin", price="2.50", on_hand=1)
CARD = invented.rate_card((5, "4.10"), (10, "6.30"), (20, "9.90"))


def cents(amount: str) -> int:
    return int(Decimal(amount) * 100)


def sent_by(quote, *cartons, cover=None, trip=1):
    return [Shipment(carton, quote, trip, cover) for carton in cartons]


@pytest.mark.parametrize(
    ("weight", "charge"),
    [
        (200, "150.00"),  # 200 × 0.62 = 124.00, raised to the minimum
        (387, "239.94"),  # 387 × 0.62, below 500 × 0.48 = 240.00
        (388, "240.00"),  # 388 × 0.62 = 240.56: cheaper as 500
        (450, "240.00"),
        (900, "395.00"),  # 900 × 0.48 = 432.00: cheaper as 1,000 at 39.50
        (1260, "497.70"),
    ],
)
def test_a_trip_by_weight_breaks_is_billed_as_the_cheapest_weight(weight, charge):
    quote = invented.quote(weight_breaks=BREAKS, minimum_charge="150")
    move = invented.move([quote])
    assert recompute.trip_charge(move, quote, [invented.filled("1", weight)]) == cents(charge)


@pytest.mark.parametrize(
    ("size", "divisor", "billed"),
    [
        # 30 × 24 × 22 = 15,840 cu in: ÷ 166 = 95.4 → 96; ÷ 194 = 81.6 → 82. US Domestic Mail Manual, section
        # 123.1.4 (2006 edition: each side to the nearest inch, the result up to a whole pound).
        ((30, 24, 22), 166, 96),
        ((30, 24, 22), 194, 82),
        # 30 × 20 × 20 = 12,000 cu in after rounding: ÷ 139 = 86.3 → 87.
        (("30.4", "19.6", "19.5"), 139, 87),
        # 12 × 12 × 12 is 1 cu ft, not above it: the gross weight of 9.2 counts.
        ((12, 12, 12), 166, 10),
    ],
)
def test_volume_counts_where_it_is_larger_and_the_carton_is_above_a_cubic_foot(size, divisor, billed):
    quote = invented.quote(volumetric_divisor=Decimal(divisor), volumetric_above=Decimal(1), weigh_step=Decimal(1))
    carton = invented.filled("1", "9.2", carton=invented.carton_type(size))
    assert recompute.billed(invented.move([quote]), carton, quote) == billed


def test_a_trip_is_the_sum_of_its_parts_rounded_once():
    quote = invented.quote(
        fixed_charge="20", per_carton="3", included_cartons=1, per_weight="0.155", per_volume="1.2", surcharge="0.05"
    )
    cartons = [invented.filled("1", "10.1", carton=invented.carton_type((12, 12, 12))) for _ in range(3)]
    # 20 + 3 × 2 + 0.155 × 30.3 + 1.2 × 3 = 34.2965; × 1.05 = 36.011325 → 36.01
    assert recompute.trip_charge(invented.move([quote]), quote, cartons) == cents("36.01")


def test_half_a_cent_is_rounded_up():
    quote = invented.quote(per_weight="0.15")
    assert recompute.trip_charge(invented.move([quote]), quote, [invented.filled("1", "12.3")]) == cents(
        "1.85"
    )  # 1.845


def test_by_the_carton_each_is_rounded_and_the_included_ones_are_those_that_save_most():
    quote = invented.quote(
        by_carton=True, fixed_charge="10", per_carton="5", included_cartons=1, per_weight="1", minimum_charge="6",
        surcharge="0.10",
    )  # fmt: skip
    light, heavy = invented.filled("1", 2), invented.filled("2", 8)
    # light: max(5 + 2, 6) × 1.1 = 7.70, included max(2, 6) × 1.1 = 6.60: saves 1.10
    # heavy: (5 + 8) × 1.1 = 14.30, included 8 × 1.1 = 8.80: saves 5.50
    # 10 × 1.1 + 7.70 + 8.80
    assert recompute.carriage_of(invented.move([quote]), "Q", sent_by(quote, light, heavy)) == cents("27.50")


def test_a_rate_card_ends_with_its_last_step():
    quote = invented.quote(by_carton=True, rate_card=CARD)
    assert recompute.card_price(quote, Fraction(5)) == Fraction("4.10")
    assert recompute.card_price(quote, Fraction("5.01")) == Fraction("6.30")
    with pytest.raises(recompute.NoPriceError):
        recompute.card_price(quote, Fraction("20.01"))


def test_cartons_on_hand_and_cartons_closed_by_the_user_are_not_bought():
    move = invented.move(cartons=[TIN])
    loose = [invented.filled(number, 5, carton=TIN) for number in "123"]
    closed = invented.filled("P", 5, carton=TIN, closed_by_user=True)
    assert recompute.bought(move, [*loose, closed]) == cents("5.00")


def test_a_cover_for_a_consignment_asks_one_fee_on_a_trip_and_one_for_each_carton_that_is_its_own():
    cover = invented.cover((200, 1, "0.01", 2), (None, 4, "0.02", 0), basis=CoverBasis.CONSIGNMENT)
    load, post = invented.quote("L"), invented.quote("P", Means.POST, by_carton=True)
    move = invented.move([load, post], covers=[cover])
    cartons = [invented.filled("1", 5, 150), invented.filled("2", 5, 90)]
    # together 240, second band: 4 + 4.80; apart 150: 1 + 1.50 = 2.50, and 90: 1 + 0.90, at least 2
    assert recompute.fees_of(move, sent_by(load, *cartons, cover=cover)) == cents("8.80")
    assert recompute.fees_of(move, sent_by(post, *cartons, cover=cover)) == cents("4.50")
    assert recompute.fees_of(move, sent_by(load, cartons[0], cover=cover) + sent_by(load, cartons[1])) == cents("2.50")


CHANCES = {"loss_chance": "0.02", "whole_load_loss": "0.01", "damage_chance": "0.1", "liability_per_weight": "6"}


def cover_with_excess(covers: Covers) -> Cover:
    return invented.cover((None, 0, "0.01", 0), covers=covers, excess="15")


@pytest.mark.parametrize(
    ("cover", "loss"),
    [
        (None, "7.20"),  # 0.03 × (100 − 60) + 0.1 × 2 × 30; liability 10 × 6 = 60 pays for loss only
        (cover_with_excess(Covers.LOSS), "6.45"),  # 0.03 × 15 + 0.2 × 30
        (cover_with_excess(Covers.LOSS_AND_DAMAGE), "3.45"),  # 0.03 × 15 + 0.2 × 15
    ],
)
def test_expected_uninsured_loss_of_a_carton_worth_a_hundred(cover, loss):
    quote = invented.quote(**CHANCES)
    carton = invented.filled("1", 10, 100, carton=invented.carton_type(damage_factor="2"))
    move = invented.move([quote])
    assert recompute.carton_loss(move, carton, quote, cover) == Fraction(loss)


def test_an_excess_above_the_damage_leaves_the_damage_and_not_more():
    quote = invented.quote(**{**CHANCES, "loss_chance": "0", "whole_load_loss": "0"})
    cover = invented.cover((None, 0, 0, 0), excess="40")
    assert recompute.carton_loss(invented.move([quote]), invented.filled("1", 10, 100), quote, cover) == 3  # 0.1 × 30


def gone_move() -> Move:
    quote = invented.quote(**CHANCES)
    gone = [
        PackedAlready(invented.filled("S", 10, 100, closed_by_user=True), Status.SENT, "Q", Decimal("12.40")),
        PackedAlready(invented.filled("A", 10, 100, closed_by_user=True), Status.ARRIVED, "Q", Decimal("3.10")),
    ]
    return invented.move([quote], packed=gone)


def test_what_is_gone_has_cost_what_was_paid_and_only_what_has_not_arrived_is_at_risk():
    found = recompute.totals(gone_move(), [])
    assert found.carriage == found.total_cost == Decimal("15.50")
    assert found.expected_uninsured_loss == Fraction("4.20")  # 0.03 × 40 + 0.1 × 30
