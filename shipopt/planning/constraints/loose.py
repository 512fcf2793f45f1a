"""Loose records in the aggregate programme: kinds are shared out over cartons that are counted, not packed."""

from collections.abc import Iterator
from decimal import Decimal
from itertools import combinations
from math import inf

import pulp

from shipopt.move.rules import liability, record_may_go
from shipopt.planning.programme import LEFT_BEHIND, Parts, Programme, Slot, weighted
from shipopt.planning.rounding import rounds_fees
from shipopt.planning.tracks import Track

FEW_FILL_A_CARTON, MOST_CUTS = 25, 5
"""Copies of which so few fill a carton are counted as well as measured, for up to so many thicknesses."""

LIGHT_CARTONS = (1, 2, 4, 8, 16)
"""For so many of the lightest cartons a row says what they may be worth together."""

MOST_SLEEVES = 5
"""Up to so many sleeve words on a track, every set of them has its rows."""


def every_copy_goes(programme: Programme) -> None:
    """Σ copies over tracks = the kind's count; likewise its weight and thickness, and the value of each class."""
    shares = programme.shares
    for kind in programme.kinds:
        behind = programme.stays_behind(f"{kind.example.care} records", kind.count, f"kind_{kind.index}")
        programme.add(shares.copies.of(kind.index) + behind == kind.count, f"all_copies_go_{kind.index}")
        for name, measure, parts in (
            ("weight", kind.weight, shares.weight),
            ("thickness", kind.thickness, shares.thickness),
        ):
            if not measure.uniform:
                _share_out(programme, parts.of(kind.index), measure.total, f"all_{name}_goes_{kind.index}")
    for group in programme.classes:
        if not group.value.uniform:
            _share_out(programme, shares.value.of(group.index), group.value.total, f"all_value_goes_{group.index}")


def _share_out(programme: Programme, parts: pulp.LpAffineExpression, total: float, name: str) -> None:
    programme.add(parts <= total if LEFT_BEHIND in programme.elastic else parts == total, name)


def cartons_of_a_track_are_whole(programme: Programme) -> None:
    """Σ cartons on a track is a whole number, for every track: where slots are not, it is all that is whole."""
    for track, slots in _by_track(programme):
        most = sum(slot.number.upBound for slot in slots)
        total = programme.variable(f"cartons_of_track_{track.index}", most, whole=True)
        programme.add(_number(slots) - total == 0, f"whole_cartons_{track.index}")


def cartons_are_whole_together(programme: Programme) -> None:
    """Σ cartons of all tracks, of each track in each mode, and of each track with and without cover are whole numbers.
    That follows where slots are whole; but branching on these decides far more than on one slot."""
    sums: dict[str, list[Slot]] = {}
    for slot in programme.slots:
        covered = slot.mode.cover is not None
        for name in ("all", f"{slot.track.index}_covered_{covered:d}", f"{slot.track.index}_in_{slot.mode.index}"):
            sums.setdefault(name, []).append(slot)
    told_apart: set[tuple[str, ...]] = set()
    for name, slots in sums.items():
        members = tuple(slot.number.name for slot in slots)
        if len(slots) > 1 and members not in told_apart:
            told_apart.add(members)
            total = programme.variable(f"together_{name}", sum(slot.number.upBound for slot in slots), whole=True)
            programme.add(_number(slots) - total == 0, f"whole_together_{name}")


def kinds_travel_only_on_booked_tracks(programme: Programme) -> None:
    """copies of a kind on a track ≤ count × trips booked, for every kind and track."""
    for track in programme.tracks:
        for kind, copies in programme.shares.copies.at(track.index):
            booked = programme.kinds[kind].count * programme.load(track).used
            programme.add(copies - booked <= 0, f"kind_booked_{kind}_{track.index}")


def sleeves_travel_only_on_booked_tracks(programme: Programme) -> None:
    """copies of a care and sleeve on a track ≤ their number × trips booked, for every care, sleeve and track: for
    hundreds of kinds, with which a row each would be most of the programme."""
    for track in programme.tracks:
        together: dict[tuple[str, str], list[tuple[float, pulp.LpAffineExpression]]] = {}
        for index, copies in programme.shares.copies.at(track.index):
            kind = programme.kinds[index]
            key = kind.example.care, kind.example.format.sleeve
            together.setdefault(key, []).append((kind.count, copies))
        for place, each in enumerate(together.values()):
            booked = sum(count for count, _ in each) * programme.load(track).used
            carried = pulp.lpSum(copies for _, copies in each)
            programme.add(carried - booked <= 0, f"sleeves_booked_{place}_{track.index}")


def stacks_fit_their_cartons(programme: Programme) -> None:
    """Σ thickness of the kinds with certain sleeves ≤ Σ room of the cartons that take any of these, by track and set of
    sleeves: by Hall's theorem (1935) that is when all can be put into cartons that take them."""
    for track, slots in _by_track(programme):
        for place, sleeves in enumerate(_sets_of_sleeves(programme, track)):
            stack = _of_sleeves(programme, programme.shares.thickness, track, sleeves)
            room = pulp.lpSum(_room(programme, slot) * slot.number for slot in slots if _takes(slot, sleeves))
            programme.add(stack - room <= 0, f"stacks_fit_{track.index}_{place}")


def contents_weigh_no_more_than_their_cartons_hold(programme: Programme) -> None:
    """Σ weight ≤ Σ (most contents × cartons), by track and set of sleeves, as for stacks."""
    for track, slots in _by_track(programme):
        for place, sleeves in enumerate(_sets_of_sleeves(programme, track)):
            weight = _of_sleeves(programme, programme.shares.weight, track, sleeves)
            held = pulp.lpSum(_held(programme, slot) * slot.number for slot in slots if _takes(slot, sleeves))
            programme.add(weight - held <= 0, f"contents_weigh_{track.index}_{place}")


def thick_copies_fit_by_number(programme: Programme) -> None:
    """A carton holds at most ⌊room ÷ t⌋ copies of thickness t or more: Σ such copies ≤ Σ that number × cartons, by
    track, set of sleeves and t, for the thicknesses of which few fill a carton (a cut of Chvátal 1973)."""
    for track, slots in _by_track(programme):
        thickest = max(_room(programme, slot) / slot.carton.inner_cartons for slot in slots) / FEW_FILL_A_CARTON
        carried = [programme.kinds[kind] for kind, _ in programme.shares.copies.at(track.index)]
        limits = sorted({kind.smallest.thickness for kind in carried if kind.smallest.thickness >= thickest})
        for number, least in enumerate(limits[:MOST_CUTS]):
            for place, sleeves in enumerate(_sets_of_sleeves(programme, track)):
                copies = pulp.lpSum(
                    part
                    for kind, part in programme.shares.copies.at(track.index)
                    if programme.kinds[kind].smallest.thickness >= least
                    and programme.kinds[kind].example.format.sleeve in sleeves
                )
                held = pulp.lpSum(
                    slot.carton.inner_cartons
                    * int(_room(programme, slot) / slot.carton.inner_cartons / least + 1e-9)
                    * slot.number
                    for slot in slots
                    if _takes(slot, sleeves)
                )
                if copies:
                    programme.add(copies - held <= 0, f"thick_copies_{track.index}_{number}_{place}")


def no_carton_is_empty(programme: Programme) -> None:
    """cartons ≤ copies, by track."""
    for track, slots in _by_track(programme):
        copies = programme.shares.copies.sum_at(track.index)
        programme.add(_number(slots) - copies <= 0, f"no_empty_carton_{track.index}")


def copies_on_tracks_are_copies_in_modes(programme: Programme) -> None:
    """Σ copies of a class's kinds = Σ its copies by mode, by class of value and track; and its value on the track is at
    least and at most what those kinds' copies may be worth."""
    for group in programme.classes:
        for track in programme.tracks:
            moded = programme.shares.moded.on(group.index, track.index)
            if not moded:
                continue
            name = f"{group.index}_{track.index}"
            copies = [
                (kind, part)
                for kind in group.kinds
                for part in programme.shares.copies.on(kind.index, track.index).values()
            ]
            balance = pulp.lpSum(part for _, part in copies) - pulp.lpSum(moded.values())
            programme.add(balance == 0, f"copies_agree_{name}")
            if len(group.kinds) > 1 and not group.value.uniform:
                value = pulp.lpSum(programme.shares.value.on(group.index, track.index).values())
                least = pulp.lpSum(kind.value.least * part for kind, part in copies)
                most = pulp.lpSum(kind.value.most * part for kind, part in copies)
                programme.add(value - least >= 0, f"worth_at_least_{name}")
                programme.add(value - most <= 0, f"worth_at_most_{name}")


def modes_fit_their_cartons(programme: Programme) -> None:
    """By track, mode and set of sleeves: Σ least thickness ≤ Σ room × cartons that take any of these, as for whole
    tracks. By track and mode: Σ least weight ≤ Σ most contents × cartons."""
    for track, mode, slots in programme.slots_by_mode():
        moded = [(programme.classes[group], part) for group, part in programme.shares.moded.at(track.index, mode)]
        for place, sleeves in enumerate(_sets_of_sleeves(programme, track) if moded else ()):
            name = f"{track.index}_{mode}_{place}"
            taking = [slot for slot in slots if _takes(slot, sleeves)]
            copies = [(group, part) for group, part in moded if group.sleeve in sleeves]
            stack = pulp.lpSum(group.least_thickness * part for group, part in copies)
            room = pulp.lpSum(_room(programme, slot) * slot.number for slot in taking)
            programme.add(stack - room <= 0, f"mode_stacks_fit_{name}")
        weight = pulp.lpSum(group.least_weight * part for group, part in moded)
        if moded:
            held = pulp.lpSum(_held(programme, slot) * slot.number for slot in slots)
            programme.add(weight - held <= 0, f"mode_contents_weigh_{track.index}_{mode}")


def values_lie_in_their_modes(programme: Programme) -> None:
    """By track and mode: low × cartons ≤ Σ value ≤ Σ most value × cartons. (Of groups, each has rows of its own.)"""
    for track, mode, slots in programme.slots_by_mode():
        value, bounds = programme.value_in(track, mode), slots[0].mode
        if value is None:
            continue
        if bounds.low:
            programme.add(value - bounds.low * _number(slots) >= 0, f"value_from_{track.index}_{mode}")
        most = weighted((programme.use_of_room * slot.most_value, slot.number) for slot in slots)
        programme.add(value - most <= 0, f"value_up_to_{track.index}_{mode}")


def liability_reaches_their_values(programme: Programme) -> None:
    """By track, in a mode that relies on the carrier's liability: Σ value ≤ Σ liability for the heaviest carton of the
    slot × cartons."""
    for track, mode, slots in programme.slots_by_mode():
        value = programme.value_in(track, mode)
        if value is not None and slots[0].mode.by_liability:
            owed = weighted((_most_liability(slot), slot.number) for slot in slots)
            programme.add(value - owed <= 0, f"value_by_liability_{track.index}_{mode}")


def light_cartons_hold_little_value(programme: Programme) -> None:
    """By track and mode, for a value b per weight: Σ value ≤ Σ min(most value, b × most contents) × cartons + Σ what
    copies are worth above b × their weight (weak duality for the knapsack problem: Dantzig 1957). Of what several
    cartons of a low weight step may be worth together, this tells more than the mode's highest value."""
    rates: dict[tuple[int, float], list[tuple[float, float]]] = {}
    for track, mode, slots in programme.slots_by_mode():
        value, lightest = programme.value_in(track, mode), min(slot.most_contents for slot in slots)
        if value is None or programme.elastic or slots[0].mode.high == inf:
            continue
        if (track.index, lightest) not in rates:
            rates[track.index, lightest] = list(_rates_worth_a_row(programme, track, lightest))
        for number, (rate, above) in enumerate(rates[track.index, lightest]):
            if rate * lightest < slots[0].mode.high:
                held = weighted((min(slot.most_value, rate * slot.most_contents), slot.number) for slot in slots)
                name = f"value_for_weight_{track.index}_{mode}_{number}"
                programme.add(value - programme.use_of_room * held <= above, name)


def _rates_worth_a_row(programme: Programme, track: Track, lightest: float) -> Iterator[tuple[float, float]]:
    """Values per weight of the copies with which one, two, four… of the lightest cartons are full, and what all copies
    that the track may carry are worth above that."""
    held = value = 0.0
    marks = iter(number * lightest for number in LIGHT_CARTONS)
    mark = next(marks)
    for record in programme.dearest_for_weight:
        if not record_may_go(record, track.quote, programme.move):
            continue
        held += float(record.weight) * record.copies
        value += float(record.value) * record.copies
        if held >= mark:
            rate = float(record.value) / float(record.weight)
            yield rate, value - rate * held
            mark = next((each for each in marks if each > held), inf)
        if mark == inf:
            return


def slots_by_themselves_are_charged(programme: Programme) -> None:
    """Where a carton is the consignment. Without Per weight each slot has one exact charge. Else, by track:
    charge ≥ (1 + surcharge) × (Σ (Per carton + Per volume × volume + rate card) × cartons + Per weight × billed
    weight), and ≥ (1 + surcharge) × Minimum × cartons. An included carton saves at most Per carton."""
    currency = programme.move.settings.currency
    for track, slots in _by_track(programme):
        quote, load, number = track.quote, programme.load(track), _number(slots)
        if quote.by_load:
            continue
        rise, least = 1 + float(quote.surcharge), float(quote.minimum_charge)
        each = [float(quote.per_carton) + float(quote.per_volume) * slot.volume + slot.price for slot in slots]
        if quote.per_weight:
            base = pulp.lpSum(price * slot.number for price, slot in zip(each, slots, strict=True))
            base += float(quote.per_weight) * load.billed_loose
            charge = programme.variable(f"charge_loose_{track.index}")
            programme.add(rise * base - charge <= 0, f"slots_charged_{track.index}")
            programme.add(rise * least * number - charge <= 0, f"slots_charged_the_minimum_{track.index}")
            programme.carriage += charge
            programme.rounding += float(currency.minor_unit) / 2 * number
        else:
            for price, slot in zip(each, slots, strict=True):
                exact = currency.round(Decimal(repr(round(rise * max(price, least), 9))))
                programme.carriage.addterm(slot.number, float(exact))
        if quote.included_cartons and quote.per_carton:
            free = programme.variable(f"free_slots_{track.index}", quote.included_cartons)
            programme.add(free - number <= 0, f"free_slots_{track.index}")
            programme.carriage.addterm(free, -rise * float(quote.per_carton))
            load.freed.addterm(free, 1)


def slots_pay_for_their_cover(programme: Programme) -> None:
    """By track and mode: fee ≥ Least fee × cartons, and ≥ Fee × cartons + share × Σ value; rounding as for charges."""
    half = float(programme.move.settings.currency.minor_unit) / 2
    for track, mode, slots in programme.slots_by_mode():
        bounds, value = slots[0].mode, programme.value_in(track, mode)
        if bounds.cover is None or bounds.fee_by_trip or value is None:
            continue
        number, name = _number(slots), f"{track.index}_{mode}"
        fee = programme.variable(f"slot_fee_{name}")
        programme.add(bounds.least_fee * number - fee <= 0, f"slot_least_fee_{name}")
        programme.add(bounds.fee * number + bounds.share * value - fee <= 0, f"slot_fee_{name}")
        programme.fees += fee
        if rounds_fees(bounds.cover, programme.move.settings.currency):
            programme.rounding += half * number


def _by_track(programme: Programme) -> Iterator[tuple[Track, list[Slot]]]:
    for track in programme.tracks:
        slots = [slot for slot in programme.slots if slot.track is track]
        if slots:
            yield track, slots


def _sets_of_sleeves(programme: Programme, track: Track) -> list[frozenset[str]]:
    """Sets of the sleeves on a track, the largest of those that the same carton types take; of many sleeves only the
    single ones, those of each carton, and all."""
    kinds = [programme.kinds[kind].example.format.sleeve for kind, _ in programme.shares.copies.at(track.index)]
    sleeves = list(dict.fromkeys(kinds))
    cartons = programme.move.cartons.values()
    if len(sleeves) <= MOST_SLEEVES:
        sizes = range(1, len(sleeves) + 1)
        sets = [frozenset(chosen) for size in sizes for chosen in combinations(sleeves, size)]
    else:
        sets = [frozenset([sleeve]) for sleeve in sleeves]
        sets += [frozenset(carton.sleeves) & set(sleeves) for carton in cartons] + [frozenset(sleeves)]
    largest: dict[frozenset[str], frozenset[str]] = {}
    for chosen in sets:
        taking = frozenset(carton.name for carton in cartons if not chosen.isdisjoint(carton.sleeves))
        largest[taking] = max(largest.get(taking, frozenset()), chosen, key=len)
    return [chosen for chosen in largest.values() if chosen]


def _of_sleeves(programme: Programme, parts: Parts, track: Track, sleeves: frozenset[str]) -> pulp.LpAffineExpression:
    return pulp.lpSum(
        part for kind, part in parts.at(track.index) if programme.kinds[kind].example.format.sleeve in sleeves
    )


def _takes(slot: Slot, sleeves: frozenset[str]) -> bool:
    return not sleeves.isdisjoint(slot.carton.sleeves)


def _room(programme: Programme, slot: Slot) -> float:
    """Stack length that may be counted on in one carton of the slot."""
    return programme.use_of_room * float(slot.carton.stack_length * programme.move.settings.fill_most)


def _held(programme: Programme, slot: Slot) -> float:
    """Weight of contents that may be counted on in one carton of the slot."""
    return programme.use_of_room * slot.most_contents


def _number(slots: list[Slot]) -> pulp.LpAffineExpression:
    return weighted((1.0, slot.number) for slot in slots)


def _most_liability(slot: Slot) -> float:
    return float(liability(slot.track.quote, slot.carton.empty_weight + Decimal(slot.most_contents)))
