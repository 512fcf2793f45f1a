"""Rows of the table What each quote is worth: the comparison's figures for each quote, and a verdict in words.

The comparison found the figures; nothing is worked out here but differences and percents. Called by the module
gathered.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from shipopt.comparing.bidders import Bidder
from shipopt.comparing.comparison import Comparison
from shipopt.move.money import ZERO, Currency
from shipopt.move.plan import Plan
from shipopt.move.quotes import Quote

HUNDRED = Decimal(100)


@dataclass(frozen=True, slots=True)
class BidderRow:
    """One quote that takes part in the move. None where there is no such figure, or it was not found in time."""

    quote: str
    in_the_plan: str
    move_with_it: Decimal | None
    move_without_it: Decimal | None
    losing_it_costs: Decimal | None
    fixed_charge: Decimal
    walk_away_price: Decimal | None
    room_to_ask: Decimal | None
    room_percent: Decimal | None
    all_prices_down_by_percent: Decimal | None
    about: Decimal | None
    give_or_take: Decimal | None
    cartons_at_most: int | None
    move_then: Decimal | None
    keep_in_reserve: str
    verdict: str


def bidder_rows(comparison: Comparison | None) -> tuple[BidderRow, ...]:
    """A row for each quote compared, in the workbook's order; none without a comparison."""
    if comparison is None:
        return ()
    return tuple(_row(comparison.plan, bidder) for bidder in comparison.bidders)


def _row(plan: Plan, bidder: Bidder) -> BidderRow:
    quote = plan.move.quotes[bidder.quote]
    walk_away, share = bidder.walk_away, bidder.price_share
    room = None if walk_away is None else walk_away - quote.fixed_charge
    return BidderRow(
        quote=quote.name,
        in_the_plan="yes" if bidder.used else "no",
        move_with_it=bidder.with_it,
        move_without_it=bidder.without_it,
        losing_it_costs=bidder.losing_it if bidder.used else None,
        fixed_charge=quote.fixed_charge,
        walk_away_price=walk_away,
        room_to_ask=room,
        room_percent=None if room is None or not quote.fixed_charge else room / quote.fixed_charge * HUNDRED,
        all_prices_down_by_percent=None if share is None else (1 - share) * HUNDRED,
        about=bidder.discount,
        give_or_take=bidder.give_or_take,
        cartons_at_most=_cartons_by(bidder.if_all, quote),
        move_then=bidder.if_all_cost,
        keep_in_reserve=", ".join(_reserve(plan, bidder)),
        verdict=" ".join(_verdict(plan, bidder, quote)),
    )


def _cartons_by(plan: Plan | None, quote: Quote) -> int | None:
    return None if plan is None else sum(shipment.quote.name == quote.name for shipment in plan.shipments)


def _reserve(plan: Plan, bidder: Bidder) -> list[str]:
    """The quotes that would step in; those in the plan already with what is asked of them."""
    now = {shipment.quote.name for shipment in plan.shipments}
    return [f"{name} (more)" if name in now else name for name in bidder.stand_ins]


def _verdict(plan: Plan, bidder: Bidder, quote: Quote) -> Sequence[str]:
    currency = plan.move.settings.currency
    return _of_one_in(plan, bidder, quote) if bidder.used else _of_one_out(bidder, quote, currency)


def _of_one_in(plan: Plan, bidder: Bidder, quote: Quote) -> list[str]:
    currency = plan.move.settings.currency
    if bidder.indispensable:
        return [f"In the plan, and no plan does without it: {bidder.indispensable[0]}."]
    if bidder.losing_it is None:
        return ["In the plan; no plan without it was found in the time allowed."]
    told = [f"In the plan; losing it would cost {currency.show(bidder.losing_it)} more."]
    if bidder.stand_ins:
        told.append(f"In reserve: {', '.join(_reserve(plan, bidder))}.")
    if bidder.walk_away is not None and bidder.walk_away > quote.fixed_charge:
        told.append(f"Worth a fixed charge of up to {currency.show(bidder.walk_away)}.")
    return told + _open_end(bidder)


def _of_one_out(bidder: Bidder, quote: Quote, currency: Currency) -> list[str]:
    if bidder.walk_away is not None:
        down = currency.show(quote.fixed_charge - bidder.walk_away)
        told = f"Out; in at a fixed charge of {currency.show(bidder.walk_away)}, {down} less than it asks."
        return [told, *_open_end(bidder)]
    if bidder.price_share:
        down = f"{(1 - bidder.price_share) * HUNDRED:.1f} %"
        about = f" (about {currency.show(bidder.discount)})" if bidder.discount is not None else ""
        return [f"Out; in if all its prices came down by {down}{about}.", *_open_end(bidder)]
    if bidder.price_share == ZERO:
        return ["Out, even if it carried for nothing: what goes with it costs more than is saved elsewhere."]
    return ["Out; nothing more was found in the time allowed."]


def _open_end(bidder: Bidder) -> list[str]:
    return [] if bidder.settled else ["A somewhat higher price may do too."]
