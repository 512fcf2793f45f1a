"""In which order to pack cartons, one at a time, so that one returns to a shelf as seldom as possible.

Each carton is filled walking along the shelves once. Going on to the next carton costs no way back where it begins at
the stop where the last one ended; so as many cartons as possible are joined end to beginning. At one stop every carton
that ends there can be joined to one that begins there, those that stay within the stop between the first two: that is
the most joins there can be, because none is in another's way, and no circle arises since stops never fall.
"""

from collections.abc import Sequence
from itertools import pairwise

Visit = Sequence[int]
"""The stops of one carton, rising."""


def order_to_pack(visits: Sequence[Visit]) -> list[int]:
    """The cartons' places in ``visits`` in the order to pack them. Chains begin with the one that begins first;
    cartons whose contents are not known come last."""
    following = _joined(visits)
    led_to = set(following.values())
    known = [carton for carton, stops in enumerate(visits) if stops and carton not in led_to]
    order: list[int] = []
    for first in sorted(known, key=lambda carton: (visits[carton][0], carton)):
        carton: int | None = first
        while carton is not None:
            order.append(carton)
            carton = following.get(carton)
    return order + [carton for carton, stops in enumerate(visits) if not stops]


def _joined(visits: Sequence[Visit]) -> dict[int, int]:
    """For each carton the one to pack after it without leaving the stop, where there is one."""
    ending: dict[int, list[int]] = {}
    beginning: dict[int, list[int]] = {}
    within: dict[int, list[int]] = {}
    for carton, stops in enumerate(visits):
        if stops and stops[0] == stops[-1]:
            within.setdefault(stops[0], []).append(carton)
        elif stops:
            beginning.setdefault(stops[0], []).append(carton)
            ending.setdefault(stops[-1], []).append(carton)
    following: dict[int, int] = {}
    for stop in sorted({*ending, *beginning, *within}):
        ends, begins = ending.get(stop, []), beginning.get(stop, [])
        chain = ends[:1] + within.get(stop, []) + begins[:1]
        following |= dict(pairwise(chain))
        following |= dict(zip(ends[1:], begins[1:], strict=False))
    return following


def returns(visits: Sequence[Visit], order: Sequence[int]) -> int:
    """How often, packing in this order, one comes back to a stop that was left before."""
    seen: set[int] = set()
    here, back = None, 0
    for carton in order:
        for stop in visits[carton]:
            if stop != here and stop in seen:
                back += 1
            seen.add(stop)
            here = stop
    return back
