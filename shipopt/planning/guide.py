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


@dataclass(slots=True)
class Batch:
    """Copies that should travel on one track in one mode. ``cartons`` are (type, most weight of contents);
    ``lines`` are (record, first copy, copies)."""

    quote: Quote
    mode: Mode
    cartons: list[tuple[CartonType, float]] = field(default_factory=list)
    lines: list[tuple[Record, int, int]] = field(default_factory=list)


Cell = tuple[int, int]
"""A track's index and a mode's."""


def batches_of(programme: Programme, values: Mapping[str, float]) -> list[Batch]:
    """The batches of an aggregate solution, in the order of tracks and modes."""
    batches: dict[Cell, Batch] = {}
    for slot in programme.slots:
        batch = batches.setdefault((slot.track.index, slot.mode.index), Batch(slot.track.quote, slot.mode))
        batch.cartons += [(slot.carton, slot.most_contents)] * round(values[slot.number.name])
    for kind in programme.kinds:
        cells = _cells(programme, kind, values)
        _hand_out(kind, cells, _leaning(programme, kind, cells, values), batches)
    used = [batch for batch in batches.values() if batch.lines]
    for batch in used:
        # Cartons that few sleeves fit come first, so that they are not left without records they can take.
        batch.cartons.sort(key=lambda item: (len(item[0].sleeves), -item[1], item[0].name))
        batch.lines.sort(key=lambda line: (line[0].place, line[1]))
    return used


def _cells(programme: Programme, kind: Kind, values: Mapping[str, float]) -> dict[Cell, float]:
    """How many copies of a kind go on each track in each mode; one mode for all where values do not matter."""
    cells: dict[Cell, float] = {}
    for track in programme.tracks:
        by_mode = programme.shares.moded.on_track(kind.index, track.index)
        copies = programme.shares.copies.on_track(kind.index, track.index).values()
        for mode, part in (by_mode or {0: pulp.lpSum(copies)}).items():
            share = _evaluated(part, values)
            if share > 1e-7:
                cells[track.index, mode] = share
    return cells


@dataclass(frozen=True, slots=True)
class _Leaning:
    """The measure in which the cells of a kind differ most, and what one copy measures on average in each cell."""

    measure: str
    averages: Mapping[Cell, float]


def _leaning(
    programme: Programme, kind: Kind, cells: Mapping[Cell, float], values: Mapping[str, float]
) -> _Leaning | None:
    """Which copies the programme counted on where: the light or cheap or thin ones here, the others there; None where
    it made no difference between them."""
    shares = programme.shares
    copies = {cell: _sum(kind, cell, shares.copies, values) for cell in cells}
    found: list[tuple[float, str, dict[Cell, float]]] = []
    for name, parts in (("weight", shares.weight), ("thickness", shares.thickness)):
        averages = {cell: _sum(kind, cell, parts, values) / copies[cell] for cell in cells if copies[cell]}
        found.append((_difference(getattr(kind, name), averages), name, averages))
    if shares.moded:
        valued = {
            (track, mode): _evaluated(shares.value.on_track(kind.index, track)[mode], values) / cells[track, mode]
            for track, mode in cells
        }
        found.append((_difference(kind.value, valued), "value", valued))
    difference, name, averages = max(found, key=lambda item: item[0])
    return _Leaning(name, averages) if difference > 0.02 and len(averages) == len(cells) else None


def _sum(kind: Kind, cell: Cell, parts: Parts, values: Mapping[str, float]) -> float:
    return sum(_evaluated(part, values) for part in parts.on_track(kind.index, cell[0]).values())


def _evaluated(expression: pulp.LpAffineExpression, values: Mapping[str, float]) -> float:
    return float(expression.constant + sum(coefficient * values[v.name] for v, coefficient in expression.items()))


def _difference(measure: Measure, averages: Mapping[Cell, float]) -> float:
    """How far the averages lie apart, as a share of the range of one copy."""
    if measure.uniform or len(averages) < 2:
        return 0.0
    return (max(averages.values()) - min(averages.values())) / (measure.most - measure.least)


def _hand_out(
    kind: Kind, cells: Mapping[Cell, float], leaning: _Leaning | None, batches: Mapping[Cell, Batch]
) -> None:
    """Give each cell whole copies: runs of the shelf, or by the measure in which the programme told the cells apart."""
    lines = list(kind.lines)
    keys = sorted(cells)
    if leaning is not None:
        keys.sort(key=lambda cell: (leaning.averages[cell], cell))
        lines.sort(key=lambda record: (getattr(record, leaning.measure), record.place))
    counts = _whole([cells[key] for key in keys], kind.count)
    queue = deque((record, 1, record.copies) for record in lines)
    for key, count in zip(keys, counts, strict=True):
        while count > 0:
            record, first, copies = queue.popleft()
            taken = min(copies, count)
            batches[key].lines.append((record, first, taken))
            if taken < copies:
                queue.appendleft((record, first + taken, copies - taken))
            count -= taken


def _whole(shares: list[float], total: int) -> list[int]:
    """Whole numbers that sum to the total, each near its share: largest remainders are rounded up."""
    scale = total / sum(shares)
    exact = [share * scale for share in shares]
    whole = [int(share + 1e-9) for share in exact]
    order = sorted(range(len(shares)), key=lambda place: (whole[place] - exact[place], place))
    for place in order[: total - sum(whole)]:
        whole[place] += 1
    return whole
