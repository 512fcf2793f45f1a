"""What a results sheet is made of: tables, columns, and the kinds of things that stand in them.

A column is declared once, in the module declaration, by its heading, kind, widths and help; its key (the heading in
snake_case) is the field of its rows, the key in JSON and the name of the column in a data frame.
"""

import re
from dataclasses import dataclass
from enum import StrEnum
from functools import cache


class Kind(StrEnum):
    """What stands in a column, and so how it is written, aligned and measured."""

    TEXT = "text"
    WORDS = "words, wrapped"
    COUNT = "count"
    MONEY = "money"
    RATE = "money or a share of money, not rounded"
    QUANTITY = "quantity in the unit beside it"
    WEIGHT = "weight"
    LENGTH = "length"
    VOLUME = "volume"
    DENSITY = "lb per cu ft"
    PERCENT = "percent"
    LIKELIHOOD = "percent, to its thousandths"
    DATE = "date"

    @property
    def is_text(self) -> bool:
        """Whether its cells hold text; all other kinds hold numbers or dates."""
        return self in (Kind.TEXT, Kind.WORDS)


@cache
def key_of(heading: str) -> str:
    """A heading in snake_case: ``Fill %`` is fill_percent, ``Cost per 1,000 of value`` cost_per_1000_of_value."""
    words = heading.lower().replace("%", " percent").replace(",", "")
    return re.sub(r"[^a-z0-9]+", "_", words).strip("_")


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table. Widths are in characters: never narrower than ``least``, never wider than ``most``. Of a
    ``sparse`` one, which few rows have anything in, blank cells are left out of the sheet."""

    heading: str
    kind: Kind
    help: str
    least: int = 8
    most: int = 14
    sparse: bool = False

    @property
    def key(self) -> str:
        """The heading in snake_case: a field of the table's rows."""
        return key_of(self.heading)


@dataclass(frozen=True, slots=True)
class Table:
    """A table of a sheet. ``name`` is its own title where a sheet has several. A ``labelled`` table has a single row
    and is shown as label | value, its headings being the labels."""

    name: str
    columns: tuple[Column, ...]
    labelled: bool = False

    @property
    def key(self) -> str:
        """The name in snake_case."""
        return key_of(self.name)

    def place(self, key: str) -> int:
        """The column's place in the table, from 0; ValueError if there is none of that key."""
        return [column.key for column in self.columns].index(key)

    def column(self, key: str) -> Column:
        """The column of that key."""
        return self.columns[self.place(key)]


@dataclass(frozen=True, slots=True)
class Sheet:
    """A sheet of the results workbook and its tables; in a list the first stands from the first row on."""

    name: str
    help: str
    tables: tuple[Table, ...]
    landscape: bool = False

    @property
    def key(self) -> str:
        """The name in snake_case."""
        return key_of(self.name)
