"""The search for a plan: the order of programmes and packings that leads from a move to a proved, audited plan.

A tiny move is solved exactly over every carton it could fill. Else the aggregate programme names bidders and gives a
guide, the packer makes cartons of it, and the carton programme sends them at exact prices. Then it is proved, set of
bidders by set of bidders, that none costs much less, or packed by those that might, until the time is up.
"""

import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from itertools import product
from math import inf
from threading import Event
from typing import Any

from shipopt.move.cartons import FilledCarton
from shipopt.move.move import Move
from shipopt.move.plan import Plan, Search, Shipment
from shipopt.planning.along_shelves import along_the_shelves
from shipopt.planning.answers import AuditFailed, NoPlan, NoPlanInTime, Progress
from shipopt.planning.as_before import as_before
from shipopt.planning.audit import findings
from shipopt.planning.beside import Beside
from shipopt.planning.bidder_sets import Bidders, Booked
from shipopt.planning.every_carton import EveryCarton, is_tiny
from shipopt.planning.formulation import aggregate_programme, carton_programme, closed_cartons
from shipopt.planning.guide import Batch, batches_of
from shipopt.planning.guide_kinds import average_kinds, fine_corners
from shipopt.planning.improving import emptied, numbered, offers, renumbered
from shipopt.planning.known import cartons_again
from shipopt.planning.packing import packings
from shipopt.planning.programme import Programme
from shipopt.planning.reasons import why_no_plan
from shipopt.planning.sharing_out import shared_out
from shipopt.planning.solving import (
    BY_BRANCHING,
    BY_LOOKING_NEAR,
    BY_SUMS,
    Outcome,
    Solver,
    Verdict,
    default_solver,
    solve,
)
from shipopt.planning.state import FULL, INTERRUPTED, TIME_UP, USES_OF_ROOM, Effort, State
from shipopt.planning.tail_cap import (
    Kept,
    chosen_options,
    guiding_moves,
    keep_tail_cap,
    shipment_of,
    why_none_keeps_the_tail_cap,
)
from shipopt.planning.ways import loss_matters

FRUITLESS_GUIDES = 2
"""Once there is a plan, so many guides with the tail in mind that made it no better are the last of them."""

IMPROVING = 0.05
"""Share of all the time that one packing may take to be improved."""

OF_A_FLOOR, OF_A_PACKING = 0.85, 0.5
"""Shares of the time left that one programme of the floor may take, and the packings of a guide."""

ABOUT_ITS_OWN_COST, AS_GOOD_AS_SAID = 1.2, 0.25
"""A guide is packed well if the plan costs no more than its own cost and so many times the gap asked for: then proofs
are the better use of time. And so well that its other deals need not be packed."""

GUIDES_OF_A_PROOF, LAST = 2, 0.1
"""Guides tried where a proof found what might be cheaper; and the share of the time in which no proof is begun."""

MANY_CARTONS = 400
"""More cartons than these go by the quotes that they were packed for: by any of 20, the programme of 1,240 cartons has
100,000 variables, and finds nothing good in a minute."""

HOPED, FURTHER = 1.06, 1.1
"""A first guide is asked for at no more than first sight times so much: plans rarely cost more. Else so much more."""

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
    else:
        _search_by_guides(state)
    return _finished(state)


def _search_every_carton(state: State) -> None:
    """Decide packing and sending at once: the programme is exact, so its bound is the floor."""
    every = EveryCarton(state.move)
    candidates = [*every.candidates, *closed_cartons(state.move, len(every.items))]
    programme = carton_programme(state.move, candidates, every.items + [1] * len(state.move.to_go), rounds=True)
    kept = _solve_cartons(state, programme, "every carton tried", 1e-6, 1)
    if kept.outcome.verdict is Verdict.IMPOSSIBLE:
        raise NoPlan(why_none_keeps_the_tail_cap(kept, state.move) or why_no_plan(state.move, state.solver))
    if not kept.outcome.found:
        raise NoPlanInTime
    state.raise_floor(kept.bound)
    chosen = _chosen(programme, kept.outcome)
    loose = [place for place, _ in chosen if place < len(every.candidates)]
    cartons = iter(every.fill(loose))
    shipments = []
    for place, shipment in chosen:
        filled = next(cartons) if place < len(every.candidates) else shipment.filled
        shipments.append(replace(shipment, filled=filled))
    state.keep(numbered(state.move, shipments), "every carton tried")


def _search_by_guides(state: State) -> None:
    """Pack by the quotes that the best relaxed plan books, prove what plans of these quotes cost at the least, and go
    on to the next set of quotes that might do better."""
    _start_from_known(state)
    if not state.effort.with_floor:
        for booked in dict.fromkeys((state.booked, None)):
            if state.best is None or booked:
                _plan_by(state, booked)
        return
    gap = state.within if state.effort.floor_within is None else state.effort.floor_within

    def run(programme: Programme, at_most: float | None, share: float, stop: Event) -> Outcome:
        return solve(
            programme.problem,
            seconds=max(state.left * OF_A_FLOOR, 1),
            gap=gap * share,
            at_most=at_most,
            solver=state.solver,
            options=BY_SUMS if programme.groups else BY_BRANCHING,
            stop=stop,
        )

    bidders = Bidders(state.move, run, lambda: state.left > max(1, LAST * state.seconds), state.effort.cores)
    state.report("floor")
    chosen = bidders.first_set()
    state.report("floor")  # a search that was interrupted ends here, and asks no solver again
    if bidders.bound == inf:
        raise NoPlan(why_no_plan(state.move, state.solver))
    state.raise_floor(bidders.bound)
    if state.effort.guides and not state.near_enough:
        stop = Event()
        beyond = Beside(partial(bidders.name_sets, stop), state.effort.cores)
        first = bidders.best_at_first_sight
        hoped = None if first is None else first * HOPED
        _plan_by(state, chosen, 1, hoped, bidders.move)
        if state.effort.cores > 1 and not loss_matters(bidders.move):
            stop.set()  # all quotes are looked at as one set, and soon say more
        beyond.wait()
        bidders.planned_by.add(chosen or frozenset())
        if state.caps_bind:
            bidders.heed_caps()
        for other in bidders.instead_of(chosen or frozenset(), _target(state)):
            if state.left > 1 and not state.near_enough:
                bidders.planned_by.add(other)
                _plan_by(state, other, 1, hoped, bidders.move)
        for each, most in ((chosen, hoped and hoped * FURTHER), (chosen, None), (None, None)):
            if state.best is None and state.left > 1:
                _plan_by(state, each, hoped=most)
    before = None
    while state.best_objective != before and state.left > 1 and not state.near_enough:
        before = state.best_objective
        _prove(state, bidders)
        if state.effort.guides and state.left > 1 and not state.near_enough:
            _plan_by(state, bidders.weakest(), guiding=bidders.move)
    if state.best is None and bidders.none_exists():
        raise NoPlan(why_no_plan(state.move, state.solver))


def _prove(state: State, bidders: Bidders) -> None:
    """Ask of all quotes, or set by set, whether a plan could cost less than the best by more than the gap asked for;
    plan by those that might. Ends when none is left, or the time is up."""
    looked_at: set[Booked] = set()
    while state.left > 1 and state.best_objective is not None and not state.near_enough:
        target = _target(state)
        state.report("floor")
        chosen = bidders.not_proved(target, looked_at) or bidders.next_set(target)
        if chosen is None:
            break
        looked_at.add(chosen)
        proved = bidders.look_at(chosen, target, steps=1)
        if not proved and state.effort.guides and state.left > 1:
            _follow_solution(state, bidders, chosen)
            proved = bidders.look_at(chosen, _target(state))
        state.raise_floor(bidders.bound)
        if not proved and state.effort.guides and state.left > 1 and not state.near_enough:
            _follow_solution(state, bidders, chosen)
            _plan_by(state, chosen, GUIDES_OF_A_PROOF, guiding=bidders.move)
    state.raise_floor(bidders.bound)


def _follow_solution(state: State, bidders: Bidders, chosen: Booked) -> None:
    """Plan by the quotes of the last solution that a proof met, if plans were not looked for with these; else pack by
    it. It knows nothing of the tail."""
    if chosen in bidders.solutions and state.move.settings.most_tail_mean is None:
        programme, outcome = bidders.solutions.pop(chosen)
        booked = programme.booked(outcome.values)
        if booked not in bidders.planned_by:
            bidders.planned_by.add(booked)
            _plan_by(state, booked, 1, guiding=bidders.move)
        elif not state.costs_at_most(outcome.objective):
            _followed(state, programme, outcome, "proof")


def _target(state: State) -> float:
    """What a plan may cost at the least, to be near enough to."""
    return inf if state.best_objective is None else float(state.best_objective) * (1 - state.within * PROVE_WITHIN)


def _plan_by(
    state: State,
    chosen: Booked | None,
    guides: int = len(USES_OF_ROOM),
    hoped: float | None = None,
    guiding: Move | None = None,
) -> None:
    """Plans by these quotes (all, if None), the cap on the tail in mind where there is one. ``guiding`` is the move
    that guides are made for, if not the search's own."""
    if state.move.settings.most_tail_mean is not None:
        _follow_guides(state, state.move, chosen, at_most=1)
        if state.effort.guides:
            _follow_guides_with_the_tail_in_mind(state)
    if state.best is None or state.broke is None:
        _follow_guides(state, guiding or state.move, chosen, guides, hoped)


def _follow_guides_with_the_tail_in_mind(state: State) -> None:
    """Guides do not see the tail as the carton programme does: let them risk less and less, while that makes plans."""
    fruitless = 0
    for guiding in guiding_moves(state.move, state.broke):
        if state.near_enough or state.left < 1 or (state.best is not None and fruitless >= FRUITLESS_GUIDES):
            return
        before = state.best_objective
        _follow_guides(state, guiding, None, at_most=1)
        fruitless += state.best_objective == before


def _start_from_known(state: State) -> None:
    for plan in state.known:
        cartons = cartons_again(plan, state.move)
        if cartons is not None and state.left > 1:
            _send(state, renumbered(cartons), "in the cartons of a plan known already")


def _follow_guides(
    state: State, guiding: Move, booked: Booked | None, at_most: int = len(USES_OF_ROOM), hoped: float | None = None
) -> None:
    """Pack by one guide after another, each by another use of the room, until one is packed at about its own cost.
    ``guiding`` is the move that guides are made for: the state's own, or one with harder caps."""
    uses = state.effort.guides if loss_matters(guiding) else sorted(state.effort.guides, reverse=True)
    kinds = (partial(average_kinds, guiding, state.effort == FULL), partial(fine_corners, guiding))
    impossible = 0.0
    for use_of_room, kinds_for in list(product(uses, kinds))[:at_most]:
        if state.left < 1 or state.near_enough or use_of_room < impossible:
            continue
        stage = f"guide by {use_of_room:.1%} of the room"
        options = BY_SUMS if state.effort == FULL else BY_LOOKING_NEAR
        asked = hoped if state.best_objective is None else float(state.best_objective) * (1 - state.within / 4)
        guide = aggregate_programme(
            guiding, kinds_for(), whole=True, only=booked, use_of_room=use_of_room, at_most=asked
        )
        outcome = _solve(state, guide, stage, state.within / 3, max(state.left / 3, 1), options)
        if outcome.verdict is Verdict.IMPOSSIBLE:
            impossible = use_of_room
        elif not outcome.found or _followed(state, guide, outcome, stage):
            return


def _followed(state: State, guide: Programme, outcome: Outcome, stage: str) -> bool:
    """Pack by a guide. Whether the best plan now costs about what the guide said, so that no other guide is worth a
    try."""
    wanted = sum(round(outcome.values[slot.number.name]) for slot in guide.slots)
    fewest = inf
    until = time.perf_counter() + state.left * OF_A_PACKING
    for packed in packings(_deals(state, guide, outcome), state.move, until):
        fewest = min(fewest, len(packed.cartons))
        _send(state, packed.cartons, f"packed by the {stage}", packed.quotes if wanted > MANY_CARTONS else ())
        if state.costs_at_most(outcome.objective * (1 + state.within * AS_GOOD_AS_SAID)):
            break
    if state.costs_at_most(outcome.objective * (1 + state.within * ABOUT_ITS_OWN_COST)):
        return True
    if fewest > wanted:
        _improve(state)
    return False


def _deals(state: State, guide: Programme, outcome: Outcome) -> Iterator[list[Batch]]:
    """Copies dealt among a guide's cartons: anew with many kinds, and as the guide itself has them. Where many kinds
    show that there is no deal, the guide's own is rarely packed: that waits until there is nothing else."""
    batches = shared_out(guide, outcome.values, state.solver, max(state.left / 4, 1))
    if batches:
        yield batches
    nothing_else = state.best is None and (state.effort != FULL or state.spent > state.seconds / 3)
    if all(kind.lines for kind in guide.kinds) and (batches or nothing_else):
        yield batches_of(guide, outcome.values)


def _improve(state: State) -> None:
    """Empty one carton after another into the rest, as long as that makes a cheaper plan, in a small share of the time:
    it rarely does."""
    better, ends = True, state.spent + IMPROVING * state.seconds
    while better and not state.near_enough and state.best is not None:
        before = state.best_objective
        for cartons in emptied(state.best, state.move):
            if state.left < 1 or state.spent > ends:
                return
            _send(state, renumbered(cartons), "one carton fewer")
            if state.best_objective != before:
                break
        better = state.best_objective != before


def _send(state: State, cartons: Sequence[FilledCarton], stage: str, quotes: Sequence[str] = ()) -> None:
    """Find the best way for packed cartons, in these or other types of carton, at exact prices; as they are, each by
    its own quote, if ``quotes`` are given."""
    candidates = [*offers(cartons, state.move, quotes), *closed_cartons(state.move, len(cartons))]
    exact = carton_programme(state.move, candidates, [1] * (len(cartons) + len(state.move.to_go)))
    sent = _solve_cartons(state, exact, stage, state.within / 4, 2, BY_LOOKING_NEAR).outcome
    if sent.found:
        state.keep(numbered(state.move, [shipment for _, shipment in _chosen(exact, sent)]), stage)


def _solve(
    state: State,
    programme: Programme,
    stage: str,
    gap: float,
    seconds: float,
    options: Mapping[str, Any] | None = None,
) -> Outcome:
    """Solve a programme, for what costs no more than it was made for, and less than the best plan."""
    state.report(stage)
    best = None if state.best_objective is None else float(state.best_objective) * (1 - 1e-6)
    at_most = min((most for most in (programme.at_most, best) if most is not None), default=None)
    return solve(programme.problem, seconds=seconds, gap=gap, at_most=at_most, solver=state.solver, options=options)


def _solve_cartons(
    state: State,
    programme: Programme,
    stage: str,
    gap: float,
    share: int,
    options: Mapping[str, Any] | None = None,
) -> Kept:
    """Solve a programme of cartons within the cap on the tail, each time in a share of the time left."""

    def run() -> Outcome:
        return _solve(state, programme, stage, gap, max(state.left / share, 1), options)

    if state.move.settings.most_tail_mean is not None:
        kept = keep_tail_cap(programme, run, lambda: state.left > 0, for_a_floor=share == 1)
        state.broke = kept.broke if state.broke is None else state.broke
        return kept
    outcome = run()
    return Kept(outcome, outcome.bound)


def _chosen(programme: Programme, outcome: Outcome) -> list[tuple[int, Shipment]]:
    """The candidates chosen, each as often as it was, with its shipment; in the order of candidates."""
    return [(option.candidate, shipment_of(programme, option)) for option in chosen_options(programme, outcome)]


def _finished(state: State, early: str = "") -> Plan:
    if state.best is None:
        raise NoPlanInTime
    kind = "every plan that obeys the rules, packing included"
    ran_out = TIME_UP if state.left < 1 else "further tries found nothing better"
    stopped = early or ("near enough to the floor" if state.near_enough else ran_out)
    search = Search(str(state.solver), state.spent, state.floor, kind, stopped, tuple(state.stages))
    plan = Plan(state.move, state.best, search)
    plan = as_before(along_the_shelves(plan, state.in_order_by) if state.effort == FULL else plan, state.within)
    if found := findings(plan):
        raise AuditFailed("; ".join(found))
    return plan
