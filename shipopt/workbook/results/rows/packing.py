"""Rows of the packing list: one for each copy of each record, carton by carton, in the order of the shelves.

Made for a hundred thousand rows. Called by the module gathered.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from shipopt.move.cartons import FilledCarton
from shipopt.move.plan import Plan


@dataclass(frozen=True, slots=True)
class PackingRow:
    """One copy at its place. ``inner_carton`` is None where the carton holds a single one."""

    carton_no: str
    place: int
    record_id: str
    copy: int
    artist: str
    title: str
    format: str
    grade: str
    value: Decimal
    care: str
    shelf: str
    inner_carton: int | None


def packing_rows(plan: Plan) -> tuple[PackingRow, ...]:
    """Every copy in the plan's cartons, then every known one in the cartons already gone."""
    cartons = [shipment.filled for shipment in plan.shipments] + [gone.filled for gone in plan.move.gone]
    return tuple(row for filled in cartons for row in _of_carton(filled))


def _of_carton(filled: FilledCarton) -> Iterator[PackingRow]:
    several = filled.carton.inner_cartons > 1
    place = 0
    for portion in sorted(filled.portions, key=lambda portion: (portion.record.place, portion.first)):
        record = portion.record
        for copy in range(portion.first, portion.first + portion.copies):
            place += 1
            yield PackingRow(
                carton_no=filled.number,
                place=place,
                record_id=record.record_id,
                copy=copy,
                artist=record.artist,
                title=record.title,
                format=record.format.name,
                grade=record.grade,
                value=record.value,
                care=record.care,
                shelf=record.shelf,
                inner_carton=portion.inner if several else None,
            )
