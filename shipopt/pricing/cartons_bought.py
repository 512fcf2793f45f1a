"""Cartons to buy: those used beyond the ones on hand.

Cartons that the user has closed already have their box and take none of those on hand. Called by total.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from shipopt.move.cartons import CartonType, FilledCarton
from shipopt.move.move import Move
from shipopt.pricing.exact import settle


@dataclass(frozen=True, slots=True)
class CartonsBought:
    """One carton type in use: how many are filled, how many of these are to be bought, and for how much."""

    carton: CartonType
    used: int
    bought: int
    amount: Decimal


def cartons_bought(move: Move, cartons: Sequence[FilledCarton]) -> tuple[CartonsBought, ...]:
    """Carton types in use, in the workbook's order, each amount rounded half up once."""
    used: dict[str, int] = {}
    for filled in cartons:
        if not filled.closed_by_user:
            used[filled.carton.name] = used.get(filled.carton.name, 0) + 1
    return tuple(_bought(carton, used[name], move) for name, carton in move.cartons.items() if name in used)


def _bought(carton: CartonType, used: int, move: Move) -> CartonsBought:
    bought = max(0, used - carton.on_hand)
    return CartonsBought(carton, used, bought, settle(bought * Fraction(carton.price), move.settings.currency))
