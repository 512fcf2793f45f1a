"""Rows of the sheet What binds: each rule a step looser, what that saves, and what would change in words.

The comparison found the figures. Called by the module gathered.
"""

from collections import Counter
from dataclasses import dataclass
from decimal import Decimal

from shipopt.comparing.binding import Step
from shipopt.comparing.comparison import Comparison
from shipopt.move.plan import Plan

BEST = 3
"""So many of the changes that would save most stand above the table."""


@dataclass(frozen=True, slots=True)
class BindingRow:
    """One rule a step looser."""

    rule: str
    now: str
    one_step_looser: str
    in_the_plan: str
    binds: str
    saves: Decimal
    saves_at_most: Decimal | None
    expected_uninsured_loss_then: Decimal | None
    in_words: str


def binding_rows(comparison: Comparison | None) -> tuple[BindingRow, ...]:
    """A row for each rule, those that save most first; none without a comparison."""
    if comparison is None:
        return ()
    return tuple(_row(comparison.plan, step) for step in comparison.steps)


def best_changes(rows: tuple[BindingRow, ...], plan: Plan) -> tuple[str, ...]:
    """The changes that would save most, a line each."""
    show = plan.move.settings.currency.show
    found = [row for row in rows if row.saves][:BEST]
    return tuple(
        f"{number}. {row.rule}, {row.one_step_looser} (now: {row.now}): saves {show(row.saves)}."
        for number, row in enumerate(found, start=1)
    )


def _row(plan: Plan, step: Step) -> BindingRow:
    money = plan.move.settings.currency
    return BindingRow(
        rule=step.looser.rule,
        now=step.looser.now,
        one_step_looser=step.looser.step,
        in_the_plan=step.looser.stands,
        binds="yes" if step.saves else "no" if step.saves_at_most == 0 else "not seen",
        saves=step.saves,
        saves_at_most=step.saves_at_most,
        expected_uninsured_loss_then=None if step.expected_loss is None else money.round(step.expected_loss),
        in_words=_in_words(plan, step),
    )


def _in_words(plan: Plan, step: Step) -> str:
    if not step.seen:
        return "Not looked at: the time allowed was up."
    if step.plan is None and step.saves_at_most is None:
        return "No cheaper plan in the same cartons; the time allowed was up before it could be packed anew."
    if step.plan is None:
        return "No plan can be cheaper." if step.saves_at_most == 0 else "No cheaper plan was found."
    changes = changes_by_quote(plan, step.plan)
    return f"Then {'; '.join(changes)}." if changes else "The same bookings, packed or covered otherwise."


def changes_by_quote(plan: Plan, other: Plan) -> list[str]:
    """What another plan carries otherwise, quote by quote in the workbook's order: ``Post 2 cartons instead of 5``."""
    now, then = (Counter(shipment.quote.name for shipment in each.shipments) for each in (plan, other))
    return [f"{name}: {_cartons(then[name])}, not {now[name]}" for name in plan.move.quotes if now[name] != then[name]]


def _cartons(number: int) -> str:
    return "1 carton" if number == 1 else f"{number} cartons"
