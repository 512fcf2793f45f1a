"""Warnings about risk: each at its edge, on plans made by hand. Moves, plans and prices are invented."""

from dataclasses import replace
from typing import Any

import pytest
from small_moves import COVERS, CRATE, QUOTES, SEARCH, d, move, settings

from shipopt.move.cartons import FilledCarton
from shipopt.move.plan import Plan, Shipment
from shipopt.move.words import Covers
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.rows.risk_warnings import (
    excess_above_likely_damage,
    just_under_the_insure_rule,
    loss_only_where_damage_is_likelier,
    much_on_one_trip,
    named,
)

VAN, POST = QUOTES["Blue van"], QUOTES["Mule post tracked"]
MUTUAL, PARCEL = COVERS["Porcelain Mutual"], COVERS["Parcel care"]


def carton(number: str, value: object) -> FilledCarton:
    """A closed carton of this value."""
    return FilledCarton(number, CRATE, (), 70, d(19), d(value), d(0), (), False, closed_by_user=True)


def plan(*shipments: Shipment, **given: Any) -> Plan:
    """A plan of these shipments."""
    return Plan(move((), settings(**given)), shipments, SEARCH)


def test_loss_only_cover_is_warned_of_where_damage_is_the_likelier() -> None:
    """By the post, damage 1 % against loss 0.5 % in all; where they are equal there is no warning."""
    it = plan(Shipment(carton("4", 400), POST, 1, PARCEL))
    assert loss_only_where_damage_is_likelier(it) == (
        "Damage is likelier than loss by Mule post tracked, by the chances used, but the cover of carton 4 pays for "
        "loss only."
    )
    even = replace(POST, damage_chance=d("0.005"))
    assert loss_only_where_damage_is_likelier(plan(Shipment(carton("4", 400), even, 1, PARCEL))) == ""
    both = replace(PARCEL, covers=Covers.LOSS_AND_DAMAGE)
    assert loss_only_where_damage_is_likelier(plan(Shipment(carton("4", 400), POST, 1, both))) == ""
    assert loss_only_where_damage_is_likelier(plan(Shipment(carton("4", 400), POST))) == ""


@pytest.mark.parametrize(("value", "warned"), [("333", True), ("333.33", True), ("333.34", False), ("0", False)])
def test_an_excess_that_eats_the_usual_damage_is_warned_of(value: str, warned: bool) -> None:
    """Excess 100 and damage 30 % of the value: up to 333.33 it is not exceeded."""
    text = excess_above_likely_damage(plan(Shipment(carton("4", value), VAN, 1, MUTUAL)))
    assert bool(text) == warned
    assert not warned or text.endswith("so damage is yours to bear all the same: carton 4.")
    safe = replace(VAN, damage_chance=d(0))
    assert excess_above_likely_damage(plan(Shipment(carton("4", value), safe, 1, MUTUAL))) == ""


@pytest.mark.parametrize(("value", "warned"), [("949.99", False), ("950", True), ("999.99", True), ("1000", False)])
def test_just_under_the_insure_rule_is_within_a_twentieth_of_it(value: str, warned: bool) -> None:
    text = just_under_the_insure_rule(plan(Shipment(carton("4", value), VAN), insure_from=d(1000)))
    assert bool(text) == warned
    assert not warned or "Worth just under 1,000.00 EUR" in text
    assert just_under_the_insure_rule(plan(Shipment(carton("4", value), VAN, 1, MUTUAL), insure_from=d(1000))) == ""
    assert just_under_the_insure_rule(plan(Shipment(carton("4", value), VAN), insure_from=None)) == ""
    free = replace(VAN, insure_rule_applies=False)
    assert just_under_the_insure_rule(plan(Shipment(carton("4", value), free), insure_from=d(1000))) == ""


def test_more_than_half_of_all_value_on_one_trip_is_warned_of() -> None:
    """A trip of 501 out of 1,000; half is not more than half, and one carton alone cannot be split."""
    much = plan(
        Shipment(carton("1", 251), VAN, 2), Shipment(carton("2", 250), VAN, 2), Shipment(carton("3", 499), VAN, 1)
    )
    assert much_on_one_trip(much).endswith("on one trip, to be lost together: Blue van, trip 2 (50.1 %).")
    half = plan(Shipment(carton("1", 250), VAN, 2), Shipment(carton("2", 250), VAN, 2), Shipment(carton("3", 500), VAN))
    assert much_on_one_trip(half) == ""
    assert much_on_one_trip(plan(Shipment(carton("1", 250), VAN))) == ""
    parcels = plan(Shipment(carton("1", 250), POST), Shipment(carton("2", 250), POST))
    assert much_on_one_trip(parcels) == ""


def test_they_stand_among_the_warnings_of_the_plan() -> None:
    it = plan(Shipment(carton("4", 400), POST, 1, PARCEL), Shipment(carton("5", 1990), VAN))
    found = Results(it).warnings
    assert {loss_only_where_damage_is_likelier(it), just_under_the_insure_rule(it)} <= set(found)


def test_only_a_few_are_named() -> None:
    assert named(list("abcdef")) == "a, b, c, d, e, f"
    assert named(list("abcdefgh")) == "a, b, c, d, e, f and 2 more"
