"""Naming outlines: the programme in which only what costs by itself is whole says what good plans book, and in which
rows and bands; then what others may, until none is left that could cost little enough. Where losses are capped, whole
cartons on tracks and classes of value say more (example 1: 544 where corners of as many kinds say 524).

Called by ``outlines``, which bounds the plans of each outline by finer programmes.
"""

from collections.abc import Callable
from contextlib import ExitStack
from math import inf
from threading import Event

import pulp

from shipopt.move.move import Move
from shipopt.move.rules import quotes_in
from shipopt.planning.beside import sooner
from shipopt.planning.corners import corners_of
from shipopt.planning.formulation import aggregate_programme
from shipopt.planning.kinds import FOR_NAMING, kinds_of
from shipopt.planning.modes import values_matter
from shipopt.planning.outline import Outline, free_to_book
from shipopt.planning.programme import Programme
from shipopt.planning.solving import Outcome, Verdict
from shipopt.planning.ways import loss_is_capped, loss_matters

WHERE_LOSSES_COST = 80
"""Outlines are named with so many kinds where losses are part of the cost: of 1,500 copies, one lost counted as 16, 20
kinds say 772, 40 say 835, 80 say 846, in 4, 5 and 13 s; whole cartons on tracks say 754, and plans cost 859."""

FINELY_WHERE_LOSSES_COST = 0.2
"""And they are named within such a share of the gap: that takes hardly longer (1,500 copies, one lost counted as 2:
12.7 s instead of 12.4, and 28 instead of 27), and what no other outline costs less than is the floor in the end."""

COUNTS_FOR_MUCH = 8
"""Where a loss counts as so many times what is paid, or more, few kinds say little at first sight: of 1,500 copies, one
lost counted as 256, 20 kinds say 2,292, 40 say 2,760 and 80 say 2,828, in 0.7, 5 and 9 s."""

MANY_COPIES, OF_MANY_COPIES = 5_000, 80
"""Of many copies little is lost to whole cartons, and outlines are named with so many kinds: of 100,000 copies, all 20
quotes, 20 kinds say 13,334, 40 say 13,410, and 80 say in 21 s that there is nothing below 13,443, 0.5 % below a plan,
where outlines named by 20 kinds were no nearer their end after 200 s."""

TOO_MANY_COPIES, FIRST_OF_MANY = 50_000, 40
"""So many copies are looked at by so many kinds at first sight, in 1.2 to 8.8 s: of three moves of 100,000 it says
13,409, 16,262 and 13,315, where 20 kinds and whole cartons on tracks say 13,323, 15,663 and 13,316 in 3 to 17.6 s, and
of the second an outline that costs 2 % more. Of 20,000 copies the 20 kinds serve as well (two moves of five ended
0.6 and 0.4 % nearer to their floors)."""

Solve = Callable[[Programme, float | None, float, Event], Outcome]
"""Solves a programme, in the time that a floor may take and until it is told to stop: for no more than a cost (if not
None), within this share of the gap that a floor may have."""


class Naming:
    """The outlines named so far of a move, and what bounds the plans of all others."""

    def __init__(self, move: Move, solve: Solve, bound: float = -inf) -> None:
        self.move, self._solve = move, solve
        self.free = frozenset(quote.name for quote in quotes_in(move) if free_to_book(quote))
        self._programme: Programme | None = None
        self._left_out: list[Outline] = []
        self.bound = bound
        """No plan of an outline that is not left out costs less than this."""

    def leave_out(self, outline: Outline, programme: Programme | None = None) -> None:
        """Ask for plans of another outline from now on; there are none, if a programme has nothing outside it."""
        self._left_out.append(outline)
        if programme is not None and not programme.outside(outline):
            self.bound = inf if programme.at_most is None else programme.at_most  # it lacks what costs more

    def next(self, at_most: float | None, stop: Event) -> tuple[Programme, Outcome] | None:
        """A solution of an outline that is not left out, the best that costs no more than ``at_most``; None if there is
        no such solution or none was found in time."""
        if self.bound == inf or (at_most is not None and self.bound >= at_most):
            return None
        programme = self._programme = self._for(at_most)
        if not self._leave_out_of(programme):
            self.bound = inf if programme.at_most is None else programme.at_most  # it lacks what costs more
            return None
        return self._solved(programme, at_most, stop)

    def at_first_sight(
        self, at_most: float | None, beside: ExitStack | None = None
    ) -> tuple[Programme, Outcome] | None:
        """The same of any outline, from a quicker programme. Where work may go on ``beside``, until that is closed,
        from the one that names outlines, if it is solved sooner: 1.2 s instead of 3.5 (1,500 copies, seed 20), though
        more often it takes longer."""
        if self.copies >= TOO_MANY_COPIES:
            return self._solved(self._at_large(FIRST_OF_MANY, at_most), at_most, Event())
        if self.looks_closest:
            return self.next(at_most, Event())
        first = self._at_large(FOR_NAMING, at_most) if self.looks_closer else self._quick(at_most)
        if beside is None or loss_matters(self.move) or self.of_many_copies:
            return self._solved(first, at_most, Event())
        stop = Event()

        def solved(programme: Programme) -> tuple[Programme, Outcome]:
            return programme, self._solve(programme, at_most, 1.0, stop)

        programme, outcome = sooner(
            lambda: solved(first),
            lambda: solved(self._at_large(FOR_NAMING, at_most)),
            lambda each: each[1].verdict in (Verdict.PROVED, Verdict.IMPOSSIBLE),
            stop,
            beside,
        )
        return self._told(programme, outcome, at_most)

    @property
    def looks_closer(self) -> bool:
        """Whether outlines are named by far more kinds than at first sight, which is worth while where losses are part
        of the cost: then what was seen first is named again."""
        return loss_matters(self.move) and not loss_is_capped(self.move)

    @property
    def looks_closest(self) -> bool:
        """Whether few kinds say so little, as where a loss counts for much, that outlines are named at first sight."""
        return self.looks_closer and self.move.settings.weight_of_loss >= COUNTS_FOR_MUCH

    def _at_large(self, most_kinds: int, at_most: float | None) -> Programme:
        kinds = corners_of(self.move.loose, values_matter(self.move), most_kinds)
        return aggregate_programme(self.move, kinds, at_large=True, at_most=at_most)

    def _quick(self, at_most: float | None) -> Programme:
        kinds = kinds_of(self.move.loose, values_matter(self.move), by_size=not loss_matters(self.move))
        return aggregate_programme(self.move, kinds, at_most=at_most)

    def _solved(self, programme: Programme, at_most: float | None, stop: Event) -> tuple[Programme, Outcome] | None:
        return self._told(programme, self._solve(programme, at_most, self._share_of_gap, stop), at_most)

    def _told(self, programme: Programme, outcome: Outcome, at_most: float | None) -> tuple[Programme, Outcome] | None:
        """Keep the bound, and tell of a solution if there is one."""
        self.bound = max(self.bound, bound_of(outcome, at_most))
        return (programme, outcome) if outcome.found else None

    def _for(self, at_most: float | None) -> Programme:
        """The programme that names outlines: the last one, where it has what costs as much."""
        last = self._programme
        if last is not None and (last.at_most is None or (at_most is not None and at_most <= last.at_most)):
            return last
        if self.looks_closer:
            return self._at_large(WHERE_LOSSES_COST, at_most)
        plain = loss_matters(self.move) and not self.of_many_copies
        return self._quick(at_most) if plain else self._at_large(self._for_naming, at_most)

    @property
    def _share_of_gap(self) -> float:
        """How near to the best solution is near enough, as a share of the gap of a floor."""
        return FINELY_WHERE_LOSSES_COST if self.looks_closer else 1.0

    @property
    def copies(self) -> int:
        """How many copies are still to be packed."""
        return sum(record.copies for record in self.move.loose)

    @property
    def of_many_copies(self) -> bool:
        """Whether programmes are large, and plans hardly cost more than they say."""
        return self.copies >= MANY_COPIES

    @property
    def _for_naming(self) -> int:
        return OF_MANY_COPIES if self.of_many_copies else FOR_NAMING

    def _leave_out_of(self, programme: Programme) -> bool:
        """Ask the programme for another outline than each left out. Whether it has any."""
        for number, outline in enumerate(self._left_out):
            name, others = f"another_outline_than_{number}", programme.outside(outline)
            if not others:
                return False
            if name not in programme.problem.constraints:
                programme.add(pulp.lpSum(others) >= 1, name)
        return True


def bound_of(outcome: Outcome, at_most: float | None) -> float:
    """What no solution costs less than, where those that cost more than ``at_most`` were left out."""
    if outcome.verdict is Verdict.IMPOSSIBLE:
        return inf if at_most is None else at_most
    return outcome.bound if at_most is None else min(outcome.bound, at_most)
