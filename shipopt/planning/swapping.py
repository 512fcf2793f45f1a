"""Swapping: copies that found no room are put in all the same, and copies change places until no carton is overfull.

A packing in shelf order wastes a little of each carton, and a plan that counts on full cartons then needs one more.
Here stack, weight and value of all cartons of a plan are looked at together, and the swap (or move) that takes most
off what is over comes first. What stays over counts for more and more, so that the search leaves the places where no
single swap helps (constraint weighting: Morris, The breakout method, 1993). Then copies change places as long as that
lowers what is charged by weight. Called by ``packing``; exact sums decide in the end.
"""

import time
from collections.abc import Sequence
from math import inf
from threading import Event

import numpy as np

from shipopt.move.move import Move
from shipopt.planning.guide import Batch
from shipopt.planning.opened import Copy, OpenCarton
from shipopt.planning.pools import costs_of_value, fees_of, pools_of
from shipopt.planning.swaps import AIMING, NEAR_BY, SAVING, WITHOUT_GAIN, Packing


def swap_until_all_fit(
    batches: Sequence[Batch],
    opened: Sequence[Sequence[OpenCarton]],
    left: Sequence[Sequence[Copy]],
    move: Move,
    luck: int = 0,
    until: float = inf,
    enough: Event | None = None,
) -> list[Copy]:
    """Put copies that found no room into cartons (changed in place), swapping others; returns those still left out.

    ``opened`` and ``left`` are the cartons and the copies left over of each batch. Copies change places within a batch
    first, then within a quote, and anywhere only where that does not do. ``luck`` is the seed of what is drawn by lot,
    ``until`` the time (of ``time.perf_counter``) at which to end with what there is, as it does once ``enough`` is set.
    """
    cartons = [carton for of_batch in opened for carton in of_batch]
    if not cartons:
        return [copy for copies in left for copy in copies]
    packing = Packing(opened, left, move)
    packing.random, packing.until = np.random.default_rng(luck), until
    packing.enough = enough or packing.enough
    packing.add_pools(pools_of(batches, opened, move))
    for scope, without_gain in (
        (packing.batch, NEAR_BY),
        (packing.quote, NEAR_BY),
        (np.zeros_like(packing.batch), WITHOUT_GAIN),
    ):
        packing.scope = scope
        packing.put_the_rest_in()
        packing.swap(without_gain)
    packing.until = time.perf_counter() + AIMING * (until - time.perf_counter())
    packing.aim_at_fees(fees_of(batches, opened))
    packing.aim_below_steps()
    packing.until = time.perf_counter() + SAVING * (until - time.perf_counter())
    packing.cost_of_value = np.array(costs_of_value(batches, opened, move))
    packing.save()
    return packing.write_back(cartons)
