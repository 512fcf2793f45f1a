"""Carton types, and cartons filled with records.

A ``CartonType`` is a row of the sheet Cartons (also bags and totes). A ``FilledCarton`` is one real carton
with its contents; its weight, value and stack are stored sums, so that a carton closed by the user, of which
only the total is known, is the same kind of thing. Lengths, weights and money are in the move's units.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from functools import cached_property

from shipopt.move.money import ZERO
from shipopt.move.origin import NOWHERE, Origin
from shipopt.move.records import Record


@dataclass(frozen=True)
class CartonType:
    """A kind of carton. ``stack_length`` is the usable length along which records stand, over all inner cartons."""

    name: str
    sleeves: tuple[str, ...]
    stack_length: Decimal
    length: Decimal
    width: Decimal
    height: Decimal
    empty_weight: Decimal
    inner_cartons: int = 1
    gross_limit: Decimal | None = None
    price: Decimal = ZERO
    on_hand: int = 0
    most: int | None = None
    damage_factor: Decimal = Decimal(1)
    edge_crush: Decimal | None = None
    """Of its board, in lb/in or kN/m; None where the grade is not known."""
    board_thickness: Decimal | None = None
    origin: Origin = field(default=NOWHERE, compare=False)

    def __post_init__(self) -> None:
        if self.inner_cartons < 1 or self.stack_length <= 0:
            raise ValueError(f"carton {self.name!r}: at least one inner carton and a stack length above zero")
        if min(self.length, self.width, self.height) <= 0 or self.empty_weight < 0:
            raise ValueError(f"carton {self.name!r}: outside sizes are above zero, empty weight is not negative")

    def __hash__(self) -> int:
        return hash(self.name)

    @cached_property
    def sides(self) -> tuple[Decimal, Decimal, Decimal]:
        """Outside lengths, the longest first."""
        longest, middle, shortest = sorted((self.length, self.width, self.height), reverse=True)
        return longest, middle, shortest

    @cached_property
    def length_plus_girth(self) -> Decimal:
        """Longest side + 2 × (sum of the other two)."""
        longest, middle, shortest = self.sides
        return longest + 2 * (middle + shortest)

    @cached_property
    def small_volume(self) -> Decimal:
        """Outside volume in cubic length units (cu in or cm³), sizes as given."""
        return self.length * self.width * self.height

    @cached_property
    def rounded_small_volume(self) -> Decimal:
        """Outside volume in cubic length units with each length rounded half up to the nearest whole unit."""
        whole = [side.quantize(Decimal(1), rounding=ROUND_HALF_UP) for side in self.sides]
        return whole[0] * whole[1] * whole[2]

    def room_in_each(self, fill_most: Decimal) -> Decimal:
        """Stack length that may be filled in each inner carton, at a fraction ``fill_most`` of the whole."""
        return self.stack_length * fill_most / self.inner_cartons


@dataclass(frozen=True, slots=True)
class Portion:
    """Copies ``first`` to ``first + copies - 1`` (from 1) of a record line, in one inner carton (from 1)."""

    record: Record
    first: int
    copies: int
    inner: int = 1


@dataclass(frozen=True)
class FilledCarton:
    """One carton with what is in it. ``care`` is sorted; ``recordings_only`` is true if every item is known
    to be a sound recording. ``closed_by_user`` marks a carton of the sheet Packed already."""

    number: str
    carton: CartonType
    portions: tuple[Portion, ...]
    records: int
    gross_weight: Decimal
    value: Decimal
    stack: Decimal
    care: tuple[str, ...]
    recordings_only: bool
    must_go_by: tuple[str, ...] = ()
    closed_by_user: bool = False
    origin: Origin = field(default=NOWHERE, compare=False)

    def __hash__(self) -> int:
        return hash((self.number, self.carton.name, self.gross_weight, self.value))

    @property
    def fill(self) -> Decimal:
        """Σ thickness ÷ stack length, a fraction."""
        return self.stack / self.carton.stack_length


def filled(number: str, carton: CartonType, portions: Sequence[Portion]) -> FilledCarton:
    """The carton that holds these portions, its totals summed from them."""
    return FilledCarton(
        number=number,
        carton=carton,
        portions=tuple(portions),
        records=sum(p.copies for p in portions),
        gross_weight=carton.empty_weight + sum((p.record.weight * p.copies for p in portions), ZERO),
        value=sum((p.record.value * p.copies for p in portions), ZERO),
        stack=sum((p.record.thickness * p.copies for p in portions), ZERO),
        care=tuple(sorted({p.record.care for p in portions})),
        recordings_only=all(p.record.format.sound_recording for p in portions),
        must_go_by=tuple(sorted({p.record.must_go_by for p in portions if p.record.must_go_by})),
    )
