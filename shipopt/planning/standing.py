"""Where copies may stand: by class of copy the rooms of cartons that may hold it, and its place along the shelf.

Called by ``swapping``, whose arrays these are.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from shipopt.move.move import Move
from shipopt.move.records import Record
from shipopt.move.rules import record_may_go
from shipopt.planning.kinds import needs
from shipopt.planning.opened import Copy, OpenCarton

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]
Flags = NDArray[np.bool_]


def stands_on_the_shelf(records: Sequence[Record]) -> Floats:
    """Where records stand on the shelf, from 0 to 1."""
    places = np.array([record.place for record in records], dtype=float)
    return np.asarray((places - places.min()) / max(1.0, float(np.ptp(places))))


def who_may_stand_where(
    copies: Sequence[Copy], cartons: Sequence[OpenCarton], rooms: Sequence[tuple[int, int]], move: Move
) -> tuple[Whole, Flags]:
    """The class of each copy, and by class which rooms it may stand in."""
    classes: dict[tuple[object, ...], int] = {}
    examples: list[Record] = []
    kind = []
    for record, _ in copies:
        key = needs(record)
        if key not in classes:
            classes[key] = len(classes)
            examples.append(record)
        kind.append(classes[key])
    able = np.zeros((len(examples), len(rooms)), dtype=bool)
    for number, record in enumerate(examples):
        fits = [
            carton.quote is not None
            and record.format.sleeve in carton.carton.sleeves
            and record_may_go(record, carton.quote, move)
            for carton in cartons
        ]
        able[number] = [fits[place] for place, _ in rooms]
    return np.array(kind), able
