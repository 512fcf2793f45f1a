"""Corners: kinds for a floor in which every copy is alike, and nothing that a plan adds up is blurred.

A kind of ``kinds_of`` is a box: its copies weigh from so much to so much, and so for thickness and value. A copy in it
counts as shares of copies at the box's corners, as much of each as linear interpolation says: the shares sum to one
copy, and their weight, thickness and value to the copy's own. So every plan is a solution of a programme of corners,
with the plan's own sums; all that is given up is that shares of one copy may go apart. Called by the modules
``naming`` and ``outlines``, for floors, and ``guide_kinds``, for guides.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise, product

from shipopt.move.records import Record
from shipopt.planning.kinds import Kind, Measure, Size, kinds_of, needs

Corner = tuple[object, Size]
"""What rules ask of the copies, and their size."""


def corners_of(records: Sequence[Record], values_matter: bool, most: int) -> list[Kind]:
    """The corners of at most so many kinds of these records (unless rules tell more apart), each a kind of copies that
    are all alike. Kinds of one size that follow each other in value have a corner in common. Counts are fractions."""
    counts: dict[Corner, float] = {}
    smallest: dict[Corner, Size] = {}
    shared: set[Corner] = set()
    examples: dict[object, Record] = {}
    for kind, tops in _boxes(kinds_of(records, values_matter, most, by_size=True)):
        rules = needs(kind.example)
        examples.setdefault(rules, kind.example)
        for line in kind.lines:
            for corner, share in _shares(_size(line), kind.smallest, tops):
                key = rules, corner
                counts[key] = counts.get(key, 0.0) + share * line.copies
                if share < 1:
                    shared.add(key)
                smallest[key] = Size(*map(min, smallest.get(key, kind.smallest), kind.smallest))
    return [
        Kind(
            index=index,
            value_class=index,
            example=examples[rules],
            lines=(),
            count=count,
            weight=_alike(corner[0], count),
            thickness=_alike(corner[1], count),
            value=_alike(corner[2], count),
            smallest=smallest[rules, corner],
            whole=(rules, corner) not in shared,
        )
        for index, ((rules, corner), count) in enumerate(counts.items())
    ]


def _boxes(kinds: Sequence[Kind]) -> Iterator[tuple[Kind, Size]]:
    """Each kind with the top of its box: of kinds of one size the next one's least value."""
    by_size: dict[object, list[Kind]] = {}
    for kind in kinds:
        uniform = kind.weight.uniform and kind.thickness.uniform
        size = (needs(kind.example), kind.weight.least, kind.thickness.least) if uniform else kind.index
        by_size.setdefault(size, []).append(kind)
    for alike in by_size.values():
        alike.sort(key=lambda kind: kind.value.least)
        for kind, after in pairwise(alike):
            yield kind, Size(kind.weight.most, kind.thickness.most, after.value.least)
        last = alike[-1]
        yield last, Size(last.weight.most, last.thickness.most, last.value.most)


def _shares(copy: Size, bottoms: Size, tops: Size) -> Iterator[tuple[Size, float]]:
    """The corners of a box and the share of the copy that counts there."""
    sides = []
    for size, bottom, top in zip(copy, bottoms, tops, strict=True):
        high = (size - bottom) / (top - bottom) if top > bottom else 0.0
        sides.append([(bottom, 1.0 - high), (top, high)])
    for weight, thickness, value in product(*sides):
        share = weight[1] * thickness[1] * value[1]
        if share > 0:
            yield Size(weight[0], thickness[0], value[0]), share


def _size(record: Record) -> Size:
    return Size(float(record.weight), float(record.thickness), float(record.value))


def _alike(size: float, count: float) -> Measure:
    return Measure(size * count, size, size)
