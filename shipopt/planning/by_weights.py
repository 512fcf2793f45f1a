"""Planning under a cap on expected loss by guides that weigh losses instead: a cap makes guides far harder. What has
least cost + weight × loss costs least of all that loses no more (Everett, Generalized Lagrange multiplier method,
1963).

The first weight is what a unit of the cap is worth to a linear relaxation; it rises while guides lose too much, and
falls while they lose too little. The carton programme keeps the cap itself. Called by ``search``.
"""

from dataclasses import dataclass, replace
from decimal import Decimal
from math import inf

import pulp

from shipopt.move.move import Move
from shipopt.planning.by_guides import followed
from shipopt.planning.formulation import aggregate_programme
from shipopt.planning.guide_kinds import average_kinds, few_averages
from shipopt.planning.kinds import Kind
from shipopt.planning.outline import Outline
from shipopt.planning.programme import Programme
from shipopt.planning.solving import BY_SUMS, Outcome, solve
from shipopt.planning.state import FULL, USES_OF_ROOM, WHERE_LOSSES_DO_NOT_COUNT, State
from shipopt.planning.ways import without_loss_caps

HARDLY_DEARER, MUCH_DEARER, LESS = 1.02, 1.06, Decimal("0.95")
"""How much dearer than without a cap, by a linear relaxation, plans with it are that the carton programme finds anyway
(1,500 copies, 0.7 %: guides without the cap come to 474, by weights to 507; 2.6 %: to 385 and to 321), and how much
where guides that keep the cap themselves are too hard (5.4 %: they come to 345, by weights to 374; 13.8 %: to nothing,
and to 386); and the share of the cap that it is compared with, to tell what a unit of it is worth."""

TO_COUNT_AT_ALL = 1e-4
"""A weight so small that losses are worked out and decide nothing."""

GUIDES, OF_A_GUIDE = 5, 3
"""Guides tried at the most, each in such a part of the time left."""

TO_PACK_IN = 0.55
"""Share of the time left that is kept to pack in: then what is there is packed, whether or not the weight is right."""

MAY_DO, SPARING = 1.02, 0.9
"""A guide that loses more than so many times the cap is not packed; after one that loses less than this share of it the
weight falls."""

NEAR = 1.3
"""Weights so many times as large as one another have none between them that is worth a guide."""

MAY_COST = 1.5
"""Before there is a plan, it is looked for at up to so many times what the first sight costs."""


@dataclass(slots=True)
class Weighing:
    """The weight on losses and the use of room for the next guide, and the weights that were too little or too much."""

    weight: float
    cap: float
    use_of_room: float = WHERE_LOSSES_DO_NOT_COUNT
    too_little: float = 0.0
    too_much: float = 0.0
    uses_tried: int = 0

    def learn(self, loss: float | None) -> None:
        """Go on from a guide that loses so much (None: none was found): to another weight, or use of room."""
        if loss is not None and loss > self.cap:
            self.too_little = self.weight
        elif loss is not None and loss < SPARING * self.cap:
            self.too_much = self.weight
        else:
            self._use_room_otherwise()
            return
        if not self.too_much:
            self.weight = 2 * self.too_little
        elif not self.too_little:
            self.weight = self.too_much / 2
        elif self.too_much > NEAR * self.too_little:
            self.weight = (self.too_little * self.too_much) ** 0.5
        else:
            self.weight = self.too_much
            self._use_room_otherwise()

    def _use_room_otherwise(self) -> None:
        self.use_of_room = USES_OF_ROOM[self.uses_tried]
        self.uses_tried += 1


@dataclass(frozen=True, slots=True, eq=False)
class Guide:
    """A guide that keeps the cap, or nearly: its cost, without what losses count for in the place of the cap."""

    cost: float
    programme: Programme
    outcome: Outcome
    stage: str


def plan_by_weights(state: State, outline: Outline, seen: float, worth: "Worth") -> None:
    """Plans of these quotes by guides that weigh losses, in the place of the move's cap on expected loss. ``seen`` is
    what the first sight costs."""
    kinds, outline = _kinds(state), Outline(outline.quotes)
    weighing = Weighing(worth.of_a_unit, float(state.move.settings.most_expected_loss or 0))
    guides: list[Guide] = []
    pack_at = state.left * TO_PACK_IN
    for _ in range(GUIDES):
        if state.left < 1 or state.near_enough:
            break
        may_cost = MAY_COST * seen if state.best_objective is None else float(state.best_objective)
        programme, outcome = _guide(state, kinds, outline, weighing, may_cost)
        loss = _at(programme.expected_loss, outcome) if outcome.found else None
        if loss is not None and loss <= MAY_DO * weighing.cap:
            guides.append(Guide(outcome.objective - weighing.weight * loss, programme, outcome, _stage(weighing)))
        weighing.learn(loss)
        if guides and (weighing.uses_tried or state.left < pack_at):
            _follow_the_cheapest(state, guides)
    if guides and state.best is None:
        _follow_the_cheapest(state, guides)


def _follow_the_cheapest(state: State, guides: list[Guide]) -> None:
    best = min(guides, key=lambda guide: guide.cost)
    guides.remove(best)
    if not state.costs_at_most(best.cost):
        followed(state, best.programme, best.outcome, best.stage)


@dataclass(frozen=True, slots=True)
class Worth:
    """What a cap on expected loss means by a linear relaxation: plans are so many times as dear with it as without, and
    a unit of it saves so much."""

    dearer: float
    of_a_unit: float

    @property
    def hardly_binds(self) -> bool:
        """Whether plans without the cap are hardly dearer once the carton programme has made them keep it."""
        return self.dearer <= HARDLY_DEARER

    @property
    def binds_hard(self) -> bool:
        """Whether guides that keep the cap themselves are too hard."""
        return self.dearer > MUCH_DEARER


NO_CAP = Worth(1.0, 0.0)
NOTHING_TO_LOSE = Worth(MUCH_DEARER, 0.0)
"""Where nothing at all may be lost no weight is enough: guides keep the cap themselves."""
UNKNOWN = Worth(inf, 1.0)
"""Where the relaxation has no solution within the cap, or none in time: the weight is a guess."""


def worth_of_the_cap(state: State, outline: Outline, seen: float) -> Worth:
    """What the cap on expected loss, which the move has, means for plans of these quotes. ``seen`` is what the first
    sight costs."""
    cap = state.move.settings.most_expected_loss
    if not cap:
        return NOTHING_TO_LOSE
    kinds = few_averages(_weighed(state.move, 1.0))
    costs = []
    for most in (None, cap, cap * LESS):
        move = _weighed(state.move, TO_COUNT_AT_ALL) if most is None else state.move
        capped = replace(move, settings=replace(move.settings, most_expected_loss=most))
        programme = aggregate_programme(
            capped, kinds, whole=True, only=Outline(outline.quotes), at_most=MAY_COST * seen
        )
        for variable in programme.problem.variables():
            variable.cat = pulp.LpContinuous
        outcome = solve(programme.problem, seconds=max(state.left / OF_A_GUIDE, 1), gap=0.001, solver=state.solver)
        if not outcome.found:
            return UNKNOWN
        costs.append(outcome.objective)
    without, with_cap, with_less = costs
    return Worth(with_cap / without if without > 0 else inf, (with_less - with_cap) / float(cap * (1 - LESS)))


def _kinds(state: State) -> list[Kind]:
    return average_kinds(_weighed(state.move, 1.0), state.effort == FULL)


def _weighed(move: Move, weight: float) -> Move:
    """The move without its cap, each unit of loss counted so many times, beside what it counts for anyway."""
    own = move.settings.weight_of_loss if move.settings.count_expected_loss else Decimal(0)
    counted = own + Decimal(repr(round(weight, 6)))
    settings = replace(move.settings, count_expected_loss=True, weight_of_loss=counted)
    return without_loss_caps(replace(move, settings=settings))


def _guide(
    state: State, kinds: list[Kind], outline: Outline, weighing: Weighing, may_cost: float
) -> tuple[Programme, Outcome]:
    """A guide by this weight, of plans that cost no more than ``may_cost`` and keep the cap, and what came of it."""
    move, at_most = _weighed(state.move, weighing.weight), may_cost + weighing.weight * weighing.cap
    state.report(_stage(weighing))
    programme = aggregate_programme(
        move, kinds, whole=True, only=outline, use_of_room=weighing.use_of_room, at_most=at_most
    )
    outcome = solve(
        programme.problem,
        seconds=max(state.left / OF_A_GUIDE, 1),
        gap=state.gap / 2,
        at_most=at_most,
        solver=state.solver,
        options=BY_SUMS,
    )
    return programme, outcome


def _stage(weighing: Weighing) -> str:
    return f"guide by {weighing.use_of_room * 100:.4g}% of the room, losses counted {weighing.weight:.3g} times"


def _at(expression: pulp.LpAffineExpression, outcome: Outcome) -> float:
    return float(expression.constant + sum(outcome.values[each.name] * times for each, times in expression.items()))
