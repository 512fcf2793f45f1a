"""Rows of the sheet Charges: every statement line by line, and the freight class of what goes by freight.

The class is an indication from the cartons' own weight and volume: a pallet adds to both, and the carrier decides.
Called by the module gathered.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from shipopt.move.cartons import FilledCarton
from shipopt.move.money import ZERO
from shipopt.move.plan import Plan
from shipopt.move.words import Means
from shipopt.pricing.billing import outside_volume
from shipopt.pricing.exact import measured
from shipopt.pricing.freight_class import density, freight_class
from shipopt.pricing.statement import Statement
from shipopt.pricing.total import Cost


@dataclass(frozen=True, slots=True)
class ChargeRow:
    """A line of a statement, or its total: then ``charged`` is given and ``lines`` says of how many lines above."""

    quote: str
    trip: int | None
    charge: str
    quantity: Decimal | None = None
    unit: str = ""
    rate: Decimal | None = None
    amount: Decimal | None = None
    charged: Decimal | None = None
    lines: int = 0


@dataclass(frozen=True, slots=True)
class FreightRow:
    """Density and class of one trip of a freight quote, or of all its cartons where each is a consignment."""

    quote: str
    trip: int | None
    basis: str
    gross_weight: Decimal
    unit: str
    outside_volume: Decimal
    density_lb_per_cu_ft: Decimal
    freight_class: Decimal


def charge_rows(cost: Cost) -> tuple[ChargeRow, ...]:
    """Each statement's lines, then its total."""
    return tuple(row for statement in cost.statements for row in _of_statement(statement))


def _of_statement(statement: Statement) -> list[ChargeRow]:
    name, trip = statement.quote.name, statement.trip
    rows = [
        ChargeRow(name, trip, line.what, line.quantity, line.unit, line.rate, line.amount) for line in statement.lines
    ]
    what = "Charged for all its cartons" if trip is None else f"Charged for trip {trip}"
    return [*rows, ChargeRow(name, trip, what, charged=statement.total, lines=len(rows))]


def freight_rows(plan: Plan, cost: Cost) -> tuple[FreightRow, ...]:
    """A row for each statement of a freight quote."""
    carried: dict[tuple[str, int | None], list[FilledCarton]] = {}
    for shipment in plan.shipments:
        trip = shipment.trip if shipment.quote.by_load else None
        carried.setdefault((shipment.quote.name, trip), []).append(shipment.filled)
    return tuple(
        _freight(plan, statement, carried[statement.quote.name, statement.trip])
        for statement in cost.statements
        if statement.quote.means is Means.FREIGHT
    )


def _freight(plan: Plan, statement: Statement, cartons: Sequence[FilledCarton]) -> FreightRow:
    units = plan.move.settings.units
    weight = sum((filled.gross_weight for filled in cartons), ZERO)
    found = density(weight, sum((filled.carton.small_volume for filled in cartons), ZERO), units)
    return FreightRow(
        quote=statement.quote.name,
        trip=statement.trip,
        basis=f"{len(cartons)} cartons without a pallet" if len(cartons) != 1 else "1 carton without a pallet",
        gross_weight=weight,
        unit=f"{units.weight}, {units.volume}",
        outside_volume=sum((outside_volume(filled.carton, units) for filled in cartons), ZERO),
        density_lb_per_cu_ft=measured(found),
        freight_class=freight_class(found),
    )
