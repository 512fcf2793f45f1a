"""Guide: an aggregate solution read as work for the packer.

For each track and mode of cover: which cartons, each up to which weight, and which copies, in shelf order. Shares that
the programme left fractional become whole copies by largest remainder, so every copy has exactly one place.
"""

from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass, field

import pulp

from shipopt.move.cartons import CartonType
from shipopt.move.quotes import Quote
from shipopt.move.records import Record
from shipopt.planning.kinds import Kind, Measure
from shipopt.planning.modes import Mode
from shipopt.planning.programme import Parts, Programme

Line = tuple[Record, int, int]
"""Copies of a record line: the record, the first copy, how many."""


@dataclass(slots=True)
class Batch:
    """Copies that should travel on one track in one mode. ``cartons`` are (type, most weight of contents); ``trips``
    says how many trips of the quote the guide books."""

    quote: Quote
    mode: Mode
    trips: int = 1
    cartons: list[tuple[CartonType, float]] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)

    @property
    def copies(self) -> list[tuple[Record, int]]:
        """Every copy of the lines by itself, in their order."""
        return [(record, first + n) for record, first, copies in self.lines for n in range(copies)]


Cell = tuple[int, int]
"""A track's index and a mode's."""

TOLD_APART = 0.02
"""Averages that differ by less than this share of a kind's range are taken for the same."""


def batches_of(programme: Programme, values: Mapping[str, float]) -> list[Batch]:
    """The batches of an aggregate solution, in the order of tracks and modes."""
    batches: dict[Cell, Batch] = {}
    for slot in programme.slots:
        trips = max(1, round(values[programme.load(slot.track).used.name]))
        batch = batches.setdefault((slot.track.index, slot.mode.index), Batch(slot.track.quote, slot.mode, trips))
        batch.cartons += [(slot.carton, slot.most_contents)] * round(values[slot.number.name])
    on_tracks: dict[tuple[int, int], list[Line]] = {}
    for kind in programme.kinds:
        for track, lines in _to_tracks(programme, kind, values).items():
            on_tracks.setdefault((kind.value_class, track), []).extend(lines)
    for (group, track), lines in on_tracks.items():
        for mode, part in _to_modes(programme, group, track, lines, values).items():
            batches[track, mode].lines += part
    used = [batch for batch in batches.values() if batch.lines]
    for batch in used:
        # Cartons that few sleeves fit come first, so that they are not left without records they can take.
        batch.cartons.sort(key=lambda item: (len(item[0].sleeves), -item[1], item[0].name))
        batch.lines.sort(key=lambda line: (line[0].place, line[1]))
    return used


def _to_tracks(programme: Programme, kind: Kind, values: Mapping[str, float]) -> dict[int, list[Line]]:
    """Whole copies of a kind for each track: runs of the shelf, or, where the programme counted on light, thin or cheap
    ones here and others there, runs by that measure."""
    shares = programme.shares
    counts = _amounts(shares.copies, kind.index, programme, values)
    measured = [
        ("weight", kind.weight, shares.weight, kind.index),
        ("thickness", kind.thickness, shares.thickness, kind.index),
    ]
    if programme.classes and len(programme.classes[kind.value_class].kinds) == 1:
        measured.append(("value", kind.value, shares.value, kind.value_class))
    leaning = None
    for name, measure, parts, what in measured:
        sums = _amounts(parts, what, programme, values)
        averages = {track: sums.get(track, 0.0) / count for track, count in counts.items()}
        if leaning is None or _difference(measure, averages) > _difference(leaning[1], leaning[2]):
            leaning = (name, measure, averages)
    assert leaning is not None
    name, measure, averages = leaning
    lines = [(record, 1, record.copies) for record in kind.lines]
    if _difference(measure, averages) < TOLD_APART:
        return _dealt(lines, counts)
    lines.sort(key=lambda line: (getattr(line[0], name), line[0].place))
    return _dealt(lines, dict(sorted(counts.items(), key=lambda item: (averages[item[0]], item[0]))))


def _to_modes(
    programme: Programme, group: int, track: int, lines: list[Line], values: Mapping[str, float]
) -> dict[int, list[Line]]:
    """Whole copies of a class of value for each mode of a track: the cheap ones where the programme counted on them."""
    shares = programme.shares
    counts = {mode: _value(part, values) for mode, part in shares.moded.on(group, track).items()}
    counts = {mode: count for mode, count in counts.items() if count > 1e-7} or {0: 1.0}
    worth = {mode: _value(part, values) for mode, part in shares.value.on(group, track).items()}
    averages = {mode: worth.get(mode, 0.0) / count for mode, count in counts.items()}
    measure = programme.classes[group].value if programme.classes else Measure(0, 0, 0)
    if _difference(measure, averages) < TOLD_APART:
        return _dealt(sorted(lines, key=lambda line: (line[0].place, line[1])), counts)
    lines = sorted(lines, key=lambda line: (line[0].value, line[0].place, line[1]))
    return _dealt(lines, dict(sorted(counts.items(), key=lambda item: (averages[item[0]], item[0]))))


def _amounts(parts: Parts, kind: int, programme: Programme, values: Mapping[str, float]) -> dict[int, float]:
    found = {
        track.index: sum(_value(part, values) for part in parts.on(kind, track.index).values())
        for track in programme.tracks
    }
    return {track: amount for track, amount in found.items() if amount > 1e-7}


def _value(expression: pulp.LpAffineExpression, values: Mapping[str, float]) -> float:
    return float(expression.constant + sum(coefficient * values[v.name] for v, coefficient in expression.items()))


def _difference(measure: Measure, averages: Mapping[int, float]) -> float:
    """How far the averages lie apart, as a share of the range of one copy."""
    if measure.uniform or len(averages) < 2:
        return 0.0
    return (max(averages.values()) - min(averages.values())) / (measure.most - measure.least)


def _dealt(lines: list[Line], counts: Mapping[int, float]) -> dict[int, list[Line]]:
    """The lines in runs, as long as the counts say, in their order."""
    whole = _whole(list(counts.values()), sum(copies for _, _, copies in lines))
    queue = deque(lines)
    dealt: dict[int, list[Line]] = {}
    for key, count in zip(counts, whole, strict=True):
        while count > 0:
            record, first, copies = queue.popleft()
            taken = min(copies, count)
            dealt.setdefault(key, []).append((record, first, taken))
            if taken < copies:
                queue.appendleft((record, first + taken, copies - taken))
            count -= taken
    return dealt


def _whole(shares: list[float], total: int) -> list[int]:
    """Whole numbers that sum to the total, each near its share: largest remainders are rounded up."""
    scale = total / sum(shares)
    exact = [share * scale for share in shares]
    whole = [int(share + 1e-9) for share in exact]
    order = sorted(range(len(shares)), key=lambda place: (whole[place] - exact[place], place))
    for place in order[: total - sum(whole)]:
        whole[place] += 1
    return whole
