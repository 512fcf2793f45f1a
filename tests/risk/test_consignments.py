"""What a move's loss is made of: consignments, chances given that the whole is not lost, levels up to a cap."""

from dataclasses import FrozenInstanceError
from fractions import Fraction

import invented
import pytest

from shipopt.move.plan import Shipment
from shipopt.risk.consignments import ConsignmentRisk, Harm, Levels, consignment_risks


def risks_of(*values: int, trips: tuple[int, ...] = (), **terms: object) -> tuple[ConsignmentRisk, ...]:
    """Consignments of cartons of these values with one quote, all on one trip unless told otherwise."""
    quote = invented.quote(trips_at_most=9, **terms)
    boxes = [invented.filled(str(n), 10, value) for n, value in enumerate(values)]
    return consignment_risks(
        invented.move([quote]), [Shipment(box, quote, trips[n] if trips else 1) for n, box in enumerate(boxes)]
    )


def test_a_load_is_lost_as_a_whole_or_carton_by_carton() -> None:
    """Chances of one carton are given that the load is not lost: 9 % of 90 % is a tenth, 18 % a fifth."""
    load, single = risks_of(1000, 500, whole_load_loss="0.1", loss_chance="0.09", damage_chance="0.18")
    assert (load.whole_chance, load.whole_loss, load.levels) == (Fraction(1, 10), 1500, None)
    assert [[(harm.chance, harm.uninsured) for harm in harms] for harms in load.cartons] == [
        [(Fraction(1, 10), 1000), (Fraction(1, 5), 300)],
        [(Fraction(1, 10), 500), (Fraction(1, 5), 150)],
    ]
    assert (load.most, load.worst_event) == (1500, 1500)
    assert load.mean_without_cap == Fraction(1, 10) * 1500 + Fraction(9, 100) * 1500 + Fraction(18, 100) * 450
    assert single == ConsignmentRisk(Fraction(0), Fraction(0), ())


def test_consignments_of_one_carton_are_put_together() -> None:
    """Trips of one carton and parcels alike: lost with the load or alone is lost."""
    terms = {"whole_load_loss": "0.1", "loss_chance": "0.2"}
    for found in (risks_of(70, 50, trips=(1, 2), **terms), risks_of(70, 50, by_carton=True, **terms)):
        (single,) = found
        assert (single.whole_chance, single.whole_loss) == (0, 0)
        assert single.cartons == tuple((Harm(Fraction(3, 10), Fraction(v), Fraction(0)),) for v in (70, 50))
        assert (single.most, single.worst_event) == (120, 70)


def test_a_lost_load_leaves_what_the_cap_does_not_pay() -> None:
    """300 owed on each of three cartons, 500 at most: 3 × 200 stays anyway, and 900 − 500 more."""
    load, _ = risks_of(500, 500, 500, whole_load_loss="0.5", liability_per_carton="300", most_liability="500")
    assert (load.whole_loss, load.most, load.worst_event) == (1000, 1000, 1000)


@pytest.mark.parametrize(
    ("owed", "cap", "levels"),
    [
        ("300", "600", None),
        ("300", "599", Levels(Fraction(599, 64), 64)),
        ("300", "500", Levels(Fraction(100), 5)),
        ("30", "40", Levels(Fraction(10), 4)),
        ("64", "65", Levels(Fraction(65, 64), 64)),
        ("63", "64", Levels(Fraction(1), 64)),
        ("0.75", "1", Levels(Fraction(1, 4), 4)),
    ],
)
def test_levels_are_exact_where_the_amounts_have_a_measure(owed: str, cap: str, levels: Levels | None) -> None:
    """The largest amount that divides cap and payments, if at most 64 of it reach the cap; none if it cannot bind."""
    load, _ = risks_of(900, 900, loss_chance="0.1", liability_per_carton=owed, most_liability=cap)
    assert load.levels == levels
    if levels:
        assert levels.rows == levels.top + 2
        assert load.most == 1800


@pytest.mark.parametrize(("chance", "counted"), [("0.0000009", False), ("0.000002", True)])
def test_a_cap_that_is_overrun_next_to_never_is_left_out(chance: str, counted: bool) -> None:
    """Both of two cartons lost: 8.1e-13 is below 1e-12, 4e-12 above."""
    load, _ = risks_of(900, 900, loss_chance=chance, liability_per_carton="300", most_liability="500")
    assert (load.levels is not None) is counted


def test_harms_that_cost_nothing_or_never_happen_are_left_out() -> None:
    """A carton without value, and one without a chance of damage."""
    load, _ = risks_of(0, 100, 100, loss_chance="0.5")
    assert [[harm.uninsured for harm in harms] for harms in load.cartons] == [[100], [100]]


def test_a_harm_that_the_carrier_pays_in_full_still_counts_towards_its_cap() -> None:
    """Nothing is left of one loss, all of the second beyond the cap is: 200 owed, 100 at most."""
    load, _ = risks_of(100, 100, loss_chance="0.5", liability_per_carton="100", most_liability="100")
    assert load.levels == Levels(Fraction(100), 1)
    assert [(harm.uninsured, harm.without_carrier) for harms in load.cartons for harm in harms] == [(0, 100)] * 2


def test_risks_cannot_be_changed() -> None:
    """They are values."""
    load, _ = risks_of(100, 100, loss_chance="0.5")
    with pytest.raises(FrozenInstanceError):
        load.whole_chance = Fraction(1)
