"""Guide: an aggregate solution read as work for the packer.

For each group of slots (cartons alike in type, quote and cover): how many, and which copies, in runs of the shelf.
Shares that the programme left fractional become whole copies by largest remainder, so every copy has just one place.
"""

from collections import deque
from collections.abc import Mapping
from dataclasses import dataclass, field
from math import inf

from shipopt.move.cartons import CartonType
from shipopt.move.quotes import Quote
from shipopt.move.records import Record
from shipopt.planning.modes import Mode
from shipopt.planning.programme import Programme

Line = tuple[Record, int, int]
"""Copies of a record line: the record, the first copy, how many."""


@dataclass(slots=True)
class Batch:
    """Copies that should travel in the cartons of one group of slots. ``cartons`` are (type, most weight of contents);
    ``trips`` says how many trips of the quote the guide books, ``worth`` what the copies are worth in it."""

    quote: Quote
    mode: Mode
    trips: int = 1
    cartons: list[tuple[CartonType, float]] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    worth: float = inf

    @property
    def copies(self) -> list[tuple[Record, int]]:
        """Every copy of the lines by itself, in their order."""
        return [(record, first + n) for record, first, copies in self.lines for n in range(copies)]


def batches_of(programme: Programme, values: Mapping[str, float]) -> list[Batch]:
    """The batches of an aggregate solution whose slots are told apart, in the order of its groups of slots."""
    batches: dict[int, Batch] = {}
    shares: dict[int, dict[int, float]] = {}
    for place, group in enumerate(programme.groups):
        numbers = [(slot, round(values[slot.number.name])) for slot in group.slots]
        cartons = [(slot.carton, slot.most_contents) for slot, number in numbers for _ in range(number)]
        if not cartons:
            continue
        trips = round(values[programme.load(group.track).used.name])
        batches[place] = Batch(group.track.quote, group.mode, max(1, trips), cartons)
        for kind, copies in group.copies:
            if values[copies.name] > 1e-7:
                shares.setdefault(kind.index, {})[place] = values[copies.name]
        batches[place].worth = sum(kind.value.least * values[copies.name] for kind, copies in group.copies)
    for kind_index, counts in shares.items():
        lines = [(record, 1, record.copies) for record in programme.kinds[kind_index].lines]
        for place, dealt in _dealt(lines, counts).items():
            batches[place].lines += dealt
    used = [batch for batch in batches.values() if batch.lines]
    for batch in used:
        batch.cartons.sort(key=lambda item: -item[1])
        batch.lines.sort(key=lambda line: (line[0].place, line[1]))
    return used


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
