"""What each bidder is worth: the move with it and without it, its walk-away price, who steps in if it drops out.

Sums up an inquiry into each quote that takes part, as plain values in money. Nothing is solved here. Called by the
module comparison.
"""

from collections import Counter
from dataclasses import dataclass
from decimal import Decimal

from shipopt.comparing.inquiry import Inquiry
from shipopt.comparing.prices import carriage_by, highest_share, uses
from shipopt.comparing.variants import Impossible, Solved
from shipopt.move.money import ZERO
from shipopt.move.plan import Plan
from shipopt.planning import Reason


@dataclass(frozen=True, slots=True)
class Bidder:
    """One quote that takes part. Money; None where it is not known.

    ``with_it`` and ``without_it`` are the objectives of the cheapest plans found that use it and that do not.
    ``walk_away`` is the highest fixed charge found at which it belongs in the cheapest plan; where not even none does,
    ``price_share`` is the highest share of all its prices that does (0: free carriage at best) and ``discount`` what
    it would give up. The figures may be off by ``give_or_take``; ``settled`` is false where a higher price may do.
    ``next_best`` is the best plan found without it, in which the ``stand_ins`` carry more than in the plan.
    ``if_all`` is the cheapest plan found with as many cartons by it as it takes."""

    quote: str
    used: bool
    with_it: Decimal | None
    without_it: Decimal | None
    indispensable: tuple[Reason, ...] = ()
    walk_away: Decimal | None = None
    price_share: Decimal | None = None
    discount: Decimal | None = None
    give_or_take: Decimal | None = None
    settled: bool = True
    next_best: Plan | None = None
    stand_ins: tuple[str, ...] = ()
    if_all: Plan | None = None
    if_all_cost: Decimal | None = None

    @property
    def losing_it(self) -> Decimal | None:
        """What the move costs more if the quote drops out; None if that is not known, or no plan is left."""
        if not self.used:
            return ZERO
        if self.with_it is None or self.without_it is None:
            return None
        return self.without_it - self.with_it


def bidder_of(inquiry: Inquiry) -> Bidder:
    """What the answers to an inquiry come to."""
    pool, name = inquiry.pool, inquiry.quote.name
    best, next_best = pool.cheapest(), pool.cheapest(lambda plan: not uses(plan, name))
    assert best is not None
    walk_away = inquiry.walk_away()
    share = None if walk_away is not None or next_best is None else inquiry.price_share()
    if share is None and walk_away is None and inquiry.tried_shares:
        share = ZERO
    return Bidder(
        quote=name,
        used=uses(best, name),
        with_it=inquiry.with_it(),
        without_it=inquiry.without_it(),
        indispensable=inquiry.without.reasons if isinstance(inquiry.without, Impossible) else (),
        walk_away=walk_away,
        price_share=share,
        discount=None if share is None else _discount(inquiry, share),
        give_or_take=_give_or_take(inquiry, walk_away is not None),
        settled=inquiry.settled,
        next_best=next_best if uses(best, name) else None,
        stand_ins=_stand_ins(best, next_best) if next_best and uses(best, name) else (),
        if_all=inquiry.all_it_can if inquiry.all_it_can and uses(inquiry.all_it_can, name) else None,
        if_all_cost=_if_all_cost(inquiry),
    )


def _discount(inquiry: Inquiry, share: Decimal) -> Decimal | None:
    """What the quote would give up in the plan that allows it the highest share of its prices."""
    pool, quote, most = inquiry.pool, inquiry.quote, inquiry.without_it()
    for plan in pool.plans:
        if most is not None and uses(plan, quote.name) and highest_share(plan, quote.name, most) == share:
            return pool.move.settings.currency.round(carriage_by(plan, quote) * (1 - share))
    return None


def _give_or_take(inquiry: Inquiry, by_fixed_charge: bool) -> Decimal | None:
    """How far off the price may be: as much as the plans it is worked out from may be above the cheapest there are."""
    pool, without = inquiry.pool, inquiry.without_it()
    floor = pool.plans[0].search.floor
    own = min(pool.objectives) - floor if inquiry.booked else inquiry.gap_of_its_plan
    if without is None or own is None:
        return None
    if isinstance(inquiry.without, Solved):
        floor = max(floor, inquiry.without.floor)
    gap = max(own, without - floor, ZERO)
    if by_fixed_charge:
        gap /= 1 + inquiry.quote.surcharge
    settings = pool.move.settings
    return settings.currency.round(gap) + settings.currency.minor_unit


def _stand_ins(best: Plan, next_best: Plan) -> tuple[str, ...]:
    """Quotes that carry more cartons in the second plan than in the first, in the workbook's order."""
    now, then = (Counter(shipment.quote.name for shipment in plan.shipments) for plan in (best, next_best))
    return tuple(name for name in best.move.quotes if then[name] > now[name])


def _if_all_cost(inquiry: Inquiry) -> Decimal | None:
    plan = inquiry.all_it_can
    return inquiry.pool.objective(plan) if plan and uses(plan, inquiry.quote.name) else None
