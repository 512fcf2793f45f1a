"""The audit finds every rule that a plan can break: each fault that the independent re-computation knows, in turn."""

from dataclasses import replace
from decimal import Decimal

import pytest
from independent.test_broken_rules import FAULTS, Spoiled
from independent.test_broken_rules import sound as sound
from invented import cover

from shipopt.move.plan import Plan, Search
from shipopt.planning.audit import findings


def audited(spoiled: Spoiled) -> list[str]:
    """What the audit says of these shipments."""
    move, shipments = spoiled
    return findings(Plan(move, tuple(shipments), Search("none", 0.0, Decimal(0), "nothing")))


def test_a_sound_plan_has_no_finding(sound: Spoiled) -> None:
    assert audited(sound) == []


@pytest.mark.parametrize("fault", FAULTS)
def test_each_broken_rule_is_a_finding(sound: Spoiled, fault: str) -> None:
    spoil, _ = FAULTS[fault]
    assert audited(spoil(sound))


def test_a_cover_that_does_not_reach_or_is_for_others_is_a_finding(sound: Spoiled) -> None:
    move, shipments = sound
    for wrong in (cover(("0.01", 1, 0, 0), name="low"), cover((None, 1, 0, 0), name="other", for_quotes=("nobody",))):
        spoiled = replace(move, covers={**move.covers, wrong.name: wrong})
        assert audited((spoiled, [replace(shipments[0], cover=wrong), *shipments[1:]]))


def test_an_empty_carton_and_what_the_move_does_not_know_are_findings(sound: Spoiled) -> None:
    """Cartons, quotes and covers of a plan are those of the move, unchanged."""
    move, shipments = sound
    first = shipments[0]
    wronged = replace(first.quote, minimum_charge=first.quote.minimum_charge + 1)
    other_box = replace(first.filled, carton=replace(first.filled.carton, price=Decimal("0.07")))
    for wrong in (replace(first, quote=wronged), replace(first, filled=other_box)):
        assert audited((move, [wrong, *shipments[1:]]))
