"""Loose records by carton type: where slots are whole, a programme says which copies stand in the cartons of a group.

A group is the slots of one track, carton type and mode of cover, whatever their weight step. Without groups a programme
could put what is heavy for its thickness into cartons that are full by weight and call the room they leave used.
Copies count with the least of their kind, so that a floor stays one.
"""

import pulp

from shipopt.planning.programme import Programme, SlotGroup, weighted
from shipopt.planning.ways import loss_matters


def groups_hold_their_copies(programme: Programme) -> None:
    """By group: Σ least thickness ≤ Σ room × cartons, Σ least weight ≤ Σ most contents × cartons, Σ least value ≤
    Σ most value × cartons, all times the use of room; low × cartons ≤ Σ most value; and where a carrier owes something
    for each carton, no carton without a copy."""
    something_owed = loss_matters(programme.move)
    for group in programme.groups:
        number = group.number
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
            held = weighted((size, copies) for size, (_, copies) in zip(sizes, group.copies, strict=True))
            programme.add(held - programme.use_of_room * most <= 0, f"group_{name}_{group.name}")
        if group.mode.low:
            worth = weighted((kind.value.most, copies) for kind, copies in group.copies)
            programme.add(worth - group.mode.low * number >= 0, f"group_value_from_{group.name}")
        if something_owed or group.mode.by_liability:
            copies = weighted((1.0, copies) for _, copies in group.copies)
            programme.add(copies - number >= 0, f"group_not_empty_{group.name}")


def _sum(group: SlotGroup, measure: str) -> pulp.LpAffineExpression:
    return weighted((getattr(slot, measure), slot.number) for slot in group.slots)
