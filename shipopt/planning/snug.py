"""Packing a batch by programmes of its own, where filling in turn leaves copies over.

First a linear programme that moves copies as little as possible from where shelf order would have them, within every
carton's room, weight and value; its whole copies are packed. Then a small integer programme finds places for the few
that it split. Called by ``packing``.
"""

from collections.abc import Sequence
from decimal import Decimal

import pulp

from shipopt.move.records import Record
from shipopt.planning.guide import Line
from shipopt.planning.opened import Copy, OpenCarton
from shipopt.planning.solving import solve

MOST_PLACES = 25_000
"""A batch with more lines × cartons than this is not worth a programme: filling in turn loses little there."""

MOST_SPLIT = 2_000
"""At most this many copies × cartons are placed by the integer programme."""

SECONDS = 3.0
"""Time for each programme; they are small, and seldom take a tenth of it."""

Put = dict[tuple[int, int], pulp.LpVariable]
"""How many copies of a line (or whether a copy) stand in a carton, or in an inner carton: by place of each."""


def pack_snugly(lines: Sequence[Line], cartons: Sequence[OpenCarton]) -> list[Copy]:
    """Put copies into the (empty) cartons so that what is left out is least. Returns the copies left out; all if
    the batch is too large."""
    everything = [(record, first + n) for record, first, copies in lines for n in range(copies)]
    if not cartons or len(lines) * len(cartons) > MOST_PLACES:
        return everything
    left = _put_whole_copies(lines, cartons)
    if len(left) * sum(carton.carton.inner_cartons for carton in cartons) <= MOST_SPLIT:
        left = _place_the_rest(left, cartons)
    return left


def _put_whole_copies(lines: Sequence[Line], cartons: Sequence[OpenCarton]) -> list[Copy]:
    """Solve the linear programme, and pack what it keeps whole; the rest is returned in shelf order."""
    problem = pulp.LpProblem("near_the_shelf", pulp.LpMinimize)
    put = {
        (line, place): pulp.LpVariable(f"put_{line}_{place}", 0, copies)
        for line, (record, _, copies) in enumerate(lines)
        for place, carton in enumerate(cartons)
        if record.format.sleeve in carton.carton.sleeves
    }
    problem.setObjective(_displacement(lines, cartons, put))
    lines_are_packed_once_at_most(problem, put, lines)
    rooms = [carton.whole_room for carton in cartons]
    contents_fit(problem, put, [record for record, _, _ in lines], cartons, rooms, range(len(cartons)))
    outcome = solve(problem, seconds=SECONDS, gap=0.0)
    left: list[Copy] = []
    for line, (record, first, copies) in enumerate(lines):
        number = first
        for place, carton in enumerate(cartons):
            variable = put.get((line, place))
            whole = int(outcome.values[variable.name] + 1e-6) if outcome.found and variable is not None else 0
            for _ in range(min(whole, first + copies - number)):
                inner = carton.inner_for(record)
                if inner is None:
                    break
                carton.put((record, number), inner)
                number += 1
        left += [(record, n) for n in range(number, first + copies)]
    return left


def _place_the_rest(left: Sequence[Copy], cartons: Sequence[OpenCarton]) -> list[Copy]:
    """Put copies into the room that is left, inner carton by inner carton, leaving out as little as can be."""
    problem = pulp.LpProblem("rest", pulp.LpMinimize)
    bins = [(carton, inner) for carton in cartons for inner in range(carton.carton.inner_cartons)]
    put = {
        (copy, place): pulp.LpVariable(f"put_{copy}_{place}", cat=pulp.LpBinary)
        for copy, (record, _) in enumerate(left)
        for place, (carton, _) in enumerate(bins)
        if record.format.sleeve in carton.carton.sleeves
    }
    if not put:
        return list(left)
    gains = [_share(record, cartons) for record, _ in left]
    problem.setObjective(pulp.lpSum(-gains[copy] * variable for (copy, _), variable in put.items()))
    lines_are_packed_once_at_most(problem, put, [(record, number, 1) for record, number in left])
    rooms = [carton.room - carton.stacks[inner] for carton, inner in bins]
    of_bins = [next(place for place, each in enumerate(cartons) if each is carton) for carton, _ in bins]
    contents_fit(problem, put, [record for record, _ in left], cartons, rooms, of_bins)
    outcome = solve(problem, seconds=SECONDS, gap=0.0)
    remaining = []
    for copy, item in enumerate(left):
        places = [place for place in range(len(bins)) if (copy, place) in put]
        chosen = [p for p in places if outcome.found and outcome.values[put[copy, p].name] > 0.5]
        carton, inner = bins[chosen[0]] if chosen else (None, 0)
        if carton is not None and carton.takes(item[0], inner):
            carton.put(item, inner)
        else:
            remaining.append(item)
    return remaining


def lines_are_packed_once_at_most(problem: pulp.LpProblem, put: Put, lines: Sequence[Line]) -> None:
    """Σ copies packed ≤ copies, for every line."""
    rows: dict[int, list[pulp.LpVariable]] = {}
    for (line, _), variable in put.items():
        rows.setdefault(line, []).append(variable)
    for line, variables in rows.items():
        problem.addConstraint(pulp.lpSum(variables) <= lines[line][2], f"once_{line}")


def contents_fit(
    problem: pulp.LpProblem,
    put: Put,
    records: Sequence[Record],
    cartons: Sequence[OpenCarton],
    rooms: Sequence[Decimal],
    of_rooms: Sequence[int],
) -> None:
    """Σ thickness ≤ each room; Σ weight and Σ value ≤ what each carton may still take. ``of_rooms`` says which carton
    a room is in."""
    stacks: dict[int, list[pulp.LpAffineExpression]] = {}
    weights: dict[int, list[pulp.LpAffineExpression]] = {}
    values: dict[int, list[pulp.LpAffineExpression]] = {}
    for (item, room), variable in put.items():
        record, carton = records[item], of_rooms[room]
        stacks.setdefault(room, []).append(float(record.thickness) * variable)
        weights.setdefault(carton, []).append(float(record.weight) * variable)
        values.setdefault(carton, []).append(float(record.value) * variable)
    for room, stack in stacks.items():
        problem.addConstraint(pulp.lpSum(stack) <= float(rooms[room]), f"stack_{room}")
    for place, weight in weights.items():
        carton_ = cartons[place]
        problem.addConstraint(pulp.lpSum(weight) <= float(carton_.most_weight - carton_.weight), f"weight_{place}")
        if carton_.most_value.is_finite():
            most = float(carton_.most_value - carton_.value)
            problem.addConstraint(pulp.lpSum(values[place]) <= most, f"value_{place}")


def _displacement(lines: Sequence[Line], cartons: Sequence[OpenCarton], put: Put) -> pulp.LpAffineExpression:
    """How far copies stand from where shelf order would have them, as a share of the whole shelf; what is packed earns
    more than any displacement costs."""
    total = sum(float(record.thickness) * copies for record, _, copies in lines)
    room = sum(float(carton.whole_room) for carton in cartons)
    middles, so_far = [], 0.0
    for carton in cartons:
        middles.append((so_far + float(carton.whole_room) / 2) / room)
        so_far += float(carton.whole_room)
    places, so_far = [], 0.0
    for record, _, copies in lines:
        places.append((so_far + float(record.thickness) * copies / 2) / total)
        so_far += float(record.thickness) * copies
    shares = [_share(record, cartons) for record, _, _ in lines]
    gains = [2.0 * share / min(shares) for share in shares]
    return pulp.lpSum(
        (abs(places[line] - middles[place]) - gains[line]) * variable for (line, place), variable in put.items()
    )


def _share(record: Record, cartons: Sequence[OpenCarton]) -> float:
    """What share of an average carton's room, weight and value the copy takes, together."""
    number = len(cartons)
    room = float(sum(carton.whole_room for carton in cartons)) / number
    weight = float(sum(carton.most_weight for carton in cartons)) / number
    value = float(cartons[0].most_value)
    return float(record.thickness) / room + float(record.weight) / weight + float(record.value) / max(value, 1e-9)
