"""The plan before this one, where a move is planned again: how each carton was to go then, and what that cost.

Read from the workbook that carries a plan on; asked by the planner, which changes only what saves something, and by
the results, which tell what has changed. Names may be of quotes and covers that are no longer offered.
"""

from dataclasses import dataclass, field
from decimal import Decimal

from shipopt.move.money import ZERO
from shipopt.move.origin import NOWHERE, Origin


@dataclass(frozen=True, slots=True)
class LastWay:
    """How one carton was to go: money in the move's currency, its shares of what its trip and its cover cost."""

    number: str
    quote: str
    trip: int = 1
    cover: str | None = None
    carriage: Decimal = ZERO
    cover_fee: Decimal = ZERO
    carton_price: Decimal = ZERO
    origin: Origin = field(default=NOWHERE, compare=False)

    @property
    def cost(self) -> Decimal:
        """Carriage, cover fee and carton."""
        return self.carriage + self.cover_fee + self.carton_price
