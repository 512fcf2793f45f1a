"""Slots: the cartons that loose records may fill, track by track, and the variables that share the kinds out.

Called once by the aggregate programme, before its constraints. For each track: how many cartons of which type, in
which mode of cover, up to which weight; how many copies of each kind go in which carton type and in which mode.
"""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from math import ceil, inf

import pulp

from shipopt.move.cartons import CartonType
from shipopt.move.quotes import Quote
from shipopt.move.rules import most_gross_weight, record_may_go
from shipopt.planning.kinds import Kind
from shipopt.planning.modes import Mode, modes_of
from shipopt.planning.programme import Programme, Slot, SlotGroup
from shipopt.planning.shares import share_out_by_group, share_out_by_kind
from shipopt.planning.tracks import Track
from shipopt.pricing.billing import exact_billed_weight, outside_volume

LOST_TO_STEPS = 0.15
"""Of a step, what a carton is billed beyond its weight on average where copies are swapped to stay below steps. On the
first worked example swaps reach 274 to 276 kg for 17 cartons of 272 kg."""

DEAR, LUMP = 0.005, 0.1
"""Guides share out copies in whole numbers that are worth more than this share of all, or fill more than this share of
a carton."""


def offer_slots(programme: Programme, kinds: list[Kind], *, whole: bool) -> None:
    """Give the programme its slots and shares, and count them in the loads of their tracks. ``whole`` asks for whole
    cartons in each slot, and says which copies each group of slots holds, rather than for whole cartons on each track.
    """
    programme.kinds = kinds
    carried: dict[int, list[Kind]] = {}
    modes: dict[int, list[Mode]] = {}
    for track in programme.tracks:
        dearest = max(mode.high for mode in modes_of(track.quote, programme.move))
        fits = {kind.index: kind.cartons(track.quote, programme.move) for kind in kinds}
        carried[track.index] = [
            kind
            for kind in kinds
            if fits[kind.index] and kind.may_go(track.quote, programme.move) and kind.smallest.value <= dearest
        ]
        wanted = {carton.name for kind in carried[track.index] for carton in fits[kind.index]}
        copies = ceil(sum(kind.count for kind in carried[track.index]) - 1e-6)
        worth = {carton.name: _dearest(carton, track.quote, programme) for carton in programme.move.cartons.values()}
        modes[track.index] = modes_of(track.quote, programme.move, max(worth.values()))
        for carton in programme.move.cartons.values():
            if carton.name in wanted:
                _offer(programme, track, carton, modes[track.index], copies, worth[carton.name], whole)
    if whole:
        _offer_groups(programme, carried)
        share_out_by_group(programme)
    else:
        share_out_by_kind(programme, carried, modes)
    for track in programme.tracks:
        _count_weight(programme, track)


def _offer_groups(programme: Programme, carried: Mapping[int, Sequence[Kind]]) -> None:
    """Group the slots of each track by carton type and mode (each by itself where their numbers are given), and say how
    many copies of each kind stand in a group's cartons."""
    together: dict[tuple[object, ...], list[Slot]] = {}
    for slot in programme.slots:
        key = slot.key if programme.numbers is not None else slot.key[:-1]
        together.setdefault(key, []).append(slot)
    for place, slots in enumerate(together.values()):
        copies = [
            (kind, programme.variable(f"in_{place}_{kind.index}", kind.count, whole=_is_lumpy(kind, slots, programme)))
            for kind in carried[slots[0].track.index]
            if _may_hold(slots, kind, programme)
        ]
        programme.groups.append(SlotGroup(str(place), tuple(slots), tuple(copies)))


def _is_lumpy(kind: Kind, slots: list[Slot], programme: Programme) -> bool:
    """Whether one copy more or less makes a difference for what a guide is packed by, because it is dear, or heavy or
    thick for cartons of these slots; a floor need not know."""
    heavy = LUMP * max(slot.most_contents for slot in slots)
    thick = LUMP * float(slots[0].carton.room_in_each(programme.move.settings.fill_most))
    dear = DEAR * float(programme.move.worth)
    return (
        programme.use_of_room < 1
        and kind.whole
        and (
            kind.value.total > dear * kind.count
            or kind.weight.total > heavy * kind.count
            or kind.thickness.total > thick * kind.count
        )
    )


def _may_hold(slots: list[Slot], kind: Kind, programme: Programme) -> bool:
    """Whether at least one copy of a kind fits a carton of the slots."""
    carton = slots[0].carton
    return (
        kind.example.format.sleeve in carton.sleeves
        and kind.smallest.value <= slots[0].mode.high + 1e-9
        and kind.smallest.weight <= max(slot.most_contents for slot in slots) + 1e-9
        and kind.smallest.thickness <= float(carton.room_in_each(programme.move.settings.fill_most)) + 1e-9
    )


def _dearest(carton: CartonType, quote: Quote, programme: Programme) -> float:
    """No contents of one carton are worth more: its room filled with the dearest records for their thickness, the last
    of them in part (the bound of Dantzig 1957 for the knapsack problem)."""
    room = float(carton.stack_length * programme.move.settings.fill_most)
    value = 0.0
    for record in programme.dearest_for_thickness:
        if record.format.sleeve in carton.sleeves and record_may_go(record, quote, programme.move):
            copies = min(float(record.copies), room / float(record.thickness))
            value += copies * float(record.value)
            room -= copies * float(record.thickness)
            if room <= 0:
                break
    return value


def _offer(
    programme: Programme,
    track: Track,
    carton: CartonType,
    modes: list[Mode],
    copies: int,
    worth: float,
    whole: bool,
) -> None:
    load = programme.load(track)
    place = list(programme.move.cartons).index(carton.name)
    of_trips = track.quote.most_cartons if track.quote.by_load else None
    most = _least(copies, carton.most, _times(of_trips, track.trips))
    volume = float(outside_volume(carton, programme.move.settings.units))
    for mode in modes:
        for step, (contents, price) in enumerate(weight_steps(carton, track.quote, programme)):
            name = f"cartons_{track.index}_{place}_{mode.index}_{step}"
            number = programme.variable(name, most, whole=whole)
            slot = Slot(track, carton, mode, contents, price, volume, min(worth, mode.high), number)
            if programme.numbers is not None:
                given = programme.numbers.get(slot.key, 0)
                if given == 0:
                    continue
                number.lowBound, number.upBound = max(0, given - programme.play), given + programme.play
            programme.slots.append(slot)
            load.cartons.addterm(number, 1)
            load.volume.addterm(number, volume)
            if track.quote.by_load:
                load.rate_cards.addterm(number, price)
            programme.of_type[carton.name].addterm(number, 1)


def _count_weight(programme: Programme, track: Track) -> None:
    """Gross and billed weight of what the track carries loose. Billed weight is at least the gross weight and the
    volumetric weight of each carton, and a whole number of steps where the quote weighs in steps; in a guide a little
    more, as no packing brings every carton just below a step."""
    load, quote = programme.load(track), track.quote
    slots = [slot for slot in programme.slots if slot.track is track]
    contents = programme.shares.weight.sum_at(track.index)
    gross = contents + pulp.lpSum(float(slot.carton.empty_weight) * slot.number for slot in slots)
    load.gross += gross
    units = programme.move.settings.units
    lightest = {
        slot.carton.name: exact_billed_weight(quote, slot.carton, slot.carton.empty_weight, units) for slot in slots
    }
    if quote.weigh_step is None and all(lightest[slot.carton.name] <= slot.carton.empty_weight for slot in slots):
        load.billed += gross
        load.billed_loose = gross
        return
    step = float(quote.weigh_step) if quote.weigh_step else 1.0
    most = sum(
        slot.number.upBound * (float(lightest[slot.carton.name]) + float(slot.carton.empty_weight) + slot.most_contents)
        for slot in slots
    )
    billed = step * programme.variable(f"billed_{track.index}", most / step, whole=quote.weigh_step is not None)
    volume = pulp.lpSum(float(lightest[slot.carton.name]) * slot.number for slot in slots)
    lost = LOST_TO_STEPS * step * load.cartons if quote.weigh_step and programme.use_of_room < 1 else 0
    programme.add(billed >= gross + lost, f"billed_for_weight_{track.index}")
    programme.add(billed >= volume, f"billed_for_volume_{track.index}")
    here = [group for group in programme.groups if group.track is track]
    if len({group.carton.name for group in here}) > 1:
        programme.add(billed >= _billed_by_type(programme, here, lightest) + lost, f"billed_by_type_{track.index}")
    load.billed += billed
    load.billed_loose = billed


def _billed_by_type(
    programme: Programme, groups: Sequence[SlotGroup], lightest: Mapping[str, Fraction]
) -> pulp.LpAffineExpression:
    """Gross weight or least billed weight, whichever is more, type by type: a bulky carton is not billed for less
    because others are heavy."""
    total = pulp.LpAffineExpression()
    for name in dict.fromkeys(group.carton.name for group in groups):
        alike = [group for group in groups if group.carton.name == name]
        empty, least = float(alike[0].carton.empty_weight), float(lightest[name])
        number = pulp.lpSum(group.number for group in alike)
        gross = empty * number + pulp.lpSum(group.weight for group in alike)
        if least > empty:
            heavier = programme.variable(f"billed_{alike[0].name}_as_type")
            programme.add(heavier >= gross, f"as_type_{alike[0].name}_for_weight")
            programme.add(heavier >= least * number, f"as_type_{alike[0].name}_for_volume")
            total += heavier
        else:
            total += gross
    return total


def weight_steps(carton: CartonType, quote: Quote, programme: Programme) -> list[tuple[float, float]]:
    """For cartons of one type by one quote: the most weight of contents and the rate card's price, step by step.

    Without a rate card there is one step. Steps that hold no more than a cheaper one, or nothing at all, are left out.
    """
    settings = programme.move.settings
    heaviest, empty = most_gross_weight(carton, quote, settings), carton.empty_weight
    if quote.rate_card is None:
        return [(float(heaviest - empty), 0.0)]
    lightest = exact_billed_weight(quote, carton, empty, settings.units)
    steps: list[tuple[float, float]] = []
    for row in quote.rate_card.steps:
        top = row.weight_up_to
        if quote.weigh_step is not None:
            top = top // quote.weigh_step * quote.weigh_step
        if top < lightest or min(top, heaviest) <= empty:
            continue
        while steps and steps[-1][1] >= float(row.price):
            steps.pop()
        steps.append((float(min(top, heaviest) - empty), float(row.price)))
        if top >= heaviest:
            break
    return steps


def _times(limit: int | None, trips: int) -> int | None:
    return None if limit is None else limit * trips


def _least(*limits: int | None) -> int:
    return int(min((limit for limit in limits if limit is not None), default=inf))
