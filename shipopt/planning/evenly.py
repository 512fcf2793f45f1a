"""Dealing copies evenly: every carton of a batch gets much the same mix of sizes, so that none is far over or under.

Where stack and weight are both nearly used up, cartons filled one after another leave the last ones what does not fit.
Dealt evenly, all hold about as much of both, and a few swaps do the rest. Copies of one size are dealt in shelf order.
Called by ``packing``.
"""

from collections.abc import Sequence
from math import inf

import numpy as np

from shipopt.planning.opened import Copy, OpenCarton


def deal_evenly(cartons: Sequence[OpenCarton], copies: Sequence[Copy], aims: Sequence[float] = ()) -> None:
    """Put every copy into one of the cartons, whether it fits or not: each, the largest sizes first, where what it has
    most of is farthest below its share of all that is dealt so far. Shares of the stack are as room is, shares of the
    weight as the ``aims`` (weight of contents by carton), or as most weight is."""
    rooms = [(carton, inner) for carton in cartons for inner in range(len(carton.stacks))]
    held = [min(float(c.most_weight), aim) for c, aim in zip(cartons, aims or [inf] * len(cartons), strict=True)]
    weights = [each / len(carton.stacks) for carton, each in zip(cartons, held, strict=True) for _ in carton.stacks]
    most = np.maximum(np.array([[float(carton.room) for carton, _ in rooms], weights]).T, 1e-9)
    share = most / most.sum(axis=0)
    below = np.zeros_like(most)
    order = sorted(copies, key=lambda copy: (-copy[0].thickness, -copy[0].weight, copy[0].place, copy[1]))
    for copy in order:
        size = np.array([float(copy[0].thickness), float(copy[0].weight)])
        below += share * size
        place = int(np.argmax((below / most * size / most).sum(axis=1)))
        below[place] -= size
        carton, inner = rooms[place]
        carton.put(copy, inner)
