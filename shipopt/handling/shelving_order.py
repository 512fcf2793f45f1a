"""In which order to open cartons at the new place, so that shelves are filled in their order with few cartons open.

A carton is open from the first record taken from it to the last. Shelves are filled one stop after another, so a carton
needed at two stops is open between them whatever one does; at a stop, cartons that end there are emptied first, then
those needed nowhere else one at a time, then those that go on are opened. No order of the same shelves has fewer open.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from shipopt.handling.packing_order import Visit


@dataclass(frozen=True, slots=True)
class Step:
    """At one stop: take what belongs there from one carton. ``open_now`` counts the cartons open meanwhile."""

    stop: int
    carton: int
    opens: bool
    empties: bool
    open_now: int


def steps_to_shelve(visits: Sequence[Visit]) -> list[Step]:
    """Every step in its order; cartons whose contents are not known have none."""
    wanted: dict[int, list[int]] = {}
    for carton, stops in enumerate(visits):
        for stop in stops:
            wanted.setdefault(stop, []).append(carton)
    steps: list[Step] = []
    open_now = 0
    for stop in sorted(wanted):
        for carton in sorted(wanted[stop], key=lambda carton: (_turn(visits[carton], stop), carton)):
            opens, empties = stop == visits[carton][0], stop == visits[carton][-1]
            open_now += opens
            steps.append(Step(stop, carton, opens, empties, open_now))
            open_now -= empties
    return steps


def _turn(stops: Visit, stop: int) -> int:
    """Open cartons that go on, open ones that end here, those needed only here, those that begin here."""
    opens, empties = stop == stops[0], stop == stops[-1]
    return 2 if opens and empties else 1 if empties else 3 if opens else 0


def most_open(steps: Sequence[Step]) -> int:
    """The most cartons that are open at once."""
    return max((step.open_now for step in steps), default=0)
