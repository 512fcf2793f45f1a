"""Loose records in the aggregate programme: kinds are shared out over cartons that are counted, not packed."""

from collections.abc import Iterator
from decimal import Decimal
from math import isinf

import pulp

from shipopt.move.rules import liability
from shipopt.planning.programme import LEFT_BEHIND, Programme, Slot
from shipopt.planning.tracks import Track
from shipopt.risk.expected import chances


def every_copy_goes(programme: Programme) -> None:
    """Σ copies by track and carton = the kind's count; likewise its weight, thickness and value."""
    shares = programme.shares
    for kind in programme.kinds:
        sums = (
            ("copies", kind.count, shares.copies, False),
            ("weight", kind.weight.total, shares.weight, kind.weight.uniform),
            ("thickness", kind.thickness.total, shares.thickness, kind.thickness.uniform),
            ("value", kind.value.total, shares.value, kind.value.uniform or not shares.value),
        )
        for name, total, parts, follows in sums:
            if follows:
                continue
            row = parts.of_kind(kind.index)
            if name == "copies":
                row += programme.stays_behind(f"{kind.example.care} records", total, f"kind_{kind.index}")
            if name != "copies" and LEFT_BEHIND in programme.elastic:
                programme.add(row <= total, f"all_{name}_go_{kind.index}")
            else:
                programme.add(row == total, f"all_{name}_go_{kind.index}")


def kinds_travel_only_on_booked_tracks(programme: Programme) -> None:
    """copies of a kind on a track ≤ count × trips booked, for every kind and track."""
    for kind in programme.kinds:
        for track in programme.tracks:
            copies = programme.shares.copies.on_track(kind.index, track.index).values()
            if copies:
                booked = kind.count * programme.load(track).used
                programme.add(pulp.lpSum(copies) - booked <= 0, f"kind_booked_{kind.index}_{track.index}")


def stacks_fit_their_cartons(programme: Programme) -> None:
    """Σ thickness ≤ room × cartons, by track and carton type."""
    fill = programme.move.settings.fill_most
    for track, place, slots in _by_carton(programme):
        stack = programme.shares.thickness.sum_at(track.index, place)
        room = float(slots[0].carton.stack_length * fill)
        programme.add(stack - room * _number(slots) <= 0, f"stacks_fit_{track.index}_{place}")


def contents_weigh_no_more_than_their_cartons_hold(programme: Programme) -> None:
    """Σ weight ≤ Σ (most contents × cartons), by track and carton type."""
    for track, place, slots in _by_carton(programme):
        weight = programme.shares.weight.sum_at(track.index, place)
        held = pulp.lpSum(slot.most_contents * slot.number for slot in slots)
        programme.add(weight - held <= 0, f"contents_weigh_{track.index}_{place}")


def no_carton_is_empty(programme: Programme) -> None:
    """cartons ≤ copies, by track and carton type."""
    for track, place, slots in _by_carton(programme):
        copies = programme.shares.copies.sum_at(track.index, place)
        programme.add(_number(slots) - copies <= 0, f"no_empty_carton_{track.index}_{place}")


def copies_in_cartons_are_copies_in_modes(programme: Programme) -> None:
    """Σ copies by carton type = Σ copies by mode, by kind and track."""
    for kind in programme.kinds:
        for track in programme.tracks:
            moded = programme.shares.moded.on_track(kind.index, track.index).values()
            if moded:
                packed = programme.shares.copies.on_track(kind.index, track.index).values()
                balance = pulp.lpSum(packed) - pulp.lpSum(moded)
                programme.add(balance == 0, f"copies_agree_{kind.index}_{track.index}")


def modes_fit_their_cartons(programme: Programme) -> None:
    """By track and mode: Σ least thickness ≤ Σ room × cartons, and Σ least weight ≤ Σ most contents × cartons."""
    fill = programme.move.settings.fill_most
    for track, mode, slots in _by_mode(programme):
        copies = [(programme.kinds[kind], part) for kind, part in programme.shares.moded.at(track.index, mode)]
        if not copies:
            continue
        stack = pulp.lpSum(kind.thickness.least * number for kind, number in copies)
        room = pulp.lpSum(float(slot.carton.stack_length * fill) * slot.number for slot in slots)
        programme.add(stack - room <= 0, f"mode_stacks_fit_{track.index}_{mode}")
        weight = pulp.lpSum(kind.weight.least * number for kind, number in copies)
        held = pulp.lpSum(slot.most_contents * slot.number for slot in slots)
        programme.add(weight - held <= 0, f"mode_contents_weigh_{track.index}_{mode}")


def values_lie_in_their_modes(programme: Programme) -> None:
    """low × cartons ≤ Σ value ≤ high × cartons, by track and mode; in a mode that relies on the carrier's liability,
    Σ value ≤ Σ liability for the heaviest carton of the slot × cartons."""
    for track, mode, slots in _by_mode(programme):
        value = _value(programme, track, mode)
        if value is None:
            continue
        bounds, number = slots[0].mode, _number(slots)
        if bounds.low:
            programme.add(value - bounds.low * number >= 0, f"value_from_{track.index}_{mode}")
        if not isinf(bounds.high):
            programme.add(value - bounds.high * number <= 0, f"value_up_to_{track.index}_{mode}")
        if bounds.by_liability:
            heaviest = pulp.lpSum(_most_liability(slot) * slot.number for slot in slots)
            programme.add(value - heaviest <= 0, f"value_by_liability_{track.index}_{mode}")


def slots_by_themselves_are_charged(programme: Programme) -> None:
    """Where a carton is the consignment. Without Per weight each slot has one exact charge. Else, by track and carton
    type: charge ≥ (1 + surcharge) × (Σ (Per carton + Per volume × volume + rate card) × cartons + Per weight × billed
    weight), and ≥ (1 + surcharge) × Minimum × cartons. An included carton saves at most Per carton."""
    currency = programme.move.settings.currency
    for track, place, slots in _by_carton(programme):
        quote, number = track.quote, _number(slots)
        if quote.by_load:
            continue
        rise, least = 1 + float(quote.surcharge), float(quote.minimum_charge)
        each = [float(quote.per_carton) + float(quote.per_volume) * slot.volume + slot.price for slot in slots]
        if quote.per_weight:
            base = pulp.lpSum(price * slot.number for price, slot in zip(each, slots, strict=True))
            base += float(quote.per_weight) * programme.shares.billed[track.index, place]
            charge = programme.variable(f"charge_{track.index}_{place}")
            programme.add(rise * base - charge <= 0, f"slots_charged_{track.index}_{place}")
            programme.add(rise * least * number - charge <= 0, f"slots_charged_the_minimum_{track.index}_{place}")
            programme.carriage += charge
            programme.rounding += float(currency.minor_unit) / 2 * number
        else:
            for price, slot in zip(each, slots, strict=True):
                exact = currency.round(Decimal(repr(round(rise * max(price, least), 9))))
                programme.carriage.addterm(slot.number, float(exact))
        if quote.included_cartons and quote.per_carton:
            free = programme.variable(f"free_slots_{track.index}_{place}", quote.included_cartons)
            programme.add(free - number <= 0, f"free_slots_{track.index}_{place}")
            programme.carriage.addterm(free, -rise * float(quote.per_carton))
            programme.load(track).freed.addterm(free, 1)


def slots_pay_for_their_cover(programme: Programme) -> None:
    """By track and mode: fee ≥ Least fee × cartons, and ≥ Fee × cartons + share × Σ value; rounding as for charges."""
    half = float(programme.move.settings.currency.minor_unit) / 2
    for track, mode, slots in _by_mode(programme):
        bounds, value = slots[0].mode, _value(programme, track, mode)
        if bounds.cover is None or bounds.fee_by_trip or value is None:
            continue
        number, name = _number(slots), f"{track.index}_{mode}"
        fee = programme.variable(f"slot_fee_{name}")
        programme.add(bounds.least_fee * number - fee <= 0, f"slot_least_fee_{name}")
        programme.add(bounds.fee * number + bounds.share * value - fee <= 0, f"slot_fee_{name}")
        programme.fees += fee
        programme.rounding += half * number


def slots_risk_what_they_carry(programme: Programme) -> None:
    """By track and mode: expected uninsured loss ≥ chance × (flat × cartons + slope × Σ value), and ≥ 0, for losses
    and, with the least damage factor of the cartons, for damages."""
    for track, mode, slots in _by_mode(programme):
        value = _value(programme, track, mode)
        if value is None:
            continue
        bounds, quote, number = slots[0].mode, track.quote, _number(slots)
        factor = min(slot.carton.damage_factor for slot in slots)
        whole, alone, hurt = chances(quote, factor)
        parts = ((bounds.lost, float(whole + alone), "lost"), (bounds.damaged, float(hurt), "damaged"))
        for line, chance, name in parts:
            borne = chance * line.flat * number + chance * line.slope * value
            if not line.never_negative:
                at_least = programme.variable(f"risk_{name}_{track.index}_{mode}")
                programme.add(borne - at_least <= 0, f"risk_{name}_{track.index}_{mode}")
                borne = pulp.LpAffineExpression(at_least)
            programme.expected_loss += borne


def _by_carton(programme: Programme) -> Iterator[tuple[Track, int, list[Slot]]]:
    places = {name: place for place, name in enumerate(programme.move.cartons)}
    groups: dict[tuple[int, str], list[Slot]] = {}
    for slot in programme.slots:
        groups.setdefault((slot.track.index, slot.carton.name), []).append(slot)
    for (_, name), slots in groups.items():
        yield slots[0].track, places[name], slots


def _by_mode(programme: Programme) -> Iterator[tuple[Track, int, list[Slot]]]:
    groups: dict[tuple[int, int], list[Slot]] = {}
    for slot in programme.slots:
        groups.setdefault((slot.track.index, slot.mode.index), []).append(slot)
    for (_, mode), slots in groups.items():
        yield slots[0].track, mode, slots


def _number(slots: list[Slot]) -> pulp.LpAffineExpression:
    return pulp.LpAffineExpression([(slot.number, 1) for slot in slots])


def _value(programme: Programme, track: Track, mode: int) -> pulp.LpAffineExpression | None:
    parts = programme.shares.value.at(track.index, mode)
    return pulp.lpSum(part for _, part in parts) if parts else None


def _most_liability(slot: Slot) -> float:
    return float(liability(slot.track.quote, slot.carton.empty_weight + Decimal(slot.most_contents)))
