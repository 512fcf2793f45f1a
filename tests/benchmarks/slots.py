"""The straightforward formulation: how many copies of each line stand in which carton slot, and how each slot goes.

For every slot one binary for each carton type on each trip of each quote; copies of a line in a slot are a whole
number, so a line of many is no longer than a line of one, and rows that are alike are one line. Weight and value are
split by trip, so prices and limits are linear. Exact but for rounding to minor units, for liability by weight and for
inner cartons, both counted on the safe side.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from itertools import pairwise
from math import ceil
from typing import Any

from benchmarks.modeller import Modeller, OutOfTime, Term, Variable
from shipopt.move.cartons import CartonType, Portion, filled
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.quotes import Quote
from shipopt.move.records import Record
from shipopt.move.rules import (
    carton_refusal,
    cartons_for,
    most_gross_weight,
    most_value_of_consignment,
    quotes_in,
    record_may_go,
)
from shipopt.pricing.billing import outside_volume

Builder = Callable[["Slots"], None]


@dataclass(frozen=True, slots=True)
class Trip:
    """A trip of a quote; a quote by the carton has one."""

    quote: Quote
    number: int


@dataclass(slots=True)
class Slot:
    """A carton that may be: ``copies`` of each line in it, ``kinds`` its type and trip, ``on`` whether it goes on a
    trip, with its weight and value there."""

    copies: list[Variable]
    kinds: dict[tuple[str, int], Variable]
    on: list[Variable]
    weight: list[Variable]
    value: list[Variable]


class Slots:
    """The programme: packing here, prices and covers added by other modules through ``costs``."""

    def __init__(self, move: Move, modeller: Modeller) -> None:
        if move.to_go or move.gone or move.settings.most_tail_mean is not None:
            raise ValueError("cartons packed already and a cap on the worst 5 % are not in this formulation")
        self.move, self.model = move, modeller
        self.alike = _alike(move.loose)
        self.lines = [replace(rows[0], copies=sum(row.copies for row in rows)) for rows in self.alike]
        self.trips = [Trip(q, n + 1) for q in quotes_in(move) for n in range(q.trips_at_most if q.by_load else 1)]
        self.pairs = [
            (carton, index)
            for index, trip in enumerate(self.trips)
            for carton in move.cartons.values()
            if carton_refusal(carton, trip.quote) is None
        ]
        self.most_value = self._most_value_of_a_carton()
        weights = [*(line.weight for line in self.lines), *(c.empty_weight for c in move.cartons.values())]
        self.weight_step = _step([*weights, *(t.quote.weigh_step for t in self.trips if t.quote.weigh_step)])
        self.value_step = _step([line.value for line in self.lines])
        self.used = [modeller.yes() for _ in self.trips]
        self.slots = [self._slot() for _ in range(self._number_of_slots())]
        self.costs: list[Term] = []
        self.losses: list[Term] = []
        self.taken: list[Any] = []
        self._every_copy_goes()
        self._contents_fit()
        self._trips_keep_their_limits()
        self._cartons_are_bought()
        self._alike_slots_are_in_order()

    # Sizes

    def room(self, carton: CartonType) -> Decimal:
        """Stack that surely fits: each inner carton but one may be left short of the thickest record."""
        thickest = max((r.thickness for r in self.lines if r.format.sleeve in carton.sleeves), default=Decimal(0))
        each = carton.room_in_each(self.move.settings.fill_most)
        return each * carton.inner_cartons - thickest * (carton.inner_cartons - 1)

    def _number_of_slots(self) -> int:
        """As many as the usual cartons, a tenth and a few more."""
        total = Decimal(0)
        for sleeve in dict.fromkeys(record.format.sleeve for record in self.lines):
            members = [record for record in self.lines if record.format.sleeve == sleeve]
            stack = sum((r.thickness * r.copies for r in members), Decimal(0))
            weight = sum((r.weight * r.copies for r in members), Decimal(0))
            needed = [
                max(stack / self.room(c), weight / (most_gross_weight(c, None, self.move.settings) - c.empty_weight))
                for c in cartons_for(sleeve, self.move)
            ]
            total += sorted(needed)[0]
        levels = len({record.care for record in self.lines})
        return ceil(total * Decimal("1.1")) + levels + 2

    def _most_value_of_a_carton(self) -> Decimal:
        """What the dearest records that could stand in one carton are worth together."""
        places = int(max(map(self.room, self.move.cartons.values())) / min(r.thickness for r in self.lines)) + 1
        total, left = Decimal(0), places
        for record in sorted(self.lines, key=lambda record: -record.value):
            total += record.value * min(left, record.copies)
            left -= min(left, record.copies)
        return total

    def value_cap(self, trip: Trip) -> Decimal:
        """The most value of one carton on a trip."""
        cap = most_value_of_consignment(trip.quote, self.move.settings)
        return self.most_value if cap is None else min(self.most_value, cap)

    def heaviest(self, carton: CartonType, trip: Trip) -> Decimal:
        """The most a carton of the type may weigh on a trip."""
        return most_gross_weight(carton, trip.quote, self.move.settings)

    # Variables and packing

    def _slot(self) -> Slot:
        model = self.model
        widest = max(map(self.room, self.move.cartons.values()))
        slot = Slot(
            [model.whole(min(line.copies, int(widest / line.thickness))) for line in self.lines],
            {(carton.name, index): model.yes() for carton, index in self.pairs},
            [model.yes() for _ in self.trips],
            [model.amount(self.move.settings.heaviest_carton, self.weight_step) for _ in self.trips],
            [model.amount(self.value_cap(trip), self.value_step) for trip in self.trips],
        )
        for index, on in enumerate(slot.on):
            model.exactly([*((1, x) for (_, trip), x in slot.kinds.items() if trip == index), (-1, on)], 0)
            model.at_most([(1, on), (-1, self.used[index])], 0)
        model.at_most([(1, on) for on in slot.on], 1)
        return slot

    def _every_copy_goes(self) -> None:
        for place, line in enumerate(self.lines):
            self.model.exactly([(1, slot.copies[place]) for slot in self.slots], line.copies)

    def _contents_fit(self) -> None:
        groups = self._groups()
        for slot in self.slots:
            for (sleeve, allowed), members in groups.items():
                stack = [(self.lines[place].thickness, slot.copies[place]) for place in members]
                room = [
                    (-self.room(carton), slot.kinds[carton.name, index])
                    for carton, index in self.pairs
                    if sleeve in carton.sleeves and self.trips[index].quote.name in allowed
                ]
                self.model.at_most(stack + room, 0)
            self._whole_slot(slot)

    def _groups(self) -> dict[tuple[str, frozenset[str]], list[int]]:
        """Lines by sleeve and the quotes that may carry them."""
        groups: dict[tuple[str, frozenset[str]], list[int]] = {}
        quotes = quotes_in(self.move)
        for place, line in enumerate(self.lines):
            allowed = frozenset(quote.name for quote in quotes if record_may_go(line, quote, self.move))
            groups.setdefault((line.format.sleeve, allowed), []).append(place)
        return groups

    def _whole_slot(self, slot: Slot) -> None:
        stack: list[Term] = [(line.thickness, x) for line, x in zip(self.lines, slot.copies, strict=True)]
        weight: list[Term] = [(line.weight, x) for line, x in zip(self.lines, slot.copies, strict=True)]
        value: list[Term] = [(line.value, x) for line, x in zip(self.lines, slot.copies, strict=True)]
        for carton, index in self.pairs:
            kind = slot.kinds[carton.name, index]
            stack.append((-self.room(carton), kind))
            weight.append((carton.empty_weight, kind))
        self.model.at_most(stack, 0)
        self.model.exactly(weight + [(-1, there) for there in slot.weight], 0)
        self.model.exactly(value + [(-1, there) for there in slot.value], 0)
        for index, trip in enumerate(self.trips):
            kinds = [(-self.heaviest(c, trip), slot.kinds[c.name, i]) for c, i in self.pairs if i == index]
            self.model.at_most([(1, slot.weight[index]), *kinds], 0)
            self.model.at_most([(1, slot.value[index]), (-self.value_cap(trip), slot.on[index])], 0)

    # Trips and boxes

    def volume_terms(self, slot: Slot, index: int) -> list[Term]:
        """The outside volume of a slot on a trip."""
        units = self.move.settings.units
        return [(outside_volume(c, units), slot.kinds[c.name, i]) for c, i in self.pairs if i == index]

    def _trips_keep_their_limits(self) -> None:
        for index, trip in enumerate(self.trips):
            quote = trip.quote
            if not quote.by_load:
                continue
            measures: tuple[tuple[list[Term], object], ...] = (
                ([(1, slot.on[index]) for slot in self.slots], quote.most_cartons),
                ([(1, slot.weight[index]) for slot in self.slots], quote.most_weight),
                ([term for slot in self.slots for term in self.volume_terms(slot, index)], quote.most_volume),
                (
                    [(1, slot.value[index]) for slot in self.slots],
                    most_value_of_consignment(quote, self.move.settings),
                ),
            )
            for terms, most in measures:
                if most is not None:
                    self.model.at_most([*terms, (-most, self.used[index])], 0)  # type: ignore[operator]
        for before, after in pairwise(range(len(self.trips))):
            if self.trips[before].quote is self.trips[after].quote:
                self.model.at_most([(1, self.used[after]), (-1, self.used[before])], 0)

    def _cartons_are_bought(self) -> None:
        for carton in self.move.cartons.values():
            kinds = [(1, x) for slot in self.slots for (name, _), x in slot.kinds.items() if name == carton.name]
            bought = self.model.whole(len(self.slots))
            self.model.at_most([*kinds, (-1, bought)], carton.on_hand)
            if carton.most is not None:
                self.model.at_most(kinds, carton.most)
            self.costs.append((carton.price, bought))

    def _alike_slots_are_in_order(self) -> None:
        for before, after in pairwise(self.slots):
            self.model.at_most([*((1, on) for on in after.on), *((-1, on) for on in before.on)], 0)

    # What came of it

    def shipments(self) -> tuple[Shipment, ...]:
        """The cartons of the solution, copies handed out in shelf order."""
        stock = [[(row, n) for row in reversed(rows) for n in range(row.copies, 0, -1)] for rows in self.alike]
        found = []
        for number, slot in enumerate(self.slots):
            kind = next(((name, i) for (name, i), x in slot.kinds.items() if self.model.number(x)), None)
            contents: list[tuple[Record, int]] = []
            for place, x in enumerate(slot.copies):
                contents += [stock[place].pop() for _ in range(self.model.number(x))]
            if kind and contents:
                carton, trip = self.move.cartons[kind[0]], self.trips[kind[1]]
                portions = _laid_out(contents, carton, self.move)
                cover = next((t.cover for t in self.taken if self.model.number(t.slots[number])), None)
                packed = filled(str(len(found) + 1), carton, portions)
                found.append(Shipment(packed, trip.quote, trip.number, cover))
        return tuple(found)


def _step(sizes: Iterable[Decimal]) -> str:
    """The last decimal place that any of these has, 0.01 at least."""
    return f"1E-{max(2, *(-int(size.normalize().as_tuple().exponent) for size in sizes))}"


def _alike(records: Sequence[Record]) -> list[list[Record]]:
    """Rows that no rule or price tells apart, so that the solver need not either."""
    groups: dict[tuple[object, ...], list[Record]] = {}
    for record in records:
        rules = (record.format.sleeve, record.format.sound_recording, record.care, record.must_go_by)
        groups.setdefault((*rules, record.weight, record.thickness, record.value), []).append(record)
    return list(groups.values())


def _laid_out(contents: Sequence[tuple[Record, int]], carton: CartonType, move: Move) -> list[Portion]:
    """Copies into inner cartons one after another, as far as each holds."""
    room, inner, stack = carton.room_in_each(move.settings.fill_most), 1, Decimal(0)
    portions = []
    for record, copy in contents:
        if stack + record.thickness > room and inner < carton.inner_cartons:
            inner, stack = inner + 1, Decimal(0)
        portions.append(Portion(record, copy, 1, inner))
        stack += record.thickness
    return portions


def plan_slots(
    move: Move, modeller: Callable[[float], Modeller], seconds: float, builders: tuple[Builder, ...]
) -> tuple[tuple[Shipment, ...] | None, str]:
    """The shipments that a solver found for the whole formulation, or None with a word on why."""
    try:
        programme = Slots(move, modeller(seconds))
        for builder in builders:
            builder(programme)
        if not programme.model.minimise(programme.costs, float(move.settings.within)):
            return None, "nothing found"
    except OutOfTime:
        return None, "not built in time"
    return programme.shipments(), ""
