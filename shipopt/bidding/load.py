"""What is to be carried, in carriers' words: cartons by size with their weights, for each kind of care. No value, no
title, no name of a record is in it.

The cartons of loose records are an estimate from their thickness and weight; a plan may need some more or fewer.
Called by the form, and by what judges the answers.
"""

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from shipopt.handling.stacking import share_left, stack
from shipopt.move.care import CareLevel
from shipopt.move.cartons import CartonType, FilledCarton
from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.records import Record
from shipopt.move.rules import cartons_for, most_gross_weight
from shipopt.move.settings import Settings
from shipopt.move.words import Means

MEANS_ASKED = (Means.VAN, Means.FREIGHT, Means.POST)
"""The means that somebody else carries by."""

REFERENCE_LENGTH, REFERENCE_GROUP = 12, 4


@dataclass(frozen=True, slots=True)
class Line:
    """Cartons of one size for one kind of care. Weights are gross; ``high`` is how many may stand on each other."""

    size: str
    carton: CartonType
    care: CareLevel
    count: int
    weight: Decimal
    heaviest: Decimal
    high: int

    @property
    def volume(self) -> Decimal:
        """Outside volume of all of them, in cubic length units."""
        return self.count * self.carton.small_volume


@dataclass(frozen=True)
class Load:
    """All that may travel by one means, kinds in the order of the workbook."""

    means: Means
    settings: Settings
    lines: tuple[Line, ...]

    @property
    def kinds(self) -> tuple[CareLevel, ...]:
        """The kinds of care in it."""
        return tuple({line.care.name: line.care for line in self.lines}.values())

    @property
    def reference(self) -> str:
        """Ties an answer to what was asked. It is made from nothing but what the form states, so it tells no more."""
        own = self.settings
        stated: list[object] = [self.means, own.units, own.currency.code, own.from_place, own.to_place]
        stated += [own.decide_on, own.ready_on, own.needed_by]
        for line in self.lines:
            stated += [line.care.name, *(f"{side:f}" for side in line.carton.sides), line.count, f"{line.weight:f}"]
        made = hashlib.sha256("\n".join(map(str, stated)).encode()).hexdigest().upper()[:REFERENCE_LENGTH]
        starts = range(0, REFERENCE_LENGTH, REFERENCE_GROUP)
        return "-".join(made[start : start + REFERENCE_GROUP] for start in starts)

    def cartons(self) -> tuple[FilledCarton, ...]:
        """Cartons as estimated, each of its line's mean weight: to price a bid roughly. Their value is not told."""
        return tuple(
            FilledCarton(
                f"{line.size}{place}", line.carton, (), 1, line.weight / line.count, ZERO, ZERO, (line.care.name,), True
            )
            for line in self.lines
            for place in range(line.count)
        )


def loads(move: Move) -> tuple[Load, ...]:
    """What to ask for, by means: those of ``MEANS_ASKED`` that something may travel by."""
    sizes = _sizes(move)
    found = (Load(means, move.settings, tuple(_lines(move, means, sizes))) for means in MEANS_ASKED)
    return tuple(load for load in found if load.lines)


def _sizes(move: Move) -> dict[str, str]:
    """A letter for each carton type, as A … Z, AA …, in the workbook's order: their own names tell too much."""
    return {name: _letters(place) for place, name in enumerate(move.cartons)}


def _letters(place: int) -> str:
    rest, last = divmod(place, 26)
    return (_letters(rest - 1) if rest else "") + chr(ord("A") + last)


def _lines(move: Move, means: Means, sizes: dict[str, str]) -> Iterable[Line]:
    share = share_left(move.settings.stacked_days, move.settings.stacked_humidity)
    for care in (level for level in move.care.values() if means in level.means):
        found: dict[str, list[tuple[int, Decimal, Decimal]]] = {}
        for sleeve in dict.fromkeys(record.format.sleeve for record in move.loose):
            records = [r for r in move.loose if r.care == care.name and r.format.sleeve == sleeve]
            if records:
                carton, count, weight = _estimate(records, sleeve, move)
                found.setdefault(carton.name, []).append((count, weight, weight / count))
        for filled in move.to_go:
            if care.name in filled.care[:1]:
                found.setdefault(filled.carton.name, []).append((1, filled.gross_weight, filled.gross_weight))
        for name in (name for name in move.cartons if name in found):
            carton, parts = move.cartons[name], found[name]
            count, weight = sum(part[0] for part in parts), sum((part[1] for part in parts), ZERO)
            heaviest = _up(max(part[2] for part in parts))
            high = stack(carton, heaviest, share, move.settings.units).high
            yield Line(sizes[name], carton, care, count, _up(weight), heaviest, high)


def _estimate(records: list[Record], sleeve: str, move: Move) -> tuple[CartonType, int, Decimal]:
    """The carton type that takes these records in the least outside volume, how many of it, and their gross weight.
    Types of which too few may be used are passed over where another will do."""
    thickness = sum((r.thickness * r.copies for r in records), ZERO)
    weight = sum((r.weight * r.copies for r in records), ZERO)
    choices = []
    for place, carton in enumerate(cartons_for(sleeve, move)):
        room = carton.stack_length * move.settings.fill_most
        load = most_gross_weight(carton, None, move.settings) - carton.empty_weight
        if load <= 0:
            continue
        count = max(int((part).to_integral_value(ROUND_CEILING)) for part in (thickness / room, weight / load))
        too_few = carton.most is not None and carton.most < count
        choices.append((too_few, count * carton.small_volume, place, carton, count))
    _, _, _, carton, count = min(choices, key=lambda choice: choice[:3])
    return carton, count, weight + count * carton.empty_weight


def _up(weight: Decimal) -> Decimal:
    return weight.to_integral_value(ROUND_CEILING)
