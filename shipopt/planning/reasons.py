"""Reasons for no plan: which rules clash, and the smallest change to each that would free the move.

Called only when a programme has no solution. First, records or cartons that no quote may carry at all. Then elastic
copies of the programme: one rule at a time may be broken, and the least breach is the smallest change that helps. Last,
how many records would have to stay behind with every rule kept.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import pulp

from shipopt.move.care import CareLevel
from shipopt.move.move import Move
from shipopt.move.quotes import Quote
from shipopt.move.records import Record
from shipopt.move.rules import (
    care_refusal,
    carton_refusal,
    cartons_for,
    filled_carton_refusal,
    most_gross_weight,
    quotes_in,
    record_may_go,
    why_out,
)
from shipopt.move.words import Means
from shipopt.planning.every_carton import EveryCarton, is_tiny
from shipopt.planning.formulation import aggregate_programme, carton_programme, closed_cartons
from shipopt.planning.kinds import kinds_of
from shipopt.planning.modes import values_matter
from shipopt.planning.programme import LEFT_BEHIND, Programme
from shipopt.planning.reason_amounts import counted, left_behind, raised_by
from shipopt.planning.solving import Outcome, Solver, solve

SECONDS_FOR_EACH = 10.0
"""Time allowed for each question asked of an elastic programme."""


@dataclass(frozen=True, slots=True)
class Reason:
    """A rule that stands in the way, and the change to it that would free the move."""

    rule: str
    change: str

    def __str__(self) -> str:
        return f"{self.rule}: {self.change}"


def why_no_plan(move: Move, solver: Solver | None = None) -> list[Reason]:
    """The rules that clash, each with the smallest change to it alone that frees the move; what must stay behind if
    no single change does. Never empty."""
    stranded = [*_records_nobody_may_carry(move), *_cartons_nobody_may_carry(move)]
    if stranded:
        return stranded
    reasons = [*_limits_to_raise(move, solver), *_wider_choices(move, solver)]
    return reasons + _what_would_stay(move, solver)


def _records_nobody_may_carry(move: Move) -> Iterator[Reason]:
    groups: dict[tuple[str, str, bool, str | None], list[Record]] = {}
    for record in move.loose:
        if not any(_may_carry(record, quote, move) for quote in quotes_in(move)):
            key = (record.care, record.format.name, record.format.sound_recording, record.must_go_by)
            groups.setdefault(key, []).append(record)
    for (care, format_name, _, _), records in groups.items():
        copies = sum(record.copies for record in records)
        what = f"{copies:,} {format_name} of care level {care}"
        rule = f"{what} can go by no quote ({_some_ids(records)})"
        yield Reason(rule, "; ".join(_refusals(records[0], move)))


def _may_carry(record: Record, quote: Quote, move: Move) -> bool:
    return record_may_go(record, quote, move) and any(
        carton_refusal(carton, quote) is None
        and record.thickness <= carton.room_in_each(move.settings.fill_most)
        and record.weight + carton.empty_weight <= most_gross_weight(carton, quote, move.settings)
        for carton in cartons_for(record.format.sleeve, move)
    )


def _refusals(record: Record, move: Move) -> Iterator[str]:
    for quote in move.quotes.values():
        refusal = why_out(quote, move.settings) or care_refusal(move.care[record.care], quote)
        if refusal is None and record.must_go_by not in (None, quote.name):
            refusal = f"it must go by {record.must_go_by}"
        if refusal is None and quote.recordings_only and not record.format.sound_recording:
            refusal = "takes sound recordings only"
        yield f"{quote.name}: {refusal or 'no carton it takes holds one'}"


def _cartons_nobody_may_carry(move: Move) -> Iterator[Reason]:
    for filled in move.to_go:
        refusals = {quote.name: filled_carton_refusal(filled, quote, move) for quote in quotes_in(move)}
        if all(refusals.values()):
            words = "; ".join(f"{name}: {refusal}" for name, refusal in refusals.items())
            yield Reason(f"carton {filled.number}, packed already, can go by no quote", words)


def _limits_to_raise(move: Move, solver: Solver | None) -> Iterator[Reason]:
    """Each limit in turn: by how much it alone would have to be raised."""
    for rule in _programme(move, frozenset()).rules:
        programme = _programme(move, frozenset({rule}))
        outcome = _least_breach(programme, solver)
        if outcome.found:
            most = max(outcome.values[breach.name] for breach in programme.breaches[rule])
            yield Reason(rule, f"raise it by {raised_by(rule, most, move)}")


def _wider_choices(move: Move, solver: Solver | None) -> Iterator[Reason]:
    """Each care level on one more means, and each quote that is out for its dates let in."""
    for level in move.care.values():
        if any(record.care == level.name for record in move.loose):
            for means in Means:
                if means not in level.means and _can_be_planned(_allowing(move, level, means), solver):
                    yield Reason(f"care level {level.name}", f"let it go by {means}")
    for quote in move.quotes.values():
        out = why_out(quote, move.settings)
        if out is not None and quote.consider and _can_be_planned(_with_quote_in(move, quote), solver):
            yield Reason(f"quote {quote.name} is out ({out})", "a new date that lets it in would do")


def _allowing(move: Move, level: CareLevel, means: Means) -> Move:
    wider = replace(level, means=level.means | {means})
    return replace(move, care={**move.care, level.name: wider})


def _with_quote_in(move: Move, quote: Quote) -> Move:
    dateless = replace(quote, valid_until=None, collect_from=None, collect_until=None, transit_days=None)
    return replace(move, quotes={**move.quotes, quote.name: dateless})


def _can_be_planned(move: Move, solver: Solver | None) -> bool:
    programme = _programme(move, frozenset())
    programme.problem.setObjective(pulp.LpAffineExpression())
    return solve(programme.problem, seconds=SECONDS_FOR_EACH, gap=1.0, solver=solver).found


def _what_would_stay(move: Move, solver: Solver | None) -> list[Reason]:
    programme = _programme(move, frozenset({LEFT_BEHIND}))
    outcome = _least_breach(programme, solver)
    if not outcome.found:
        return [Reason("the rules", "they clash even with every record left behind")]
    counts: dict[str, float] = {}
    for name, breaches in programme.left_behind.items():
        counts[name] = sum(outcome.values[breach.name] for breach in breaches)
    words = left_behind(counts)
    return [Reason("with every rule kept", f"at least {words} would have to stay behind")]


def _least_breach(programme: Programme, solver: Solver | None) -> Outcome:
    programme.problem.setObjective(
        pulp.lpSum(breach for breaches in programme.breaches.values() for breach in breaches)
    )
    return solve(programme.problem, seconds=SECONDS_FOR_EACH, gap=0.01, solver=solver)


def _programme(move: Move, elastic: frozenset[str]) -> Programme:
    if is_tiny(move):
        every = EveryCarton(move)
        candidates = [*every.candidates, *closed_cartons(move, len(every.items))]
        return carton_programme(move, candidates, every.items + [1] * len(move.to_go), elastic)
    return aggregate_programme(move, kinds_of(move.loose, values_matter(move)), elastic)


def _some_ids(records: Sequence[Record]) -> str:
    ids = [record.record_id for record in records]
    return ", ".join(ids[:5]) + (f" and {counted(len(ids) - 5, 'more line')}" if len(ids) > 5 else "")
