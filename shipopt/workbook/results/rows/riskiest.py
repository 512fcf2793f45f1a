"""Rows of the sheet Risk on single records: those that carry most of the risk, and what would halve it for each.

What is offered is worked out by the risk room from the rules of the move; here it is put in words. Called by the module
gathered.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.words import Means
from shipopt.risk.by_record import RecordRisk, riskiest_records
from shipopt.risk.halving import HALF, Change, Remedy, halving, remedies

MOST_ROWS = 10
HUNDRED = Decimal(100)


@dataclass(frozen=True, slots=True)
class RiskyRecordRow:
    """A record with the expected uninsured loss of one copy, its part of the whole plan's in percent, what would
    halve it, and what the plan would then cost more; None where that is not priced."""

    record_id: str
    artist: str
    title: str
    copies: int
    value: Decimal
    care: str
    carton_no: str
    quote: str
    risk_of_one: Decimal
    part_percent: Decimal
    what_would_halve_it: str
    plan_dearer_by: Decimal | None


def risky_record_rows(move: Move, shipments: Sequence[Shipment], expected: Decimal) -> tuple[RiskyRecordRow, ...]:
    """The riskiest records, most first; ``expected`` is the expected uninsured loss of the whole plan."""
    found = riskiest_records(move, shipments, MOST_ROWS)
    return tuple(_row(move, shipments, each, expected) for each in found)


def _row(move: Move, shipments: Sequence[Shipment], risk: RecordRisk, expected: Decimal) -> RiskyRecordRow:
    record, shipment = risk.portion.record, risk.shipment
    found = remedies(move, shipments, risk)
    first = halving(found)
    return RiskyRecordRow(
        record_id=record.record_id,
        artist=record.artist,
        title=record.title,
        copies=risk.copies,
        value=record.value,
        care=record.care,
        carton_no=shipment.filled.number,
        quote=shipment.quote.name,
        risk_of_one=risk.each,
        part_percent=risk.whole / expected * HUNDRED if expected else ZERO,
        what_would_halve_it=_words(risk, found),
        plan_dearer_by=first.dearer if first else None,
    )


def _words(risk: RecordRisk, found: Sequence[Remedy]) -> str:
    """The cheapest change to its carton that halves the risk, and the safest way for the record alone that does."""
    carton = next((each for each in found if each.change is not Change.ALONE and each.left <= HALF), None)
    alone = halving(found, Change.ALONE)
    offers = [_said(risk, each) for each in (carton, alone) if each is not None]
    if offers:
        return f"{_capital('; or '.join(offers))}."
    if not found:
        return "Nothing in this workbook lowers it."
    best = min(found, key=lambda remedy: remedy.left)
    taken = f"{(1 - best.left) * HUNDRED:.0f} %"
    return f"Nothing in this workbook halves it. {_capital(_said(risk, best))} takes off {taken}."


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]


def _said(risk: RecordRisk, remedy: Remedy) -> str:
    number, quote = risk.shipment.filled.number, remedy.quote
    cover = f" under {remedy.cover.name}" if remedy.cover else ""
    match remedy.change:
        case Change.COVER if remedy.cover is None:
            return f"carton {number} without its cover"
        case Change.COVER:
            return f"carton {number}{cover}"
        case Change.QUOTE:
            return f"carton {number} by {quote.name}{cover}"
    how = "carry it by hand" if quote.means is Means.CARRY_ON else "move it to a carton"
    return f"{how} by {quote.name}{cover}, where there is room"
