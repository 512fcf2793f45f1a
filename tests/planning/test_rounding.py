"""What rounding may save: nothing where every amount is in whole minor units."""

from dataclasses import replace
from decimal import Decimal

from planning.two_cartons import COVERS, MOVE, QUOTES

from shipopt.comparing.free_of_charge import free_of_charge
from shipopt.move.cover import Band
from shipopt.move.quotes import RateCard, RateStep
from shipopt.planning.corners import corners_of
from shipopt.planning.formulation import aggregate_programme
from shipopt.planning.rounding import rounds_charges, rounds_fees

CENTS = MOVE.settings.currency
PLAIN = replace(
    QUOTES["closed van"],
    fixed_charge=Decimal("60.25"),
    per_carton=Decimal(9),
    per_volume=Decimal(0),
    surcharge=Decimal(0),
)


def test_whole_cents_are_not_rounded():
    assert not rounds_charges(PLAIN, CENTS)
    card = RateCard("parcels", (RateStep(Decimal(5), Decimal("8.05")),))
    assert not rounds_charges(replace(PLAIN, rate_card=card), CENTS)
    assert not rounds_charges(replace(PLAIN, surcharge=Decimal("0.04"), fixed_charge=Decimal(25)), CENTS)


def test_parts_of_a_cent_and_what_is_charged_by_weight_or_volume_are():
    for change in (
        {"fixed_charge": Decimal("60.255")},
        {"surcharge": Decimal("0.1")},
        {"per_weight": Decimal(1)},
        {"per_volume": Decimal(1)},
        {"minimum_charge": Decimal("0.001")},
        {"rate_card": RateCard("parcels", (RateStep(Decimal(5), Decimal("8.005")),))},
        {"weight_breaks": QUOTES["depot freight"].weight_breaks},
    ):
        assert rounds_charges(replace(PLAIN, **change), CENTS), change


def test_a_fee_that_is_a_share_of_the_value_is_rounded():
    assert all(rounds_fees(cover, CENTS) for cover in COVERS.values())
    flat = replace(COVERS["carton cover"], bands=(Band(Decimal(500), Decimal("2.90")),))
    assert not rounds_fees(flat, CENTS)
    assert rounds_fees(replace(flat, bands=(Band(Decimal(500), Decimal("2.905")),)), CENTS)


def test_nothing_is_taken_off_where_nothing_costs_anything():
    """Else a plan in many cartons would seem to lose less than nothing."""
    free = free_of_charge(MOVE)
    programme = aggregate_programme(free, corners_of(free.loose, True, 20), at_large=True)
    assert not programme.rounding
    priced = aggregate_programme(MOVE, corners_of(MOVE.loose, True, 20), at_large=True)
    assert priced.rounding
