"""Rules a step looser: each a move of its own, said in words that can be read. Moves are invented."""

import re
from dataclasses import replace
from decimal import Decimal

from small_moves import larger_plan

from shipopt.comparing.looser import looser_rules
from shipopt.move.plan import Plan


def crowded() -> Plan:
    """A plan whose stacks are thirds of something, so that no carton's fill is a round figure."""
    plan = larger_plan(120)
    third = Decimal(1) / 3
    shipments = (replace(each, filled=replace(each.filled, stack=each.filled.stack * third)) for each in plan.shipments)
    return replace(plan, shipments=tuple(shipments))


def test_no_figure_is_said_to_more_than_two_places() -> None:
    rules = looser_rules(crowded())
    assert any("fullest" in rule.stands for rule in rules)
    for rule in rules:
        assert not re.search(r"\.\d{3,}", " ".join((rule.rule, rule.now, rule.step, rule.stands))), rule


def test_each_rule_is_a_move_that_differs_in_nothing_else_that_counts() -> None:
    plan = larger_plan(120)
    for rule in looser_rules(plan):
        assert rule.move != plan.move, rule.rule
        changed = [
            name
            for name in ("settings", "records", "cartons", "quotes", "care", "covers", "packed")
            if getattr(rule.move, name) != getattr(plan.move, name)
        ]
        assert len(changed) == 1, rule.rule
