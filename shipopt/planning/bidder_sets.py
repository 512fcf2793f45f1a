"""The floor by sets of bidders: which quotes a plan books is the one choice that cannot be made little by little.

Where no cap on loss binds, a proof about all quotes at once is soon done. Else it goes set by set:

The quick programme, with whole cartons on tracks only, names the quotes that its best solution books. With those quotes
alone a finer programme bounds every plan that books no others. Then the quick one is asked for plans that book at
least one other, and so on: the least of all these bounds is a floor under every plan. Once a plan is known, no
programme is asked for more than what costs less by a certain share: that no solution exists is proved far sooner than
what the least cost is. Called by ``search``, which packs by the sets in turn.
"""

from collections.abc import Callable, Iterator, Sequence, Set
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from functools import cached_property, partial
from itertools import islice
from math import inf
from threading import Event

import pulp

from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.rules import quotes_in
from shipopt.planning.beside import Beside
from shipopt.planning.corners import corners_of
from shipopt.planning.formulation import aggregate_programme
from shipopt.planning.kinds import AT_FIRST_SIGHT, FOR_A_PROOF, FOR_NAMING, Kind, kinds_of
from shipopt.planning.least_loss import least_loss
from shipopt.planning.modes import values_matter
from shipopt.planning.programme import Programme
from shipopt.planning.solving import Outcome, Verdict
from shipopt.planning.ways import loss_matters, without_loss_caps

Solve = Callable[[Programme, float | None, float, Event], Outcome]
"""Solves a programme, in the time that a floor may take and until it is told to stop: for no more than a cost (if not
None), within this share of the gap that a floor may have."""

FINELY = 0.2
"""Bounds of sets are found within such a share of the gap."""

COSTS_TOO_MUCH = 1.5
"""What costs so many times first sight need not be in a programme that names sets: no plan asked for does. Nor, at
first, what costs so many times the cheapest without caps on loss (14.2 s without that limit, 4.3 with it)."""

NAMED_AT_ONCE, PLANS_COST = 3, 1.04
"""While the first guide is looked for, or another set is proved, so many sets are named; beforehand those that may cost
no more than first sight times so much, as plans do."""

FEW_SETS, MANY_COPIES, KINDS_OF_MANY = 4, 5_000, 240
"""Where losses are capped, all quotes are looked at as one set once more sets than these are named; else at once (all
12 of 1,500 copies end in 2 to 13 s), with many copies also with so many kinds to begin with: a proof about all 20
quotes of 20,000 copies takes 20 s."""

TOO_MANY_COPIES = 50_000
"""With so many copies proofs begin with few kinds all the same: of 100,000, programmes of 40 kinds and all 20 quotes
take 75 s, those of 240 more than there is."""

WHERE_LOSSES_COUNT = 80
"""Fewer kinds tell too little where losses count: of example 1's second set, 527 with 20 and 40, 538 with 80."""

MORE, FEWER = 1, 2
"""A set is looked at as one with the largest if it has at most so many quotes more, and lacks at most so many."""

Booked = frozenset[str]
"""Names of the quotes that a solution books."""


class Bidders:
    """Sets of quotes looked at so far, and what bounds the plans of each set and of all others."""

    def __init__(
        self, move: Move, solve: Solve, time_is_left: Callable[[], bool] = lambda: True, cores: int = 1
    ) -> None:
        self._asked, self._solve, self._time_is_left, self._cores = move, solve, time_is_left, cores
        capped = move.settings.most_expected_loss is not None and move.settings.most_tail_mean is None
        self.move = without_loss_caps(move) if capped else move
        """The move that floors, and guides of its sets, are made for: with its caps on loss only where they bind."""
        self._bound_of_others = -inf
        self._bounds: dict[Booked, float] = {}
        copies = sum(record.copies for record in move.loose)
        self._many = copies >= MANY_COPIES
        self._enough = KINDS_OF_MANY if MANY_COPIES <= copies < TOO_MANY_COPIES else 0
        if loss_matters(self.move):
            self._enough = max(self._enough, WHERE_LOSSES_COUNT)
        self._found: dict[tuple[Booked, int], float] = {}
        self._kinds: dict[int, list[Kind]] = {}
        self._others: Programme | None = None
        self._without_caps: float | None = None  # what a solution cost that broke a cap
        self._first: Booked = frozenset()
        self.solutions: dict[Booked, tuple[Programme, Outcome]] = {}
        self.planned_by: set[Booked] = set()
        """The sets that plans were looked for with."""
        self.best_at_first_sight: float | None = None
        """What the first solution seen costs, if there was one: plans hardly cost less."""

    def _all_quotes(self, at_most: float | None) -> Programme:
        """The quick programme of all quotes, for solutions that cost no more than that: the last one, where it does."""
        first, last = self.best_at_first_sight, self._others
        if last is None or (last.at_most is not None and (at_most is None or at_most > last.at_most)):
            limit = None if first is None or at_most is None else max(at_most, first * COSTS_TOO_MUCH)
            last = self._others = aggregate_programme(self.move, self._kinds_of(FOR_NAMING), at_most=limit)
        return last

    @cached_property
    def _everyone(self) -> Booked:
        return frozenset(quote.name for quote in quotes_in(self._asked))

    @property
    def _few(self) -> int:
        """With more sets than these named, all quotes are looked at as one."""
        return FEW_SETS if loss_matters(self.move) and not self._many else 0

    def _kinds_of(self, most: int) -> list[Kind]:
        move, by_size = self.move, not loss_matters(self.move)
        return kinds_of(move.loose, values_matter(move), most, by_size=by_size)

    def _kinds_for_a_proof(self, most: int) -> list[Kind]:
        if most not in self._kinds:
            self._kinds[most] = corners_of(self.move.loose, values_matter(self.move), most)
        return self._kinds[most]

    @property
    def bound(self) -> float:
        """No plan's objective is below this."""
        return min([self._bound_of_others, *self._bounds.values()])

    def first_set(self) -> Booked | None:
        """The quotes booked by a good solution at first sight; None if none was found in time."""
        chosen = self._at_first_sight(None)
        if chosen is None and self._without_caps is not None:
            chosen = self._at_first_sight(self._without_caps * COSTS_TOO_MUCH) or self._at_first_sight(None)
        self._first = chosen or frozenset()
        return chosen

    def _at_first_sight(self, at_most: float | None) -> Booked | None:
        kinds = self._kinds_of(AT_FIRST_SIGHT)
        return self._booked(aggregate_programme(self.move, kinds, at_most=at_most), at_most)

    def _breaks_a_cap(self, programme: Programme, outcome: Outcome) -> bool:
        """Whether a solution shows that a cap on loss binds; from then on it is heeded."""
        most = self._asked.settings.most_expected_loss
        if self.move is self._asked or most is None or least_loss(programme, outcome.values) <= float(most):
            return False
        self.heed_caps()
        self._without_caps = outcome.objective
        return True

    def heed_caps(self) -> None:
        """Have the caps on loss in every programme from now on."""
        if self.move is self._asked:
            return
        self.move, self._enough = self._asked, max(self._enough, WHERE_LOSSES_COUNT)
        self._found.clear()
        self._kinds.clear()
        self.solutions.clear()
        self._others = None

    def name_sets(self, stop: Event) -> None:
        """Name the sets that plans may book that cost no more than first sight. Where losses are not capped and copies
        not very many, which is quicker, name those too that cost little more, a few at the most, until told to stop."""
        if self.best_at_first_sight is None:
            return
        self.next_set(self.best_at_first_sight, stop)
        if not loss_matters(self.move) and not self._many:
            self.next_sets(self.best_at_first_sight * PLANS_COST, stop)

    def next_sets(self, at_most: float, stop: Event | None = None) -> None:
        """Name sets, a few at the most."""
        for _ in range(NAMED_AT_ONCE):
            if len(self._bounds) > FEW_SETS or self.next_set(at_most, stop) is None:
                return

    def next_set(self, at_most: float | None = None, stop: Event | None = None) -> Booked | None:
        """The quotes booked by the best solution that costs no more than ``at_most`` and books at least one quote
        outside each set so far; None if there is no such solution or none was found in time."""
        if self._bound_of_others == inf or (at_most is not None and self._bound_of_others >= at_most):
            return None
        others = self._all_quotes(at_most)
        for number, chosen in enumerate(list(self._bounds)):
            self._leave_out(others, number, chosen)
        if self._bound_of_others == inf:
            return None
        return self._booked(others, at_most, stop)

    def not_proved(self, at_most: float, looked_at: Set[Booked]) -> Booked | None:
        """The largest set known already that may have plans for no more than ``at_most``, and is in none of these; as
        one with all such sets that are much the same: what bounds them together bounds each."""
        able = [
            chosen
            for chosen, bound in self._bounds.items()
            if bound < at_most and not any(chosen <= other for other in looked_at)
        ]
        if not able:
            return None
        if len(self._bounds) > self._few:
            self._bounds.setdefault(self._everyone, self.bound)
            return None if self._everyone in looked_at else self._everyone
        largest = max(able, key=len)
        alike = [each for each in able if len(each - largest) <= MORE and len(largest - each) <= FEWER]
        together = largest.union(*alike)
        self._bounds.setdefault(together, min(self._bound_of_others, *self._bounds.values()))
        return together

    def instead_of(self, chosen: Booked, at_most: float) -> list[Booked]:
        """The sets named that may have plans for no more than ``at_most`` and lack a quote of this one, the least bound
        first."""
        able = [other for other, bound in self._bounds.items() if bound < at_most and chosen - other]
        return sorted(able, key=lambda other: (self._bounds[other], sorted(other)))

    def weakest(self) -> Booked | None:
        """The set with the lowest bound."""
        return min(self._bounds, key=lambda chosen: (self._bounds[chosen], sorted(chosen)), default=None)

    def none_exists(self) -> bool:
        """Whether no plan at all can exist, for all the quick programme can tell."""
        self.next_set()
        return self.bound == inf

    def look_at(self, chosen: Booked, at_most: float, steps: int | None = None) -> bool:
        """Bound the plans that book none but these quotes and cost no more than ``at_most``, with more and more kinds,
        in so many ``steps`` (all if None). Whether none is left."""
        steps_left = inf if steps is None else steps
        while steps_left > 0 and self._time_is_left():
            racing = self._cores > 1 and chosen == self._everyone and not self._many
            able = list(islice(self._able_to_tell(chosen, at_most), 2 if racing else 1))
            if not able:
                break
            steps_left -= 1
            if len(able) > 1:
                self._race(chosen, able, at_most)
            else:
                self._prove(chosen, able[0], at_most)
            if self._bounds[chosen] >= at_most:
                break
        return self._bounds[chosen] >= at_most

    def _able_to_tell(self, chosen: Booked, at_most: float) -> Iterator[int]:
        """The numbers of kinds that may tell whether this set has plans for no more than that, the fewest first: not
        those that could not tell before, nor fewer than the last proof took."""
        met = max((most for most in FOR_A_PROOF if self._found.get((chosen, most), inf) <= at_most), default=0)
        told_apart = len(self._kinds_for_a_proof(met)) if met else 0
        for most in FOR_A_PROOF:
            if most >= self._enough and most > met:
                if len(self._kinds_for_a_proof(most)) <= told_apart:
                    return  # all that differs is told apart already
                told_apart = len(self._kinds_for_a_proof(most))
                yield most

    def _race(self, chosen: Booked, numbers: Sequence[int], at_most: float) -> None:
        """Bound the plans of a set with few kinds and with more at once, each on a core of its own, until one of them
        has proved that there are none, or the few have met a solution of other quotes than plans were made by."""
        stops = [Event(), Event()]
        solved: list[tuple[Programme, Outcome]] = []

        def bound(place: int) -> None:
            programme = self._programme_of(chosen, numbers[place], at_most)
            outcome = self._solve(programme, at_most, FINELY, stops[place])
            over = outcome.verdict is Verdict.IMPOSSIBLE
            if over:
                self._enough = numbers[place]
            if over or (outcome.found and programme.booked(outcome.values) not in self.planned_by):
                stops[1 - place].set()
            if outcome.found or not stops[place].is_set():
                self._note(chosen, numbers[place], at_most, outcome)
            solved.append((programme, outcome))

        beside = Beside(partial(bound, 0), self._cores)
        bound(1)
        beside.wait()
        self._raise(chosen, max(_bound(outcome, at_most) for _, outcome in solved))
        self._keep(chosen, [each for each in solved if each[1].found])

    def _prove(self, chosen: Booked, number: int, at_most: float) -> None:
        """Bound the plans of a set, with two cores in two halves: those that do without one of its quotes, and those
        that book it; before the second half more sets are named."""
        halves = self._halves(chosen, number, at_most)
        solved: list[tuple[Programme, Outcome]] = []

        def bound(half: Programme) -> None:
            solved.append((half, self._solve(half, at_most, FINELY, Event())))

        def second() -> None:
            if chosen != self._everyone:
                self.next_sets(at_most)
            for half in halves[1:]:
                bound(half)

        beside = Beside(second, self._cores)
        bound(halves[0])
        beside.wait()
        self._raise(chosen, min(_bound(outcome, at_most) for _, outcome in solved))
        for _, outcome in solved:
            self._note(chosen, number, at_most, outcome)
        if all(outcome.verdict is Verdict.IMPOSSIBLE for _, outcome in solved):
            self._enough = number
        self._keep(chosen, [each for each in solved if each[1].found])

    def _note(self, chosen: Booked, number: int, at_most: float, outcome: Outcome) -> None:
        """Note what so many kinds said of a set: no use to ask them again, unless they proved what was asked."""
        if outcome.verdict is not Verdict.IMPOSSIBLE:
            self._found[chosen, number] = min(outcome.objective, at_most)

    def _keep(self, chosen: Booked, solved: list[tuple[Programme, Outcome]]) -> None:
        """Keep the solution met with the most kinds, which is nearest to what can be packed."""
        if solved:
            programme, outcome = max(solved, key=lambda each: len(each[0].kinds))
            if not self._breaks_a_cap(programme, outcome):
                self.solutions[chosen] = programme, outcome

    def _programme_of(self, chosen: Booked, number: int, at_most: float) -> Programme:
        kinds = self._kinds_for_a_proof(number)
        return aggregate_programme(self.move, kinds, whole=True, only=chosen, at_most=at_most)

    def _halves(self, chosen: Booked, number: int, at_most: float) -> list[Programme]:
        """The programme of a set; with two cores in two parts, by whether they book a quote of many sets."""
        able = chosen - self._first if self._cores > 1 and chosen != self._everyone else frozenset()
        if not able:
            return [self._programme_of(chosen, number, at_most)]
        quote = max(sorted(able), key=lambda name: sum(name in other for other in self._bounds))
        without = self._programme_of(chosen - {quote}, number, at_most)
        having = self._programme_of(chosen, number, at_most)
        booked = pulp.lpSum(having.load(track).used for track in having.tracks if track.quote.name == quote)
        having.add(booked >= 1, "books_the_quote")
        return [without, having]

    def _raise(self, chosen: Booked, bound: float) -> None:
        """Keep a bound of a set, which is one of every set of fewer of its quotes too; of all sets if it has all."""
        if chosen == self._everyone:
            self._bound_of_others = max(self._bound_of_others, bound)
        for other, known in list(self._bounds.items()):
            if other <= chosen:
                self._bounds[other] = max(known, bound)

    def _booked(self, programme: Programme, at_most: float | None, stop: Event | None = None) -> Booked | None:
        outcome = self._solve(programme, at_most, 1.0, stop or Event())
        self._bound_of_others = max(self._bound_of_others, _bound(outcome, at_most))
        if not outcome.found or self._breaks_a_cap(programme, outcome):
            return None
        if self.best_at_first_sight is None:
            self.best_at_first_sight = outcome.objective
        chosen = programme.booked(outcome.values)
        # Plans of this set that no earlier set covers cost no less than the quick programme said.
        self._bounds.setdefault(chosen, self._bound_of_others)
        return chosen

    def _leave_out(self, programme: Programme, number: int, chosen: Booked) -> None:
        """Ask the quick programme for plans that book another quote than these, too."""
        name = f"another_than_set_{number}"
        others = [programme.load(track).used for track in programme.tracks if track.quote.name not in chosen]
        if others and name not in programme.problem.constraints:
            programme.add(pulp.lpSum(others) >= 1, name)
        elif not others:
            self._bound_of_others = inf


def _bound(outcome: Outcome, at_most: float | None) -> float:
    """What no solution costs less than, where those that cost more than ``at_most`` were left out."""
    if outcome.verdict is Verdict.IMPOSSIBLE:
        return inf if at_most is None else at_most
    return outcome.bound if at_most is None else min(outcome.bound, at_most)


def floor_money(bound: float, move: Move) -> Decimal:
    """A bound as money. Costs are whole minor units, so the next one up is a floor too, unless losses count as cost."""
    if bound == -inf:
        return ZERO
    slack = Decimal(repr(max(1e-6, abs(bound) * 1e-7)))
    lowest = max(ZERO, Decimal(repr(bound)) - slack)
    if move.settings.count_expected_loss:
        return lowest.quantize(Decimal("0.000001"), rounding=ROUND_FLOOR)
    return lowest.quantize(move.settings.currency.minor_unit, rounding=ROUND_CEILING)
