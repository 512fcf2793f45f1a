"""The loss distribution by hand: small moves whose figures can be worked out on paper."""

import time
from decimal import Decimal
from random import Random

import invented
import pytest

from shipopt.move.move import PackedAlready
from shipopt.move.plan import Shipment
from shipopt.move.words import Covers, Status
from shipopt.risk.distribution import loss_distribution
from shipopt.risk.expected import expected_uninsured_loss_of_all

LOSE = {"loss_chance": "0.02"}


def test_nothing_at_risk_loses_nothing() -> None:
    """No shipments, no value, full cover or no chance: all figures are zero."""
    full = invented.cover((None, 0, 0, 0), covers=Covers.LOSS_AND_DAMAGE)
    quote = invented.quote(**LOSE, whole_load_loss="0.5")
    safe = invented.quote("safe")
    for shipments in (
        [],
        [Shipment(invented.filled("1", 9, 0), quote)],
        [
            Shipment(invented.filled("1", 9, 800), quote, 1, full),
            Shipment(invented.filled("2", 9, 800), quote, 1, full),
        ],
        [Shipment(invented.filled("1", 9, 800), safe), Shipment(invented.filled("2", 9, 800), safe)],
    ):
        found = loss_distribution(invented.move([quote, safe]), shipments)
        assert (found.mean, found.chance_of_any, found.point, found.tail_mean, found.worst_event) == (0,) * 5


def test_two_trips_are_independent_and_one_trip_is_not() -> None:
    """Two cartons of 600 on trips lost with 2 %: any loss 0.0396 apart, 0.02 together."""
    quote = invented.quote(whole_load_loss="0.02", trips_at_most=2)
    move = invented.move([quote])
    one, two = invented.filled("1", 9, 600), invented.filled("2", 9, 600)
    apart = loss_distribution(move, [Shipment(one, quote, 1), Shipment(two, quote, 2)], level=Decimal("0.99"))
    together = loss_distribution(move, [Shipment(one, quote, 1), Shipment(two, quote, 1)], level=Decimal("0.99"))
    assert (apart.mean, together.mean) == (24, 24)
    assert (apart.chance_of_any, together.chance_of_any) == (Decimal("0.0396"), Decimal("0.02"))
    assert (apart.point, together.point) == (600, 1200)
    assert (apart.tail_mean, together.tail_mean) == (624, 1200)
    assert (apart.worst_event, together.worst_event) == (600, 1200)


def test_the_cap_of_a_carrier_is_shared_by_a_load_and_by_nobody_else() -> None:
    """400 owed on each of two cartons, 500 at most: a lost load leaves 2,000 − 500, two lost parcels 2 × 600."""
    terms = {"liability_per_carton": "400", "most_liability": "500"}
    load = invented.quote("load", whole_load_loss="0.5", **terms)
    post = invented.quote("post", by_carton=True, loss_chance="0.5", **terms)
    move = invented.move([load, post])
    boxes = [invented.filled("1", 9, 1000), invented.filled("2", 9, 1000)]
    as_load = loss_distribution(move, [Shipment(box, load) for box in boxes])
    as_post = loss_distribution(move, [Shipment(box, post) for box in boxes])
    assert (as_load.tail_mean, as_load.mean, as_load.worst_event) == (1500, 750, 1500)
    assert (as_post.tail_mean, as_post.mean, as_post.worst_event) == (1200, 600, 600)


def test_a_cap_also_binds_where_cartons_are_lost_one_by_one() -> None:
    """Each of two cartons lost with one half, 400 owed on each, 500 at most: 0, 600, 600, 1,500."""
    quote = invented.quote(loss_chance="0.5", liability_per_carton="400", most_liability="500")
    move = invented.move([quote])
    shipments = [Shipment(invented.filled(number, 9, 1000), quote) for number in "12"]
    found = loss_distribution(move, shipments)
    assert (found.mean, found.point, found.tail_mean) == (Decimal(675), 1500, 1500)
    assert (found.mean_error, found.tail_mean_error, found.chance_of_any) == (0, 0, Decimal("0.75"))
    assert expected_uninsured_loss_of_all(move, shipments) == 600


def test_a_cap_takes_nothing_that_a_cover_pays() -> None:
    """A cover pays 900 and 950 is owed: only 50 a carton is asked of the carrier, and its cap of 60 leaves 40."""
    quote = invented.quote(loss_chance="1", liability_per_carton="1000", most_liability="960")
    cover = invented.cover((None, 0, 0, 0), excess="100")
    shipments = [Shipment(invented.filled(number, 9, 1000), quote, 1, cover) for number in "12"]
    found = loss_distribution(invented.move([quote]), shipments)
    assert (found.mean, found.tail_mean) == (80, 80)


def test_a_load_that_is_surely_lost_is_one_outcome() -> None:
    """Chance 1 of losing the whole leaves nothing to be lost alone."""
    quote = invented.quote(whole_load_loss="1", loss_chance="0.5", damage_chance="0.5")
    shipments = [Shipment(invented.filled(number, 9, 100), quote) for number in "12"]
    found = loss_distribution(invented.move([quote]), shipments)
    assert (found.mean, found.point, found.tail_mean, found.chance_of_any) == (200, 200, 200, 1)


def test_cartons_sent_by_a_load_are_one_trip_and_arrived_ones_no_risk() -> None:
    """Two sent cartons fall together; a third that goes now falls apart from them."""
    quote = invented.quote("van", whole_load_loss="0.1")
    packed = [
        PackedAlready(invented.filled(str(n), 9, 500), status, "van")
        for n, status in enumerate([Status.SENT, Status.SENT, Status.ARRIVED, Status.TO_GO])
    ]
    move = invented.move([quote], packed=packed)
    found = loss_distribution(move, [Shipment(packed[3].filled, quote)], level=Decimal("0.8"))
    assert (found.worst_event, found.mean, found.chance_of_any) == (1000, 150, Decimal("0.19"))
    assert (found.point, found.tail_mean) == (0, 750)


def test_damage_shares_the_distribution() -> None:
    """A carton of 1,000 lost with 2 % and damaged with 10 % at 30 %: the worst tenth is 0.02 × 1,000 + 0.08 × 300."""
    quote = invented.quote(**LOSE, damage_chance="0.10")
    shipments = [Shipment(invented.filled("1", 9, 1000), quote)]
    found = loss_distribution(invented.move([quote]), shipments, level=Decimal("0.9"))
    assert (found.point, found.tail_mean, found.worst_event) == (300, 440, 1000)


@pytest.mark.parametrize("level", ["1", "-0.1"])
def test_a_level_beyond_its_range_is_refused(level: str) -> None:
    """The worst 0 % has no mean."""
    with pytest.raises(ValueError, match="level of a loss point"):
        loss_distribution(invented.move(), [], level=Decimal(level))


def test_a_grid_too_fine_to_hold_is_refused() -> None:
    """Rather than run out of memory."""
    quote = invented.quote(loss_chance="0.5")
    with pytest.raises(ValueError, match="too fine for losses of up to"):
        loss_distribution(
            invented.move([quote]), [Shipment(invented.filled("1", 9, 10**6), quote)], grid=Decimal("0.01")
        )


def test_a_grid_finds_room_for_what_rounding_adds() -> None:
    """Two parcels of 50 surely lost are 112 on a grid of 7 rounded up, and 98 rounded down."""
    sure, rare = (
        invented.quote(name, by_carton=True, loss_chance=chance) for name, chance in (("a", "1"), ("b", "0.001"))
    )
    shipments = [Shipment(invented.filled("1", 9, 50), sure), Shipment(invented.filled("2", 9, 50), sure)]
    shipments.append(Shipment(invented.filled("3", 9, 3996), rare))
    found = loss_distribution(invented.move([sure, rare]), shipments, grid=Decimal(7))
    assert (found.point, found.point_error, found.step) == (105, 7, 7)


def test_many_capped_cartons_take_a_coarser_grid_and_agree_with_a_finer_one() -> None:
    """Eighty cartons on one trip, their carrier's cap counted along: two grids' figures lie within both errors."""
    rng = Random(11)
    quote = invented.quote(
        loss_chance="0.05", whole_load_loss="0.01", liability_per_weight="1.37", most_liability="150"
    )
    shipments = [
        Shipment(invented.filled(str(n), Decimal(rng.randrange(200, 450)) / 10, rng.randrange(5000, 90000)), quote)
        for n in range(80)
    ]
    move = invented.move([quote])
    one, other = loss_distribution(move, shipments), loss_distribution(move, shipments, grid=Decimal(40))
    assert one.step < other.step
    assert abs(one.tail_mean - other.tail_mean) <= one.tail_mean_error + other.tail_mean_error
    assert abs(one.point - other.point) <= one.point_error + other.point_error
    assert one.tail_mean_error < other.tail_mean_error < other.tail_mean / 100


def test_two_thousand_cartons_on_thirty_trips_take_seconds() -> None:
    """And the stated error is small beside the figures."""
    rng = Random(7)
    risky = {"loss_chance": "0.003", "damage_chance": "0.01", "whole_load_loss": "0.002"}
    quote = invented.quote(trips_at_most=30, liability_per_weight="0.6", most_liability="900", **risky)
    box = invented.carton_type()
    shipments = [
        Shipment(
            invented.filled(str(n), Decimal(rng.randrange(200, 450)) / 10, rng.randrange(50, 900), box),
            quote,
            n % 30 + 1,
        )
        for n in range(2000)
    ]
    began = time.perf_counter()
    found = loss_distribution(invented.move([quote], [box]), shipments)
    assert time.perf_counter() - began < 20
    assert 0 < found.point < found.tail_mean
    assert found.tail_mean_error < found.tail_mean / 1000
    assert found.point_error < found.point / 1000
