"""The cartons of an invented move: for LPs, singles and 10-inch records, a large mixed one, a double-walled one with
two inner cartons, and the bag that is carried on.
"""

from decimal import Decimal
from random import Random
from typing import Any

from benchmarks.scale import Scale
from shipopt.move.cartons import CartonType

BAG = "carry bag"


def boxes(rng: Random, scale: Scale, stack: float) -> dict[str, CartonType]:
    """Carton types for a collection that stands so long; some of the cheap ones are on hand."""
    needed = stack / float(scale.length(31.5))

    def box(name: str, sleeves: str, room: float, sides: tuple[int, int, int], empty: float, **given: Any) -> None:
        length, width, height = (scale.length(side) for side in sides)
        found[name] = CartonType(
            name=name,
            sleeves=tuple(sleeves.split(";")),
            stack_length=scale.length(room),
            length=length,
            width=width,
            height=height,
            empty_weight=scale.weight(empty),
            **given,
        )

    def price(low: float, high: float) -> Decimal:
        return Decimal(round(rng.uniform(low, high) * 20)) / 20

    def on_hand(share: float) -> int:
        return round(needed * rng.uniform(0, share)) if rng.random() < 0.6 else 0

    found: dict[str, CartonType] = {}
    everything = "12;10;7;box set"
    lp_limit = scale.whole_weight(25)
    box("LP carton", "12", 31.5, (34, 34, 34), 0.7, price=price(1.8, 3), on_hand=on_hand(0.3), gross_limit=lp_limit)
    box("singles box", "7", 40, (42, 21, 21), 0.4, price=price(1, 2), on_hand=on_hand(0.05))
    box("10-inch box", "10;7", 30, (33, 28, 28), 0.5, price=price(1.5, 2.5))
    box("large mixed carton", everything, 44, (46, 36, 36), 1.1, price=price(2.8, 4.5), on_hand=on_hand(0.1))
    damage = Decimal(rng.choice(["0.4", "0.5", "0.6"]))
    box("double-walled", "12", 31, (40, 40, 38), 1.6, price=price(4.5, 6), inner_cartons=2, damage_factor=damage)
    box(BAG, everything, 24, (40, 36, 28), 0.9, price=price(3, 6), on_hand=rng.randint(1, 3))
    return found
