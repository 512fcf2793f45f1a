"""Claims after an arrival: one for each carrier and one for each cover, with what the plan knows of every carton in it.

Amounts are what the quotes and covers of the workbook say is owed at most; the carrier's and the insurer's terms
decide. Written down by the module claims_workbook.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from shipopt.afterwards.check_in import Arrival, Finding
from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.rules import liability
from shipopt.move.settings import Settings
from shipopt.move.words import Covers
from shipopt.workbook.results.claims import SHORTEST_DAYS


@dataclass(frozen=True, slots=True)
class ClaimedCarton:
    """One carton of a claim. ``harm`` is its value if it is missing, the damage found if that is known;
    ``owed_at_most`` is what is owed of it by the workbook."""

    carton_no: str
    found: str
    expected_weight: Decimal
    weight_found: Decimal | None
    value: Decimal
    harm: Decimal | None
    owed_at_most: Decimal | None
    remarks: str


@dataclass(frozen=True, slots=True)
class ClaimedRecord:
    """A record line in a carton of a claim; its value is that of all its copies there."""

    carton_no: str
    record_id: str
    copies: int
    artist: str
    title: str
    format: str
    grade: str
    value: Decimal


@dataclass(frozen=True)
class Claim:
    """What is claimed of one carrier or under one cover. ``facts`` are label and text."""

    whose: str
    facts: tuple[tuple[str, str], ...]
    cartons: tuple[ClaimedCarton, ...]
    records: tuple[ClaimedRecord, ...]


def claims_of(arrivals: Sequence[Arrival], move: Move, arrived_on: date | None = None) -> tuple[Claim, ...]:
    """A claim for each quote with a carton that is not as it should be, then one for each cover."""
    bad = [each for each in arrivals if each.finding not in (None, Finding.NOT_CHECKED)]
    found = [_of_carrier(name, bad, move, arrived_on) for name in move.quotes]
    found += [_under_cover(name, bad, move, arrived_on) for name in move.covers]
    return tuple(claim for claim in found if claim is not None)


def _of_carrier(name: str, bad: Sequence[Arrival], move: Move, arrived_on: date | None) -> Claim | None:
    ours = [each for each in bad if each.quote.name == name]
    if not ours:
        return None
    quote = move.quotes[name]
    facts = (
        ("To", quote.bidder or name),
        ("Carried by", f"{name} ({quote.means})"),
        ("Liability", _liability_words(quote.liability_covers)),
        *_deadline(quote.claim_days, arrived_on),
    )
    return Claim(
        f"Claim on the carrier: {quote.bidder or name}",
        _with_way(facts, move.settings),
        tuple(_carton(each, move.settings, _owed_by_carrier) for each in ours),
        _records(ours),
    )


def _under_cover(name: str, bad: Sequence[Arrival], move: Move, arrived_on: date | None) -> Claim | None:
    ours = [each for each in bad if each.cover is not None and each.cover.name == name]
    if not ours:
        return None
    cover = move.covers[name]
    facts = (
        ("To", f"the insurer of {name}"),
        ("Covers", f"{cover.covers}, by the {cover.basis}"),
        ("Excess", f"{move.settings.currency.show(cover.excess)} on each carton"),
        *_deadline(cover.claim_days, arrived_on),
        *((("Terms noted", cover.notes),) if cover.notes else ()),
    )
    cartons = tuple(_carton(each, move.settings, _owed_by_insurer) for each in ours)
    return Claim(f"Claim under the cover: {name}", _with_way(facts, move.settings), cartons, _records(ours))


def _with_way(facts: tuple[tuple[str, str], ...], settings: Settings) -> tuple[tuple[str, str], ...]:
    way = " → ".join(place for place in (settings.from_place, settings.to_place) if place)
    return (*facts, ("Move", f"{settings.title}{f' ({way})' if way else ''}"))


def _deadline(days: int | None, arrived_on: date | None) -> tuple[tuple[str, str], ...]:
    """By when to claim, as far as the workbook and the day of arrival say."""
    if days is None:
        by = f"by {arrived_on + timedelta(days=SHORTEST_DAYS)}" if arrived_on else f"within {SHORTEST_DAYS} days"
        return (
            (
                "Claim by",
                f"not noted in the workbook: give notice in writing at once, {by} at the latest, the shortest "
                "published period; the terms may say less",
            ),
        )
    if arrived_on is None:
        return (("Claim by", f"{days} days after arrival, as noted in the workbook"),)
    return (("Claim by", f"{arrived_on + timedelta(days=days)} ({days} days after {arrived_on}, as noted)"),)


def _liability_words(covers: Covers) -> str:
    return f"for {covers}; what is owed at most is by the quote as it stands in the workbook"


def _carton(
    arrival: Arrival,
    settings: Settings,
    owed: Callable[[Arrival, Decimal, Settings], Decimal],
) -> ClaimedCarton:
    filled = arrival.filled
    harm = filled.value if arrival.finding is Finding.MISSING else arrival.damage_found
    return ClaimedCarton(
        carton_no=filled.number,
        found=str(arrival.finding),
        expected_weight=filled.gross_weight,
        weight_found=arrival.weight_found,
        value=filled.value,
        harm=harm,
        owed_at_most=None if harm is None else settings.currency.round(owed(arrival, harm, settings)),
        remarks=arrival.remarks,
    )


def _owed_by_carrier(arrival: Arrival, harm: Decimal, settings: Settings) -> Decimal:
    if arrival.finding is not Finding.MISSING and arrival.quote.liability_covers is not Covers.LOSS_AND_DAMAGE:
        return ZERO
    return min(harm, liability(arrival.quote, arrival.filled.gross_weight))


def _owed_by_insurer(arrival: Arrival, harm: Decimal, settings: Settings) -> Decimal:
    assert arrival.cover is not None
    if arrival.finding is not Finding.MISSING and arrival.cover.covers is not Covers.LOSS_AND_DAMAGE:
        return ZERO
    return max(ZERO, min(harm, arrival.filled.value) - arrival.cover.excess)


def _records(arrivals: Sequence[Arrival]) -> tuple[ClaimedRecord, ...]:
    return tuple(
        ClaimedRecord(
            arrival.filled.number,
            portion.record.record_id,
            portion.copies,
            portion.record.artist,
            portion.record.title,
            portion.record.format.name,
            portion.record.grade,
            portion.record.value * portion.copies,
        )
        for arrival in arrivals
        for portion in sorted(arrival.filled.portions, key=lambda each: (each.record.place, each.first))
    )
