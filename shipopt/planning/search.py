"""The search for a plan: the order of programmes and packings that leads from a move to a proved, audited plan.

A tiny move is solved exactly over every carton it could fill. Else the aggregate programme names an outline and gives
a guide, the packer makes cartons of it, and the carton programme sends them at exact prices. Then it is proved, outline
by outline, that none costs much less, or packed by those that might, until the time is up.
"""

from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import replace
from functools import partial
from math import inf
from threading import Event

from shipopt.move.move import Move
from shipopt.move.plan import Plan, Search
from shipopt.planning.along_shelves import along_the_shelves
from shipopt.planning.answers import AuditFailed, NoPlan, NoPlanInTime, Progress
from shipopt.planning.as_before import as_before
from shipopt.planning.audit import findings
from shipopt.planning.beside import Beside
from shipopt.planning.by_guides import PROOF, followed, plan_by
from shipopt.planning.by_weights import MAY_COST, NO_CAP, Worth, plan_by_weights, worth_of_the_cap
from shipopt.planning.dealing_on import deal_on
from shipopt.planning.every_carton import EveryCarton, is_tiny
from shipopt.planning.formulation import carton_programme, closed_cartons
from shipopt.planning.improving import numbered, renumbered
from shipopt.planning.known import cartons_again
from shipopt.planning.outline import Outline
from shipopt.planning.outlines import Met, Outlines
from shipopt.planning.programme import Programme
from shipopt.planning.reasons import why_no_plan
from shipopt.planning.sending import send, solve_cartons, what_was_chosen
from shipopt.planning.solving import BY_BRANCHING, BY_SUMS, Outcome, Solver, Verdict, default_solver, solve
from shipopt.planning.state import FULL, INTERRUPTED, TIME_UP, USES_OF_ROOM, Effort, State
from shipopt.planning.tail_cap import why_none_keeps_the_tail_cap

GUIDES_OF_A_PROOF, LAST = 2, 0.1
"""Guides tried where a proof found what might be cheaper; and the share of the time in which no proof is begun."""

KINDS_TO_PLAN_BY, FAR_BELOW = 80, 0.997
"""What proofs meet with fewer kinds is not planned by while there is something else to do, unless it costs no more than
this share of what is asked for: more kinds often refute it.
"""

OF_A_FLOOR = 0.85
"""Share of the time left that one programme of the floor may take."""

HOPED, FURTHER = 1.06, 1.1
"""A first guide is asked for at no more than first sight times so much: plans rarely cost more. Else so much more."""

AS_SEEN, PACKED_FOR, MANY_PACKED_FOR = 0.985, 1.0015, 1.0005
"""A guide costs more than its outline seemed to at first by so much at the least, most often; and what is packed by a
guide hardly more than the guide by so much, if it serves: less where there are many copies to choose from."""

PROVE_WITHIN = 0.98
"""Floors are proved for a little less than the gap asked for, so that rounding does not spoil it."""


def optimise(
    move: Move,
    *,
    seconds: float | None = None,
    within: float | None = None,
    solver: Solver | None = None,
    progress: Progress | None = None,
    known: Sequence[Plan] = (),
    effort: Effort = FULL,
    hand_over: Callable[[Callable[[], Plan]], None] | None = None,
) -> Plan:
    """The best plan found for a move within a time (seconds) and a relative gap (fraction), the settings' by default.

    ``known`` are plans of the same records under other rules or prices: the search starts from their cartons; where
    little depends on the answer, ``effort`` may spare it guides or the floor. ``hand_over`` is given a function that
    tells the best plan so far, for a thread that ends the search early; it raises as this one does.
    Raises NoPlan if no plan can meet the rules, NoPlanInTime if none was found in time.
    """
    allowed = float(move.settings.seconds) if seconds is None else seconds
    gap = float(move.settings.within) if within is None else within
    tell = progress or (lambda report: None)
    chosen = solver or default_solver()
    state = State(move, allowed, gap, chosen, tell, known, effort)
    if hand_over is not None:
        hand_over(lambda: _finished(state, INTERRUPTED))
    if is_tiny(move):
        _search_every_carton(state)
        return _finished(state)
    with ExitStack() as beside:
        _search_by_guides(state, beside)
        return _finished(state)  # while the work beside ends


def _search_every_carton(state: State) -> None:
    """Decide packing and sending at once: the programme is exact, so its bound is the floor."""
    every = EveryCarton(state.move)
    candidates = [*every.candidates, *closed_cartons(state.move, len(every.items))]
    programme = carton_programme(state.move, candidates, every.items + [1] * len(state.move.to_go), rounds=True)
    kept = solve_cartons(state, programme, "every carton tried", 1e-6, 1)
    if kept.outcome.verdict is Verdict.IMPOSSIBLE:
        raise NoPlan(why_none_keeps_the_tail_cap(kept, state.move) or why_no_plan(state.move, state.solver))
    if not kept.outcome.found:
        raise NoPlanInTime
    state.raise_floor(kept.bound)
    chosen = what_was_chosen(programme, kept.outcome)
    loose = [place for place, _ in chosen if place < len(every.candidates)]
    cartons = iter(every.fill(loose))
    shipments = []
    for place, shipment in chosen:
        filled = next(cartons) if place < len(every.candidates) else shipment.filled
        shipments.append(replace(shipment, filled=filled))
    state.keep(numbered(state.move, shipments), "every carton tried")


def _search_by_guides(state: State, beside: ExitStack) -> None:
    """Pack by the outline of the best relaxed plan, prove what plans of it cost at the least, and go on to the next
    outline that might do better."""
    _start_from_known(state)
    if not state.effort.with_floor:
        for booked in dict.fromkeys((state.booked, None)):
            if state.best is None or booked:
                plan_by(state, booked, 1 if state.effort.dealt_on else len(USES_OF_ROOM))
        if state.effort.dealt_on and state.move.settings.count_expected_loss:
            deal_on(state)
        return
    gap = state.gap if state.effort.floor_within is None else state.effort.floor_within

    def run(programme: Programme, at_most: float | None, share: float, stop: Event) -> Outcome:
        return solve(
            programme.problem,
            seconds=max(state.left * OF_A_FLOOR, 1),
            gap=gap * share,
            at_most=at_most,
            solver=state.solver,
            options=None if state.effort.plain else BY_SUMS if programme.groups else BY_BRANCHING,
            stop=stop,
        )

    outlines = Outlines(state.move, run, lambda: state.left > max(1, LAST * state.seconds))
    state.report("floor")
    at_most = None if state.best_objective is None else _target(state, outlines)
    first = outlines.first(at_most, beside if state.cores > 1 else None)
    state.report("floor")  # a search that was interrupted ends here, and asks no solver again
    if outlines.bound == inf:
        raise NoPlan(why_no_plan(state.move, state.solver))
    state.raise_floor(outlines.bound)
    _work_beside(state, outlines, beside)
    try:
        _plan_and_prove(state, outlines, first)
    finally:
        outlines.end()
    if state.best is not None:
        state.raise_floor(outlines.bound)
    else:
        beside.close()
        if outlines.none_exists():
            raise NoPlan(why_no_plan(state.move, state.solver))


def _work_beside(state: State, outlines: Outlines, beside: ExitStack) -> None:
    """Have a second core name and bound outlines, if there is one, until they are ended; CBC uses it by itself."""
    if state.cores > 1:
        work = partial(outlines.keep_at_it, lambda: _target(state, outlines), state.raise_floor)
        beside.callback(Beside(work, state.cores).wait)


def _plan_and_prove(state: State, outlines: Outlines, first: Outline | None) -> None:
    """Plan by the first outline, and prove that no plan costs much less, or plan by what might."""
    if state.effort.guides and not state.near_enough:
        _plan_first(state, outlines, first)
    before = None
    while state.best_objective != before and state.left > 1 and not state.near_enough:
        before = state.best_objective
        _prove(state, outlines)
        if state.effort.guides and state.left > 1 and not state.near_enough:
            plan_by(state, outlines.weakest(), guiding=outlines.move)


def _plan_first(state: State, outlines: Outlines, first: Outline | None) -> None:
    """Plan by the first outline, or by another named meanwhile whose guide costs less; or else by any."""
    seen = outlines.best_at_first_sight
    hoped = None if seen is None else seen * HOPED
    if first is not None:
        outlines.planned.append(first)

    def instead(cost: float) -> Outline | None:
        outlines.expected = cost
        outlines.aim_at(_target(state, outlines))
        other = outlines.promising(cost * AS_SEEN)
        outlines.planned += [other] if other else []
        return other

    worth = _worth_of_its_cap(state, first, seen)
    if not worth.hardly_binds:
        if hoped is not None and outlines.move is not state.move:
            hoped *= min(worth.dearer, MAY_COST)  # it was seen without the cap
        outlines.heed_caps()
    if worth.binds_hard and first is not None and seen is not None:
        plan_by_weights(state, first, seen, worth)
    if not worth.binds_hard or state.best is None:
        plan_by(state, first, 1, hoped, outlines.move, instead)
    if state.caps_bind:
        outlines.heed_caps()
    while state.best is None and state.left > 1:
        other = outlines.promising(inf)
        if other is not None:
            outlines.planned.append(other)
            plan_by(state, other, 1, hoped)
        elif outlines.is_naming:
            outlines.wait_for_news()
        elif not outlines.name(outlines.plans_may_cost):
            break
    for each, most in ((first, hoped and hoped * FURTHER), (first, None), (None, None)):
        if state.best is None and state.left > 1:
            plan_by(state, each, hoped=most, instead=instead)


def _worth_of_its_cap(state: State, first: Outline | None, seen: float | None) -> Worth:
    """What the move's cap on expected loss means for plans of the first outline; nothing, where it has none."""
    settings = state.move.settings
    if settings.most_expected_loss is None or settings.most_tail_mean is not None or first is None or seen is None:
        return NO_CAP
    return worth_of_the_cap(state, first, seen)


def _prove(state: State, outlines: Outlines) -> None:
    """Name and bound outlines until none can have plans that cost less than the best by more than the gap asked for;
    plan by those that might. Ends when none is left, or the time is up."""
    state.report("floor")
    while state.left > 1 and state.best_objective is not None and not state.near_enough:
        target = _target(state, outlines)
        outlines.aim_at(target)
        if _plan_by_what_was_met(state, outlines, KINDS_TO_PLAN_BY) or outlines.work(target):
            state.report("floor")
        elif not outlines.at_rest:
            outlines.wait_for_news()
        elif not _plan_by_what_was_met(state, outlines, 0):
            break
        state.raise_floor(outlines.bound)
    state.raise_floor(outlines.bound)


def _plan_by_what_was_met(state: State, outlines: Outlines, kinds: int) -> bool:
    """Plan by the outline of a solution that a proof met, if plans were not looked for with it; else, with so many
    kinds or more, pack by the solution, which knows nothing of the tail, and then by more guides. Whether there was
    one."""
    if not state.effort.guides:
        return False
    target = _target(state, outlines)

    def wanted(met: Met) -> bool:
        surely = met.kinds >= kinds or met.outcome.objective < FAR_BELOW * target
        return surely or not outlines.is_planned(met.outline)

    met = outlines.met(target, wanted)
    if met is None:
        return False
    outline = met.programme.outline(met.outcome.values)
    if not outlines.is_planned(met.outline):
        outlines.planned += [outline, Outline(met.outline.quotes - outlines.free, met.outline.charges)]
        plan_by(state, outline, 1, guiding=outlines.move)
        return True
    if state.move.settings.most_tail_mean is None and not state.costs_at_most(met.outcome.objective):
        followed(state, met.programme, met.outcome, PROOF)
    if not state.near_enough:
        plan_by(state, outline, GUIDES_OF_A_PROOF, guiding=outlines.move)
    return True


def _target(state: State, outlines: Outlines) -> float:
    """What a plan may cost at the least, to be near enough to; before there is one, a little more than that of the
    first guide, or than first sight: but a programme of many copies takes too long to be asked for less than enough."""
    share = 1 - state.gap * PROVE_WITHIN
    if state.best_objective is not None:
        return float(state.best_objective) * share
    if outlines.expected is not None:
        return outlines.expected * share * (MANY_PACKED_FOR if outlines.of_many_copies else PACKED_FOR)
    return -inf if outlines.of_many_copies else outlines.plans_may_cost


def _start_from_known(state: State) -> None:
    for plan in state.known:
        cartons = cartons_again(plan, state.move)
        if cartons is not None and state.left > 1:
            send(state, renumbered(cartons), "in the cartons of a plan known already")


def _finished(state: State, early: str = "") -> Plan:
    if state.best is None:
        raise NoPlanInTime
    kind = "every plan that obeys the rules, packing included"
    ran_out = TIME_UP if state.left < 1 else "further tries found nothing better"
    stopped = early or ("near enough to the floor" if state.near_enough else ran_out)
    search = Search(str(state.solver), state.spent, state.floor, kind, stopped, tuple(state.stages))
    plan = Plan(state.move, state.best, search)
    plan = as_before(along_the_shelves(plan, state.in_order_by) if state.effort == FULL else plan, state.gap)
    if found := findings(plan):
        raise AuditFailed("; ".join(found))
    return plan
