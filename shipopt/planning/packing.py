"""Packing: real cartons from batches of loose copies, snug.

The copies of a batch are dealt evenly among its cartons; where that leaves some without room, each carton takes the
next copies along the shelf, with swaps to close the last millimetres where the batch is tight. Either way copies are
then swapped until no carton is overfull. Copies that fit nowhere are put into room that other cartons of the plan have
left, and only then into cartons of their own.
"""

import time
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from decimal import Decimal
from math import inf
from threading import Event

import numpy as np

from shipopt.move.cartons import CartonType, FilledCarton, Portion, filled
from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.quotes import Quote
from shipopt.move.records import Record
from shipopt.move.rules import carton_refusal, cartons_for, most_gross_weight, quotes_in, record_may_go
from shipopt.planning.evenly import deal_evenly
from shipopt.planning.guide import Batch
from shipopt.planning.modes import modes_of
from shipopt.planning.opened import Copy, OpenCarton
from shipopt.planning.pools import weight_to_spare
from shipopt.planning.redealing import Redealing
from shipopt.planning.solving import Solver
from shipopt.planning.swapping import swap_until_all_fit
from shipopt.planning.tariffs import steps_to_stay_below, tariffs_of

LOOK_AHEAD = 40
"""Lines of the shelf looked at beyond the next one."""

FAR_AHEAD = 300
"""Copies of the shelf looked at for swaps."""

TIGHT = Decimal("0.97")
"""A batch that needs more than this share of its cartons' room is packed with swaps."""

TRIES = 2
"""A deal is packed so many times, evenly and in turn, before it is called too tight."""


class _NoRoom(Exception):  # noqa: N818 - an answer, not a mistake
    """A copy fits no carton that may carry it: this packing fails, others may not."""


@dataclass(frozen=True, slots=True)
class Packed:
    """Cartons, and the name of the quote by which each was packed to go."""

    cartons: list[FilledCarton]
    quotes: list[str]


def packings(
    deals: Iterable[Sequence[Batch]],
    move: Move,
    until: float = inf,
    enough: Event | None = None,
    redeal: tuple[Solver, float] | None = None,
) -> Iterator[Packed]:
    """Cartons that hold every copy, numbered provisionally in order, for one way after another to deal the copies among
    batches: in no cartons but the batches'; where no deal can be packed so, with more cartons. From the time ``until``
    (of ``time.perf_counter``) on, or once ``enough`` is set, what is not packed yet is packed quickly.
    ``redeal`` is the solver with which better and better packings of a deal are looked for after the first, where
    losses are part of the cost, and the share of the time left for that."""
    spilled: list[tuple[Sequence[Batch], list[OpenCarton], list[list[Copy]]]] = []
    packed = False
    for batches in deals:
        tries = []
        for luck in range(TRIES):
            opened, left = _pack_by_swaps(batches, move, luck, until, enough)
            if not any(left):
                yield closed(opened)
                packed = True
                if redeal is not None and move.settings.count_expected_loss:
                    solver, share = redeal
                    ends = share * until + (1 - share) * time.perf_counter()
                    for _ in Redealing(batches, opened, move, solver).improve(ends, enough):
                        yield closed(opened)
                break
            tries.append((batches, _not_empty(opened), left))
        else:
            spilled.append(min(tries, key=lambda tried: sum(_stack(copies) for copies in tried[2])))
    for batches, cartons, left in () if packed else spilled:
        with suppress(_NoRoom):
            yield closed([_with_more_cartons(batches, cartons, left, move)])


def _not_empty(opened: Sequence[Sequence[OpenCarton]]) -> list[OpenCarton]:
    return [carton for of_batch in opened for carton in of_batch if any(carton.copies)]


def closed(opened: Sequence[Sequence[OpenCarton]]) -> Packed:
    """The cartons that hold anything, numbered provisionally in order."""
    cartons = _not_empty(opened)
    filled_cartons = [close(carton, str(place)) for place, carton in enumerate(cartons, start=1)]
    return Packed(filled_cartons, [carton.quote.name for carton in cartons if carton.quote])


def _pack_by_swaps(
    batches: Sequence[Batch], move: Move, luck: int, until: float, enough: Event | None
) -> tuple[list[list[OpenCarton]], list[list[Copy]]]:
    """All batches at once, in no cartons but theirs; the cartons and the copies left over, by batch."""
    if luck % 2:
        opened = [_opened(batch, move) for batch in batches]
        left_over = [_fill_in_turn(cartons, batch.copies) for cartons, batch in zip(opened, batches, strict=True)]
    else:
        opened, left_over = [_dealt(batch, move) for batch in batches], [[] for _ in batches]
    left = set(swap_until_all_fit(batches, opened, left_over, move, luck, until, enough))
    return opened, [[copy for copy in batch.copies if copy in left] if left else [] for batch in batches]


def _opened(batch: Batch, move: Move) -> list[OpenCarton]:
    return [_open(batch, carton, weight, move) for carton, weight in batch.cartons]


def _dealt(batch: Batch, move: Move) -> list[OpenCarton]:
    """The cartons of a batch with its copies dealt evenly; where weight is billed in steps, by weights that stay below
    such steps."""
    dealt = _opened(batch, move)
    deal_evenly(dealt, batch.copies)
    tariffs, tariff_of = tariffs_of(dealt, move)
    weights = np.array([float(carton.weight) for carton in dealt])
    quotes = np.zeros(len(dealt), dtype=np.int64)
    aims = steps_to_stay_below(weights, [tariffs[tariff] for tariff in tariff_of], quotes, 0)
    if aims is not None:
        dealt = _opened(batch, move)
        deal_evenly(dealt, batch.copies, aims.tolist())
    return dealt


def _with_more_cartons(
    batches: Sequence[Batch], opened: Sequence[OpenCarton], left: Sequence[list[Copy]], move: Move
) -> list[OpenCarton]:
    """The cartons, and what is left over where others have room, then in more cartons. Raises _NoRoom."""
    cartons = list(opened)
    for batch, remaining in zip(batches, left, strict=True):
        homeless = _use_room_left(remaining, cartons, move, weight_to_spare(batches, cartons))
        extra, homeless = _in_more_cartons(batch, homeless, move)
        cartons += extra
        cartons += _in_cartons_of_their_own(homeless, move)
    return cartons


def _in_more_cartons(batch: Batch, left: list[Copy], move: Move) -> tuple[list[OpenCarton], list[Copy]]:
    """Fill more cartons like those of the batch, each the least roomy one that leaves least over."""
    kinds = list(dict.fromkeys(batch.cartons))
    cartons: list[OpenCarton] = []
    while left and kinds:
        tried: list[tuple[Decimal, Decimal, int, OpenCarton, list[Copy]]] = []
        for carton, weight in kinds:
            opened = _open(batch, carton, weight, move)
            rest = fill(opened, left)
            tried.append((_stack(rest), opened.whole_room, len(tried), opened, rest))
        _, _, _, opened, rest = min(tried, key=lambda item: item[:3])
        if len(rest) == len(left):
            break
        cartons.append(opened)
        left = rest
    return cartons, left


def _stack(copies: Sequence[Copy]) -> Decimal:
    return sum((record.thickness for record, _ in copies), ZERO)


def _open(batch: Batch, carton: CartonType, most_weight: float, move: Move) -> OpenCarton:
    return OpenCarton(
        batch.quote,
        carton,
        carton.room_in_each(move.settings.fill_most),
        Decimal(repr(round(most_weight, 9))),
        as_limit(batch.mode.high),
    )


def as_limit(limit: float) -> Decimal:
    """A limit as a carton being filled keeps it, exact."""
    return Decimal("Infinity") if limit == inf else Decimal(repr(limit))


def _fill_in_turn(opened: Sequence[OpenCarton], queue: list[Copy]) -> list[Copy]:
    """Fill the cartons one after another; what is left over is returned."""
    room = sum((carton.whole_room for carton in opened), ZERO)
    held = sum((carton.most_weight for carton in opened), ZERO)
    tight = (
        sum((record.thickness for record, _ in queue), ZERO) > TIGHT * room
        or sum((record.weight for record, _ in queue), ZERO) > TIGHT * held
    )
    for carton in opened:
        queue = fill(carton, queue)
        if tight and queue:
            _close_the_gap(carton, queue)
    return queue


def fill(carton: OpenCarton, queue: list[Copy]) -> list[Copy]:
    """Put copies in, in order, skipping those that do not fit; stop when none of the next lines does."""
    passed: list[Copy] = []
    misfits = 0
    for place, copy in enumerate(queue):
        takes = copy[0].format.sleeve in carton.carton.sleeves
        inner = carton.inner_for(copy[0]) if takes else None
        if inner is not None:
            carton.put(copy, inner)
            continue
        passed.append(copy)
        misfits += takes
        if misfits > LOOK_AHEAD:
            return passed + queue[place + 1 :]
    return passed


def _close_the_gap(carton: OpenCarton, queue: list[Copy]) -> None:
    """Swap copies of the carton for others of the queue, so that what binds (stack or weight) is used up better."""
    shapes: dict[tuple[Decimal, Decimal, Decimal], int] = {}
    for place, (record, _) in enumerate(queue[:FAR_AHEAD]):
        if record.format.sleeve in carton.carton.sleeves:
            shapes.setdefault(_shape(record), place)
    for inner in range(len(carton.stacks)):
        for _ in range(4):
            swap = _best_swap(carton, inner, queue, list(shapes.values()))
            if swap is None:
                break
            place, out = swap
            comes = queue[out]
            queue[out] = carton.take(inner, place)
            carton.put(comes, inner)
            del shapes[_shape(comes[0])]


def _shape(record: Record) -> tuple[Decimal, Decimal, Decimal]:
    return record.thickness, record.weight, record.value


def _best_swap(carton: OpenCarton, inner: int, queue: Sequence[Copy], places: Sequence[int]) -> tuple[int, int] | None:
    """The swap that adds most of what binds: of the stack if it is nearer to full than the weight, else of weight."""
    stack_left = carton.room - carton.stacks[inner]
    weight_left = carton.most_weight - carton.weight
    by_stack = stack_left * carton.most_weight <= weight_left * carton.room
    best, found = ZERO, None
    inside: dict[tuple[Decimal, Decimal, Decimal], int] = {}
    for place, (record, _) in enumerate(carton.copies[inner]):
        inside[_shape(record)] = place
    for out in places:
        record = queue[out][0]
        for (thickness, weight, value), place in inside.items():
            thicker, heavier = record.thickness - thickness, record.weight - weight
            gain = thicker if by_stack else heavier
            if gain <= best or thicker > stack_left or heavier > weight_left:
                continue
            if carton.value - value + record.value > carton.most_value:
                continue
            best, found = gain, (place, out)
    return found


def _use_room_left(
    left: list[Copy], cartons: Sequence[OpenCarton], move: Move, spare: dict[str, Decimal]
) -> list[Copy]:
    """Put copies into any carton of a quote that may carry them, and that weight beside its load; the thickest first,
    where least room is left after. What is left to ``spare`` of the quotes' loads is changed in place."""
    remaining = []
    for copy in sorted(left, key=lambda copy: (-copy[0].thickness, copy[0].place, copy[1])):
        record = copy[0]
        best: tuple[Decimal, int, int] | None = None
        for place, carton in enumerate(cartons):
            if not _goes_with(record, carton, move) or record.weight > spare.get(_quote_of(carton), record.weight):
                continue
            inner = carton.inner_for(record)
            if inner is not None:
                room = carton.room - carton.stacks[inner] - record.thickness
                if best is None or room < best[0]:
                    best = (room, place, inner)
        if best is None:
            remaining.append(copy)
            continue
        carton = cartons[best[1]]
        carton.put(copy, best[2])
        if _quote_of(carton) in spare:
            spare[_quote_of(carton)] -= record.weight
    return sorted(remaining, key=lambda copy: (copy[0].place, copy[1]))


def _quote_of(carton: OpenCarton) -> str:
    return carton.quote.name if carton.quote else ""


def _in_cartons_of_their_own(left: list[Copy], move: Move) -> list[OpenCarton]:
    """Fill new cartons with copies that found no room, by the roomiest way each may take."""
    cartons: list[OpenCarton] = []
    while left:
        first = left[0][0]
        openings = list(_openings(first, move))
        if not openings:
            raise _NoRoom
        carton = max(openings, key=lambda c: (min(c.most_value, Decimal(10) ** 12), c.room))
        fitting = [copy for copy in left if _goes_with(copy[0], carton, move)]
        fill(carton, fitting)
        inside = {(record.place, number) for inner in carton.copies for record, number in inner}
        left = [copy for copy in left if (copy[0].place, copy[1]) not in inside]
        cartons.append(carton)
    return cartons


def _openings(record: Record, move: Move) -> Iterable[OpenCarton]:
    settings = move.settings
    for quote in quotes_in(move):
        if not record_may_go(record, quote, move):
            continue
        high = max(mode.high for mode in modes_of(quote, move))
        for carton in cartons_for(record.format.sleeve, move):
            if carton_refusal(carton, quote) is None:
                most = most_gross_weight(carton, quote, settings) - carton.empty_weight
                room = carton.room_in_each(settings.fill_most)
                opening = OpenCarton(quote, carton, room, most, as_limit(high))
                if opening.inner_for(record) is not None:
                    yield opening


def _goes_with(record: Record, carton: OpenCarton, move: Move) -> bool:
    fits = record.format.sleeve in carton.carton.sleeves
    return fits and carton.quote is not None and record_may_go(record, carton.quote, move)


def copies_of(filled_carton: FilledCarton) -> list[Copy]:
    """Every copy in a carton."""
    return [(p.record, p.first + n) for p in filled_carton.portions for n in range(p.copies)]


def reopened(filled_carton: FilledCarton, quote: Quote, most_weight: Decimal, move: Move) -> OpenCarton:
    """A filled carton opened again, its copies where they stand."""
    carton = filled_carton.carton
    room = carton.room_in_each(move.settings.fill_most)
    opened = OpenCarton(quote, carton, room, most_weight, Decimal("Infinity"))
    for portion in filled_carton.portions:
        for number in range(portion.first, portion.first + portion.copies):
            opened.put((portion.record, number), portion.inner - 1)
    return opened


def close(carton: OpenCarton, number: str = "") -> FilledCarton:
    """The filled carton, its copies as portions in shelf order, inner carton by inner carton."""
    portions: list[Portion] = []
    for inner, copies in enumerate(carton.copies, start=1):
        for record, copy in sorted(copies, key=lambda item: (item[0].place, item[1])):
            last = portions[-1] if portions else None
            if last and last.inner == inner and last.record is record and last.first + last.copies == copy:
                portions[-1] = Portion(record, last.first, last.copies + 1, inner)
            else:
                portions.append(Portion(record, copy, 1, inner))
    return filled(number, carton.carton, portions)
