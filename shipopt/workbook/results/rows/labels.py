"""Rows of the sheets Labels and Content slips: a label for each carton to go, a slip for each carton or inner carton.

Copies of one record that stand side by side share a line of a slip, so that most slips fit on half a page.
Called by the module gathered.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from shipopt.move.plan import Plan
from shipopt.move.settings import Settings
from shipopt.move.words import Units
from shipopt.workbook.results.rows.packing import PackingRow

HEAVY = "HEAVY"
HEAVY_FROM = {Units.POUND_INCH: Decimal(40), Units.KILOGRAM_CENTIMETRE: Decimal(18)}
"""Weight from which a label says so, where the settings do not tell (common practice, no source)."""
MOST_INITIALS = 4


@dataclass(frozen=True, slots=True)
class LabelRow:
    """One label. Its number is the carton's; ``of`` counts all cartons of the move."""

    carton_no: str
    of: int
    from_initials: str
    to_initials: str
    heavy: str
    gross_weight: Decimal


@dataclass(frozen=True, slots=True)
class SlipLine:
    """A record on a slip: ``copies`` of it, from copy ``first`` on, stand side by side at ``places``."""

    places: str
    copies: int
    record_id: str
    first: int
    artist: str
    title: str
    shelf: str


@dataclass(frozen=True, slots=True)
class SlipRow:
    """One slip, with the lines that it shows."""

    slip: str
    carton_no: str
    records: int
    first_shelf: str
    last_shelf: str
    lines: tuple[SlipLine, ...]


def label_rows(plan: Plan) -> tuple[LabelRow, ...]:
    """A label for each carton that still has to travel, in the order of the plan."""
    settings = plan.move.settings
    heavy = heavy_from(settings)
    total = len(plan.shipments) + len(plan.move.gone)
    return tuple(
        LabelRow(
            carton_no=shipment.filled.number,
            of=total,
            from_initials=initials(settings.from_place),
            to_initials=initials(settings.to_place),
            heavy=HEAVY if shipment.filled.gross_weight >= heavy else "",
            gross_weight=shipment.filled.gross_weight,
        )
        for shipment in plan.shipments
    )


def heavy_from(settings: Settings) -> Decimal:
    """The weight from which labels say HEAVY."""
    return settings.mark_heavy_from or HEAVY_FROM[settings.units]


def initials(place: str) -> str:
    """The first letters of a place's words, at most four: ``Old Quay`` is O. Q., blank for a place not told."""
    letters = [next((sign for sign in word if sign.isalnum()), "") for word in place.split()]
    return " ".join(f"{letter.upper()}." for letter in [each for each in letters if each][:MOST_INITIALS])


def slip_rows(packing: Sequence[PackingRow]) -> tuple[SlipRow, ...]:
    """A slip for each carton on the packing list that is still to be packed, or for each inner carton of it."""
    contents: dict[tuple[str, str], list[PackingRow]] = {}
    for row in packing:
        if row.pack_order is not None:
            contents.setdefault((row.carton_no, row.inner_carton), []).append(row)
    return tuple(
        SlipRow(inner or number, number, len(rows), rows[0].shelf, rows[-1].shelf, _lines(rows))
        for (number, inner), rows in contents.items()
    )


def _lines(rows: Sequence[PackingRow]) -> tuple[SlipLine, ...]:
    found: list[SlipLine] = []
    for row in rows:
        last = found[-1] if found else None
        if last and last.record_id == row.record_id and last.first + last.copies == row.copy:
            first_place = row.place - last.copies
            found[-1] = replace(last, copies=last.copies + 1, places=f"{first_place}–{row.place}")
        else:
            found.append(SlipLine(f"{row.place}", 1, row.record_id, row.copy, row.artist, row.title, row.shelf))
    return tuple(found)
