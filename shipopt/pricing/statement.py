"""A statement: what a carrier charges for one trip, or for all the cartons of a quote, line by line.

Lines sum exactly to the total: where the total was rounded, a line "Rounding" says by how much. Statements are
made by the module carriage and shown by the results writer.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from shipopt.move.money import ZERO, Currency
from shipopt.move.quotes import Quote
from shipopt.pricing.exact import measured, shown


class Refused(ValueError):  # noqa: N818 - the carrier refuses; nothing has gone wrong
    """A carton is heavier than the last step of the rate card of its quote, so it has no price."""

    def __init__(self, quote: Quote, carton: str, billed: Decimal) -> None:
        super().__init__(f"{quote.name} has no price for carton {carton}: it bills {billed:f}, above its rate card")
        self.quote = quote
        self.carton = carton
        self.billed = billed


@dataclass(frozen=True, slots=True)
class Charge:
    """One line: ``quantity`` of a ``unit`` at a ``rate`` (money per unit, or a fraction of money) is ``amount``."""

    what: str
    quantity: Decimal
    unit: str
    rate: Decimal
    amount: Decimal


@dataclass(frozen=True, slots=True)
class Statement:
    """The carriage of one trip of a load, or of every carton of a quote by the carton (``trip`` None)."""

    quote: Quote
    trip: int | None
    lines: tuple[Charge, ...]
    total: Decimal


@dataclass(frozen=True, slots=True)
class Part:
    """A line before any rounding: an exact quantity at an exact rate."""

    what: str
    quantity: Fraction
    unit: str
    rate: Fraction

    @property
    def amount(self) -> Fraction:
        """Quantity × rate."""
        return self.quantity * self.rate


def sum_of(parts: Iterable[Part]) -> Fraction:
    """The exact sum of the parts."""
    return sum((part.amount for part in parts), Fraction(0))


def lines_to(total: Decimal, parts: Iterable[Part], currency: Currency) -> tuple[Charge, ...]:
    """The parts as lines, equal ones put together, in order of first mention, with the rounding up or down to
    ``total`` as a last line where there is any."""
    quantities: dict[tuple[str, str, Fraction], Fraction] = {}
    for part in parts:
        key = (part.what, part.unit, part.rate)
        quantities[key] = quantities.get(key, Fraction(0)) + part.quantity
    lines = [
        Charge(what, measured(quantity), unit, measured(rate), shown(quantity * rate, currency))
        for (what, unit, rate), quantity in quantities.items()
    ]
    rounding = total - sum((line.amount for line in lines), ZERO)
    if rounding:
        lines.append(Charge("Rounding", rounding, currency.code, Decimal(1), rounding))
    return tuple(lines)
