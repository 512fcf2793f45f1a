"""Planning by guides: an aggregate programme that counts on a little less than all room says which cartons a plan
should have, the packer fills them, and the carton programme sends them.

Called by ``search``, which says by which outlines.
"""

import time
from collections.abc import Callable, Iterator
from functools import partial
from math import inf

from shipopt.move.move import Move
from shipopt.planning.formulation import aggregate_programme
from shipopt.planning.guide import Batch, batches_of
from shipopt.planning.guide_kinds import average_kinds, fine_corners
from shipopt.planning.improving import emptied, renumbered
from shipopt.planning.kinds import Kind
from shipopt.planning.outline import Outline
from shipopt.planning.packing import packings
from shipopt.planning.programme import Programme
from shipopt.planning.sending import send, solve_in_search
from shipopt.planning.sharing_out import shared_out
from shipopt.planning.solving import BY_LOOKING_NEAR, BY_SUMS, Outcome, Verdict
from shipopt.planning.state import FULL, USES_OF_ROOM, WHERE_LOSSES_DO_NOT_COUNT, State
from shipopt.planning.tail_cap import guiding_moves
from shipopt.planning.ways import loss_matters

FRUITLESS_GUIDES = 2
"""Once there is a plan, so many guides with the tail in mind that made it no better are the last of them."""

IMPROVING = 0.05
"""Share of all the time that one packing may take to be improved."""

OF_A_PACKING, REDEALING = 0.5, 0.4
"""Share of the time left that the packings of a guide may take; and of that, to deal cartons anew."""

ABOUT_ITS_OWN_COST, AS_GOOD_AS_SAID = 1.2, 0.25
"""A guide is packed well if the plan costs no more than its own cost and so many times the gap asked for: then proofs
are the better use of time. And so well that its other deals need not be packed, where a floor is wanted: guides of
few kinds say more than need be (6,361 where copies could be dealt for 6,287)."""

MANY_CARTONS = 200
"""More cartons than these go by the quotes that they were packed for: by any of 20, the programme of 250 cartons takes
6 s and finds nothing better, that of 1,240 has 100,000 variables, and finds nothing good in a minute. Nor is one
of so many emptied into the rest."""

PROOF = "proof"
"""What the solutions of proofs are called where they are packed by."""

Instead = Callable[[float], Outline | None]
"""Is told what the guide found costs, and tells of another outline that may have plans for less."""


def plan_by(
    state: State,
    chosen: Outline | None,
    guides: int = len(USES_OF_ROOM),
    hoped: float | None = None,
    guiding: Move | None = None,
    instead: Instead | None = None,
) -> None:
    """Plans of this outline (any, if None), the cap on the tail in mind where there is one. ``guiding`` is the move
    that guides are made for, if not the search's own; ``instead`` tells of another outline that may do better."""
    if state.move.settings.most_tail_mean is not None:
        _follow_guides(state, state.move, chosen, at_most=1)
        if state.effort.guides:
            _follow_guides_with_the_tail_in_mind(state)
    if state.best is None or state.broke is None:
        _follow_guides(state, guiding or state.move, chosen, guides, hoped, instead)


def _follow_guides_with_the_tail_in_mind(state: State) -> None:
    """Guides do not see the tail as the carton programme does: let them risk less and less, while that makes plans."""
    fruitless = 0
    for guiding in guiding_moves(state.move, state.broke):
        if state.near_enough or state.left < 1 or (state.best is not None and fruitless >= FRUITLESS_GUIDES):
            return
        before = state.best_objective
        _follow_guides(state, guiding, None, at_most=1)
        fruitless += state.best_objective == before


def _follow_guides(
    state: State,
    guiding: Move,
    booked: Outline | None,
    at_most: int = len(USES_OF_ROOM),
    hoped: float | None = None,
    instead: Instead | None = None,
) -> None:
    """Pack by one guide after another, each by another use of the room, until one is packed at about its own cost.
    ``guiding`` is the move that guides are made for: the state's own, or one with harder caps."""
    kinds = (partial(average_kinds, guiding, state.effort == FULL), partial(fine_corners, guiding))
    booked = _asked_for(booked, guiding)
    impossible = 0.0
    for use_of_room, sort in _not_tried(state, guiding, booked)[:at_most]:
        if state.left < 1 or state.near_enough or use_of_room < impossible:
            continue
        asked = hoped if state.best_objective is None else float(state.best_objective) * (1 - state.gap / 4)
        guide = partial(_guide, state, guiding, kinds[sort](), use_of_room)
        programme, outcome = guide(booked, asked)
        if outcome.found or state.best is not None:
            state.tried.add((guiding.settings.most_expected_loss, booked, use_of_room, sort))
        while outcome.found and instead is not None and (other := instead(outcome.objective)) is not None:
            better = guide(_asked_for(other, guiding), outcome.objective)
            programme, outcome = better if better[1].found else (programme, outcome)
        if outcome.verdict is Verdict.IMPOSSIBLE:
            impossible = use_of_room
        elif not outcome.found or followed(state, programme, outcome, _stage(use_of_room)):
            return


def _asked_for(outline: Outline | None, guiding: Move) -> Outline | None:
    """The outline that guides are made of: where losses count, with any rows and covers."""
    return Outline(outline.quotes) if outline is not None and loss_matters(guiding) else outline


def _not_tried(state: State, guiding: Move, booked: Outline | None) -> list[tuple[float, int]]:
    """The uses of room and sorts of kinds that no guide of this outline was made with, in the order of trial."""
    uses = list(state.effort.guides)
    if not loss_matters(guiding):
        uses.sort(key=lambda use: abs(use - WHERE_LOSSES_DO_NOT_COUNT))
    pairs = [uses[place : place + 2] for place in range(0, len(uses), 2)]
    tries = [(use, sort) for pair in pairs for sort in (0, 1) for use in pair]
    most = guiding.settings.most_expected_loss
    return [(use, sort) for use, sort in tries if (most, booked, use, sort) not in state.tried]


def _guide(
    state: State, guiding: Move, kinds: list[Kind], use_of_room: float, booked: Outline | None, at_most: float | None
) -> tuple[Programme, Outcome]:
    """A guide of this outline for no more than this, and what came of it."""
    options = BY_SUMS if state.effort == FULL else BY_LOOKING_NEAR
    programme = aggregate_programme(guiding, kinds, whole=True, only=booked, use_of_room=use_of_room, at_most=at_most)
    seconds = max(state.left / 3, 1)
    return programme, solve_in_search(state, programme, _stage(use_of_room), state.gap / 3, seconds, options)


def _stage(use_of_room: float) -> str:
    return f"guide by {use_of_room * 100:.4g}% of the room"


def followed(state: State, guide: Programme, outcome: Outcome, stage: str) -> bool:
    """Pack by a guide. Whether the best plan now costs about what the guide said, so that no other guide is worth a
    try."""
    numbers = {slot.key: round(outcome.values[slot.number.name]) for slot in guide.slots}
    cartons = frozenset((key, number) for key, number in numbers.items() if number)
    if stage == PROOF and cartons in state.followed:
        return False
    state.followed.add(cartons)
    fewest, wanted = inf, sum(numbers.values())
    until, redeal = time.perf_counter() + state.left * OF_A_PACKING, (state.solver, REDEALING)
    for packed in packings(_deals(state, guide, outcome), state.move, until, state.enough, redeal):
        if state.enough.is_set():
            return True
        fewest = min(fewest, len(packed.cartons))
        send(state, packed.cartons, f"packed by the {stage}", packed.quotes if wanted > MANY_CARTONS else ())
        if state.effort.with_floor and state.costs_at_most(outcome.objective * (1 + state.gap * AS_GOOD_AS_SAID)):
            break
    if state.costs_at_most(outcome.objective * (1 + state.gap * ABOUT_ITS_OWN_COST)):
        return True
    if wanted < fewest and wanted <= MANY_CARTONS:
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
            send(state, renumbered(cartons), "one carton fewer")
            if state.best_objective != before:
                break
        better = state.best_objective != before
