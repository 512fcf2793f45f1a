"""Rows of the sheet Shelving: which carton to open when at the new place, and where pulled records slot back in.

Cartons whose records were pulled from among others, to be carried by hand or guarded, are put back last, one after
another: kept open along all shelves they would be in the way. Called by the module gathered.
"""

from bisect import bisect_left, insort
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from shipopt.handling.shelving_order import Step, steps_to_shelve
from shipopt.handling.stops import stops_of, visited
from shipopt.move.cartons import FilledCarton, Portion
from shipopt.move.move import Move
from shipopt.move.plan import Plan
from shipopt.move.records import Record
from shipopt.move.words import Means
from shipopt.workbook.results.rows.packing import OPEN

UNLISTED = "open: its records are not listed"
SLOT_IN = "put back among the others"
WORDS = {
    (True, True): "open, empty it",
    (True, False): "open, keep it open",
    (False, False): "take on, keep it open",
    (False, True): "take the rest: empty",
}
"""What to do with a carton, by whether the step opens it and whether it empties it."""


@dataclass(frozen=True, slots=True)
class ShelvingRow:
    """One step. ``stands_after`` is given for records put back among others, ``records`` where they are known."""

    step: int
    shelf: str
    carton_no: str
    what_to_do: str
    records: int | None
    places: str
    from_record: str
    to_record: str
    stands_after: str
    cartons_open: int
    done: str = OPEN


def shelving_rows(plan: Plan) -> tuple[ShelvingRow, ...]:
    """Steps along the shelves, then pulled records, then cartons whose records are not listed."""
    cartons = [shipment.filled for shipment in plan.shipments] + [gone.filled for gone in plan.move.gone]
    listed = [filled for filled in cartons if filled.portions]
    pulled = pulled_cartons(plan, listed)
    main = [filled for filled in listed if filled.number not in pulled]
    rows = list(_along_the_shelves(plan.move, main))
    rows += _slotted_in(len(rows), main, [filled for filled in listed if filled.number in pulled])
    for filled in cartons:
        if not filled.portions:
            records = filled.records or None
            rows.append(ShelvingRow(len(rows) + 1, "", filled.number, UNLISTED, records, "", "", "", "", 1))
    return tuple(rows)


def pulled_cartons(plan: Plan, cartons: Sequence[FilledCarton]) -> set[str]:
    """Numbers of the cartons that are carried by hand, or at least half of whose records may travel by fewer means than
    the least careful ones of the move: their records were picked out from among the others."""
    move = plan.move
    freedom = {name: len(level.means) for name, level in move.care.items()}
    free = max((freedom[p.record.care] for filled in cartons for p in filled.portions), default=0)
    by = {each.filled.number: each.quote for each in plan.shipments}
    by |= {gone.filled.number: move.quotes[gone.gone_by] for gone in move.gone if gone.gone_by}
    found = set()
    for filled in cartons:
        careful = sum(p.copies for p in filled.portions if freedom[p.record.care] < free)
        carried = filled.number in by and by[filled.number].means is Means.CARRY_ON
        if carried or 2 * careful >= filled.records:
            found.add(filled.number)
    return found


def _along_the_shelves(move: Move, cartons: Sequence[FilledCarton]) -> Iterator[ShelvingRow]:
    stops = stops_of(move.records)
    at_stop: dict[tuple[int, int], list[Portion]] = {}
    for number, filled in enumerate(cartons):
        for portion in _in_order(filled):
            at_stop.setdefault((number, stops[portion.record.place]), []).append(portion)
    steps = steps_to_shelve([visited(filled, stops) for filled in cartons])
    runs = _runs(steps, lambda step: not at_stop[step.carton, step.stop][0].record.shelf)
    for number, run in enumerate(runs, start=1):
        portions = [portion for step in run for portion in at_stop[step.carton, step.stop]]
        yield ShelvingRow(
            step=number,
            shelf=portions[0].record.shelf,
            carton_no=cartons[run[0].carton].number,
            what_to_do=WORDS[run[0].opens, run[-1].empties],
            records=sum(portion.copies for portion in portions),
            places=_places(cartons[run[0].carton], portions),
            from_record=named(portions[0].record),
            to_record="" if portions[0].record is portions[-1].record else named(portions[-1].record),
            stands_after="",
            cartons_open=run[0].open_now,
        )


def _runs(steps: Sequence[Step], unlabelled: Callable[[Step], bool]) -> Iterator[list[Step]]:
    """Steps as they are told: those of records without a shelf label, one after another from one carton, as one."""
    run: list[Step] = []
    for step in steps:
        if run and not (step.carton == run[-1].carton and unlabelled(step) and unlabelled(run[-1])):
            yield run
            run = []
        run.append(step)
    if run:
        yield run


def _slotted_in(before: int, main: Sequence[FilledCarton], pulled: Sequence[FilledCarton]) -> Iterator[ShelvingRow]:
    """Each pulled record, or several that stand side by side, with the record that is on the shelf before it."""
    standing = {portion.record.place: portion.record for filled in main for portion in filled.portions}
    places = sorted(standing)
    number = before
    for filled in pulled:
        group: list[Portion] = []
        for portion in [*_in_order(filled), None]:
            if portion and group and not _something_between(places, group[-1], portion):
                group.append(portion)
                continue
            if group:
                number += 1
                yield _slot(number, filled, group, standing, places)
            group = [portion] if portion else []
        for portion in filled.portions:
            if portion.record.place not in standing:
                standing[portion.record.place] = portion.record
                insort(places, portion.record.place)


def _slot(
    number: int, filled: FilledCarton, group: Sequence[Portion], standing: dict[int, Record], places: Sequence[int]
) -> ShelvingRow:
    first, last = group[0].record, group[-1].record
    at = bisect_left(places, first.place)
    own = first.place in standing  # other copies of the same line stand there already
    neighbour = first if own else standing[places[at - 1]] if at else None
    return ShelvingRow(
        step=number,
        shelf=first.shelf,
        carton_no=filled.number,
        what_to_do=SLOT_IN,
        records=sum(portion.copies for portion in group),
        places=_places(filled, group),
        from_record=named(first),
        to_record="" if first is last else named(last),
        stands_after=named(neighbour) if neighbour else "nothing: it is the first",
        cartons_open=1,
    )


def _something_between(places: Sequence[int], one: Portion, other: Portion) -> bool:
    """Whether a record stands between two, or the shelf changes."""
    return one.record.shelf != other.record.shelf or bisect_left(places, one.record.place) != bisect_left(
        places, other.record.place + 1
    )


def _places(filled: FilledCarton, portions: Sequence[Portion]) -> str:
    """Places in the carton of portions that stand side by side in it: ``3–17``."""
    before = 0
    for portion in _in_order(filled):
        if portion is portions[0]:
            break
        before += portion.copies
    last = before + sum(portion.copies for portion in portions)
    return f"{before + 1}–{last}" if last > before + 1 else f"{last}"


def _in_order(filled: FilledCarton) -> list[Portion]:
    return sorted(filled.portions, key=lambda portion: (portion.record.place, portion.first))


def named(record: Record) -> str:
    """A record on one line: ID, artist, title."""
    words = " – ".join(part for part in (record.artist, record.title) if part)
    return f"{record.record_id}  {words}" if words else record.record_id
