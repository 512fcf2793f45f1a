"""Kinds of loose records: copies that the aggregate programme may treat as one divisible quantity.

Copies of a kind obey the same rules (sleeve, care, sound recording, Must go by) and are near in weight,
thickness and value. A kind keeps the sum of each measure and the least and most of one copy, so that a
programme can hand out sums that some real choice of copies could have: nothing is averaged over a kind.
"""

import heapq
import math
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate
from math import inf
from typing import NamedTuple

from shipopt.move.cartons import CartonType
from shipopt.move.move import Move
from shipopt.move.quotes import Quote
from shipopt.move.records import Record
from shipopt.move.rules import carton_refusal, cartons_for, most_gross_weight, record_may_go

AT_FIRST_SIGHT, FOR_NAMING = 20, 20
"""At first sight, and to name further outlines, at most so many kinds, unless rules tell more apart. More say little
more, and take far longer."""

FOR_A_QUICK_GUIDE, FOR_A_GUIDE, FOR_A_FINE_GUIDE, A_COPY, MOST_FOR_A_GUIDE = 30, 60, 120, 0.03, 600
"""Guides tell so many kinds apart, averages first (few of them where there is little time), then corners; or so many
for each copy of a large collection, which needs finer ones (20,000 copies: 3,090 with 60 kinds, 3,078 with 240, 3,075
with 600) and is sooner solved."""

FOR_A_PROOF = (40, 80, 160, 240, 480, 960)
"""A proof about an outline is tried with the corners of few kinds first, which may do, then of more."""

COMMON = 0.01
"""Copies of one weight and thickness that are this share of all are a kind without blur in either."""

CLASS_RATIO = 1.5
"""How wide a class of value is."""


@dataclass(frozen=True, slots=True)
class Measure:
    """A measure (weight, thickness or value) over a kind: the sum, and the least and most of one copy."""

    total: float
    least: float
    most: float

    @property
    def uniform(self) -> bool:
        """Whether every copy has the same."""
        return self.least == self.most


class Size(NamedTuple):
    """Weight, thickness and value of one copy."""

    weight: float
    thickness: float
    value: float


@dataclass(frozen=True, slots=True)
class Kind:
    """Records of one kind, as lines in shelf order; ``value_class`` is the index of its class of value. Any record of
    the kind is an ``example``: all obey the same rules. ``smallest`` has the least weight, thickness and value of any
    copy that counts here, and decides where a copy may go. A corner (see the module corners) has no lines of its own,
    and counts shares of copies where it is not ``whole``."""

    index: int
    value_class: int
    example: Record
    lines: tuple[Record, ...]
    count: float
    weight: Measure
    thickness: Measure
    value: Measure
    smallest: Size
    whole: bool = True

    def may_go(self, quote: Quote, move: Move) -> bool:
        """Whether the quote may carry records of this kind."""
        return record_may_go(self.example, quote, move)

    def cartons(self, quote: Quote, move: Move) -> list[CartonType]:
        """Carton types in which at least one copy of the kind may go by the quote."""
        return [
            carton
            for carton in cartons_for(self.example.format.sleeve, move)
            if carton_refusal(carton, quote) is None
            and self.smallest.thickness <= float(carton.room_in_each(move.settings.fill_most)) + 1e-12
            and self.smallest.weight + float(carton.empty_weight)
            <= float(most_gross_weight(carton, quote, move.settings)) + 1e-12
        ]


@dataclass(frozen=True, slots=True)
class ValueClass:
    """Kinds of the same sleeve and about the same value, which are handed to modes of cover together."""

    index: int
    kinds: tuple[Kind, ...]
    value: Measure
    least_thickness: float
    least_weight: float

    @property
    def sleeve(self) -> str:
        """The sleeve of all its records."""
        return self.kinds[0].example.format.sleeve

    @property
    def count(self) -> float:
        """How many copies it has."""
        return sum(kind.count for kind in self.kinds)


def value_classes(kinds: Sequence[Kind]) -> list[ValueClass]:
    """The classes of value of these kinds, in the order of their indices."""
    groups: dict[int, list[Kind]] = {}
    for kind in kinds:
        groups.setdefault(kind.value_class, []).append(kind)
    return [
        ValueClass(
            index=index,
            kinds=tuple(members),
            value=Measure(
                total=sum(kind.value.total for kind in members),
                least=min(kind.value.least for kind in members),
                most=max(kind.value.most for kind in members),
            ),
            least_thickness=min(kind.thickness.least for kind in members),
            least_weight=min(kind.weight.least for kind in members),
        )
        for index, members in sorted(groups.items())
    ]


def kinds_of(
    records: Sequence[Record],
    values_matter: bool,
    most: int = AT_FIRST_SIGHT,
    *,
    by_size: bool = False,
) -> list[Kind]:
    """The kinds of these records, in shelf order of their first lines. A class of value holds kinds of one sleeve and
    about one value.

    Records that rules tell apart are never of a kind, nor, ``by_size``, are those of a common weight and thickness and
    others: that pays where values count for little. Then, until there are ``most`` kinds, the kind that blurs most is
    cut in two: the one whose copies differ most in weight, thickness or (where some rule or price looks at values)
    value, as a share of the whole collection's.
    """
    measures = ["weight", "thickness", "value"] if values_matter else ["weight", "thickness"]
    totals = {name: sum(_sizes(records, name)) or 1.0 for name in measures}
    groups = _told_apart(records, _common_sizes(records) if by_size else set())
    heap = [_blur(lines, totals) for lines in groups.values()]
    heapq.heapify(heap)
    while heap and heap[0].blur < 0 and len(heap) < most:
        widest = heapq.heappop(heap)
        for part in _cut(widest.lines, widest.by):
            heapq.heappush(heap, _blur(part, totals))
    classes: dict[tuple[object, ...], int] = {}
    kinds = []
    for index, group in enumerate(sorted(heap, key=lambda group: group.first)):
        kind = _kind(index, 0, sorted(group.lines, key=lambda record: record.place))
        worth = _size_class(kind.value.total / kind.count, CLASS_RATIO) if values_matter else None
        key = (kind.example.format.sleeve, worth)
        kinds.append(replace(kind, value_class=classes.setdefault(key, len(classes))))
    return kinds


def for_a_guide(kinds: int, records: Sequence[Record]) -> int:
    """How many kinds a guide for these records tells apart, if it is so many for a small collection."""
    return max(kinds, min(MOST_FOR_A_GUIDE, round(A_COPY * sum(record.copies for record in records))))


def _told_apart(records: Sequence[Record], common: set[tuple[object, ...]]) -> dict[tuple[object, ...], list[Record]]:
    """The records by what rules ask of them, those of each of these sizes by themselves."""
    groups: dict[tuple[object, ...], list[Record]] = {}
    for record in records:
        size = (*needs(record), record.weight, record.thickness)
        groups.setdefault((*needs(record), size if size in common else None), []).append(record)
    return groups


class _Group(NamedTuple):
    """Lines of a kind to be, the one that blurs most first: less than nothing, by which measure, the first line."""

    blur: float
    first: int
    by: str
    lines: list[Record]


def _blur(lines: list[Record], totals: Mapping[str, float]) -> _Group:
    count = sum(record.copies for record in lines)
    blurs = []
    for name, total in totals.items():
        sizes = [float(getattr(record, name)) for record in lines]
        blurs.append((-(max(sizes) - min(sizes)) * count / total, name))
    blur, by = min(blurs)
    return _Group(blur, min(record.place for record in lines), by, lines)


def _cut(lines: list[Record], by: str) -> tuple[list[Record], list[Record]]:
    """The lines in two parts by a measure, so that the sum of copies × range of the two is least."""
    ordered = sorted(lines, key=lambda record: (getattr(record, by), record.place))
    sizes = [float(getattr(record, by)) for record in ordered]
    below = list(accumulate(record.copies for record in ordered))
    best, place = inf, 1
    for cut in range(1, len(ordered)):
        if sizes[cut] > sizes[cut - 1]:
            blur = below[cut - 1] * (sizes[cut - 1] - sizes[0]) + (below[-1] - below[cut - 1]) * (
                sizes[-1] - sizes[cut]
            )
            if blur < best:
                best, place = blur, cut
    return ordered[:place], ordered[place:]


def _sizes(records: Sequence[Record], name: str) -> Iterator[float]:
    return (float(getattr(record, name)) * record.copies for record in records)


def averaged(kinds: Sequence[Kind]) -> list[Kind]:
    """The same kinds with every copy as heavy, thick and dear as the average: for a guide, never for a floor."""

    def average(measure: Measure, count: float) -> Measure:
        return Measure(measure.total, measure.total / count, measure.total / count)

    def of_averages(kind: Kind) -> Kind:
        weight, thickness, value = (
            average(measure, kind.count) for measure in (kind.weight, kind.thickness, kind.value)
        )
        smallest = Size(weight.least, thickness.least, value.least)
        return replace(kind, weight=weight, thickness=thickness, value=value, smallest=smallest)

    return [of_averages(kind) for kind in kinds]


def needs(record: Record) -> tuple[object, ...]:
    """What rules ask of a record: records that differ in this are never of a kind."""
    return (record.format.sleeve, record.care, record.format.sound_recording, record.must_go_by)


def _common_sizes(records: Sequence[Record]) -> set[tuple[object, ...]]:
    """The weights and thicknesses, by what rules ask, that many copies share."""
    copies: Counter[tuple[object, ...]] = Counter()
    for record in records:
        copies[*needs(record), record.weight, record.thickness] += record.copies
    least = COMMON * copies.total()
    return {size for size, number in copies.items() if number >= least}


def _size_class(size: float, ratio: float) -> int | None:
    """The class of a size: classes are a constant ratio wide, and nothing at all is a class of its own."""
    return math.floor(math.log(size) / math.log(ratio) + 1e-9) if size > 0 else None


def _kind(index: int, value_class: int, lines: list[Record]) -> Kind:
    weight, thickness, value = (
        _measure((float(getattr(record, name)), record.copies) for record in lines)
        for name in ("weight", "thickness", "value")
    )
    return Kind(
        index=index,
        value_class=value_class,
        example=lines[0],
        lines=tuple(lines),
        count=sum(record.copies for record in lines),
        weight=weight,
        thickness=thickness,
        value=value,
        smallest=Size(weight.least, thickness.least, value.least),
    )


def _measure(sizes: Iterable[tuple[float, int]]) -> Measure:
    pairs = list(sizes)
    return Measure(
        total=sum(size * copies for size, copies in pairs),
        least=min(size for size, _ in pairs),
        most=max(size for size, _ in pairs),
    )
