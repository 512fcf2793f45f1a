"""Alike copies dealt anew among cartons, in shelf order, so that each carton reaches over little of the shelf.

Each room (an inner carton) gets as many copies of each likeness as it had: weights and stacks stay as they are. Values
differ, so copies are then exchanged until no carton is worth more than the dearest was before, and until no exchange
makes cartons reach less far. Called by the module along_shelves, which judges what comes of it.
"""

import time
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import replace
from decimal import Decimal
from math import inf

from shipopt.move.cartons import FilledCarton, Portion, filled
from shipopt.move.money import ZERO
from shipopt.move.records import Record
from shipopt.planning.opened import Copy

NEAR = 8
"""Exchanges are looked for with so many cartons next to one in the order of the deal."""
MOST_EXCHANGES = 60
"""Exchanges tried, a carton: they are tried twice over."""

Exchange = tuple[Hashable, int, int, int]
"""Likeness, place of the copy in its carton, the other carton, place of the other copy in that."""


def likeness(record: Record) -> Hashable:
    """What two copies must share to stand in each other's place, whatever they are worth."""
    own = record.format
    return record.thickness, record.weight, own.sleeve, own.sound_recording, record.care, record.must_go_by


class Deal:
    """Copies of a few cartons, held by carton and likeness, each list in shelf order. From the time ``until`` (of
    ``time.perf_counter``) on, nothing more is exchanged only to make cartons reach less far."""

    def __init__(self, cartons: Sequence[FilledCarton], until: float = inf) -> None:
        self.before, self.until = cartons, until
        self.most = max(each.value for each in cartons)
        self.wanted = [_rooms(each) for each in cartons]
        self.held = [_copies([each]) for each in cartons]
        self.left: dict[Hashable, list[Copy]] = {}
        self.value = [each.value for each in cartons]
        self._known_ends: dict[int, tuple[int, int, int, int]] = {}
        self._known_once: dict[tuple[int, Hashable], list[tuple[int, Copy]]] = {}
        self.order = sorted(range(len(cartons)), key=lambda place: (sum(self._ends(place)), place))

    def as_they_are(self) -> list[FilledCarton]:
        """The cartons with copies exchanged, nothing else."""
        self._draw_together()
        return [self._closed(place) for place in range(len(self.before))]

    def anew(self) -> list[FilledCarton] | None:
        """The cartons dealt anew; None where values cannot be kept within the largest that one of them had."""
        self.left, self.order = _copies(self.before), []
        while len(self.order) < len(self.before):
            self._fill(self._next())
        return self.as_they_are() if all(map(self._within, self.order)) else None

    def _next(self) -> int:
        """Of the cartons that take the copy standing first on the shelf the one that then reaches least far."""
        begins = {like: copies[0][0].place for like, copies in self.left.items() if copies}
        first = min(begins.values())

        def rank(place: int) -> tuple[bool, int, int]:
            wanted = {like: sum(rooms.values()) for like, rooms in self.wanted[place].items()}
            ends = [self.left[like][many - 1][0].place for like, many in wanted.items()]
            starts = [begins[like] for like in wanted]
            return first not in starts, max(ends) - min(starts), place

        return min((place for place in range(len(self.before)) if place not in self.order), key=rank)

    def _fill(self, place: int) -> None:
        for like, rooms in self.wanted[place].items():
            many = sum(rooms.values())
            self.held[place][like], self.left[like] = self.left[like][:many], self.left[like][many:]
            self._changed(place, like)
        self.value[place] = sum((record.value for each in self.held[place].values() for record, _ in each), ZERO)
        self.order.append(place)

    def _within(self, place: int) -> bool:
        """Exchanges dear copies for cheaper ones until the carton is worth no more than any was before, those first
        that make cartons reach farther by least for what they take off; whether that can be done."""
        for _ in range(MOST_EXCHANGES):
            over = self.value[place] - self.most
            if over <= 0:
                return True
            found = [
                (Decimal(max(farther, 0) + 1) / min(off, over), -off, number, exchange)
                for number, (exchange, farther, off) in enumerate(self._exchanges(place))
                if off > 0
            ]
            if not found:
                return False
            self._make(place, min(found)[3])
        return False

    def _draw_together(self) -> None:
        """Exchanges copies at the ends of what a carton reaches over, as long as that makes cartons reach less far."""
        for place in self.order * 2:
            for _ in range(MOST_EXCHANGES):
                if time.perf_counter() > self.until:
                    return
                ends = self._ends(place)
                found = [
                    (farther, number, exchange)
                    for number, (exchange, farther, _) in enumerate(self._exchanges(place, (ends[0], ends[-1])))
                ]
                if not found or min(found)[0] >= 0:
                    break
                self._make(place, min(found)[2])

    def _exchanges(self, place: int, of: tuple[int, int] | None = None) -> Iterator[tuple[Exchange, int, Decimal]]:
        """Exchanges with cartons near by that leave the other within bounds: by how much farther the two then reach,
        and what they take off the carton's value. ``of`` limits it to copies that stand at these places."""
        ends = self._ends(place)
        held = ((like, self._each_once(place, like)) for like in self.held[place])
        asked = ((like, [each for each in own if of is None or each[1][0].place in of]) for like, own in held)
        offered = [(like, own) for like, own in asked if own]
        for other in self._near(place):
            room, others_ends = self.most - self.value[other], self._ends(other)
            least = min(self.value[place] - self.most, ZERO)
            before = ends[-1] - ends[0] + others_ends[-1] - others_ends[0]
            for like, own in offered:
                theirs = [
                    (at, comes.place, comes.value, *_ends_without(comes.place, *others_ends))
                    for at, (comes, _) in self._each_once(other, like)
                ]
                for mine, (goes, _) in own:
                    here, worth, (low, high) = goes.place, goes.value, _ends_without(goes.place, *ends)
                    for at, there, others_worth, others_low, others_high in theirs:
                        off = worth - others_worth
                        if least <= off <= room:
                            after = (high if high > there else there) - (low if low < there else there)
                            after += (others_high if others_high > here else here) - (
                                others_low if others_low < here else here
                            )
                            yield (like, mine, other, at), after - before, off

    def _near(self, place: int) -> list[int]:
        at = self.order.index(place)
        return [other for other in self.order[max(0, at - NEAR) : at + NEAR + 1] if other != place]

    def _ends(self, place: int) -> tuple[int, int, int, int]:
        """The two lowest and the two highest places on the shelf that the carton's copies come from."""
        if place not in self._known_ends:
            places = sorted(record.place for copies in self.held[place].values() for record, _ in copies)
            ends = places[0], places[min(1, len(places) - 1)], places[max(-2, -len(places))], places[-1]
            self._known_ends[place] = ends
        return self._known_ends[place]

    def _each_once(self, place: int, like: Hashable) -> list[tuple[int, Copy]]:
        """One copy of each record of this likeness, with its place in the carton's list."""
        if (place, like) not in self._known_once:
            copies = self.held[place].get(like, ())
            once = {copy[0].place: (at, copy) for at, copy in enumerate(copies)}
            self._known_once[place, like] = list(once.values())
        return self._known_once[place, like]

    def _changed(self, place: int, like: Hashable) -> None:
        self._known_ends.pop(place, None)
        self._known_once.pop((place, like), None)

    def _make(self, place: int, exchange: Exchange) -> None:
        like, mine, other, theirs = exchange
        own, others = self.held[place][like], self.held[other][like]
        off = own[mine][0].value - others[theirs][0].value
        own[mine], others[theirs] = others[theirs], own[mine]
        self.value[place] -= off
        self.value[other] += off
        for changed in (place, other):
            self._changed(changed, like)

    def _closed(self, place: int) -> FilledCarton:
        portions: list[Portion] = []
        for like, rooms in self.wanted[place].items():
            copies = iter(sorted(self.held[place][like], key=_on_the_shelf))
            for inner, many in sorted(rooms.items()):
                portions += [Portion(*next(copies), 1, inner) for _ in range(many)]
        return filled(self.before[place].number, self.before[place].carton, _joined(portions))


def _rooms(carton: FilledCarton) -> dict[Hashable, dict[int, int]]:
    """How many copies of each likeness stand in each inner carton."""
    found: dict[Hashable, dict[int, int]] = {}
    for portion in carton.portions:
        rooms = found.setdefault(likeness(portion.record), {})
        rooms[portion.inner] = rooms.get(portion.inner, 0) + portion.copies
    return found


def _copies(cartons: Sequence[FilledCarton]) -> dict[Hashable, list[Copy]]:
    """All copies in cartons by likeness, in shelf order."""
    found: dict[Hashable, list[Copy]] = {}
    for portion in (portion for each in cartons for portion in each.portions):
        numbers = range(portion.first, portion.first + portion.copies)
        found.setdefault(likeness(portion.record), []).extend((portion.record, number) for number in numbers)
    return {like: sorted(each, key=_on_the_shelf) for like, each in found.items()}


def _ends_without(goes: int, low: int, next_low: int, next_high: int, high: int) -> tuple[int, int]:
    """The lowest and the highest place of a carton without its copy from one place of the shelf."""
    return next_low if goes == low else low, next_high if goes == high else high


def _on_the_shelf(copy: Copy) -> tuple[int, int]:
    return copy[0].place, copy[1]


def _joined(portions: Sequence[Portion]) -> list[Portion]:
    """Portions in the order they stand in, neighbouring copies of a record as one."""
    found: list[Portion] = []
    for each in sorted(portions, key=lambda portion: (portion.inner, portion.record.place, portion.first)):
        last = found[-1] if found else None
        if last and (last.record, last.inner, last.first + last.copies) == (each.record, each.inner, each.first):
            found[-1] = replace(last, copies=last.copies + 1)
        else:
            found.append(each)
    return found
