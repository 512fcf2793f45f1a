"""What may be lost of loose records without being paid back, in the aggregate programme, as far as lines tell."""

from decimal import Decimal

import pulp

from shipopt.move.rules import liability
from shipopt.move.words import Covers
from shipopt.planning.modes import Line
from shipopt.planning.programme import Programme, Slot, SlotGroup
from shipopt.planning.tail_weights import growth, weights_of
from shipopt.planning.ways import loss_matters
from shipopt.risk.expected import chances


def slots_risk_what_they_carry(programme: Programme) -> None:
    """By track and mode: expected uninsured loss ≥ chance × (flat × cartons + slope × Σ value), and ≥ 0, for losses and
    for damages. Cartons that are damaged less often count with the highest chance, less the difference on the most
    they may hold; and no carton counts with less than the lowest chance."""
    if not loss_matters(programme.move):
        return
    factor = growth(programme.move)
    for track, mode, slots in programme.slots_by_mode():
        value = programme.value_in(track, mode)
        if value is None:
            continue
        bounds, number = slots[0].mode, pulp.lpSum(slot.number for slot in slots)
        hurt = {slot.carton.name: chances(track.quote, slot.carton.damage_factor) for slot in slots}
        highest, lowest = max(c[2] for c in hurt.values()), min(c[2] for c in hurt.values())
        whole, alone, _ = hurt[slots[0].carton.name]
        line, name = bounds.damaged, f"{track.index}_{mode}"
        whole_tail, others = weights_of(track.quote, factor)
        weight = (whole_tail + others * float(alone)) / float(whole + alone) if whole + alone else 1.0
        borne = [_borne(bounds.lost, float(whole + alone), number, value)]
        _risk(programme, bounds.lost, borne, weight, f"lost_{name}")
        borne = [_borne(line, float(highest), number, value)]
        if highest > lowest:
            less = [float(highest - hurt[slot.carton.name][2]) * max(0.0, _at(line, slot)) for slot in slots]
            borne[0] -= pulp.lpSum(each * slot.number for each, slot in zip(less, slots, strict=True))
            borne.append(_borne(line, float(lowest), number, value))
        _risk(programme, line, borne, others, f"damaged_{name}")


def groups_risk_what_they_hold(programme: Programme) -> None:
    """By group: expected uninsured loss as for slots, with the chances of its type of carton; and at least what is
    borne before the carrier pays, less what it owes, which is at most what it owes for what the cartons weigh together,
    and at most what it owes for them full (under a cover only where losses are part of the cost)."""
    if not loss_matters(programme.move):
        return
    factor = growth(programme.move)
    for group in programme.groups:
        if not group.copies:
            continue
        quote, mode = group.track.quote, group.mode
        number, value = group.number, group.value
        whole, alone, damaged = map(float, chances(quote, group.carton.damage_factor))
        whole_tail, others = weights_of(quote, factor)
        weight = (whole_tail + others * alone) / (whole + alone) if whole + alone else 1.0
        owed = _owed(group)
        owed_damaged = owed if quote.liability_covers is Covers.LOSS_AND_DAMAGE else []
        for line, before, chance, tail, paid, name in (
            (mode.lost, mode.lost_before, whole + alone, weight, owed, "lost"),
            (mode.damaged, mode.damaged_before, damaged, others, owed_damaged, "damaged"),
        ):
            borne = [_borne(line, chance, number, value)]
            less = [_borne(before, chance, number, value) - chance * each for each in paid]
            if mode.cover is None:
                borne = less or borne
            elif programme.move.settings.count_expected_loss:
                borne += less[1:]  # what is owed for full cartons is in the line
            _risk(programme, line, borne, tail, f"{name}_group_{group.name}")


def _owed(group: SlotGroup) -> list[pulp.LpAffineExpression]:
    """What the carrier owes for the cartons of a group together is at most each of these: what it owes for that many
    full ones, and by their weight, along the chord from an empty to a full one (the larger of a rate by weight and an
    amount is convex in the weight)."""
    quote = group.track.quote
    heaviest = float(group.carton.empty_weight) + max(slot.most_contents for slot in group.slots)
    full = float(liability(quote, Decimal(repr(heaviest))))
    rate, least = float(quote.liability_per_weight), float(quote.liability_per_carton)
    by_weight = (max(rate * heaviest, least) - least) / heaviest
    if not full:
        return []
    number = group.number
    gross = float(group.carton.empty_weight) * number + group.weight
    return [full * number, least * number + by_weight * gross] if by_weight else [full * number]


def _borne(
    line: Line, chance: float, number: pulp.LpAffineExpression, value: pulp.LpAffineExpression
) -> pulp.LpAffineExpression:
    return chance * line.flat * number + chance * line.slope * value


def _at(line: Line, slot: Slot) -> float:
    return line.flat + line.slope * slot.most_value


def _risk(programme: Programme, line: Line, borne: list[pulp.LpAffineExpression], weight: float, name: str) -> None:
    """Count a loss that is at least each of these, and never negative; in the tail so many times over."""
    loss: pulp.LpAffineExpression | pulp.LpVariable = borne[0]
    if len(borne) > 1 or not line.never_negative:
        loss = programme.variable(f"risk_{name}")
        for place, each in enumerate(borne):
            programme.add(each - loss <= 0, f"risk_{name}_{place}")
    programme.expected_loss += loss
    if programme.move.settings.most_tail_mean is not None:
        programme.tail_loss += weight * loss
