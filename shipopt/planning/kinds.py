"""Kinds of loose records: copies that the aggregate programme may treat as one divisible quantity.

Copies of a kind obey the same rules (sleeve, care, sound recording, Must go by) and are near in weight,
thickness and value. A kind keeps the sum of each measure and the least and most of one copy, so that a
programme can hand out sums that some real choice of copies could have: nothing is averaged over a kind.
"""

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from shipopt.move.cartons import CartonType
from shipopt.move.move import Move
from shipopt.move.quotes import Quote
from shipopt.move.records import Record
from shipopt.move.rules import carton_refusal, cartons_for, most_gross_weight, record_may_go

FOR_A_FLOOR, FOR_A_GUIDE = 60, 120
"""Classes of weight, thickness and value are widened until there are at most this many kinds, if rules allow. A floor
is asked of every quote, a guide only of those that are booked, so it can afford more."""

VALUE_RATIO = 1.2
"""Classes of value are so much wider than those of weight and thickness."""

FEW_LINES = 40
"""Where so few lines have the same needs (the treasures, the guarded ones), each line is a kind of its own."""


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


@dataclass(frozen=True, slots=True)
class Kind:
    """Records of one kind, as lines in shelf order; ``value_class`` is the index of its class of value."""

    index: int
    value_class: int
    lines: tuple[Record, ...]
    count: int
    weight: Measure
    thickness: Measure
    value: Measure

    @property
    def example(self) -> Record:
        """Any record of the kind: all obey the same rules."""
        return self.lines[0]

    def may_go(self, quote: Quote, move: Move) -> bool:
        """Whether the quote may carry records of this kind."""
        return record_may_go(self.example, quote, move)

    def cartons(self, quote: Quote, move: Move) -> list[CartonType]:
        """Carton types in which at least one copy of the kind may go by the quote."""
        return [
            carton
            for carton in cartons_for(self.example.format.sleeve, move)
            if carton_refusal(carton, quote) is None
            and self.thickness.least <= float(carton.room_in_each(move.settings.fill_most)) + 1e-12
            and self.weight.least + float(carton.empty_weight)
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
    def count(self) -> int:
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
    records: Sequence[Record], values_matter: bool, most: int = FOR_A_FLOOR, *, each_a_class: bool = False
) -> list[Kind]:
    """The kinds of these records, at most so many; they are told apart by value only where some rule or price looks at
    values. A class of value holds kinds of one sleeve, or, if asked, one kind."""
    ratio = 1.2
    few = {key for key, number in Counter(_needs(record) for record in records).items() if number <= FEW_LINES}
    while True:
        groups: dict[tuple[object, ...], list[Record]] = {}
        for record in records:
            key = (record.place,) if _needs(record) in few else _key(record, ratio, values_matter)
            groups.setdefault(key, []).append(record)
        if len(groups) <= most or ratio > 20:
            break
        ratio **= 1.5
    classes: dict[tuple[object, ...], int] = {}
    kinds = []
    for index, lines in enumerate(groups.values()):
        value = _size_class(float(lines[0].value), ratio * VALUE_RATIO) if values_matter else None
        own = lines[0].place if each_a_class or _needs(lines[0]) in few else None
        key = (lines[0].format.sleeve, value, own)
        kinds.append(_kind(index, classes.setdefault(key, len(classes)), lines))
    return kinds


def _needs(record: Record) -> tuple[object, ...]:
    return (record.care, record.format.sound_recording, record.must_go_by)


def _key(record: Record, ratio: float, values_matter: bool) -> tuple[object, ...]:
    return (
        record.format.sleeve,
        *_needs(record),
        _size_class(float(record.weight), ratio),
        _size_class(float(record.thickness), ratio),
        _size_class(float(record.value), ratio * VALUE_RATIO) if values_matter else None,
    )


def _size_class(size: float, ratio: float) -> int | None:
    """The class of a size: classes are a constant ratio wide, and nothing at all is a class of its own."""
    return math.floor(math.log(size) / math.log(ratio) + 1e-9) if size > 0 else None


def _kind(index: int, value_class: int, lines: list[Record]) -> Kind:
    return Kind(
        index=index,
        value_class=value_class,
        lines=tuple(lines),
        count=sum(record.copies for record in lines),
        weight=_measure((float(record.weight), record.copies) for record in lines),
        thickness=_measure((float(record.thickness), record.copies) for record in lines),
        value=_measure((float(record.value), record.copies) for record in lines),
    )


def _measure(sizes: Iterable[tuple[float, int]]) -> Measure:
    pairs = list(sizes)
    return Measure(
        total=sum(size * copies for size, copies in pairs),
        least=min(size for size, _ in pairs),
        most=max(size for size, _ in pairs),
    )
