"""Where a row came from, as plain data, so that every later stage can name its sheet and cell.

Made by the reader; carried by every row of the domain; read by messages. Knows no spreadsheet library.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Origin:
    """Sheet and row of a row of the workbook, with the letters of that sheet's columns (shared by its rows)."""

    sheet: str = ""
    row: int = 0
    columns: Mapping[str, str] = field(default_factory=dict, repr=False, compare=False, hash=False)

    def cell(self, column: str = "") -> str:
        """``Sheet!B7`` for a column of the sheet, ``Sheet row 7`` for none or an absent one, "" for no origin."""
        if not self.sheet:
            return ""
        letter = self.columns.get(column)
        return f"{self.sheet}!{letter}{self.row}" if letter else f"{self.sheet} row {self.row}"


NOWHERE = Origin()
