"""Pools: limits that many cartons share, as sums to which each carton's contents count at a rate of its own.

The weight and the value of all trips of a quote, and the expected uninsured loss of the whole plan, as the guide counts
them. Called by ``swapping``; the audit and the carton programme judge exactly.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import inf

from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.quotes import Quote
from shipopt.move.rules import liability, most_value_of_consignment
from shipopt.move.words import Covers
from shipopt.planning.guide import Batch
from shipopt.planning.modes import Line
from shipopt.planning.opened import OpenCarton
from shipopt.risk.expected import chances, expected_uninsured_loss_of_all


@dataclass(frozen=True, slots=True)
class Pool:
    """Σ rate × what a carton holds ≤ most; ``rates`` by carton, in the order of batches; weight unless ``by_value``."""

    rates: tuple[float, ...]
    most: float
    by_value: bool


def pools_of(batches: Sequence[Batch], opened: Sequence[Sequence[OpenCarton]], move: Move) -> list[Pool]:
    """The limits that the cartons of these batches share."""
    pools = []
    quotes = dict.fromkeys(batch.quote for batch in batches)
    together = [carton for cartons in opened for carton in cartons]
    for quote in quotes:
        if not quote.by_load:
            continue
        on_it = [float(batch.quote is quote) for batch, cartons in zip(batches, opened, strict=True) for _ in cartons]
        most_value = most_value_of_consignment(quote, move.settings)
        if most_value:
            pools.append(Pool(tuple(on_it), float(most_value) * _trips(quote, batches), True))
        contents = _most_contents(quote, batches, together)
        if contents is not None and contents > 0:
            pools.append(Pool(tuple(on_it), float(contents), False))
    return pools + _loss(batches, opened, move)


def weight_to_spare(batches: Sequence[Batch], cartons: Sequence[OpenCarton]) -> dict[str, Decimal]:
    """How much more the trips may carry that the batches book, by the name of each quote whose loads are limited by
    weight."""
    spare: dict[str, Decimal] = {}
    for quote in dict.fromkeys(batch.quote for batch in batches):
        contents = _most_contents(quote, batches, cartons)
        if quote.by_load and contents is not None:
            spare[quote.name] = contents - sum((carton.weight for carton in cartons if carton.quote is quote), ZERO)
    return spare


def _most_contents(quote: Quote, batches: Sequence[Batch], cartons: Sequence[OpenCarton]) -> Decimal | None:
    """What may be in these cartons of the quote together, on the trips that the batches book; None: as much as fits."""
    if quote.most_weight is None:
        return None
    empty = (carton.carton.empty_weight for carton in cartons if carton.quote is quote)
    return quote.most_weight * _trips(quote, batches) - sum(empty, ZERO)


def _trips(quote: Quote, batches: Sequence[Batch]) -> int:
    return max(batch.trips for batch in batches if batch.quote is quote)


def fees_of(batches: Sequence[Batch], opened: Sequence[Sequence[OpenCarton]]) -> list[Pool]:
    """What the guide lets each batch under a cover be worth, as its fee may grow with that: an aim, not a limit."""
    pools = []
    for batch in batches:
        if batch.mode.cover is not None and 0 < batch.worth < inf:
            in_it = [float(other is batch) for other, cartons in zip(batches, opened, strict=True) for _ in cartons]
            pools.append(Pool(tuple(in_it), batch.worth, True))
    return pools


def _loss(batches: Sequence[Batch], opened: Sequence[Sequence[OpenCarton]], move: Move) -> list[Pool]:
    """Expected uninsured loss, where it is capped: the lines of each batch's mode, as in the guide. Without cover the
    carrier owes what it owes for the weight of a carton as it is now."""
    cap = move.settings.most_expected_loss
    if cap is None:
        return []
    left = float(cap - expected_uninsured_loss_of_all(move, ()))
    rates: list[float] = []
    for batch, cartons in zip(batches, opened, strict=True):
        for carton in cartons:
            flat, slope = _loss_of(batch, carton)
            left -= flat
            rates.append(slope)
    return [Pool(tuple(rates), left, True)] if left > 0 else []


def costs_of_value(batches: Sequence[Batch], opened: Sequence[Sequence[OpenCarton]], move: Move) -> list[float]:
    """What a unit of value more costs in each carton, in the order of batches: its fee, and what it loses on average,
    as much as a unit lost counts for; nothing where losses are no part of the cost."""
    weight = float(move.settings.weight_of_loss) if move.settings.count_expected_loss else 0.0
    return [
        batch.mode.share + weight * _loss_of(batch, carton)[1] if weight else 0.0
        for batch, cartons in zip(batches, opened, strict=True)
        for carton in cartons
    ]


LossLine = tuple[float, float, float]
"""An amount, so much for each unit of value, and for each of weight of the contents."""


def loss_lines(batch: Batch, carton: OpenCarton, move: Move) -> tuple[tuple[LossLine, ...], tuple[LossLine, ...]]:
    """Lines of which the highest, or nothing if all are below, is what a carton loses on average if lost, and if
    damaged, times what a unit lost counts for; exact but where the carrier owes both by weight and for each carton, or
    at most so much."""
    quote, counts = batch.quote, float(move.settings.weight_of_loss)
    whole, lost, damaged = map(float, chances(quote, Decimal(carton.carton.damage_factor)))
    by_weight, least = float(quote.liability_per_weight), float(quote.liability_per_carton)
    owed = -least if least else -by_weight * float(carton.carton.empty_weight)
    by_weight = 0.0 if least else by_weight

    def lines(line: Line, before: Line, chance: float, pays: bool) -> tuple[LossLine, ...]:
        covered = batch.mode.cover is not None
        most = [(line.flat, line.slope, 0.0)] if covered else []
        owes = pays and (owed or by_weight)
        less = [(before.flat + owed * pays, before.slope, -by_weight * pays)] if owes or not covered else []
        return tuple((counts * chance * a, counts * chance * b, counts * chance * c) for a, b, c in (*most, *less))

    mode = batch.mode
    pays_for_damage = quote.liability_covers is Covers.LOSS_AND_DAMAGE
    return (
        lines(mode.lost, mode.lost_before, whole + lost, True),
        lines(mode.damaged, mode.damaged_before, damaged, pays_for_damage),
    )


def _loss_of(batch: Batch, carton: OpenCarton) -> tuple[float, float]:
    """What a carton loses on average, as an amount and a share of its value."""
    whole, lost, damaged = map(float, chances(batch.quote, Decimal(carton.carton.damage_factor)))
    lines = list(zip(_lines(batch, carton), (whole + lost, damaged), strict=True))
    return sum(chance * line.flat for line, chance in lines), sum(chance * line.slope for line, chance in lines)


def _lines(batch: Batch, carton: OpenCarton) -> tuple[Line, Line]:
    """What the owner bears of the loss and of damage of a carton."""
    lost, damaged, quote = batch.mode.lost, batch.mode.damaged, batch.quote
    if batch.mode.cover is not None:
        return lost, damaged
    owed = float(liability(quote, carton.carton.empty_weight + carton.weight))
    value = float(carton.value)
    owed_damaged = owed if quote.liability_covers is Covers.LOSS_AND_DAMAGE else 0.0
    return _if_any(Line(-owed, lost.slope), value), _if_any(Line(-owed_damaged, damaged.slope), value)


def _if_any(line: Line, value: float) -> Line:
    return line if line.flat + line.slope * value > 0 else Line(0.0, 0.0)
