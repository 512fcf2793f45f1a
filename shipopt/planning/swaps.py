"""Copies in rooms as arrays: what is over, and the swaps that take most off it, or off what is charged by weight.

Called by ``swapping``, which says where copies may change places and what to aim at.
"""

import time
from collections.abc import Sequence
from dataclasses import dataclass
from math import inf
from threading import Event

import numpy as np

from shipopt.move.move import Move
from shipopt.planning.opened import Copy, OpenCarton
from shipopt.planning.pools import Pool
from shipopt.planning.standing import Floats, Whole, stands_on_the_shelf, who_may_stand_where
from shipopt.planning.tariffs import steps_to_stay_below, tariffs_of

MOST_STEPS, WITHOUT_GAIN, NEAR_BY = 5_000, 250, 60
"""Steps in all; and so many without a better packing end the search, sooner where copies are to change places within a
batch or a quote only: what was packed of 1,500 copies, 16 moves, was done in its last 60 steps or fewer, most of it
among all cartons only."""

FOR_AN_AIM, AIMING = 150, 0.05
"""Where the packing is done and only an aim is to be reached, so many steps without a better packing end the search for
one (those that were reached took 26 at the most), and this share of the time left the search for all."""

SAVING = 0.1
"""The share of the time left in which what is charged by weight is lowered: of 100,000 copies 31 s saved 0.07 %."""

NEAR_THE_SHELF = 1e-7
"""What a copy's way along the whole shelf counts for, beside what is over: it only tells equal swaps apart."""

NEARLY_REACHED = 0.9
"""Limits of whole trips and on loss are watched if so much of them is used."""

SPARE_STEPS = (8, 4, 2, 1, 0)
"""Steps that all cartons billed in steps may have beyond their weight together, tried one after another."""

WORTH_A_SWAP = 0.005
"""A swap that saves less money than this is left alone."""

MOST_OUT, MOST_IN = 30, 500
"""Copies of the carton that is over, and copies of others, looked at in one step. A good swap is soon met: with 60 and
2,500 a step takes four times as long, and no more copies find a place."""

VALUE, NEARLY_FULL, PRICE_OF_LIMITS = 2, 0.998, 0.1
"""Value's place among the sizes; limits on the value of trips have a price if so much of them is used, this share of
what value costs where it costs most."""

NEARLY = 1e-9
"""What is over by less than this share is not."""


@dataclass(slots=True)
class _Pool:
    """A limit on a sum over all rooms: each copy counts with its weight (size 1) or value (2) times its room's rate.
    ``cartons`` is how many share it: so many times its share of one carton's limit is what is over of it."""

    rates: Floats
    size: int
    cartons: int = 1
    counts: float = 1.0
    used: float = 0.0
    """The sum, as a share of the most allowed."""

    def count_all(self, packing: "Packing") -> None:
        """Work the sum out anew."""
        inside = packing.at >= 0
        self.used = float((packing.sizes[inside, self.size] * self.rates[packing.at[inside]]).sum())


class Packing:
    """Copies in rooms (inner cartons) as arrays. Stack is a room's, weight and value are its carton's; all are kept as
    shares of the most allowed."""

    def __init__(self, batches: Sequence[Sequence[OpenCarton]], left: Sequence[Sequence[Copy]], move: Move) -> None:
        cartons = [carton for batch in batches for carton in batch]
        of_carton = [number for number, batch in enumerate(batches) for _ in batch]
        homeless = [(copy, number) for number, copies in enumerate(left) for copy in copies]
        self.rooms = [(place, inner) for place, carton in enumerate(cartons) for inner in range(len(carton.stacks))]
        inside = [
            (copy, room) for room, (place, inner) in enumerate(self.rooms) for copy in cartons[place].copies[inner]
        ]
        self.copies = [copy for copy, _ in inside + homeless]
        self.at: Whole = np.array([room for _, room in inside] + [-1] * len(homeless))
        self.carton: Whole = np.array([place for place, _ in self.rooms])
        self.batch: Whole = np.array([of_carton[place] for place, _ in self.rooms])
        names = [carton.quote.name if carton.quote else "" for carton in cartons]
        self.quote_of: Whole = np.array([names.index(name) for name in names])
        self.quote: Whole = self.quote_of[self.carton]
        self.of_batch: Whole = np.array([of_carton[self.rooms[r][0]] for _, r in inside] + [n for _, n in homeless])
        self.sizes = np.array([[float(r.thickness), float(r.weight), float(r.value)] for r, _ in self.copies])
        limits = [[float(c.room), float(c.most_weight), float(c.most_value)] for c in cartons]
        self.most = np.maximum(np.array(limits), 1e-12)
        self.kind, self.able = who_may_stand_where(self.copies, cartons, self.rooms, move)
        self.tariffs, self.tariff_of = tariffs_of(cartons, move)
        self.cost_of_value = np.zeros(len(cartons))
        """What a unit of value more costs in each carton."""
        self.pools: list[_Pool] = []
        self._count_all()
        self.shelf = stands_on_the_shelf([record for record, _ in self.copies])
        middles = [self.shelf[self.at == room] for room in range(len(self.rooms))]
        self.middle = np.array([float(stands.mean()) if len(stands) else 0.5 for stands in middles])
        self.stack_counts, self.held_counts = np.ones(len(self.rooms)), np.ones((len(cartons), 2))
        self.scope: Whole = np.zeros(len(self.rooms), dtype=np.int64)
        self.until, self.enough = inf, Event()
        self.random = np.random.default_rng(0)

    def _count_all(self) -> None:
        self.stack, self.held = np.zeros(len(self.rooms)), np.zeros((len(self.most), 2))
        for copy, room in enumerate(self.at.tolist()):
            if room >= 0:
                self._count(copy, room, 1)
        for pool in self.pools:
            pool.count_all(self)

    def _count(self, copy: int, room: int, sign: int) -> None:
        carton = self.carton[room]
        self.stack[room] += sign * self.sizes[copy, 0] / self.most[carton, 0]
        self.held[carton] += sign * self.sizes[copy, 1:] / self.most[carton, 1:]
        for pool in self.pools:
            pool.used += sign * float(self.sizes[copy, pool.size] * pool.rates[room])

    def add_pools(self, pools: Sequence[Pool]) -> None:
        """Watch limits on what all cartons hold together, those that are nearly reached."""
        rooms_of = [carton for carton, _ in self.rooms]
        for pool in pools:
            sharing = int(np.count_nonzero(pool.rates))
            pooled = _Pool(np.array(pool.rates)[rooms_of] / pool.most, 2 if pool.by_value else 1, sharing, sharing)
            pooled.count_all(self)
            if pooled.used > NEARLY_REACHED:
                self.pools.append(pooled)

    def _over(self) -> float:
        pooled = sum(pool.cartons * max(0.0, pool.used - 1 - NEARLY) for pool in self.pools)
        return float(_above(self.stack).sum() + _above(self.held).sum()) + pooled

    def put_the_rest_in(self) -> None:
        """Each copy that has no room goes where least is over afterwards, the thickest first."""
        homeless = sorted(np.flatnonzero(self.at < 0), key=lambda copy: (-self.sizes[copy, 0], copy))
        for copy in map(int, homeless):
            rooms = np.flatnonzero(self.able[self.kind[copy]] & (self.scope == self._scope_of(copy)))
            if not len(rooms):
                continue
            cartons = self.carton[rooms]
            stack = self.stack[rooms] + self.sizes[copy, 0] / self.most[cartons, 0]
            held = self.held[cartons] + self.sizes[copy, 1:] / self.most[cartons, 1:]
            more = _above(stack) - _above(self.stack[rooms])
            more += (_above(held) - _above(self.held[cartons])).sum(axis=1)
            room = int(rooms[np.argmin(more + NEAR_THE_SHELF * abs(self.middle[rooms] - self.shelf[copy]))])
            self.at[copy] = room
            self._count(copy, room, 1)

    def _scope_of(self, copy: int) -> int:
        rooms = np.flatnonzero(self.batch == self.of_batch[copy])
        return int(self.scope[rooms[0]]) if len(rooms) else 0

    def swap(self, without_gain: int = WITHOUT_GAIN) -> None:
        """Swap until nothing is over, or further steps no longer help; ends with the best packing met."""
        least, best, fruitless = self._over(), self.at.copy(), 0
        for _ in range(MOST_STEPS):
            if least <= 0 or fruitless > without_gain or self._is_to_end():
                break
            if not self._take_off(self._room_that_is_over()):
                self.stack_counts += _above(self.stack) > 0
                self.held_counts += _above(self.held) > 0
                for pool in self.pools:
                    pool.counts += pool.cartons * (pool.used > 1 + NEARLY)
            now = self._over()
            fruitless = 0 if now < least - NEARLY else fruitless + 1
            if now < least - NEARLY:
                least, best = now, self.at.copy()
        self.at = best
        self._count_all()

    def _is_to_end(self) -> bool:
        return time.perf_counter() > self.until or self.enough.is_set()

    def aim_at_fees(self, fees: Sequence[Pool]) -> None:
        """Where a fee grows with the value covered, swap until no more is covered than the guide meant to; if that can
        be done, later swaps keep to it."""
        if not fees or self._over() > 0:
            return
        before, pools, self.scope = self.at.copy(), list(self.pools), np.zeros_like(self.batch)
        self.add_pools(fees)
        self.swap(FOR_AN_AIM)
        if self._over() > 0:
            self.at, self.pools = before, pools
            self._count_all()

    def aim_below_steps(self) -> None:
        """Where weight is billed in steps, swap so that fewer cartons are billed for one step more: each is given a
        step to stay below, and the steps of all are less and less more than all weigh, as long as that can be done."""
        if self._over() > 0:
            return
        self.scope = self.quote
        limits = self.most
        tariffs = [self.tariffs[tariff] for tariff in self.tariff_of]
        for spare in SPARE_STEPS:
            aims = steps_to_stay_below(self.weights(), tariffs, self.quote_of, spare)
            if aims is None:
                continue
            before, charged = self.at.copy(), self._charged()
            self.most = np.column_stack([limits[:, 0], np.minimum(limits[:, 1], aims), limits[:, 2]])
            self._count_all()
            self.swap(FOR_AN_AIM)
            self.most = limits
            self._count_all()
            if self._over() > 0 or self._charged() > charged - WORTH_A_SWAP:
                self.at = before
                self._count_all()
                return

    def weights(self) -> Floats:
        """The weight of the contents of each carton."""
        return np.asarray(self.held[:, 0] * self.most[:, 1])

    def _charged(self) -> float:
        weights = self.weights()
        return float(
            sum(self.tariffs[tariff].charges(weights[carton]) for carton, tariff in enumerate(self.tariff_of.tolist()))
        )

    def save(self) -> None:
        """Swap, room by room, as long as that lowers what is charged by weight and what value costs, and nothing more
        is over."""
        if np.ptp(self.cost_of_value):
            costs, self.scope = self.cost_of_value, np.zeros_like(self.batch)
            self.cost_of_value = self._with_prices_of_limits()
            self._save_room_by_room()
            self.cost_of_value = costs
        elif not any(tariff.varies for tariff in self.tariffs):
            return
        self._save_room_by_room()

    def _with_prices_of_limits(self) -> Floats:
        """What value costs in each carton if room for it on trips that are worth about as much as they may be has a
        small price too: so value leaves them for where it costs as little, and makes way for value from where it costs
        more, which takes two swaps."""
        costs = self.cost_of_value.copy()
        for pool in self.pools:
            if pool.size == VALUE and pool.used > NEARLY_FULL:
                costs[np.unique(self.carton[pool.rates > 0])] += PRICE_OF_LIMITS * self.cost_of_value.max()
        return costs

    def _save_room_by_room(self) -> None:
        idle, room = 0, 0
        for _ in range(MOST_STEPS):
            idle = 0 if self._save_at(room) else idle + 1
            if idle >= len(self.rooms) or self._is_to_end():
                break
            room = room if idle == 0 else (room + 1) % len(self.rooms)

    def _room_that_is_over(self) -> int:
        over = self.stack_counts * _above(self.stack)
        over += (self.held_counts * _above(self.held)).sum(axis=1)[self.carton]
        for pool in self.pools:
            over += pool.counts * max(0.0, pool.used - 1 - NEARLY) * (pool.rates > pool.rates.min())
        if not over.sum():
            over += 1.0
        return int(self.random.choice(len(over), p=over / over.sum()))

    def _take_off(self, room: int) -> bool:
        swaps = _Swaps(self, room)
        change = swaps.over()
        if not change.size:
            return False
        place = int(np.argmin(change + NEAR_THE_SHELF * swaps.far()))
        if change.flat[place] >= -NEARLY:
            return False
        swaps.make(place)
        return True

    def _save_at(self, room: int) -> bool:
        swaps = _Swaps(self, room)
        if not len(swaps.goes) or not len(swaps.to):
            return False
        change = np.where(swaps.over() <= NEARLY, swaps.charged(), np.inf)
        place = int(np.argmin(change))
        if change.flat[place] > -WORTH_A_SWAP:
            return False
        swaps.make(place)
        return True

    def some(self, copies: Whole, most: int) -> Whole:
        """All the copies, or so many of them by lot."""
        if len(copies) > most:
            copies = np.sort(self.random.choice(copies, most, replace=False))
        return copies

    def move(self, copy: int, room: int) -> None:
        """Put a copy into another room."""
        self._count(copy, int(self.at[copy]), -1)
        self._count(copy, room, 1)
        self.at[copy] = room

    def write_back(self, cartons: Sequence[OpenCarton]) -> list[Copy]:
        """Empty the cartons and fill them again as the arrays say, by exact sums; returns what does not fit."""
        for carton in cartons:
            carton.empty()
        left = []
        for copy in sorted(range(len(self.copies)), key=lambda copy: (-self.sizes[copy, 0], copy)):
            room = int(self.at[copy])
            place, inner = self.rooms[room] if room >= 0 else (0, 0)
            if room >= 0 and cartons[place].takes(self.copies[copy][0], inner):
                cartons[place].put(self.copies[copy], inner)
            else:
                left.append(self.copies[copy])
        return sorted(left, key=lambda copy: (copy[0].place, copy[1]))


class _Swaps:
    """The swaps of a room: every copy that may go out, against every copy that may come in its place, or nothing."""

    def __init__(self, packing: Packing, room: int) -> None:
        self.packing, self.room = packing, room
        self.goes = packing.some(np.flatnonzero(packing.at == room), MOST_OUT)
        within = packing.scope == packing.scope[room]
        may_come = (packing.at >= 0) & (packing.at != room) & packing.able[packing.kind, room] & within[packing.at]
        self.comes = packing.some(np.flatnonzero(may_come), MOST_IN)
        within[room] = False
        others = np.flatnonzero(within)
        self.to = np.concatenate([packing.at[self.comes], others])
        sizes = np.concatenate([packing.sizes[self.comes], np.zeros((len(others), 3))]).T
        self.more = np.ascontiguousarray(packing.sizes[self.goes].T)[:, :, None] - sizes[:, None, :]
        """How much more stack, weight and value goes than comes, each as an array of both."""

    def over(self) -> Floats:
        """By how much what is over grows, each limit by what it counts for; infinite where a copy may not go."""
        all_, here, there, room = self.packing, self.packing.carton[self.room], self.packing.carton[self.to], self.room
        change = np.where(all_.able[all_.kind[self.goes]][:, self.to], 0.0, np.inf)
        if not change.size:
            return change
        for size, held in enumerate((None, 0, 1)):
            shares = all_.stack if held is None else all_.held[:, held]
            counts = all_.stack_counts if held is None else all_.held_counts[:, held]
            one, others = (room, self.to) if held is None else (here, there)
            self._add_over(change, size, (shares[one], counts[one]), (shares[others], counts[others]))
        for pool in all_.pools:
            more = self.more[pool.size] * (pool.rates[self.to] - pool.rates[room])
            change += pool.counts * _growth(np.array(pool.used), more)
        return change

    def _add_over(self, change: Floats, size: int, here: tuple[float, float], there: tuple[Floats, Floats]) -> None:
        """Add by how much more is over here, and there, in one size; what stays below its limit whatever goes is soon
        seen, and most does. Each place is given as shares used and what they count for."""
        all_, more = self.packing, self.more[size]
        carton, cartons = all_.carton[self.room], all_.carton[self.to]
        if size:
            more = more * (cartons != carton)
        share, counts = here
        if max(share, share - more.min() / all_.most[carton, size]) > 1:
            change += counts * _growth(np.array(share), more / -all_.most[carton, size])
        (shares, counts_there), most = there, all_.most[cartons, size]
        if max(shares.max(), (shares + more.max() / most).max()) > 1:
            change += counts_there * _growth(shares, more / most)

    def charged(self) -> Floats:
        """By how much the charges of the cartons grow, and what their value costs."""
        all_, here, there = self.packing, self.packing.carton[self.room], self.packing.carton[self.to]
        weights = all_.weights()
        more = self.more[1]
        tariff = all_.tariffs[all_.tariff_of[here]]
        change = tariff.charges(weights[here] - more) - tariff.charges(weights[here])
        for number, other in enumerate(all_.tariffs):
            columns = np.flatnonzero(all_.tariff_of[there] == number)
            if len(columns):
                before = weights[there[columns]]
                change[:, columns] += other.charges(before + more[:, columns]) - other.charges(before)
        change += self.more[VALUE] * (all_.cost_of_value[there] - all_.cost_of_value[here])
        return np.asarray(np.where(there == here, 0.0, change))

    def far(self) -> Floats:
        """How far from the shelf's order the copies would stand."""
        all_ = self.packing
        far = abs(all_.shelf[self.goes][:, None] - all_.middle[self.to][None, :])
        far[:, : len(self.comes)] += abs(all_.shelf[self.comes] - all_.middle[self.room])[None, :]
        return np.asarray(far)

    def make(self, place: int) -> None:
        """Make a swap, named by its place in the arrays."""
        one, other = divmod(place, len(self.to))
        self.packing.move(int(self.goes[one]), int(self.to[other]))
        if other < len(self.comes):
            self.packing.move(int(self.comes[other]), self.room)


def _above(shares: Floats) -> Floats:
    return np.maximum(0.0, shares - 1.0 - NEARLY)


def _growth(shares: Floats, more: Floats) -> Floats:
    return _above(shares + more) - _above(shares)
