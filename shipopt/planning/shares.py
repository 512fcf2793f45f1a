"""How the kinds of loose records are shared out over tracks and modes of cover, in the aggregate programme.

Called once by ``offer_slots``. The quick programme has variables for the copies of a kind on a track and of a class of
value in a mode. Where copies are told apart by group of slots and all copies of a kind are alike, sums of these say
all there is to say: many kinds are then hardly more rows, and a linear programme is solved far sooner.
"""

from collections.abc import Mapping, Sequence

import pulp

from shipopt.planning.kinds import Kind, Measure, value_classes
from shipopt.planning.modes import Mode, values_matter
from shipopt.planning.programme import Programme, weighted
from shipopt.planning.tracks import Track


def share_out_by_kind(
    programme: Programme, carried: Mapping[int, Sequence[Kind]], modes: Mapping[int, Sequence[Mode]]
) -> None:
    """Variables for the copies of each kind on the tracks that may carry it (``carried``, by track index), and of each
    class of value in the ``modes`` of these tracks where values matter."""
    matter = values_matter(programme.move)
    programme.classes = value_classes(programme.kinds) if matter else []
    for track in programme.tracks:
        for kind in carried[track.index]:
            _share_kind(programme, track, kind)
        if matter:
            _share_classes(programme, track, modes[track.index], {kind.value_class for kind in carried[track.index]})


def share_out_by_group(programme: Programme) -> None:
    """What is on a track, and in a mode where values matter, is what stands in the groups there. Copies of a kind are
    all alike, so that sums over them are exact."""
    matter = values_matter(programme.move)
    for track in programme.tracks:
        here = [group for group in programme.groups if group.track is track]
        standing: dict[int, list[pulp.LpVariable]] = {}
        for group in here:
            for kind, copies in group.copies:
                standing.setdefault(kind.index, []).append(copies)
        for index, variables in sorted(standing.items()):
            least = programme.kinds[index].weight.least
            programme.shares.copies.put(index, track.index, weighted((1.0, each) for each in variables))
            programme.shares.weight.put(index, track.index, weighted((least, each) for each in variables))
        for mode in {group.mode.index: group.mode for group in here}.values() if matter else ():
            value = weighted(
                (kind.value.least, copies) for group in here if group.mode is mode for kind, copies in group.copies
            )
            if value:
                programme.shares.value.put(0, track.index, value, mode.index)
                _count_value(programme, track, mode, value)


def _share_kind(programme: Programme, track: Track, kind: Kind) -> None:
    name, shares = f"{kind.index}_{track.index}", programme.shares
    copies = programme.variable(f"copies_{name}", kind.count)
    shares.copies.put(kind.index, track.index, pulp.LpAffineExpression(copies))
    shares.weight.put(kind.index, track.index, _measured(programme, kind.weight, copies, f"weight_{name}"))
    shares.thickness.put(kind.index, track.index, _measured(programme, kind.thickness, copies, f"thickness_{name}"))


def _share_classes(programme: Programme, track: Track, modes: Sequence[Mode], carried: set[int]) -> None:
    for group in programme.classes:
        able = [mode for mode in modes if mode.high >= group.value.least]  # one copy alone may be worth too much
        for mode in able if group.index in carried else ():
            name = f"{group.index}_{track.index}_{mode.index}"
            copies = programme.variable(f"moded_{name}", group.count)
            programme.shares.moded.put(group.index, track.index, pulp.LpAffineExpression(copies), mode.index)
            value = _measured(programme, group.value, copies, f"value_{name}")
            programme.shares.value.put(group.index, track.index, value, mode.index)
            _count_value(programme, track, mode, value)


def _count_value(programme: Programme, track: Track, mode: Mode, value: pulp.LpAffineExpression) -> None:
    load = programme.load(track)
    load.value += value
    if mode.fee_by_trip and mode.cover is not None:
        covered = load.value_by_cover.setdefault(mode.cover.name, pulp.LpAffineExpression())
        covered += value


def _measured(programme: Programme, measure: Measure, copies: pulp.LpVariable, name: str) -> pulp.LpAffineExpression:
    """A measure of some copies of a kind: exact where all are alike, else any sum between least and most of each."""
    if measure.uniform:
        return measure.least * copies
    total = programme.variable(name, measure.total)
    programme.add(total >= measure.least * copies, f"{name}_at_least")
    programme.add(total <= measure.most * copies, f"{name}_at_most")
    return pulp.LpAffineExpression(total)
