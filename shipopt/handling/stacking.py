"""How many cartons may stand on each other, from the board's edge crush, its thickness, and the carton's size.

Strength by the simplified formula of McKee, Gander & Wachuta, "Compression strength formula for corrugated boxes",
Paperboard Packaging 48(8), 1963 (from memory): 5.87 × edge crush × √(thickness × perimeter), for a plain slotted carton
that stands on its base. What is left of it in use follows multipliers of the Fibre Box Handbook (from memory).
"""

from bisect import bisect_left
from dataclasses import dataclass
from decimal import Decimal

from shipopt.move.cartons import CartonType
from shipopt.move.money import ZERO
from shipopt.move.words import Units

MCKEE = Decimal("5.87")
STANDARD_GRAVITY = Decimal("9.80665")
"""m/s²; Bureau International des Poids et Mesures, The International System of Units, 9th edition, 2019: kN ÷ this is a
load of so many tonnes."""

# Share of the strength that is left (Fibre Box Handbook, from memory): days under load up to, relative humidity up to.
DAYS = ((10, "0.63"), (30, "0.60"), (90, "0.55"), (180, "0.50"))
HUMIDITY = (("0.5", "1.00"), ("0.6", "0.90"), ("0.7", "0.80"), ("0.8", "0.68"), ("0.9", "0.48"), ("1", "0.15"))
NOT_QUITE_IN_LINE = Decimal("0.85")
"""Columns of cartons that do not stand exactly on each other: 0.85 to 0.90 (same source), the lower one here."""
ROUGH_HANDLING = Decimal("0.75")
"""Much handling on the way: 0.60 to 0.90 (same source), the middle here."""

HIGHEST_STACK = {Units.POUND_INCH: Decimal(60), Units.KILOGRAM_CENTIMETRE: Decimal(150)}
"""The top of a stack that people still reach without stretching (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Stack:
    """How cartons of one kind may stand. ``strength`` and ``safe_load`` are weights on the bottom carton, None where
    its board is not known; ``high`` counts cartons, the bottom one among them."""

    strength: Decimal | None
    safe_load: Decimal | None
    high: int
    limited_by_reach: bool


def compression_strength(edge_crush: Decimal, thickness: Decimal, perimeter: Decimal, units: Units) -> Decimal:
    """The load that crushes an empty carton: lb from lb/in and in; kg from kN/m and cm."""
    strength = MCKEE * edge_crush * (thickness * perimeter).sqrt()
    if units is Units.POUND_INCH:
        return strength
    return strength / 100 * 1000 / STANDARD_GRAVITY  # cm to m under the root's pair; kN to kg


def share_left(days: int, humidity: Decimal) -> Decimal:
    """What days under load and damp air (a fraction) leave of the strength; nothing beyond the tables' ends."""
    return _step(DAYS, Decimal(days)) * _step(HUMIDITY, humidity)


def _step(table: tuple[tuple[object, str], ...], value: Decimal) -> Decimal:
    at = bisect_left([Decimal(str(up_to)) for up_to, _ in table], value)
    return Decimal(table[at][1]) if at < len(table) else ZERO


def stack(carton: CartonType, heaviest: Decimal, share: Decimal, units: Units) -> Stack:
    """How cartons of this kind, none heavier than ``heaviest``, may stand, ``share`` of their strength being left."""
    by_reach = max(1, int(HIGHEST_STACK[units] // carton.height))
    if carton.edge_crush is None or carton.board_thickness is None:
        return Stack(None, None, by_reach, True)
    perimeter = 2 * (carton.length + carton.width)
    strength = compression_strength(carton.edge_crush, carton.board_thickness, perimeter, units)
    safe = strength * share * NOT_QUITE_IN_LINE * ROUGH_HANDLING
    by_load = 1 + int(safe // heaviest) if heaviest else by_reach
    return Stack(strength, safe, min(by_load, by_reach), by_reach <= by_load)
