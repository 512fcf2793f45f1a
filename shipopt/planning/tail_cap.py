"""The cap on the mean of the worst 5 % of outcomes, kept by the exact distribution.

A programme cannot see the distribution, but it can cap the expected uninsured loss. The mean of the worst share a of
outcomes is at most the mean of all ÷ a, so a small enough cap on the expected loss keeps the cap on the tail; the
largest that does is sought by halving. A plan is kept only if its exact distribution, error included, meets the cap.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from decimal import Decimal

from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Plan, Shipment
from shipopt.risk.distribution import loss_distribution
from shipopt.risk.expected import expected_uninsured_loss_of_all

WORST_SHARE = Decimal("0.05")
HALVINGS = 4


def breaks_tail_cap(move: Move, shipments: Sequence[Shipment]) -> bool:
    """Whether the mean of the worst 5 % of outcomes, with the error of its computation, is above the cap."""
    cap = move.settings.most_tail_mean
    if cap is None:
        return False
    losses = loss_distribution(move, shipments)
    return Decimal(losses.tail_mean) + Decimal(losses.tail_mean_error) > cap


def within_tail_cap(move: Move, free: Plan, search: Callable[[Move], Plan | None]) -> Plan | None:
    """The cheapest plan found that keeps the cap, None if none was. ``free`` is a plan found without the cap: its floor
    holds with the cap too. ``search`` answers None where it finds no plan."""
    if not breaks_tail_cap(move, free.shipments):
        return replace(free, move=move)
    assert move.settings.most_tail_mean is not None
    sure = move.settings.most_tail_mean * WORST_SHARE
    low, high = sure, expected_uninsured_loss_of_all(move, free.shipments)
    best: Plan | None = None
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        plan = search(_capped(move, middle))
        if plan is not None and not breaks_tail_cap(move, plan.shipments):
            best, low = plan, middle
        else:
            high = middle
    if best is None:
        plan = search(_capped(move, sure))
        best = plan if plan is not None and not breaks_tail_cap(move, plan.shipments) else None
    return None if best is None else replace(best, move=move, search=replace(best.search, floor=free.search.floor))


def without_tail_cap(move: Move) -> Move:
    """The move with no cap on the tail, but one on the expected loss, if only all there is: so that cover may pay."""
    own = move.settings.most_expected_loss
    return _capped(move, sum((r.value * r.copies for r in move.records), ZERO) if own is None else own)


def _capped(move: Move, expected_loss: Decimal) -> Move:
    """The move with a cap on the expected loss in place of the one on the tail."""
    return replace(move, settings=replace(move.settings, most_tail_mean=None, most_expected_loss=expected_loss))
