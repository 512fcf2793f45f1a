"""Rows of the packing list: one for each copy of each record, carton by carton, in the order to pack.

Cartons that the user has closed follow those to pack, then those gone, so far as their contents are known. Made for a
hundred thousand rows. Called by the module gathered.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_UP, Decimal

from shipopt.handling.packing_order import order_to_pack
from shipopt.handling.stops import stops_of, visited
from shipopt.move.cartons import FilledCarton
from shipopt.move.move import Move
from shipopt.move.plan import Plan
from shipopt.workbook.results.rows.cartons import inner_fillers

OPEN, TICKED = "☐", "☑"
OFF_BY, STEP_OF_SCALE = Decimal("0.05"), Decimal("0.1")
"""Share of the records' weight that a scale may differ by before one looks again, and the step it is rounded up to: a
choice of this program. Formats give the weight of a usual copy, and pressings differ."""


@dataclass(frozen=True, slots=True)
class PackingRow:
    """One copy at its place. ``inner_carton`` is blank where the carton holds a single one; what belongs to a carton
    or an inner carton as a whole stands in its first row only."""

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
    done: str
    pack_order: int | None
    inner_carton: str
    scale_shows: Decimal | None
    give_or_take: Decimal | None
    filler: Decimal | None


def cartons_in_order(plan: Plan) -> list[FilledCarton]:
    """The plan's cartons that are still to be packed, in the order to pack them."""
    to_pack = [shipment.filled for shipment in plan.shipments if not shipment.filled.closed_by_user]
    stops = stops_of(plan.move.records)
    return [to_pack[place] for place in order_to_pack([visited(filled, stops) for filled in to_pack])]


def packing_rows(plan: Plan) -> tuple[PackingRow, ...]:
    """Every copy in the plan's cartons, then every known one in the cartons already gone."""
    closed = [shipment.filled for shipment in plan.shipments if shipment.filled.closed_by_user]
    closed += [gone.filled for gone in plan.move.gone]
    to_pack = enumerate(cartons_in_order(plan), start=1)
    rows = [row for turn, filled in to_pack for row in _of_carton(plan.move, filled, turn)]
    return (*rows, *(row for filled in closed for row in _of_carton(plan.move, filled, None)))


def inner_name(filled: FilledCarton, inner: int) -> str:
    """What an inner carton is called: 12a, 12b; after z follow aa, ab."""
    letters, number = "", inner
    while number:
        number, letter = divmod(number - 1, 26)
        letters = chr(ord("a") + letter) + letters
    return filled.number + letters


def _of_carton(move: Move, filled: FilledCarton, turn: int | None) -> Iterator[PackingRow]:
    several = filled.carton.inner_cartons > 1 and not filled.closed_by_user  # which inner carton is then not known
    fillers = {} if turn is None else inner_fillers(move, filled)
    place = 0
    for portion in sorted(filled.portions, key=lambda portion: (portion.record.place, portion.first)):
        record, inner = portion.record, portion.inner
        name = inner_name(filled, inner) if several else ""
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
                done=TICKED if turn is None else OPEN,
                pack_order=turn,
                inner_carton=name,
                scale_shows=filled.gross_weight if place == 1 else None,
                give_or_take=_tolerance(filled) if place == 1 else None,
                filler=fillers.pop(inner, None),
            )


def _tolerance(filled: FilledCarton) -> Decimal:
    off = (filled.gross_weight - filled.carton.empty_weight) * OFF_BY
    return (off / STEP_OF_SCALE).to_integral_value(rounding=ROUND_UP) * STEP_OF_SCALE
