"""Uninsured loss of one carton by hand: covers, liability, excess, and what may happen."""

from decimal import Decimal
from fractions import Fraction

import invented
import pytest

from shipopt.move.move import PackedAlready
from shipopt.move.plan import Shipment
from shipopt.move.words import Covers, Status
from shipopt.risk.expected import Event, expected_uninsured_loss, expected_uninsured_loss_of_all, outcomes

RISKY = {"loss_chance": "0.01", "damage_chance": "0.04", "whole_load_loss": "0.005"}
ALL, LOSS = Covers.LOSS_AND_DAMAGE, Covers.LOSS


def case(value: object = 1000, cover: object = None, factor: str = "1", **quote: object) -> tuple[object, Shipment]:
    """A move and a carton of 40 lb on its way; damage costs 30 %."""
    box = invented.carton_type(damage_factor=factor)
    return invented.move(), Shipment(invented.filled("1", 40, value, box), invented.quote(**RISKY, **quote), 1, cover)


def left(move: object, shipment: Shipment) -> tuple[str, str]:
    """What is uninsured after a loss and after damage."""
    whole, lost, damaged, safe = outcomes(move, shipment)
    assert whole.uninsured == lost.uninsured
    assert (safe.event, safe.uninsured, safe.from_carrier) == (Event.SAFE, 0, 0)
    return f"{lost.uninsured.normalize():f}", f"{damaged.uninsured.normalize():f}"


def test_without_cover_or_liability_all_is_lost() -> None:
    """(1 % + 0.5 %) × 1,000 + 4 % × 300."""
    assert expected_uninsured_loss(*case()) == 27


def test_the_damage_factor_multiplies_the_damage_chance() -> None:
    """A carton twice as safe halves the damage and nothing else."""
    assert expected_uninsured_loss(*case(factor="0.5")) == 15 + 6


@pytest.mark.parametrize(
    ("covers", "excess", "expected"),
    [
        (ALL, "0", ("0", "0")),
        (ALL, "50", ("50", "50")),
        (LOSS, "50", ("50", "300")),
        (ALL, "400", ("400", "300")),
        (ALL, "2000", ("1000", "300")),
    ],
)
def test_excess_is_kept_on_each_claim(covers: Covers, excess: str, expected: tuple[str, str]) -> None:
    """The owner bears the excess, never more than the harm."""
    cover = invented.cover((None, 0, 0, 0), covers=covers, excess=excess)
    assert left(*case(cover=cover)) == expected


@pytest.mark.parametrize(
    ("quote", "expected"),
    [
        ({"liability_per_weight": "0.6"}, ("976", "300")),
        ({"liability_per_weight": "0.6", "liability_per_carton": "100"}, ("900", "300")),
        ({"liability_per_weight": "0.6", "liability_covers": ALL}, ("976", "276")),
        ({"liability_per_carton": "400", "liability_covers": ALL}, ("600", "0")),
        ({"liability_per_carton": "400", "most_liability": "150", "liability_covers": ALL}, ("850", "150")),
        ({"liability_per_carton": "5000"}, ("0", "300")),
    ],
)
def test_the_carrier_owes_the_larger_of_its_rules_up_to_its_cap(quote: dict[str, object], expected: object) -> None:
    """0.60 a lb on 40 lb is 24; damage only where liability includes it; never more than the harm."""
    assert left(*case(**quote)) == expected


@pytest.mark.parametrize(
    ("owed", "excess", "uninsured", "from_carrier"),
    [("400", "100", "100", "0"), ("950", "100", "50", "50"), ("950", "50", "50", "0"), ("400", "1500", "600", "400")],
)
def test_the_larger_of_cover_and_liability_counts_not_both(
    owed: str, excess: str, uninsured: str, from_carrier: str
) -> None:
    """Only what liability brings beyond the cover comes from the carrier."""
    cover = invented.cover((None, 0, 0, 0), covers=LOSS, excess=excess)
    lost = outcomes(*case(cover=cover, liability_per_carton=owed))[1]
    assert (lost.uninsured, lost.from_carrier) == (Decimal(uninsured), Decimal(from_carrier))


def test_a_cover_for_loss_leaves_damage_to_the_carrier() -> None:
    """Each mishap looks for its own larger payer."""
    cover = invented.cover((None, 0, 0, 0), covers=LOSS, excess="10")
    assert left(*case(cover=cover, liability_per_carton="200", liability_covers=ALL)) == ("10", "100")


def test_chances_add_up_to_one() -> None:
    """Chance of loss is loss by itself + loss with the whole load."""
    found = outcomes(*case())
    assert [str(outcome.chance) for outcome in found] == ["0.005", "0.01", "0.04", "0.945"]
    assert [outcome.event for outcome in found] == list(Event)
    assert [str(event) for event in Event] == ["lost with its whole load", "lost by itself", "damaged", "safe"]


@pytest.mark.parametrize(
    ("whole", "loss", "damage", "factor", "expected"),
    [
        ("0.5", "0.4", "0.1", "3", ("0.5", "0.4", "0.1", "0")),
        ("0.7", "0.4", "0.1", "1", ("0.7", "0.3", "0", "0")),
        ("1", "0.4", "1", "1", ("1", "0", "0", "0")),
        ("0", "0", "0.6", "2", ("0", "0", "1", "0")),
    ],
)
def test_chances_beyond_one_are_cut_in_order(
    whole: str, loss: str, damage: str, factor: str, expected: tuple[str, ...]
) -> None:
    """Whole load first, then loss, then damage."""
    quote = invented.quote(whole_load_loss=whole, loss_chance=loss, damage_chance=damage)
    box = invented.carton_type(damage_factor=factor)
    found = outcomes(invented.move(), Shipment(invented.filled("1", 9, 9, box), quote))
    assert tuple(outcome.chance for outcome in found) == tuple(Decimal(chance) for chance in expected)


def test_cartons_on_their_way_still_count_and_arrived_ones_do_not() -> None:
    """A sent carton has the liability of the quote it went by; no cover of it is known."""
    post = invented.quote("post", by_carton=True, loss_chance="0.02", liability_per_carton="100")
    packed = [
        PackedAlready(invented.filled("1", 9, 600), Status.SENT, "post"),
        PackedAlready(invented.filled("2", 9, 600), Status.ARRIVED, "post"),
        PackedAlready(invented.filled("3", 9, 600), Status.TO_GO),
        PackedAlready(invented.filled("4", 9, 600), Status.SENT, None),
    ]
    move = invented.move([post], packed=packed)
    assert expected_uninsured_loss_of_all(move, []) == 10
    assert expected_uninsured_loss_of_all(move, [Shipment(packed[2].filled, post)]) == 20


def test_no_digit_is_lost_in_products() -> None:
    """Chances and values of many digits multiply exactly."""
    value, chance = "1234567.8901234567", "0.0123456789012345"
    move, shipment = invented.move(), Shipment(invented.filled("1", 9, value), invented.quote(loss_chance=chance))
    assert Fraction(expected_uninsured_loss(move, shipment)) == Fraction(value) * Fraction(chance)
