"""One move: everything a workbook says, in one value.

Made by the reader (or by a notebook); read by every later stage. Rows refer to each other by name, so that
a name of the workbook is the key everywhere; order is that of the workbook.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property

from shipopt.move.care import CareLevel
from shipopt.move.cartons import CartonType, FilledCarton
from shipopt.move.cover import Cover
from shipopt.move.last_plan import LastWay
from shipopt.move.quotes import Quote
from shipopt.move.records import Record
from shipopt.move.settings import Settings
from shipopt.move.words import Status


@dataclass(frozen=True)
class PackedAlready:
    """A carton that the user has closed. ``sent`` and ``arrived`` ones went by ``gone_by`` for ``paid``, under
    ``cover`` for ``cover_fee``; what a carton ``to go`` says of these means nothing. ``carton_paid`` is what its box
    cost."""

    filled: FilledCarton
    status: Status
    gone_by: str | None = None
    paid: Decimal = Decimal(0)
    cover: str | None = None
    cover_fee: Decimal = Decimal(0)
    carton_paid: Decimal = Decimal(0)


@dataclass(frozen=True)
class Move:
    """A whole move. ``records`` are in shelf order; those with ``packed_in`` are in cartons of ``packed``.
    ``last_plan`` is how cartons were to go by the plan before, empty where there is none."""

    settings: Settings
    records: tuple[Record, ...]
    cartons: Mapping[str, CartonType]
    quotes: Mapping[str, Quote]
    care: Mapping[str, CareLevel]
    covers: Mapping[str, Cover] = field(default_factory=dict)
    packed: tuple[PackedAlready, ...] = ()
    last_plan: tuple[LastWay, ...] = ()

    @cached_property
    def worth(self) -> Decimal:
        """What all records are worth together; money."""
        return sum((record.value * record.copies for record in self.records), Decimal(0))

    @cached_property
    def loose(self) -> tuple[Record, ...]:
        """Records that no closed carton holds, in shelf order."""
        return tuple(record for record in self.records if record.packed_in is None)

    @cached_property
    def to_go(self) -> tuple[FilledCarton, ...]:
        """Closed cartons that still have to travel."""
        return tuple(p.filled for p in self.packed if p.status is Status.TO_GO)

    @cached_property
    def gone(self) -> tuple[PackedAlready, ...]:
        """Closed cartons that are sent or have arrived."""
        return tuple(p for p in self.packed if p.status is not Status.TO_GO)
