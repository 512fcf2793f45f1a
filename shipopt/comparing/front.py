"""The front of costs and losses: the plans that no other beats in both, which of them to show as levels of caution, and
what a unit of loss less costs from one to the next.

Plans on the lower convex hull of the front are the cheapest by some weight on the loss (Aneja & Nair, Bicriteria
transportation problem, 1979), so a floor by that weight is one that they can reach. What lies above the hull cannot be
told from what no plan reaches by any weight. Called by caution.
"""

from collections.abc import Sequence
from decimal import ROUND_UP, Context, Decimal
from itertools import pairwise

CostAndLoss = tuple[Decimal, Decimal]
"""What a plan costs, and what it loses on average; money."""

FEWEST, MOST = 9, 12
"""So many plans are shown at the least, if there are so many, and at the most; the two ends among them."""

SHORT = Context(prec=3, rounding=ROUND_UP)
"""Prices of a unit of loss are told with three digits."""


def apart(plans: Sequence[CostAndLoss]) -> list[CostAndLoss]:
    """The plans to show, the cheapest first: those on the hull; where these are few, those that lie least above it, as
    a share of the cost. Of many, those are left out that differ least from the one before, each measured by how far the
    ends are apart; the ends stay."""
    front = unbeaten(plans)
    shown = hull(front)
    others = sorted((plan for plan in front if plan not in shown), key=lambda plan: _above(plan, shown) / plan[0])
    shown = sorted([*shown, *others[: max(0, FEWEST - len(shown))]])
    dearer, safer = shown[-1][0] - shown[0][0], shown[0][1] - shown[-1][1]

    def step(place: int) -> Decimal:
        (cost, loss), (next_cost, next_loss) = shown[place - 1], shown[place]
        return (next_cost - cost) / dearer + (loss - next_loss) / safer

    while len(shown) > MOST:
        shown.pop(min(range(1, len(shown) - 1), key=step))
    return shown


def unbeaten(plans: Sequence[CostAndLoss]) -> list[CostAndLoss]:
    """Those that no other beats in both, the cheapest first."""
    front: list[CostAndLoss] = []
    for cost, loss in sorted(set(plans)):
        if not front or loss < front[-1][1]:
            front.append((cost, loss))
    return front


def hull(front: Sequence[CostAndLoss]) -> list[CostAndLoss]:
    """Of a front those that a mix of two others is nowhere cheaper than (Andrew's chain, 1979)."""
    chain: list[CostAndLoss] = []
    for plan in front:
        while len(chain) > 1 and _above(chain[-1], [chain[-2], plan]) >= 0:
            chain.pop()
        chain.append(plan)
    return chain


def prices_of_loss(hull: Sequence[CostAndLoss]) -> list[Decimal]:
    """What a unit of loss less costs, from each plan of a hull to the next. By such a price both cost the same."""
    steps = pairwise(hull)
    return [SHORT.divide(cost - before, lost - loss) for (before, lost), (cost, loss) in steps]


def _above(plan: CostAndLoss, hull: Sequence[CostAndLoss]) -> Decimal:
    """How much more a plan costs than a mix of the two of a hull beside it, which loses as much."""
    cost, loss = plan
    for (cheap, lost), (dear, kept) in pairwise(hull):
        if kept <= loss <= lost:
            return cost - cheap - (dear - cheap) * (lost - loss) / (lost - kept)
    raise ValueError(f"no two of {hull} lie beside {plan}")
