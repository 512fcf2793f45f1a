"""Warnings about one plan, in words: each says what is so, and what to do or to know.

Standing cautions that hold for every move are in the module cautions. Called by the module gathered.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal

from shipopt.move.money import ZERO
from shipopt.move.plan import Plan
from shipopt.move.quotes import Quote
from shipopt.move.rules import arrival
from shipopt.move.words import Covers
from shipopt.workbook.results.rows.cartons import CartonRow
from shipopt.workbook.results.rows.risk_warnings import RISK_CHECKS
from shipopt.workbook.results.rows.risk_warnings import named as _named
from shipopt.workbook.results.rows.totals import Totals

TIGHT = timedelta(days=2)
"""Days of slack before Needed by that are called tight: a choice of this program."""


@dataclass(frozen=True, slots=True)
class Findings:
    """What the warnings are drawn from."""

    plan: Plan
    cartons: Sequence[CartonRow]
    totals: Totals

    @property
    def quotes(self) -> list[Quote]:
        """Quotes in use, in the workbook's order."""
        used = {shipment.quote.name for shipment in self.plan.shipments}
        return [quote for name, quote in self.plan.move.quotes.items() if name in used]


def warnings(findings: Findings, notices: Sequence[str]) -> tuple[str, ...]:
    """Warnings of the plan, the gravest kinds first, then what the reader noticed."""
    found = [check(findings) for check in CHECKS] + [check(findings.plan) for check in RISK_CHECKS]
    told = f"Noticed while reading the workbook: {len(notices)} — see the sheet Input as read." if notices else ""
    return tuple(text for text in (*found, told) if text)


def _stopped_early(findings: Findings) -> str:
    within = findings.plan.move.settings.within * 100
    if findings.totals.gap_percent <= within:
        return ""
    return (
        f"The gap to the lower bound is {findings.totals.gap_percent:.2f} %, more than the {within.normalize():f} % "
        "asked for: a cheaper plan may exist. More seconds to search may find it."
    )


def _tight_dates(findings: Findings) -> str:
    needed = findings.plan.move.settings.needed_by
    if needed is None:
        return ""
    tight = []
    for quote in findings.quotes:
        arrives = arrival(quote, findings.plan.move.settings)
        if arrives and needed - arrives <= TIGHT:
            tight.append(f"{quote.name} ({arrives.isoformat()})")
    return f"Arrives two days or less before Needed by ({needed.isoformat()}): {_named(tight)}." if tight else ""


def _no_transit_days(findings: Findings) -> str:
    if findings.plan.move.settings.needed_by is None:
        return ""
    silent = [quote.name for quote in findings.quotes if quote.transit_days is None]
    return (
        f"No transit days are given, so arrival is counted as the day of collection: {_named(silent)}."
        if silent
        else ""
    )


def _uncovered(findings: Findings) -> str:
    totals = findings.totals
    bare = totals.value_moved - totals.value_covered
    if not bare or not totals.value_moved:
        return ""
    money = findings.plan.move.settings.currency
    return (
        f"{money.show(bare)} of {money.show(totals.value_moved)} travels without a cover: if it is lost, you get what "
        "the carrier owes, or nothing."
    )


def _loss_only(findings: Findings) -> str:
    used = [
        shipment.cover.name
        for shipment in findings.plan.shipments
        if shipment.cover and shipment.cover.covers is Covers.LOSS and shipment.quote.damage_chance
    ]
    names = list(dict.fromkeys(used))
    return f"Pays for loss only; breakage on the way is yours to bear: {_named(names)}." if names else ""


def _assumed(findings: Findings) -> str:
    names = [quote.name for quote in findings.quotes if quote.chances_assumed]
    if not names:
        return ""
    return f"Chances of loss and damage are planning assumptions, not the bidder's record: {_named(names)}."


def _loose(findings: Findings) -> str:
    settings = findings.plan.move.settings
    numbers = [row.carton_no for row in findings.cartons if row.filler is not None]
    if not numbers:
        return ""
    filler = sum((row.filler for row in findings.cartons if row.filler is not None), Decimal(0))
    return (
        f"Filled less than {(settings.fill_least * 100).normalize():f} %, so filler is needed "
        f"({filler:,.1f} {settings.units.length}; see the carton list): {_named(numbers)}."
    )


def _unlisted(findings: Findings) -> str:
    cartons = [shipment.filled for shipment in findings.plan.shipments]
    numbers = [filled.number for filled in cartons if filled.closed_by_user and not filled.portions]
    return (
        f"Closed already; counted by their stated totals, their records are not listed: {_named(numbers)}."
        if numbers
        else ""
    )


def _no_value(findings: Findings) -> str:
    if findings.totals.value_moved != ZERO or not findings.totals.records:
        return ""
    return "Every value is 0: nothing is insured, and no loss is counted."


CHECKS: tuple[Callable[[Findings], str], ...] = (
    _stopped_early,
    _tight_dates,
    _no_transit_days,
    _uncovered,
    _loss_only,
    _assumed,
    _no_value,
    _loose,
    _unlisted,
)
"""Every warning, in the order shown; each gives its text, or nothing."""
