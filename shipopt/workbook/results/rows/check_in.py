"""Rows of the sheet Check-in: every carton that is to arrive, with blank cells to fill in on arrival.

Called by the module gathered.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from shipopt.workbook.results.rows.cartons import CartonRow


@dataclass(frozen=True, slots=True)
class CheckInRow:
    """One carton; what is found on arrival is blank."""

    carton_no: str
    quote: str
    records: int
    expected_weight: Decimal
    arrived: str = ""
    condition: str = ""
    weight_found: Decimal | None = None
    damage_found: Decimal | None = None
    remarks: str = ""


def check_in_rows(cartons: Sequence[CartonRow]) -> tuple[CheckInRow, ...]:
    """A row for each carton, by the quote it comes with, in the order of the carton list."""
    return tuple(CheckInRow(row.carton_no, row.quote, row.records, row.gross_weight) for row in cartons)
