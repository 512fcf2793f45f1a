"""Packing a small batch by a programme of its own: which copy in which carton, leaving out as little as can be.

For batches of few copies in few cartons that filling in turn could not pack: often dear records in light parcels, where
weight steps and values bind at once. Called by ``packing``.
"""

from collections.abc import Sequence

import pulp

from shipopt.planning.opened import Copy, OpenCarton
from shipopt.planning.solving import solve

MOST_COPIES, MOST_CARTONS = 90, 14
"""Larger batches are not worth a programme: filling in turn loses little there."""

SECONDS = 3.0


def is_small(copies: Sequence[Copy], cartons: Sequence[object]) -> bool:
    """Whether a batch may be packed here."""
    return 0 < len(copies) <= MOST_COPIES and 0 < len(cartons) <= MOST_CARTONS


def pack_snugly(copies: Sequence[Copy], cartons: Sequence[OpenCarton]) -> list[Copy]:
    """Put copies into the (empty) cartons so that what is left out is least, each copy counting its share of a carton's
    room, weight and value. Returns the copies left out, in their order; all of them if no packing was found in time."""
    problem = pulp.LpProblem("snug", pulp.LpMinimize)
    bins = [(place, inner) for place, carton in enumerate(cartons) for inner in range(carton.carton.inner_cartons)]
    put = {
        (copy, place, inner): pulp.LpVariable(f"put_{copy}_{place}_{inner}", cat=pulp.LpBinary)
        for copy, (record, _) in enumerate(copies)
        for place, inner in bins
        if record.format.sleeve in cartons[place].carton.sleeves
    }
    problem.setObjective(
        pulp.lpSum(-_share(copies[copy], cartons) * variable for (copy, _, _), variable in put.items())
    )
    each_copy_once_at_most(problem, put, len(copies))
    stacks_fit_inner_cartons(problem, put, copies, cartons)
    weights_and_values_are_kept(problem, put, copies, cartons)
    outcome = solve(problem, seconds=SECONDS, gap=0.0)
    packed: set[int] = set()
    if outcome.found:
        for (copy, place, inner), variable in put.items():
            if outcome.values[variable.name] > 0.5:
                cartons[place].put(copies[copy], inner)
                packed.add(copy)
    return [copy for place, copy in enumerate(copies) if place not in packed]


Put = dict[tuple[int, int, int], pulp.LpVariable]
"""Whether a copy stands in a carton's inner carton: by copy, carton and inner carton."""


def each_copy_once_at_most(problem: pulp.LpProblem, put: Put, copies: int) -> None:
    """Σ places ≤ 1, for every copy."""
    for copy in range(copies):
        places = [variable for (c, _, _), variable in put.items() if c == copy]
        if places:
            problem.addConstraint(pulp.lpSum(places) <= 1, f"once_{copy}")


def stacks_fit_inner_cartons(
    problem: pulp.LpProblem, put: Put, copies: Sequence[Copy], cartons: Sequence[OpenCarton]
) -> None:
    """Σ thickness ≤ room, for every inner carton."""
    for place, carton in enumerate(cartons):
        for inner in range(carton.carton.inner_cartons):
            stack = pulp.lpSum(
                float(copies[c][0].thickness) * v for (c, p, i), v in put.items() if (p, i) == (place, inner)
            )
            problem.addConstraint(stack <= float(carton.room), f"stack_{place}_{inner}")


def weights_and_values_are_kept(
    problem: pulp.LpProblem, put: Put, copies: Sequence[Copy], cartons: Sequence[OpenCarton]
) -> None:
    """Σ weight ≤ most weight, and Σ value ≤ most value, for every carton."""
    for place, carton in enumerate(cartons):
        inside = [(copies[c][0], variable) for (c, p, _), variable in put.items() if p == place]
        weight = pulp.lpSum(float(record.weight) * variable for record, variable in inside)
        problem.addConstraint(weight <= float(carton.most_weight), f"weight_{place}")
        if carton.most_value.is_finite():
            value = pulp.lpSum(float(record.value) * variable for record, variable in inside)
            problem.addConstraint(value <= float(carton.most_value), f"value_{place}")


def _share(copy: Copy, cartons: Sequence[OpenCarton]) -> float:
    """What share of an average carton's room, weight and value the copy takes, together."""
    record, number = copy[0], len(cartons)
    room = float(sum(carton.whole_room for carton in cartons)) / number
    weight = float(sum(carton.most_weight for carton in cartons)) / number
    value = float(cartons[0].most_value)
    return float(record.thickness) / room + float(record.weight) / weight + float(record.value) / value
