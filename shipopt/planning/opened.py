"""A carton being filled: what is in it so far, and whether one more copy fits. Used by everything that packs."""

from dataclasses import dataclass, field
from decimal import Decimal

from shipopt.move.cartons import CartonType
from shipopt.move.money import ZERO
from shipopt.move.quotes import Quote
from shipopt.move.records import Record

Copy = tuple[Record, int]
"""One copy: its line and its number among the copies of that line, from 1."""


@dataclass(slots=True)
class OpenCarton:
    """A carton being filled, for a quote where that is known. ``room`` is that of each inner carton, ``most_weight``
    that of the contents."""

    quote: Quote | None
    carton: CartonType
    room: Decimal
    most_weight: Decimal
    most_value: Decimal
    copies: list[list[Copy]] = field(default_factory=list)
    stacks: list[Decimal] = field(default_factory=list)
    weight: Decimal = ZERO
    value: Decimal = ZERO

    def __post_init__(self) -> None:
        self.copies = [[] for _ in range(self.carton.inner_cartons)]
        self.stacks = [ZERO] * self.carton.inner_cartons

    @property
    def whole_room(self) -> Decimal:
        """Room of all inner cartons."""
        return self.room * self.carton.inner_cartons

    def inner_for(self, record: Record) -> int | None:
        """The first inner carton with room for one more such copy, or None."""
        return next((inner for inner in range(len(self.stacks)) if self.takes(record, inner)), None)

    def takes(self, record: Record, inner: int) -> bool:
        """Whether one more such copy fits in an inner carton."""
        return (
            self.stacks[inner] + record.thickness <= self.room
            and self.weight + record.weight <= self.most_weight
            and self.value + record.value <= self.most_value
        )

    def put(self, copy: Copy, inner: int) -> None:
        """Put a copy in an inner carton."""
        self.copies[inner].append(copy)
        self._count(copy[0], inner, 1)

    def take(self, inner: int, place: int) -> Copy:
        """Take a copy out again."""
        copy = self.copies[inner].pop(place)
        self._count(copy[0], inner, -1)
        return copy

    def empty(self) -> None:
        """Take every copy out."""
        for inner, copies in enumerate(self.copies):
            while copies:
                self.take(inner, len(copies) - 1)

    def _count(self, record: Record, inner: int, sign: int) -> None:
        self.stacks[inner] += sign * record.thickness
        self.weight += sign * record.weight
        self.value += sign * record.value
