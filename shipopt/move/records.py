"""Records and their formats.

A record row is a line of the collection: one record, or many copies that are alike. Weights and
thicknesses are those of one copy as it will travel (jacket, disc and whatever the row says), already
resolved from the format; values are money for one copy.
"""

from dataclasses import dataclass, field
from decimal import Decimal

from shipopt.move.origin import NOWHERE, Origin


@dataclass(frozen=True, slots=True)
class Format:
    """A kind of record: LP, double LP, 7-inch. Thickness with its disc outside applies where a record says so."""

    name: str
    sleeve: str
    weight: Decimal
    thickness: Decimal
    thickness_disc_outside: Decimal
    value: Decimal | None = None
    sound_recording: bool = True
    origin: Origin = NOWHERE

    def __post_init__(self) -> None:
        if self.weight <= 0 or self.thickness <= 0 or self.thickness_disc_outside <= 0:
            raise ValueError(f"format {self.name!r}: weight and thickness are above zero")


@dataclass(frozen=True, slots=True)
class Record:
    """A line of the collection: ``copies`` records alike, standing at one place of the shelves.

    ``place`` is the row's place in shelf order, counted from 0; ``shelf`` the label printed on lists.
    """

    record_id: str
    format: Format
    care: str
    value: Decimal
    weight: Decimal
    thickness: Decimal
    place: int = 0
    copies: int = 1
    artist: str = ""
    title: str = ""
    grade: str = ""
    shelf: str = ""
    disc_outside: bool = False
    must_go_by: str | None = None
    packed_in: str | None = None
    notes: str = ""
    origin: Origin = field(default=NOWHERE, compare=False)

    def __post_init__(self) -> None:
        if self.copies < 1:
            raise ValueError(f"record {self.record_id!r}: at least one copy")
        if self.value < 0 or self.weight <= 0 or self.thickness <= 0:
            raise ValueError(f"record {self.record_id!r}: value is not negative, weight and thickness above zero")
