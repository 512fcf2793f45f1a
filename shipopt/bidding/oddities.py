"""Answers that look odd, and answers that are missing: told, never changed. A bid may be right for all that.

A bid is priced for the load as estimated, to compare it with others; that is no plan. Called by ``shipopt.bids``.
"""

from collections.abc import Iterable, Sequence
from decimal import Decimal

from shipopt.bidding import form
from shipopt.bidding.load import Load
from shipopt.bidding.returned import Bid
from shipopt.move.cartons import FilledCarton
from shipopt.move.move import Move
from shipopt.move.quotes import Quote
from shipopt.move.rules import care_refusal, carton_refusal, why_out
from shipopt.pricing.carriage import carton_charge, fixed_once, trip_statement
from shipopt.pricing.statement import Refused

FAR_FROM_OTHERS = Decimal(10)
"""A price by so many times lower or higher than the middle one of the others is told."""


def missing(bids: Sequence[Bid]) -> tuple[str, ...]:
    """Answers that often decide a bid and were left blank, bid by bid."""
    told = []
    for bid in bids:
        blank = [
            line.column.heading
            for line in form.answers(bid.load.means)
            if line.column.field in form.ASKED_FOR and line.column.field not in bid.answers
        ]
        if blank:
            told.append(f"{bid.name}: no answer to {', '.join(blank)}")
    return tuple(told)


def odd(move: Move, bids: Sequence[Bid]) -> tuple[str, ...]:
    """What looks odd about the bids, which are quotes of the move already."""
    return tuple(words for bid in bids for words in _odd(move, move.quotes[bid.name], bid.load))


def _odd(move: Move, quote: Quote, load: Load) -> Iterable[str]:
    reason = why_out(quote, move.settings)
    if reason:
        yield f"{quote.name}: takes no part: {reason}"
    for level in load.kinds:
        refusal = care_refusal(level, quote)
        if refusal:
            yield f"{quote.name}: may not carry {level.name} ({refusal})"
    cartons = load.cartons()
    for line in load.lines:
        refusal = carton_refusal(line.carton, quote)
        if refusal:
            yield f"{quote.name}: does not take cartons of size {line.size}: {refusal}"
    heaviest, lightest = max(line.heaviest for line in load.lines), min(c.gross_weight for c in cartons)
    limits = [limit for limit in (quote.carton_weight_limit, quote.most_weight) if limit is not None]
    if limits and min(limits) < lightest:
        yield f"{quote.name}: its weight limit {min(limits):f} is under that of one carton ({heaviest:f} estimated)"
    yield from _odd_price(move, quote, cartons)


def _odd_price(move: Move, quote: Quote, cartons: Sequence[FilledCarton]) -> Iterable[str]:
    currency = move.settings.currency
    own = price(quote, cartons, move)
    if own is None:
        yield f"{quote.name}: has no price for cartons as heavy as those estimated"
        return
    if own == 0:
        yield f"{quote.name}: costs nothing"
        return
    others = sorted(
        found for other in move.quotes.values() if other.name != quote.name and (found := price(other, cartons, move))
    )
    if not others:
        return
    middle = others[len(others) // 2]
    if own * FAR_FROM_OTHERS <= middle or own >= middle * FAR_FROM_OTHERS:
        yield (
            f"{quote.name}: some {currency.show(own)} for the whole load, where the others are about "
            f"{currency.show(middle)}"
        )


def price(quote: Quote, cartons: Sequence[FilledCarton], move: Move) -> Decimal | None:
    """The carriage of these cartons by one quote, limits left aside; None if its rate card has no price for one."""
    if quote.by_load:
        try:
            return trip_statement(quote, 1, cartons, move.settings).total
        except Refused:
            return None
    charges = [carton_charge(quote, filled, move.settings) for filled in cartons]
    if any(charge is None for charge in charges):
        return None
    return fixed_once(quote, move.settings) + sum(charge for charge in charges if charge is not None)
