"""References and formulas of the results workbook, as text: ranges of declared columns, and sums over them.

Names of the move (a quote's, a carton's) are never part of a formula: a formula compares with the cell that holds the
name, letter by letter, so that a name such as ``=1+1`` or ``Van*`` can neither run nor match another.
"""

from dataclasses import dataclass
from typing import NewType

from shipopt.workbook.results.columns import Sheet, Table

Formula = NewType("Formula", str)


def letters(column: int) -> str:
    """Letters of a column counted from 0: A, Z, AA."""
    found = ""
    number = column + 1
    while number:
        number, digit = divmod(number - 1, 26)
        found = chr(65 + digit) + found
    return found


def cell(row: int, column: int, fixed: bool = False) -> str:
    """``B7``, or ``$B$7`` where it is fixed; row and column counted from 0."""
    return f"${letters(column)}${row + 1}" if fixed else f"{letters(column)}{row + 1}"


@dataclass(frozen=True, slots=True)
class Block:
    """Where the rows of a table stand: on a sheet, from row ``first`` (from 0) on, ``rows`` of them (at least one)."""

    sheet: Sheet
    table: Table
    first: int
    rows: int

    def range(self, key: str, elsewhere: bool = True) -> str:
        """The cells of one column, with the sheet's name unless the formula stands on it."""
        place = self.table.place(key)
        last = self.first + max(self.rows, 1) - 1
        found = f"{cell(self.first, place, fixed=True)}:{cell(last, place, fixed=True)}"
        return f"'{self.sheet.name}'!{found}" if elsewhere else found


def total(block: Block, key: str, elsewhere: bool = True) -> Formula:
    """The sum of a column."""
    return Formula(f"=SUM({block.range(key, elsewhere)})")


def total_shown(block: Block, key: str) -> Formula:
    """The sum of the rows of a column that a filter shows, for a line on the table's own sheet.

    With 9, not 109, which Gnumeric does not know; the two differ only for rows that are hidden by hand.
    """
    return Formula(f"=SUBTOTAL(9,{block.range(key, elsewhere=False)})")


def where(block: Block, conditions: dict[str, str], summed: str | None = None) -> Formula:
    """The sum of column ``summed`` (without it, the number of rows) where columns equal the cells or texts given.

    An array formula, in braces: only there does Gnumeric hold EXACT against each cell of a range; the sum is one for
    which no other spreadsheet program needs the braces.
    """
    tests = "*".join(f"EXACT({block.range(key)},{wanted})" for key, wanted in conditions.items())
    return Formula(f"{{=SUMPRODUCT({tests}*{block.range(summed) if summed else '1'})}}")


def quoted(text: str) -> str:
    """A fixed word of the program inside a formula. Never used for words of the move."""
    return '"' + text.replace('"', '""') + '"'
