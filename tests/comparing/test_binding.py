"""Which looser rules are looked at when, and how hard: all in known cartons first, the promising ones longer.

Nothing is solved: answers are made by hand.
"""

from dataclasses import replace
from decimal import Decimal

from small_moves import larger_plan

from shipopt.comparing.binding import A_FLOOR, LONGER_LOOK, LOOKED_AT_LONGER, Loosening
from shipopt.comparing.inquiry import IN_KNOWN_CARTONS
from shipopt.comparing.variants import NotInTime, Solved, Variant
from shipopt.move.money import ZERO
from shipopt.move.plan import Plan
from shipopt.planning.state import objective_of

PLAN = larger_plan(400)
COST = objective_of(PLAN.move, PLAN.shipments)


def answer(variant: Variant, floor: Decimal = ZERO, saves: bool = False) -> Solved:
    """The plan, or one with a carton fewer, as what was found; its floor."""
    shipments = PLAN.shipments[:-1] if saves else PLAN.shipments
    return Solved(variant.name, Plan(variant.move, shipments, replace(PLAN.search, floor=floor)))


def begun() -> tuple[Loosening, list[Variant]]:
    """A plan's rules, and the first looks at them."""
    loosening = Loosening(PLAN, COST, 60)
    return loosening, loosening.next_looks()


def test_every_rule_is_first_looked_at_in_known_cartons() -> None:
    loosening, first = begun()
    assert len(first) == len(loosening.rules) > 5
    assert {each.effort for each in first} == {IN_KNOWN_CARTONS}


def test_those_that_save_are_looked_at_longer_and_the_others_get_a_floor() -> None:
    loosening, first = begun()
    for place, variant in enumerate(first):
        loosening.take(answer(variant, saves=place == 2))
    second = loosening.next_looks()
    assert [each.name for each in second if each.effort == LONGER_LOOK] == [first[2].name]
    assert [each.name for each in second if each.effort == A_FLOOR] == [v.name for n, v in enumerate(first) if n != 2]


def test_then_those_that_promise_most_by_their_floors_are_and_no_more_than_a_few() -> None:
    loosening, first = begun()
    for place, variant in enumerate(first):
        loosening.take(answer(variant, saves=place == 2))
    for place, variant in enumerate(loosening.next_looks()):
        loosening.take(answer(variant, floor=COST if place > 4 else COST - place))
    third = loosening.next_looks()
    assert {each.effort for each in third} == {LONGER_LOOK}
    assert len(third) == LOOKED_AT_LONGER - 1
    assert first[2].name not in {each.name for each in third}
    assert not loosening.next_looks()


def test_a_rule_whose_floor_is_the_cost_is_not_looked_at_again() -> None:
    loosening, first = begun()
    for variant in first:
        loosening.take(answer(variant, floor=COST))
    assert not loosening.next_looks()
    assert not loosening.next_looks()
    assert {step.saves_at_most for step in loosening.steps(COST)} == {ZERO}


def test_what_was_not_answered_is_tried_again_and_else_not_seen() -> None:
    loosening, first = begun()
    loosening.take(NotInTime(first[0].name, cut_short=True))
    for variant in first[1:]:
        loosening.take(answer(variant, floor=COST))
    assert [each.name for each in loosening.next_looks()] == [first[0].name]
    assert [step.seen for step in loosening.steps(COST)].count(False) == 1
