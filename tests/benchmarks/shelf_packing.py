"""Packing as people do it: carton after carton in the order given, the next one opened when a copy does not fit.

No looking ahead, no swaps. Used by the peers only; the planner's own packer is not touched by them.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from decimal import Decimal

from shipopt.move.cartons import CartonType, FilledCarton, Portion, filled
from shipopt.move.move import Move
from shipopt.move.quotes import Quote
from shipopt.move.records import Record
from shipopt.move.rules import most_gross_weight

Lines = Sequence[tuple[Record, int, int]]
"""Copies to pack, as (line, first copy from 1, number of copies)."""

ENDLESS = Decimal("Infinity")


class DoesNotFit(Exception):  # noqa: N818 - an answer: this carton is the wrong one
    """A copy does not fit an empty carton of the type."""


@dataclass(frozen=True, slots=True)
class Box:
    """A carton type with what one may hold: ``room`` in each inner carton, weight and value of the contents."""

    carton: CartonType
    room: Decimal
    most_weight: Decimal
    most_value: Decimal = ENDLESS


@dataclass(slots=True)
class _Open:
    box: Box
    portions: list[Portion] = field(default_factory=list)
    inner: int = 1
    stack: Decimal = Decimal(0)
    weight: Decimal = Decimal(0)
    value: Decimal = Decimal(0)

    def fits(self, record: Record) -> int:
        """How many copies still fit the inner carton that is being filled."""
        left = [(self.box.room - self.stack) // record.thickness, (self.box.most_weight - self.weight) // record.weight]
        if record.value and self.box.most_value != ENDLESS:
            left.append((self.box.most_value - self.value) // record.value)
        return int(min(left))

    def put(self, record: Record, first: int, copies: int) -> None:
        self.portions.append(Portion(record, first, copies, self.inner))
        self.stack += record.thickness * copies
        self.weight += record.weight * copies
        self.value += record.value * copies


def box_for(carton: CartonType, quote: Quote | None, move: Move, most_value: Decimal | None = None) -> Box:
    """What a carton of the type may hold by this quote (by any, for None)."""
    settings = move.settings
    return Box(
        carton,
        carton.room_in_each(settings.fill_most),
        most_gross_weight(carton, quote, settings) - carton.empty_weight,
        ENDLESS if most_value is None else most_value,
    )


def pack_in_order(lines: Lines, box: Box) -> list[FilledCarton]:
    """All the copies in cartons of this type, in the order given; DoesNotFit if one fits no empty carton."""
    done: list[FilledCarton] = []
    now = _Open(box)
    for record, first, copies in lines:
        while copies:
            number = min(copies, now.fits(record))
            if number:
                now.put(record, first, number)
                first, copies = first + number, copies - number
            elif now.portions and now.inner < box.carton.inner_cartons and now.portions[-1].inner == now.inner:
                now.inner, now.stack = now.inner + 1, Decimal(0)
            elif now.portions:
                done.append(filled("", box.carton, now.portions))
                now = _Open(box)
            else:
                raise DoesNotFit(record.record_id)
    if now.portions:
        done.append(filled("", box.carton, now.portions))
    return done


def lines_of(records: Iterable[Record]) -> list[tuple[Record, int, int]]:
    """Every copy of these records."""
    return [(record, 1, record.copies) for record in records]


def numbered(cartons: Iterable[FilledCarton]) -> list[FilledCarton]:
    """The cartons with numbers from 1."""
    return [replace(each, number=str(place)) for place, each in enumerate(cartons, start=1)]
