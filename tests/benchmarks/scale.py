"""The scale of an invented move: its numbers are thought of in kilograms, centimetres and money per either.

A move in pounds and inches has the same numbers times round factors, so it is another move of the same kind, not the
same move converted.
"""

from dataclasses import dataclass
from decimal import Decimal

from shipopt.move.words import Units


@dataclass(frozen=True, slots=True)
class Scale:
    """Turns kilograms, centimetres and prices per either into decimals of the move's units."""

    units: Units

    @property
    def metric(self) -> bool:
        """Whether the move is in kilograms and centimetres."""
        return self.units is Units.KILOGRAM_CENTIMETRE

    @property
    def _pounds(self) -> float:
        return 1 if self.metric else 2.2

    def rounded_weight(self, weight: float) -> Decimal:
        """A weight of the move's units to two places, above zero."""
        return max(Decimal("0.01"), Decimal(f"{weight:.2f}"))

    def weight(self, kilograms: float) -> Decimal:
        """Kilograms, as a weight of the move to two places."""
        return self.rounded_weight(kilograms * self._pounds)

    def whole_weight(self, kilograms: float) -> Decimal:
        """Kilograms, as a whole weight of the move, at least 1."""
        return Decimal(max(1, round(kilograms * self._pounds)))

    def length(self, centimetres: float) -> Decimal:
        """Centimetres, as a length of the move (0.4 in to one) to two places."""
        return Decimal(f"{centimetres * (1 if self.metric else 0.4):.2f}")

    def price_by_weight(self, price: float) -> Decimal:
        """A price per kilogram, as one per weight unit, to three places."""
        return Decimal(f"{price / self._pounds:.3f}")

    def price_by_volume(self, price: float) -> Decimal:
        """A price per m³, as one per volume unit, to two places."""
        return Decimal(f"{price / (1 if self.metric else 35):.2f}")

    def volume(self, cubic_metres: float) -> Decimal:
        """Cubic metres, as a volume of the move to two places."""
        return Decimal(f"{cubic_metres * (1 if self.metric else 35):.2f}")
