"""What binds: what each rule a step looser could save at most, by a floor, and what it does save, by a plan.

A quick look at every looser move finds the best plan in cartons known already; those that save are then looked at
longer, the others get a floor, and those that by their floors promise most are looked at longer too. Each later step is
taken as far as the time allows. Called by the module comparison.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from shipopt.comparing.inquiry import IN_KNOWN_CARTONS, WITHIN
from shipopt.comparing.looser import Looser, looser_rules
from shipopt.comparing.variants import Answer, Solved, Variant
from shipopt.move.money import ZERO
from shipopt.move.plan import Plan
from shipopt.planning.state import USES_OF_ROOM, Effort, objective_of
from shipopt.risk.expected import expected_uninsured_loss_of_all

A_FLOOR = Effort(guides=(), floor_within=0.5)
LONGER_LOOK = Effort(guides=USES_OF_ROOM[:1], floor_within=0.05)
ROUNDS, LOOKED_AT_LONGER = 3, 3
"""So many of the looser rules that promise most are given a longer look."""


@dataclass(frozen=True, slots=True)
class Step:
    """A rule a step looser. ``saves`` is what the best plan found saves, ``saves_at_most`` what none can exceed (None
    if no floor is known), in money; ``expected_loss`` is that plan's expected uninsured loss. ``seen`` is false where
    no look at it was finished."""

    looser: Looser
    saves: Decimal
    saves_at_most: Decimal | None
    expected_loss: Decimal | None
    plan: Plan | None
    seen: bool = True


class Loosening:
    """The rules of a plan's move, each a step looser, and what is known of the moves that makes."""

    def __init__(self, plan: Plan, objective: Decimal, seconds: float) -> None:
        self.plan, self.objective, self.seconds = plan, objective, seconds
        self.rules = looser_rules(plan)
        self.answers: dict[int, list[Solved]] = {}
        self.looked_at_longer: list[int] = []
        self.round = 0

    def next_looks(self) -> list[Variant]:
        """Variants to be looked at next, in view of the answers so far; none if there are none left."""
        self.round += 1
        if self.round == 1:
            return [self._variant(place, IN_KNOWN_CARTONS) for place in range(len(self.rules))]
        longer = self._most_promising(sure=self.round == 2) if self.round <= ROUNDS else []
        self.looked_at_longer += longer
        looks = [self._variant(place, LONGER_LOOK) for place in longer]
        return looks + [self._variant(place, A_FLOOR) for place in self._without_a_floor() if self.round == 2]

    def _without_a_floor(self) -> list[int]:
        """Rules of whose looser moves no floor is known, nor will be by a longer look."""
        places = (place for place in range(len(self.rules)) if place not in self.looked_at_longer)
        return [place for place in places if self._at_most(place, self.objective) is None]

    def _most_promising(self, sure: bool) -> list[int]:
        """Rules to be looked at longer: first those with a plan that saves (these only, if ``sure``), then by what they
        could save by their floors."""
        order = sorted(
            (place for place in self.answers if place not in self.looked_at_longer and self._promises(place, sure)),
            key=self._promise,
            reverse=True,
        )
        return sorted(order[: LOOKED_AT_LONGER - len(self.looked_at_longer)])

    def _promises(self, place: int, sure: bool) -> bool:
        return self._saved(place, self.objective) > 0 if sure else bool(self._at_most(place, self.objective))

    def take(self, answer: Answer) -> None:
        """Takes an answer to one of the variants."""
        if isinstance(answer, Solved):
            self.answers.setdefault(self._places()[answer.name], []).append(answer)

    def steps(self, best: Decimal) -> tuple[Step, ...]:
        """What each rule's step saves against a best plan of this objective, those that save most first."""
        steps = [self._step(place, best) for place in range(len(self.rules))]
        return tuple(sorted(steps, key=lambda step: (-step.saves, -(step.saves_at_most or ZERO))))

    def _places(self) -> Mapping[str, int]:
        return {self._name(place): place for place in range(len(self.rules))}

    def _name(self, place: int) -> str:
        rule = self.rules[place]
        return f"{rule.rule}: {rule.step} ({place + 1})"

    def _variant(self, place: int, effort: Effort) -> Variant:
        known = (self.plan, *(answer.plan for answer in self.answers.get(place, [])))
        within = max(WITHIN, float(self.plan.move.settings.within))
        return Variant(self._name(place), self.rules[place].move, self.seconds, within, known, effort=effort)

    def _promise(self, place: int) -> tuple[Decimal, Decimal]:
        at_most = self._at_most(place, self.objective)
        return self._saved(place, self.objective), self.objective if at_most is None else at_most

    def _saved(self, place: int, best: Decimal) -> Decimal:
        return max((best - answer.objective for answer in self.answers.get(place, [])), default=ZERO)

    def _at_most(self, place: int, best: Decimal) -> Decimal | None:
        floors = [answer.floor for answer in self.answers.get(place, []) if answer.floor > ZERO]
        return max(ZERO, best - max(floors)) if floors else None

    def _step(self, place: int, best: Decimal) -> Step:
        saves = max(ZERO, self._saved(place, best))
        plan = _cheapest(self.answers.get(place, [])) if saves else None
        loss = expected_uninsured_loss_of_all(plan.move, plan.shipments) if plan else None
        return Step(self.rules[place], saves, self._at_most(place, best), loss, plan, place in self.answers)


def _cheapest(answers: Sequence[Solved]) -> Plan:
    return min((answer.plan for answer in answers), key=lambda plan: objective_of(plan.move, plan.shipments))
