"""Redealing: the copies of a few cartons at a time are dealt among these anew, as an exact programme says.

Swaps of two copies end where no single swap helps. Where losses are part of the cost, what each carton is worth costs
at a rate of its own, and rooms are so full that a cheaper deal needs many copies to change places at once. A programme
of four cartons has some hundred variables and is solved in about a second; the others stay as they are (large
neighbourhood search: Shaw, Using constraint programming and local search methods to solve vehicle routing problems,
1998). Called by ``packing``; exact sums decide.
"""

import random
import time
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from itertools import accumulate, chain, pairwise
from threading import Event

import pulp

from shipopt.move.move import Move
from shipopt.move.records import Record
from shipopt.move.rules import record_may_go
from shipopt.planning.guide import Batch
from shipopt.planning.kinds import needs
from shipopt.planning.opened import Copy, OpenCarton
from shipopt.planning.pools import LossLine, Pool, costs_of_value, loss_lines, pools_of
from shipopt.planning.solving import Solver, solve
from shipopt.planning.swaps import NEARLY_FULL, PRICE_OF_LIMITS
from shipopt.planning.tariffs import tariffs_of

TOGETHER = 4
"""So many cartons are dealt anew at a time: of 21 cartons, 25 deals of four took off in 17 s what 12 deals of seven,
most of which were not solved in 5 s, took off in 35 s."""

BY_SIZE = 0.5
"""Such a share of the other cartons is drawn by the copies that they hold, the rest from any batch: empty and nearly
empty cartons, into which a few copies might go, are else hardly ever among them. What 1,500 copies lose at the least
came to 7,505 instead of 7,625 in the same time (seed 3)."""

SECONDS, WITHIN = 2.0, 0.0005
"""The time and the gap of one programme."""

A_ROUND, DEALING = 8, 0.8
"""What so many deals saved is worth a look by exact prices, once such a share of the time went into dealing: a look at
150 cartons takes as long as 40 deals."""

SAVES = 1e-4
"""The share of what the contents of these cartons cost that a deal saves at the least, or it is none."""

Placed = dict[tuple[int, int, int], int]
"""Copies by kind, carton and inner carton."""


class Redealing:
    """The cartons of a packing, changed in place, and what their contents cost."""

    def __init__(
        self,
        batches: Sequence[Batch],
        opened: Sequence[Sequence[OpenCarton]],
        move: Move,
        solver: Solver,
        luck: int = 0,
    ) -> None:
        self.move, self.solver = move, solver
        self.cartons = list(chain.from_iterable(opened))
        self.of_value = costs_of_value(batches, opened, move)
        """What a unit of value costs about, in each carton: what is dealt anew is chosen by that."""
        of_carton = [batch for batch, cartons in zip(batches, opened, strict=True) for _ in cartons]
        self.by_batch = _by_batch(opened)
        self.share = [batch.mode.share for batch in of_carton]
        self.losses = [loss_lines(batch, carton, move) for batch, carton in zip(of_carton, self.cartons, strict=True)]
        tariffs, tariff_of = tariffs_of(self.cartons, move)
        self.of_weight: list[float] = [tariffs[tariff].rate for tariff in tariff_of.tolist()]
        self.pools = pools_of(batches, opened, move)
        self.random = random.Random(1000 * luck + len(self.cartons))

    def improve(self, until: float, enough: Event | None = None, patience: int = 1) -> Iterator[None]:
        """Deal a few cartons anew, again and again, one whose contents cost by their value always among them; yields
        now and then, where something was saved. Ends at the time ``until`` (of ``time.perf_counter``), once ``enough``
        is set, or after as many deals in a row that saved nothing as there are cartons, times the ``patience``."""
        dear = [place for place, cost in enumerate(self.of_value) if cost > 0]
        fruitless, saved, deals = 0, False, 0
        resumed, looked = time.perf_counter(), 0.0
        while dear and len(self.cartons) >= TOGETHER and fruitless < patience * len(self.cartons):
            if time.perf_counter() > until or (enough is not None and enough.is_set()):
                break
            saves = self._deal(self._some(dear), until)
            fruitless, saved, deals = 0 if saves else fruitless + 1, saved or saves, deals + 1
            now = time.perf_counter()
            if saved and deals % A_ROUND == 0 and now - resumed >= looked * DEALING / (1 - DEALING):
                saved = False
                yield
                resumed = time.perf_counter()
                looked = resumed - now
        if saved:
            yield

    def _some(self, dear: Sequence[int]) -> list[int]:
        """One of the dear cartons, and some others: by the copies that they hold, or one of any batch."""
        sizes = [sum(map(len, carton.copies)) for carton in self.cartons]
        drawn = self.random.choices(dear, [1 + sizes[place] for place in dear])
        while len(drawn) < TOGETHER:
            if self.random.random() < BY_SIZE:
                (other,) = self.random.choices(range(len(sizes)), [1 + size for size in sizes])
            else:
                other = self.random.choice(self.random.choice(self.by_batch))
            drawn += [] if other in drawn else [other]
        return drawn

    def _deal(self, places: Sequence[int], until: float) -> bool:
        """Deal the copies of these cartons anew, if that saves something; whether it does."""
        stock: dict[tuple[object, ...], list[Copy]] = {}
        placed: Placed = {}
        kinds: dict[tuple[object, ...], int] = {}
        for place in places:
            for inner, copies in enumerate(self.cartons[place].copies):
                for copy in copies:
                    key = _kind(copy[0])
                    stock.setdefault(key, []).append(copy)
                    where = kinds.setdefault(key, len(kinds)), place, inner
                    placed[where] = placed.get(where, 0) + 1
        examples = [copies[0][0] for copies in stock.values()]
        programme = _Deal(self, places, examples, [len(copies) for copies in stock.values()])
        before = programme.cost(placed)
        seconds = max(0.1, min(SECONDS, until - time.perf_counter()))
        dealt = programme.solved(placed, seconds)
        if dealt is None or programme.cost(dealt) > before * (1 - SAVES):
            return False
        stood = {place: [list(copies) for copies in self.cartons[place].copies] for place in places}
        left = list(stock.values())
        self._put(
            {
                place: [
                    [left[kind].pop() for kind in range(len(left)) for _ in range(dealt.get((kind, place, inner), 0))]
                    for inner in range(len(self.cartons[place].stacks))
                ]
                for place in places
            }
        )
        if all(_is_within_its_limits(self.cartons[place]) for place in places):
            return True
        self._put(stood)  # it was so only within the solver's tolerance
        return False

    def _put(self, contents: Mapping[int, Sequence[Sequence[Copy]]]) -> None:
        """Empty these cartons and fill them again, inner carton by inner carton."""
        for place, by_inner in contents.items():
            carton = self.cartons[place]
            carton.empty()
            for inner, copies in enumerate(by_inner):
                for copy in copies:
                    carton.put(copy, inner)

    def used(self, pool: Pool, but: Sequence[int]) -> float:
        """What counts to a pool of all cartons but these."""
        used = 0.0
        for place, (rate, carton) in enumerate(zip(pool.rates, self.cartons, strict=True)):
            if place not in but:
                used += rate * float(carton.value if pool.by_value else carton.weight)
        return used


class _Deal:
    """The programme that deals some copies, given by example and number, among some cartons."""

    def __init__(
        self, redealing: Redealing, places: Sequence[int], examples: Sequence[Record], counts: Sequence[int]
    ) -> None:
        self.all, self.places, self.examples, self.counts = redealing, places, examples, counts
        self.costs: dict[int, float] = {place: redealing.share[place] for place in places}
        for pool in redealing.pools:
            if pool.by_value and redealing.used(pool, ()) > NEARLY_FULL * pool.most:
                for place in places:
                    self.costs[place] += PRICE_OF_LIMITS * max(redealing.of_value) * (pool.rates[place] > 0)
        self.copies = {
            (kind, place, inner): pulp.LpVariable(f"in_{kind}_{place}_{inner}", 0, counts[kind], pulp.LpInteger)
            for kind, record in enumerate(examples)
            for place in places
            if self._may_stand_in(record, redealing.cartons[place])
            for inner in range(len(redealing.cartons[place].stacks))
        }

    def _may_stand_in(self, record: Record, carton: OpenCarton) -> bool:
        return (
            record.format.sleeve in carton.carton.sleeves
            and carton.quote is not None
            and record_may_go(record, carton.quote, self.all.move)
            and record.thickness <= carton.room
            and record.weight <= carton.most_weight
            and record.value <= carton.most_value
        )

    def cost(self, dealt: Placed) -> float:
        """What the contents cost where they are, in money: by value, by weight, and what they lose."""
        value, weight = dict.fromkeys(self.places, 0.0), dict.fromkeys(self.places, 0.0)
        for (kind, place, _), number in dealt.items():
            value[place] += number * float(self.examples[kind].value)
            weight[place] += number * float(self.examples[kind].weight)
        return sum(
            self.costs[place] * value[place]
            + self.all.of_weight[place] * weight[place]
            + sum(
                max(
                    0.0,
                    *(
                        flat + by_value * value[place] + by_weight * weight[place]
                        for flat, by_value, by_weight in lines
                    ),
                )
                for lines in self.all.losses[place]
            )
            for place in self.places
        )

    def _objective(self, problem: pulp.LpProblem) -> pulp.LpAffineExpression:
        """The same of the variables, with a variable for what each carton loses where it is not one line."""
        cost = pulp.LpAffineExpression()
        for place in self.places:
            value, weight = (self._sum(None, [place], None, size) for size in ("value", "weight"))
            cost += self.costs[place] * value + self.all.of_weight[place] * weight
            for event, lines in enumerate(self.all.losses[place]):
                cost += self._loss(problem, lines, value, weight, f"{place}_{event}")
        return cost

    def _loss(
        self,
        problem: pulp.LpProblem,
        lines: Sequence[LossLine],
        value: pulp.LpAffineExpression,
        weight: pulp.LpAffineExpression,
        name: str,
    ) -> pulp.LpAffineExpression | pulp.LpVariable:
        amounts = [flat + by_value * value + by_weight * weight for flat, by_value, by_weight in lines]
        if len(amounts) == 1 and min(lines[0]) >= 0:
            return amounts[0]
        loss = pulp.LpVariable(f"loses_{name}", 0)
        for number, amount in enumerate(amounts):
            problem.addConstraint(amount - loss <= 0, f"loses_{name}_{number}")
        return loss

    def solved(self, placed: Placed, seconds: float) -> Placed | None:
        """A cheap deal, looked for from the one there is; None if none was found in time."""
        problem = pulp.LpProblem("deal", pulp.LpMinimize)
        problem.setObjective(self._objective(problem))
        for kind, count in enumerate(self.counts):
            problem.addConstraint(self._sum({kind}, self.places, None, None) == count, f"all_{kind}")
        for place in self.places:
            self._limit(problem, place)
        for number, pool in enumerate(self.all.pools):
            here = [place for place in self.places if pool.rates[place]]
            size = "value" if pool.by_value else "weight"
            if here:
                shared = pulp.lpSum(pool.rates[place] * self._sum(None, [place], None, size) for place in here)
                left = pool.most - self.all.used(pool, self.places)
                now = sum(
                    pool.rates[place] * float(getattr(self.examples[kind], size)) * copies
                    for (kind, place, _), copies in placed.items()
                )
                problem.addConstraint(shared <= max(left, now) + 1e-9, f"shared_{number}")
        start = {x.name: float(placed.get(where, 0)) for where, x in self.copies.items()}
        outcome = solve(problem, seconds=seconds, gap=WITHIN, solver=self.all.solver, start=start)
        if not outcome.found:
            return None
        return {where: round(outcome.values[x.name]) for where, x in self.copies.items()}

    def _limit(self, problem: pulp.LpProblem, place: int) -> None:
        carton = self.all.cartons[place]
        for inner in range(len(carton.stacks)):
            stack = self._sum(None, [place], inner, "thickness")
            problem.addConstraint(stack <= float(carton.room) + 1e-9, f"stack_{place}_{inner}")
        for size, most in (("weight", carton.most_weight), ("value", carton.most_value)):
            if most < Decimal("Infinity"):
                problem.addConstraint(self._sum(None, [place], None, size) <= float(most) + 1e-9, f"{size}_{place}")

    def _sum(
        self, kinds: set[int] | None, places: Sequence[int], inner: int | None, size: str | None
    ) -> pulp.LpAffineExpression:
        """Copies in places, or what they measure."""
        return pulp.LpAffineExpression(
            [
                (x, float(getattr(self.examples[kind], size)) if size else 1.0)
                for (kind, place, stands), x in self.copies.items()
                if (kinds is None or kind in kinds) and place in places and inner in (None, stands)
            ]
        )


def _by_batch(opened: Sequence[Sequence[OpenCarton]]) -> list[range]:
    """The places of the cartons of each batch among those of all."""
    ends = list(accumulate(map(len, opened), initial=0))
    return [range(start, end) for start, end in pairwise(ends) if end > start]


def _kind(record: Record) -> tuple[object, ...]:
    """Copies that are alike wherever they stand."""
    return (*needs(record), record.weight, record.thickness, record.value)


def _is_within_its_limits(carton: OpenCarton) -> bool:
    fits = all(stack <= carton.room for stack in carton.stacks)
    return fits and carton.weight <= carton.most_weight and carton.value <= carton.most_value
