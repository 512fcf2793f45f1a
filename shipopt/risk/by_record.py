"""Which records carry the risk: a carton's expected uninsured loss, shared out to its copies by value.

Copies of one line in one carton are alike and stand together. What would halve their risk is in the module halving.
Called by the results writer.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext

from shipopt.move.cartons import Portion
from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.risk.expected import DIGITS, expected_uninsured_loss


@dataclass(frozen=True, slots=True)
class RecordRisk:
    """So many copies of a record in one carton; ``each`` is the expected uninsured loss of one, in money."""

    shipment: Shipment
    portion: Portion
    copies: int
    each: Decimal

    @property
    def whole(self) -> Decimal:
        """The expected uninsured loss of all these copies."""
        return self.each * self.copies


def riskiest_records(move: Move, shipments: Sequence[Shipment], most: int) -> tuple[RecordRisk, ...]:
    """The records with the largest expected uninsured loss each, at most so many rows, largest first, then by shelf."""
    with localcontext() as context:
        context.prec = DIGITS
        found = [risk for shipment in shipments for risk in _in_carton(move, shipment)]
    found.sort(key=lambda risk: (-risk.each, risk.portion.record.place, risk.portion.first))
    return tuple(found[:most])


def _in_carton(move: Move, shipment: Shipment) -> list[RecordRisk]:
    filled = shipment.filled
    loss = expected_uninsured_loss(move, shipment) if filled.value else ZERO
    if not loss:
        return []
    lines: dict[int, list[Portion]] = {}
    for portion in filled.portions:
        lines.setdefault(portion.record.place, []).append(portion)
    return [
        RecordRisk(shipment, portions[0], sum(p.copies for p in portions), loss * each.value / filled.value)
        for portions in lines.values()
        if (each := portions[0].record).value
    ]
