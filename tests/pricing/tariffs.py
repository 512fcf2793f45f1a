"""Random tariffs, cartons and covers for property tests: everything invented, edges and ties included on purpose.

Each is drawn from a seed, so that a thousand of them take seconds; a failing example names its seeds.
"""

from collections.abc import Callable
from decimal import Decimal
from random import Random
from typing import TypeVar

import invented
from hypothesis import strategies as st

from shipopt.move.cartons import CartonType, FilledCarton
from shipopt.move.cover import Cover
from shipopt.move.money import Currency
from shipopt.move.quotes import Quote, RateCard, RateStep, WeightBreak, WeightBreaks
from shipopt.move.settings import Settings
from shipopt.move.words import CoverBasis, Units

Drawn = TypeVar("Drawn")
ZERO = Decimal(0)


def seeded(make: Callable[[Random], Drawn]) -> st.SearchStrategy[Drawn]:
    """Values made from a random source, which is drawn by its seed."""
    return st.integers(0, 2**32 - 1).map(lambda seed: make(Random(seed)))


def decimal(rng: Random, most: int, places: int = 2, least: int = 0) -> Decimal:
    """A decimal up to ``most`` with a few places; whole numbers are as common as others."""
    if rng.random() < 0.5:
        return Decimal(rng.randint(least, most))
    return Decimal(rng.randint(least, most * 10**places)).scaleb(-places)


def decimals(most: int, places: int = 2, least: int = 0) -> st.SearchStrategy[Decimal]:
    """Such decimals; from the smallest unit on where ``least`` is 1."""
    return seeded(lambda rng: decimal(rng, most, places, least))


def rate_card(rng: Random, rising: bool = True) -> RateCard:
    """A card that reaches to any weight in use; with rising prices unless asked otherwise."""
    weights = sorted({decimal(rng, 60, 1, 1) for _ in range(rng.randint(0, 5))} | {Decimal(10000)})
    prices = [decimal(rng, 90) for _ in weights]
    return RateCard("card", tuple(map(RateStep, weights, sorted(prices) if rising else prices)))


def weight_breaks(rng: Random) -> WeightBreaks:
    """Breaks from 0 at prices in any order."""
    weights = sorted({decimal(rng, 300, 0, 1) for _ in range(rng.randint(0, 4))} | {ZERO})
    return WeightBreaks("breaks", tuple(WeightBreak(weight, decimal(rng, 80)) for weight in weights))


def quote(rng: Random, by_carton: bool | None = None, rising: bool = True) -> Quote:
    """A quote with every charge that there is, each often absent."""

    def some(most: int, places: int = 2) -> Decimal:
        return rng.choice([ZERO, decimal(rng, most, places)])

    return invented.quote(
        by_carton=rng.random() < 0.5 if by_carton is None else by_carton,
        fixed_charge=some(200),
        included_cartons=rng.randint(0, 4),
        per_carton=some(20, 3),
        per_weight=some(3, 4),
        per_volume=some(9, 3),
        rate_card=rng.choice([None, rate_card(rng, rising)]),
        weight_breaks=rng.choice([None, weight_breaks(rng)]),
        minimum_charge=some(90),
        surcharge=some(1, 3),
        volumetric_divisor=rng.choice([None, Decimal(166), Decimal(139), Decimal(5000)]),
        volumetric_above=some(2, 1),
        weigh_step=rng.choice([None, Decimal(1), Decimal("0.5"), Decimal("0.3"), Decimal(7)]),
    )


def quotes(by_carton: bool | None = None, rising: bool = True) -> st.SearchStrategy[Quote]:
    """Quotes of one consignment, or of either."""
    return seeded(lambda rng: quote(rng, by_carton, rising))


def carton_type(rng: Random) -> CartonType:
    """Outside lengths of up to 40."""
    return invented.carton_type([decimal(rng, 40, 1, 1) for _ in range(3)])


def filled_cartons(least: int = 1, most: int = 6) -> st.SearchStrategy[list[FilledCarton]]:
    """Some cartons with numbers of their own, some of them of one type."""

    def make(rng: Random) -> list[FilledCarton]:
        alike = carton_type(rng)
        return [
            invented.filled(
                str(number), decimal(rng, 70, 2, 1), decimal(rng, 2000), rng.choice([alike, carton_type(rng)])
            )
            for number in range(rng.randint(least, most))
        ]

    return seeded(make)


def covers(basis: CoverBasis = CoverBasis.CARTON, unlimited: bool = False) -> st.SearchStrategy[Cover]:
    """Covers of one to five bands."""

    def make(rng: Random) -> Cover:
        tops: list[Decimal | None] = sorted({decimal(rng, 2000, 1, 1) for _ in range(rng.randint(1, 4))})
        if unlimited or rng.random() < 0.5:
            tops.append(None)
        bands = [(top, decimal(rng, 20, 3), decimal(rng, 1, 4) / 10, decimal(rng, 30, 3)) for top in tops]
        return invented.cover(*bands, basis=basis)

    return seeded(make)


def settings_of(places: int = 2, units: Units = Units.POUND_INCH) -> Settings:
    """Settings with an invented currency of so many decimal places."""
    return Settings(units=units, currency=Currency("XXX", places), heaviest_carton=Decimal(70))
