"""Modes: how cartons of loose records may be covered on a track, in the aggregate programme.

A mode is a range of a carton's value with the fee of that range and, per carton, a line that lies nowhere above what
the owner bears of a loss or of damage. Every real carton belongs to a mode of its track at no more than its real
fee and loss, which is what a floor needs.
"""

from dataclasses import dataclass
from itertools import pairwise
from math import inf

from shipopt.move.cover import Band, Cover
from shipopt.move.move import Move
from shipopt.move.quotes import Quote
from shipopt.move.rules import liability, most_value_of_consignment, quotes_in
from shipopt.move.words import CoverBasis, Covers
from shipopt.planning.ways import loss_matters


@dataclass(frozen=True, slots=True)
class Line:
    """``flat + slope × value`` for one carton, in money."""

    flat: float
    slope: float

    @property
    def never_negative(self) -> bool:
        """Whether the line is at least zero for every value from zero on."""
        return self.flat >= 0 and self.slope >= 0


@dataclass(frozen=True, slots=True)
class Mode:
    """Cartons worth ``low`` to ``high`` under a cover or none. The fee of one is the larger of
    ``least_fee`` and ``fee + share × value``.

    ``by_liability`` marks cartons whose value the carrier's liability reaches. ``lost`` and ``damaged`` bound from
    below what the owner bears when one is lost or damaged, whatever the carrier owes; ``lost_before`` and
    ``damaged_before`` do before what it owes is taken off.
    """

    index: int
    cover: Cover | None
    low: float
    high: float
    lost: Line
    damaged: Line
    fee: float = 0.0
    share: float = 0.0
    least_fee: float = 0.0
    fee_by_trip: bool = False
    by_liability: bool = False
    lost_before: Line = Line(0.0, 0.0)
    damaged_before: Line = Line(0.0, 0.0)


def values_matter(move: Move) -> bool:
    """Whether any rule or price of the move looks at the value of a carton or of a consignment."""
    return loss_matters(move) or any(
        most_value_of_consignment(quote, move.settings) is not None or _rule_applies(quote, move)
        for quote in quotes_in(move)
    )


def modes_of(quote: Quote, move: Move, most_value: float = inf) -> list[Mode]:
    """The modes of cartons of loose records by this quote, none of them worth more than ``most_value``; exactly one,
    for any value, where values do not matter."""
    cap = min(most_value, _float_or_inf(most_value_of_consignment(quote, move.settings)))
    rule = _rule_applies(quote, move)
    modes: list[Mode] = []
    threshold = float(move.settings.insure_from or 0)
    minor = float(move.settings.currency.minor_unit)
    without = min(cap, max(0.0, threshold - minor)) if rule else cap
    _add(modes, quote, move, None, 0.0, without)
    owed = _most_liability(quote, move)
    if rule and min(cap, owed) > without:
        _add(modes, quote, move, None, 0.0, min(cap, owed), by_liability=True)
    if rule or loss_matters(move):
        lowest = threshold if rule and not loss_matters(move) else 0.0
        for cover in move.covers.values():
            if cover.offered_to(quote.name):
                needless = min(without, float(cover.excess)) if move.settings.count_expected_loss else 0.0
                _add_bands(modes, quote, move, cover, lowest, cap, needless)
    return modes


def _add_bands(
    modes: list[Mode], quote: Quote, move: Move, cover: Cover, lowest: float, cap: float, needless: float
) -> None:
    """A mode for each band of the cover; none for cartons worth no more than is ``needless`` to cover, as the excess
    leaves nothing to pay and they may go without."""
    if quote.by_load and cover.basis is CoverBasis.CONSIGNMENT:
        _add(modes, quote, move, cover, 0.0, cap)
        return
    below = 0.0
    for band in cover.bands:
        top = _float_or_inf(band.value_up_to)
        if top >= lowest and below <= cap and needless < min(top, cap):
            _add(modes, quote, move, cover, max(below, needless), min(top, cap), band=band)
        below = top


def _turns(quote: Quote, move: Move, cover: Cover | None, low: float, high: float) -> list[float]:
    """Values between low and high at which what the owner bears of a loss or of damage begins to rise otherwise, if
    losses matter: from the excess on as the carrier owes little or much, and no more from what it owes at most on."""
    if cover is None or not loss_matters(move) or not cover.excess:
        return []
    excess, owed = float(cover.excess), _most_liability(quote, move)
    turns = {excess, excess + owed}
    if cover.covers is Covers.LOSS_AND_DAMAGE and move.settings.damage_share:
        owed_damaged = owed if quote.liability_covers is Covers.LOSS_AND_DAMAGE else 0.0
        turns |= {each / float(move.settings.damage_share) for each in (excess, excess + owed_damaged)}
    if not move.settings.count_expected_loss:
        turns = {max(turns)}  # larger programmes of moves that only cap losses leave too little time for guides
    return sorted(turn for turn in turns if low < turn < high)


def _add(
    modes: list[Mode],
    quote: Quote,
    move: Move,
    cover: Cover | None,
    low: float,
    high: float,
    *,
    band: Band | None = None,
    by_liability: bool = False,
) -> None:
    ends = [low, *_turns(quote, move, cover, low, high), high]
    for start, end in pairwise(ends):
        lost, damaged = _borne(quote, move, cover, start, end, _most_liability(quote, move))
        lost_before, damaged_before = _borne(quote, move, cover, start, end, 0.0)
        modes.append(
            Mode(
                index=len(modes),
                cover=cover,
                low=start,
                high=end,
                lost=lost,
                damaged=damaged,
                fee=float(band.fee) if band else 0.0,
                share=float(band.share_of_value) if band else 0.0,
                least_fee=float(band.least_fee) if band else 0.0,
                fee_by_trip=cover is not None and band is None,
                by_liability=by_liability,
                lost_before=lost_before,
                damaged_before=damaged_before,
            )
        )


def _borne(quote: Quote, move: Move, cover: Cover | None, low: float, high: float, owed: float) -> tuple[Line, Line]:
    """Lines below what the owner bears of one carton's loss and damage where the carrier owes so much, for values from
    low to high; where a line is negative the owner bears nothing."""
    share = float(move.settings.damage_share)
    ceiling = min(high, float(move.worth))  # no carton is worth more than all
    lost = Line(-owed, 1.0) if cover is None else _chord(float(cover.excess), 1.0, owed, low, ceiling)
    owed_damaged = owed if quote.liability_covers is Covers.LOSS_AND_DAMAGE else 0.0
    if cover is None or cover.covers is Covers.LOSS:
        return lost, Line(-owed_damaged, share)
    return lost, _chord(float(cover.excess), share, owed_damaged, low, ceiling)


def _chord(excess: float, share: float, owed: float, low: float, high: float) -> Line:
    """The chord of ``min(excess, share × value − owed)`` from low to high, which lies below it: the function is
    concave. What is owed is then taken off, but never more than everything: lines below zero count as nothing."""
    left, right = min(excess, share * low - owed), min(excess, share * max(low, high) - owed)
    if high <= low:
        return Line(left, 0.0)
    slope = (right - left) / (high - low)
    return Line(left - slope * low, slope)


def _most_liability(quote: Quote, move: Move) -> float:
    """The most the carrier can owe for one carton of this move."""
    return float(liability(quote, move.settings.heaviest_carton))


def _rule_applies(quote: Quote, move: Move) -> bool:
    return move.settings.insure_from is not None and quote.insure_rule_applies


def _float_or_inf(limit: object) -> float:
    return inf if limit is None else float(limit)  # type: ignore[arg-type]
