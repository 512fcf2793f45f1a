"""What a solution of the aggregate programme loses on average at the least, whether or not the programme looks at it.

Called by ``outlines``, which leaves caps on loss out of its programmes for as long as they do not bind.
"""

from collections.abc import Mapping
from decimal import Decimal

import pulp

from shipopt.planning.programme import Programme
from shipopt.planning.ways import loss_matters
from shipopt.risk.expected import chances


def least_loss(programme: Programme, values: Mapping[str, float]) -> float:
    """Expected uninsured loss (money) of a solution: what closed cartons lose, and by track and mode of cover what the
    loose records lose at the least, by the lines of ``slots_risk_what_they_carry`` and the lowest chance of damage."""
    loss = _at(programme.expected_loss, values)
    if loss_matters(programme.move):
        return loss  # it counts what loose records lose
    for track, mode, slots in programme.slots_by_mode():
        value = programme.value_in(track, mode)
        if value is None:
            continue
        whole, alone, _ = map(float, chances(track.quote, Decimal(1)))
        damaged = min(float(chances(track.quote, slot.carton.damage_factor)[2]) for slot in slots)
        number, worth = sum(values[slot.number.name] for slot in slots), _at(value, values)
        for line, chance in ((slots[0].mode.lost, whole + alone), (slots[0].mode.damaged, damaged)):
            loss += chance * max(0.0, line.flat * number + line.slope * worth)
    return loss


def _at(expression: pulp.LpAffineExpression, values: Mapping[str, float]) -> float:
    return float(expression.constant + sum(values[each.name] * times for each, times in expression.items()))
