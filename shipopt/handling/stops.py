"""Stops along the shelves: what one stands in front of at a time, counted in shelf order.

Neighbouring records of one shelf label are one stop; a record without a label is a stop of its own, since only its
row says where it stands. Used to put cartons in order for packing and for shelving.
"""

from collections.abc import Sequence

from shipopt.move.cartons import FilledCarton
from shipopt.move.records import Record


def stops_of(records: Sequence[Record]) -> dict[int, int]:
    """The stop of each record's place, counted from 0 in shelf order."""
    found: dict[int, int] = {}
    stop, label = -1, None
    for record in sorted(records, key=lambda record: record.place):
        if not record.shelf or record.shelf != label:
            stop, label = stop + 1, record.shelf
        found[record.place] = stop
    return found


def visited(filled: FilledCarton, stops: dict[int, int]) -> list[int]:
    """The stops that a carton's records come from, in shelf order, each once; empty where they are not known."""
    return sorted({stops[portion.record.place] for portion in filled.portions if portion.record.place in stops})
