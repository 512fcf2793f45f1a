"""Sharing out: a guide's cartons kept, its copies dealt among them anew with far more kinds told apart.

A guide of few kinds is soon found and says well which cartons a plan should have. What stands in them it blurs: sums
that copies do not have, cartons of low and high weight steps taken together. With the numbers of cartons given, or
nearly so, the same programme of hundreds of kinds is a small one, and most of what it deals can be packed as it is.
"""

from collections.abc import Mapping

from shipopt.planning.formulation import aggregate_programme
from shipopt.planning.guide import Batch, batches_of
from shipopt.planning.kinds import averaged, kinds_of
from shipopt.planning.modes import values_matter
from shipopt.planning.outline import Outline
from shipopt.planning.programme import Programme
from shipopt.planning.solving import BY_LOOKING_NEAR, Solver, solve

KINDS = 400
"""So many kinds are told apart. Measured on guides of 1,500 copies: with 200 some could not be packed that can with
400; 1,000 pack no more."""

MOST_USED = 0.9999
"""No more of the room is counted on, whatever the programme did."""

WITHIN = 0.001
"""The gap: only what must be whole, such as dear copies, leaves one at all."""


PLAY = (0, 3)
"""The numbers of cartons are kept, or else so many more or fewer of each are tried: cartons of low and high weight
steps hold less by themselves than together. Of 20,000 copies 253 cartons in other numbers had room, at 0.5 % more,
where the guide's 253 had none."""


def shared_out(guide: Programme, values: Mapping[str, float], solver: Solver, seconds: float) -> list[Batch]:
    """The batches of a solution whose slots are told apart, their copies dealt anew; none if no deal was found."""
    numbers = {slot.key: round(values[slot.number.name]) for slot in guide.slots}
    kinds = averaged(kinds_of(guide.move.loose, values_matter(guide.move), KINDS))
    for play in PLAY:
        programme = aggregate_programme(
            guide.move,
            kinds,
            whole=True,
            only=Outline(guide.outline(values).quotes),
            use_of_room=min(guide.use_of_room, MOST_USED),
            numbers={key: number for key, number in numbers.items() if number},
            play=play,
        )
        outcome = solve(programme.problem, seconds=seconds, gap=WITHIN, solver=solver, options=BY_LOOKING_NEAR)
        if outcome.found:
            return batches_of(programme, outcome.values)
    return []
