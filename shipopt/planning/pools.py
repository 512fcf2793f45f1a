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
            whole, lost, damaged = map(float, chances(batch.quote, Decimal(carton.carton.damage_factor)))
            rate = 0.0
            for line, chance in zip(_lines(batch, carton), (whole + lost, damaged), strict=True):
                rate += chance * line.slope
                left -= chance * line.flat
            rates.append(rate)
    return [Pool(tuple(rates), left, True)] if left > 0 else []


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
