"""Care levels: which means a record may travel by, and what its carrier must offer."""

from dataclasses import dataclass, field
from decimal import Decimal

from shipopt.move.origin import NOWHERE, Origin
from shipopt.move.words import Means


@dataclass(frozen=True, slots=True)
class CareLevel:
    """A row of the sheet Care. ``most_loss_chance`` is a fraction, None for no limit."""

    name: str
    means: frozenset[Means]
    needs_closed_body: bool = False
    needs_temperature_held: bool = False
    needs_tracking: bool = False
    needs_sole_use: bool = False
    most_loss_chance: Decimal | None = None
    origin: Origin = field(default=NOWHERE, compare=False)
