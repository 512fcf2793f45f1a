"""Care levels: which means a record may travel by, and what its carrier must offer."""

from collections.abc import Iterable
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

    @property
    def needs(self) -> int:
        """How many of the four things it needs of a quote."""
        return sum((self.needs_closed_body, self.needs_temperature_held, self.needs_tracking, self.needs_sole_use))


def strictest(levels: Iterable[CareLevel]) -> CareLevel | None:
    """The strictest of some care levels: fewest means allowed, then most needs, then the lowest loss chance, then the
    first given; None of none. What lists show for a carton, which must meet the needs of all."""

    def freedom(level: CareLevel) -> tuple[int, int, Decimal]:
        chance = Decimal(1) if level.most_loss_chance is None else level.most_loss_chance
        return len(level.means), -level.needs, chance

    return min(levels, key=freedom, default=None)
