"""The floor, outline by outline: what a plan books and is charged whatever it carries, is the one choice that cannot be
made little by little.

``naming`` says what outlines good plans have. A finer programme of one outline alone bounds every plan of it; then
plans of another outline are asked for, and so on: the least of all these bounds is a floor under every plan. Once a
plan is known, no programme is asked for more than what costs less by a certain share: that no solution exists is proved
far sooner than what the least cost is. Called by ``search``, which packs by the outlines in turn, and with two cores
has a second thread do the same work.
"""

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field
from math import inf
from threading import Condition, Event

from shipopt.move.move import Move
from shipopt.planning.corners import corners_of
from shipopt.planning.formulation import aggregate_programme
from shipopt.planning.kinds import FOR_A_PROOF, Kind
from shipopt.planning.least_loss import least_loss
from shipopt.planning.modes import values_matter
from shipopt.planning.naming import TOO_MANY_COPIES, Naming, Solve, bound_of
from shipopt.planning.outline import Outline
from shipopt.planning.programme import Programme
from shipopt.planning.solving import Outcome, Verdict
from shipopt.planning.ways import loss_matters, without_loss_caps

FINELY = 0.2
"""Bounds of outlines are found within such a share of the gap."""

COSTS_TOO_MUCH = 1.5
"""At first, what costs so many times the cheapest without caps on loss is not looked for: 14.2 s without that limit,
4.3 with it."""

PLANS_COST, MANY_COPIES_COST = 1.04, 1.005
"""Before there is a plan, outlines are named and bounded as if one cost so many times first sight, as plans do: of many
copies less is lost to packing."""

KINDS_OF_MANY = 160
"""With many copies proofs begin with more kinds; but not with too many copies, of which programmes take long."""

WHERE_LOSSES_COUNT = 80
"""Fewer kinds tell too little where losses count: of example 1's second outline, 527 with 20 and 40, 538 with 80."""

WHERE_LOSSES_COST = 160
"""Where losses are part of the cost, more kinds say so much more that they are done sooner: of 1,500 copies (seed 2),
one lost counted as 16, 80 kinds find after 54 s that an outline might have plans for 757.8, and 160 find in 23 s that
it has none."""

TOO_LOW, TOO_HIGH, ABOUT = 0.002, 0.006, 0.0005
"""Of what is asked for, what a proof may look for less, and still go on, as it may if it looks for more: it then says
more than it need to, and may be near its end. What looks for hardly more is not begun again."""

NEWS = 0.1
"""Seconds after which whoever waits for news looks again."""


@dataclass(frozen=True, slots=True, eq=False)
class Met:
    """A solution that a proof met: what might be cheaper than any plan so far."""

    outline: Outline
    kinds: int
    programme: Programme
    outcome: Outcome


@dataclass(slots=True, eq=False)
class Proof:
    """A programme of an outline with so many kinds, for no more than so much, being solved; and what ends it."""

    outline: Outline
    number: int
    at_most: float
    stop: Event = field(default_factory=Event)


class Outlines:
    """Outlines looked at so far, and what bounds the plans of each and of all others. Safe to use from two threads."""

    def __init__(self, move: Move, solve: Solve, time_is_left: Callable[[], bool] = lambda: True) -> None:
        self._asked, self._solve, self._time_is_left = move, solve, time_is_left
        capped = move.settings.most_expected_loss is not None and move.settings.most_tail_mean is None
        self.move = without_loss_caps(move) if capped else move
        """The move that floors, and guides of its outlines, are made for: with caps on loss only where they bind."""
        self._naming = Naming(self.move, solve)
        self._named_all = False
        self._bounds: dict[Outline, float] = {}
        self.of_many_copies = self._naming.of_many_copies
        """Whether programmes are large, and plans hardly cost more than they say."""
        too_many = self._naming.copies >= TOO_MANY_COPIES
        self._least = KINDS_OF_MANY if self.of_many_copies and not too_many else FOR_A_PROOF[0]
        if loss_matters(self.move):
            self._least = max(self._least, WHERE_LOSSES_COST if self._naming.looks_closer else WHERE_LOSSES_COUNT)
        self._found: dict[tuple[Outline, int], float] = {}
        self._kinds: dict[int, list[Kind]] = {}
        self._met: list[Met] = []
        self._seen: list[tuple[float, Outline]] = []
        self.planned: list[Outline] = []
        """The outlines that plans were looked for with."""
        self._at_work: list[Proof] = []
        self.is_naming = False
        """Whether an outline is being named."""
        self._news, self._ended = Condition(), Event()
        self.best_at_first_sight: float | None = None
        """What the first solution seen costs, if there was one: plans hardly cost less."""
        self.expected: float | None = None
        """What the guide costs that the first plan is packed by, once it is known."""

    @property
    def plans_may_cost(self) -> float:
        """What a plan may cost by first sight; nothing at all before there is such a sight."""
        times = MANY_COPIES_COST if self.of_many_copies else PLANS_COST
        return -inf if self.best_at_first_sight is None else self.best_at_first_sight * times

    @property
    def bound(self) -> float:
        """No plan's objective is below this."""
        with self._news:
            return min([self._naming.bound, *self._bounds.values()])

    def first(self, at_most: float | None = None, beside: ExitStack | None = None) -> Outline | None:
        """The outline of a good solution at first sight, of those for no more than ``at_most``, looked for with a
        second core too where work may go on ``beside``, until that is closed; None if none was found in time."""
        seen = self._seen_first(at_most, beside)
        if seen is not None and self.move is not self._asked and self._breaks_a_cap(*seen):
            self.heed_caps()
            limit = min(seen[1].objective * COSTS_TOO_MUCH, inf if at_most is None else at_most)
            seen = self._seen_first(limit)
            if seen is None and limit != at_most:
                seen = self._seen_first(at_most)
        if seen is None:
            return None
        programme, outcome = seen
        self.best_at_first_sight = outcome.objective
        return programme.outline(outcome.values)

    def _seen_first(self, at_most: float | None, beside: ExitStack | None = None) -> tuple[Programme, Outcome] | None:
        seen = self._naming.at_first_sight(at_most, beside)
        named_again = self._naming.looks_closer and not self._naming.looks_closest
        return seen if named_again else self._note(seen)

    def _name(self, at_most: float | None) -> tuple[Programme, Outcome] | None:
        """Name the outline of the best solution of any other; None if there is none, or none was found in time."""
        return self._note(self._naming.next(at_most, self._ended))

    def _note(self, seen: tuple[Programme, Outcome] | None) -> tuple[Programme, Outcome] | None:
        """Note the outline of a solution, with all quotes that are free to book, and name others from now on."""
        if seen is not None:
            programme, outcome = seen
            outline = programme.outline(outcome.values)
            together = outline.with_quotes(self.free)
            with self._news:
                # Plans of it that no earlier outline covers cost no less than this.
                self._bounds.setdefault(together, self._naming.bound)
                self._seen.append((outcome.objective, outline))
                self._naming.leave_out(together, programme)
        return seen

    def _breaks_a_cap(self, programme: Programme, outcome: Outcome) -> bool:
        """Whether a solution shows that a cap on loss binds."""
        most = self._asked.settings.most_expected_loss
        return most is not None and least_loss(programme, outcome.values) > float(most)

    def heed_caps(self) -> None:
        """Have the caps on loss in every programme from now on."""
        with self._news:
            if self.move is self._asked:
                return
            self.move, self._named_all = self._asked, False
            self._least = max(self._least, WHERE_LOSSES_COUNT)
            self._naming = Naming(self._asked, self._solve, self._naming.bound)
            for outline in self._bounds:
                self._naming.leave_out(outline)
            self._found.clear()
            self._kinds.clear()
            self._met.clear()

    def work(self, target: float, *, naming_first: bool = False) -> bool:
        """Do the next thing that may show that no plan costs less than ``target``: name an outline, or bound the plans
        of one with more kinds than before. Whether there was anything to do, and time for it."""
        if (naming_first or self._others_may_cost_least) and self.name(target):
            return True
        with self._news:
            proof = self._next_proof(target) if self._may_begin else None
            if proof is not None:
                self._at_work.append(proof)
        if proof is None:
            return self.name(target)
        try:
            self._prove(proof)
        finally:
            with self._news:
                self._at_work.remove(proof)
                self._news.notify_all()
        return True

    @property
    def _others_may_cost_least(self) -> bool:
        """Whether nothing named so far is bounded as low as what is not, where losses are part of the cost."""
        with self._news:
            return self._naming.looks_closer and self._naming.bound < min(self._bounds.values(), default=inf)

    def name(self, target: float) -> bool:
        """Name the outline of the best solution that costs no more than ``target`` and is of no outline named so far.
        Whether there was time to look for one, and need to."""
        with self._news:
            needless = self._named_all or self._naming.bound >= target
            if self.is_naming or needless or not self._may_begin:
                return False
            self.is_naming = True
        try:
            self._name_for(target)
        finally:
            with self._news:
                self.is_naming = False
                self._news.notify_all()
        return True

    @property
    def _may_begin(self) -> bool:
        return not self._ended.is_set() and self._time_is_left()

    def keep_at_it(self, target: Callable[[], float], tell: Callable[[float], None]) -> None:
        """Work for a target that may change, until told to end; tells of the bound after each step."""
        while not self._ended.is_set():
            if self.work(target(), naming_first=True):
                tell(self.bound)
            else:
                self.wait_for_news()

    def end(self) -> None:
        """Have whoever is at work end it soon; nothing is begun any more."""
        with self._news:
            self._ended.set()
            for proof in self._at_work:
                proof.stop.set()

    def wait_for_news(self) -> None:
        """Wait until another thread has done something, or a moment at the most."""
        with self._news:
            self._news.wait(NEWS)

    @property
    def free(self) -> frozenset[str]:
        """The quotes that are free to book."""
        return self._naming.free

    @property
    def at_rest(self) -> bool:
        """Whether no other thread is at work."""
        with self._news:
            return not self.is_naming and not self._at_work

    def _name_for(self, target: float) -> None:
        naming, move = self._naming, self.move
        seen = self._name(target)
        if seen is not None and move is not self._asked and self._breaks_a_cap(*seen):
            self.heed_caps()
        elif seen is None and naming is self._naming and naming.bound < target and not self._ended.is_set():
            self._named_all = True  # it was not found in time, and will not be

    def _next_proof(self, target: float) -> Proof | None:
        """The next proof: of the outline with the least bound that nobody is at work on, if there is one; those first
        that may show other plans."""
        able = sorted(
            (outline for outline, bound in self._bounds.items() if bound < target),
            key=lambda outline: (self.is_planned(outline), self._bounds[outline], sorted(outline.quotes)),
        )
        most = target + ABOUT * abs(target)
        at_work = [
            (proof.outline, proof.number)
            for proof in self._at_work
            if proof.at_most <= most and not proof.stop.is_set()
        ]
        busy = {outline for outline, _ in at_work}
        for outline in sorted(able, key=lambda outline: outline in busy):
            number = next(
                (most for most in self._able_to_tell(outline, target) if (outline, most) not in at_work), None
            )
            if number is not None:
                return Proof(outline, number, target)
        return None

    def _able_to_tell(self, outline: Outline, target: float) -> Iterator[int]:
        """The numbers of kinds that may tell whether this outline has plans for no more than that, the fewest first:
        not those that could not tell before."""
        met = max((most for most in FOR_A_PROOF if self._found.get((outline, most), inf) <= target), default=0)
        told_apart = len(self._kinds_for_a_proof(met)) if met else 0
        for most in FOR_A_PROOF:
            if most >= self._least and most > met:
                if len(self._kinds_for_a_proof(most)) <= told_apart:
                    return  # all that differs is told apart already
                told_apart = len(self._kinds_for_a_proof(most))
                yield most

    def _kinds_for_a_proof(self, most: int) -> list[Kind]:
        if most not in self._kinds:
            self._kinds[most] = corners_of(self.move.loose, values_matter(self.move), most)
        return self._kinds[most]

    def _prove(self, proof: Proof) -> None:
        """Bound the plans of an outline, and keep the solution met if there is one."""
        with self._news:
            move, kinds = self.move, self._kinds_for_a_proof(proof.number)
        programme = aggregate_programme(move, kinds, whole=True, only=proof.outline, at_most=proof.at_most)
        outcome = self._solve(programme, proof.at_most, FINELY, proof.stop)
        with self._news:
            self._raise(proof.outline, bound_of(outcome, proof.at_most))
            self._stop_proofs_of_what_is_known()
            told_to_stop = proof.stop.is_set() and not outcome.found
            if move is not self.move or outcome.verdict is Verdict.IMPOSSIBLE or told_to_stop:
                return
            self._found[proof.outline, proof.number] = min(outcome.objective, proof.at_most)
            if not outcome.found:
                return
            if move is self._asked or not self._breaks_a_cap(programme, outcome):
                self._met.append(Met(proof.outline, proof.number, programme, outcome))
                return
        self.heed_caps()

    def _stop_proofs_of_what_is_known(self) -> None:
        for proof in self._at_work:
            if self._bounds[proof.outline] >= proof.at_most:
                proof.stop.set()

    def aim_at(self, target: float) -> None:
        """Have proofs that look for what costs far more than ``target``, which take longer, or far less, which is not
        enough, begun anew."""
        with self._news:
            for proof in self._at_work:
                if not -TOO_LOW * abs(target) <= proof.at_most - target <= TOO_HIGH * abs(target):
                    proof.stop.set()

    def _raise(self, outline: Outline, bound: float) -> None:
        """Keep a bound of an outline, which is one of every outline within it too."""
        for other, known in self._bounds.items():
            if other.within(outline):
                self._bounds[other] = max(known, bound)

    def met(self, target: float, wanted: Callable[[Met], bool]) -> Met | None:
        """The last solution met that costs no more than ``target``, and is wanted, if its outline is not bounded by
        that yet; each once."""
        with self._news:
            self._met = [m for m in self._met if m.outcome.objective <= target and self._bounds[m.outline] < target]
            found = next((met for met in reversed(self._met) if wanted(met)), None)
            if found is not None:
                self._met.remove(found)
            return found

    def is_planned(self, outline: Outline) -> bool:
        """Whether plans were looked for with all of it that is not free to book."""
        return any(outline.within(each.with_quotes(self.free)) for each in self.planned)

    def promising(self, below: float) -> Outline | None:
        """The outline seen to cost least, if less than this, and not planned by yet."""
        with self._news:
            seen = [(objective, outline) for objective, outline in self._seen if not self.is_planned(outline)]
            objective, outline = min(seen, key=lambda each: each[0], default=(inf, None))
            return outline if objective < below else None

    def weakest(self) -> Outline | None:
        """The outline with the lowest bound."""
        with self._news:
            return min(self._bounds, key=lambda outline: (self._bounds[outline], sorted(outline.quotes)), default=None)

    def none_exists(self) -> bool:
        """Whether no plan at all can exist, for all that programmes of these kinds can tell."""
        self._note(self._naming.next(None, Event()))
        return self.bound == inf
