"""Loose records by carton type: where slots are whole, a programme says which copies stand in the cartons of a group.

A group is the slots of one track, carton type and mode of cover, whatever their weight step. Without groups a programme
could put what is heavy for its thickness into cartons that are full by weight and call the room they leave used.
Copies count with the least of their kind, so that a floor stays one.
"""

from collections.abc import Iterator

import pulp

from shipopt.planning.kinds import Kind
from shipopt.planning.programme import Programme, SlotGroup


def copies_on_tracks_stand_in_groups(programme: Programme) -> None:
    """Σ copies of a kind in the groups of a track = its copies on the track."""
    standing: dict[tuple[int, int], list[pulp.LpVariable]] = {}
    for group, kind, copies in _copies(programme):
        standing.setdefault((kind.index, group.track.index), []).append(copies)
    for track in programme.tracks if programme.groups else ():
        for index, part in programme.shares.copies.at(track.index):
            stand = pulp.lpSum(standing.get((index, track.index), []))
            programme.add(stand - part == 0, f"in_groups_{index}_{track.index}")


def copies_in_modes_stand_in_groups(programme: Programme) -> None:
    """Σ copies of a class of value in the groups of a track and mode = its copies in that mode."""
    standing: dict[tuple[int, int, int], list[pulp.LpVariable]] = {}
    for group, kind, copies in _copies(programme):
        key = (kind.value_class, group.track.index, group.mode.index)
        standing.setdefault(key, []).append(copies)
    for value_class in programme.classes if programme.groups else ():
        for track in programme.tracks:
            for mode, part in programme.shares.moded.on(value_class.index, track.index).items():
                stand = pulp.lpSum(standing.get((value_class.index, track.index, mode), []))
                programme.add(stand - part == 0, f"in_modes_{value_class.index}_{track.index}_{mode}")


def groups_hold_their_copies(programme: Programme) -> None:
    """By group: Σ least thickness ≤ Σ room × cartons, Σ least weight ≤ Σ most contents × cartons, Σ least value ≤
    Σ most value × cartons, all times the use of room; low × cartons ≤ Σ most value; and no carton without a copy."""
    for group in programme.groups:
        number = pulp.lpSum(slot.number for slot in group.slots)
        if not group.copies:
            programme.add(number == 0, f"nothing_for_group_{group.name}")
            continue
        stack = float(group.carton.stack_length * programme.move.settings.fill_most)
        limits = [
            ("stack", stack * number, [kind.thickness.least for kind, _ in group.copies]),
            ("weight", _sum(group, "most_contents"), [kind.weight.least for kind, _ in group.copies]),
        ]
        if group.slots[0].most_value < float("inf"):
            limits.append(("value", _sum(group, "most_value"), [kind.value.least for kind, _ in group.copies]))
        for name, most, sizes in limits:
            held = pulp.lpSum(size * copies for size, (_, copies) in zip(sizes, group.copies, strict=True))
            programme.add(held - programme.use_of_room * most <= 0, f"group_{name}_{group.name}")
        if group.mode.low:
            worth = pulp.lpSum(kind.value.most * copies for kind, copies in group.copies)
            programme.add(worth - group.mode.low * number >= 0, f"group_value_from_{group.name}")
        copies = pulp.lpSum(copies for _, copies in group.copies)
        programme.add(copies - number >= 0, f"group_not_empty_{group.name}")


def _sum(group: SlotGroup, measure: str) -> pulp.LpAffineExpression:
    return pulp.lpSum(getattr(slot, measure) * slot.number for slot in group.slots)


def _copies(programme: Programme) -> Iterator[tuple[SlotGroup, Kind, pulp.LpVariable]]:
    for group in programme.groups:
        for kind, copies in group.copies:
            yield group, kind, copies
