"""Invented cartons, quotes and moves for tests of prices and risk. Every number and name here is made up.

Each builder takes text or numbers and gives a value of the domain; what is not named has a plain default.
"""

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

from shipopt.move.cartons import CartonType, FilledCarton
from shipopt.move.cover import Band, Cover
from shipopt.move.money import currency
from shipopt.move.move import Move, PackedAlready
from shipopt.move.quotes import Quote, RateCard, RateStep, WeightBreak, WeightBreaks
from shipopt.move.settings import Settings
from shipopt.move.words import Consignment, CoverBasis, Covers, Means, Units


def settings(code: str = "USD", units: Units = Units.POUND_INCH, **given: Any) -> Settings:
    """Settings of an invented move; decimals may be given as text."""
    return Settings(units=units, currency=currency(code), **_decimals({"heaviest_carton": "50", **given}))


def carton_type(size: Sequence[object] = (13, 13, 13), name: str = "crate", **given: Any) -> CartonType:
    """A kind of carton with these outside lengths."""
    length, width, height = (Decimal(str(side)) for side in size)
    plain = {"stack_length": "12.5", "empty_weight": "1.5", **given}
    return CartonType(name=name, sleeves=("12",), length=length, width=width, height=height, **_decimals(plain))


def filled(
    number: str, weight: object, value: object = 0, carton: CartonType | None = None, **given: Any
) -> FilledCarton:
    """A carton of known gross weight and value, whatever is in it."""
    return FilledCarton(
        number=number,
        carton=carton or carton_type(),
        portions=(),
        records=1,
        gross_weight=Decimal(str(weight)),
        value=Decimal(str(value)),
        stack=Decimal(1),
        care=(),
        recordings_only=True,
        **given,
    )


def quote(name: str = "Q", means: Means = Means.VAN, by_carton: bool = False, **given: Any) -> Quote:
    """A quote for a load, or by the carton; decimals may be given as text."""
    consignment = Consignment.CARTON if by_carton else Consignment.LOAD
    return Quote(name=name, means=means, consignment=consignment, **_decimals(given))


def rate_card(*steps: tuple[object, object]) -> RateCard:
    """A rate card of (weight up to, price)."""
    return RateCard("card", tuple(RateStep(Decimal(str(up_to)), Decimal(str(price))) for up_to, price in steps))


def weight_breaks(*rows: tuple[object, object]) -> WeightBreaks:
    """Weight breaks of (from weight, price per 100)."""
    return WeightBreaks("breaks", tuple(WeightBreak(Decimal(str(row[0])), Decimal(str(row[1]))) for row in rows))


def cover(
    *bands: tuple[object, object, object, object],
    name: str = "cover",
    covers: Covers = Covers.LOSS_AND_DAMAGE,
    basis: CoverBasis = CoverBasis.CARTON,
    **given: Any,
) -> Cover:
    """A cover with bands of (value up to or None, fee, share of value, least fee)."""
    rows = tuple(Band(*(None if cell is None else Decimal(str(cell)) for cell in band)) for band in bands)
    return Cover(name=name, covers=covers, basis=basis, bands=rows, **_decimals(given))


def move(
    quotes: Iterable[Quote] = (),
    cartons: Iterable[CartonType] = (),
    covers: Iterable[Cover] = (),
    packed: Iterable[PackedAlready] = (),
    with_settings: Settings | None = None,
) -> Move:
    """A move of these rows, with no records."""
    return Move(
        settings=with_settings or settings(),
        records=(),
        cartons={carton.name: carton for carton in cartons},
        quotes={each.name: each for each in quotes},
        care={},
        covers={each.name: each for each in covers},
        packed=tuple(packed),
    )


def _decimals(given: dict[str, Any]) -> dict[str, Any]:
    words = {"bidder", "notes", "name", "title"}
    return {key: Decimal(it) if type(it) is str and key not in words else it for key, it in given.items()}
