"""Every carton that a tiny collection could fill, as candidates: then the carton programme decides the packing too.

Record lines that obey the same rules and have the same sizes and value are one item with many copies. Only sensible
for about ten records; ``candidates_of`` says None for more, and the aggregate programme takes over.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from itertools import product
from math import prod

from shipopt.move.cartons import CartonType, FilledCarton, Portion, filled
from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.records import Record
from shipopt.planning.programme import Candidate

MOST_CONTENTS = 1_100
"""At most this many different contents of a carton are listed: about ten different records."""

Layout = tuple[tuple[int, int, int], ...]
"""What stands where: (item, copies, inner carton from 1)."""


class EveryCarton:
    """The items of a tiny collection, every carton they could fill, and how to make real cartons of those chosen."""

    def __init__(self, move: Move) -> None:
        self.lines = _alike(move.loose)
        self.items = [sum(record.copies for record in lines) for lines in self.lines]
        self.candidates: list[Candidate] = []
        self._layouts: list[Layout] = []
        for contents in product(*(range(count + 1) for count in self.items)):
            if any(contents):
                for carton in move.cartons.values():
                    self._offer(carton, contents, move)

    def _offer(self, carton: CartonType, contents: Sequence[int], move: Move) -> None:
        examples = [lines[0] for lines in self.lines]
        chosen = [(item, copies) for item, copies in enumerate(contents) if copies]
        if any(examples[item].format.sleeve not in carton.sleeves for item, _ in chosen):
            return
        weight = carton.empty_weight + sum((examples[i].weight * n for i, n in chosen), ZERO)
        limit = carton.gross_limit
        if weight > move.settings.heaviest_carton or (limit is not None and weight > limit):
            return
        layout = _lay_out(chosen, examples, carton, carton.room_in_each(move.settings.fill_most))
        if layout is None:
            return
        example = filled("", carton, [Portion(examples[item], 1, n, inner) for item, n, inner in layout])
        times = min(self.items[item] // copies for item, copies in chosen)
        self.candidates.append(Candidate(example, dict(chosen), times))
        self._layouts.append(layout)

    def fill(self, chosen: Sequence[int]) -> list[FilledCarton]:
        """Real cartons for the chosen candidates (places in ``candidates``), copies handed out in shelf order.

        RuntimeError if a solution, rounded, packs more copies than there are: fewer, the audit finds.
        """
        wanted = [sum(self.candidates[place].holds.get(item, 0) for place in chosen) for item in range(len(self.items))]
        if any(number > count for number, count in zip(wanted, self.items, strict=True)):
            raise RuntimeError("the solver's solution, rounded, packs a copy twice; nothing is made of it")
        stock = [_copies(lines) for lines in self.lines]
        cartons = []
        for place in chosen:
            portions = []
            for item, copies, inner in self._layouts[place]:
                for _ in range(copies):
                    record, number = next(stock[item])
                    portions.append(Portion(record, number, 1, inner))
            carton = self.candidates[place].filled.carton
            cartons.append(filled("", carton, _joined(portions)))
        return cartons


def is_tiny(move: Move) -> bool:
    """Whether every carton that the loose records could fill may be listed."""
    counts = (sum(record.copies for record in lines) for lines in _alike(move.loose))
    return prod(count + 1 for count in counts) <= MOST_CONTENTS


def _alike(records: Sequence[Record]) -> list[list[Record]]:
    groups: dict[tuple[object, ...], list[Record]] = {}
    for record in records:
        key = (
            record.format.sleeve,
            record.format.sound_recording,
            record.care,
            record.must_go_by,
            record.weight,
            record.thickness,
            record.value,
        )
        groups.setdefault(key, []).append(record)
    return list(groups.values())


def _lay_out(
    chosen: Sequence[tuple[int, int]], examples: Sequence[Record], carton: CartonType, room: Decimal
) -> Layout | None:
    """How the contents stand in the inner cartons, or None if they do not fit: every way is tried."""
    copies = [item for item, count in chosen for _ in range(count)]
    copies.sort(key=lambda item: -examples[item].thickness)
    stacks = [ZERO] * carton.inner_cartons
    places: list[int] = []

    def settle(next_copy: int) -> bool:
        if next_copy == len(copies):
            return True
        thickness = examples[copies[next_copy]].thickness
        for inner in range(len(stacks)):
            # An inner carton as full as an earlier one would only repeat what was tried there.
            if stacks[inner] + thickness <= room and stacks[inner] not in stacks[:inner]:
                stacks[inner] += thickness
                places.append(inner)
                if settle(next_copy + 1):
                    return True
                places.pop()
                stacks[inner] -= thickness
        return False

    if not settle(0):
        return None
    counts: dict[tuple[int, int], int] = {}
    for item, inner in zip(copies, places, strict=True):
        counts[inner, item] = counts.get((inner, item), 0) + 1
    return tuple((item, count, inner + 1) for (inner, item), count in sorted(counts.items()))


def _copies(lines: Sequence[Record]) -> Iterator[tuple[Record, int]]:
    for record in lines:
        for number in range(1, record.copies + 1):
            yield record, number


def _joined(portions: list[Portion]) -> list[Portion]:
    """Portions in shelf order, neighbouring copies of a line as one."""
    joined: list[Portion] = []
    for portion in sorted(portions, key=lambda p: (p.inner, p.record.place, p.first)):
        last = joined[-1] if joined else None
        if (
            last
            and (last.inner, last.record) == (portion.inner, portion.record)
            and last.first + last.copies == portion.first
        ):
            joined[-1] = replace(last, copies=last.copies + portion.copies)
        else:
            joined.append(portion)
    return joined
