"""What a sheet and a column are, as declared: the terms in which the workbook's declaration is written.

The declaration itself stands in the modules ``declaration_move``, ``declaration_collection`` and
``declaration_quotes``; ``declaration`` gathers them. Template, reader, messages and manual are made from it.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from shipopt.move.words import Units
from shipopt.workbook.kinds import NO_UNIT, Kind, Terms
from shipopt.workbook.plain_text import plain_spaces

LONGEST_SHEET_NAME = 31
"""Characters in a sheet's name that spreadsheet programs accept (from memory)."""


@dataclass(frozen=True, slots=True)
class ByUnits:
    """A default that differs with the units of the workbook."""

    pound_inch: Any
    kilogram_centimetre: Any

    def of(self, units: Units) -> Any:
        """The value for these units."""
        return self.pound_inch if units is Units.POUND_INCH else self.kilogram_centimetre


@dataclass(frozen=True)
class Column:
    """One column of a sheet, or one setting of the sheet of settings.

    ``field`` is its name in the program (that of the domain's field where there is one). ``default`` is the value a
    blank cell stands for, in the domain's terms, ``default_words`` the same for people where the value says too
    little. ``without_loads`` marks limits on a load, which have no meaning where a carton is the consignment.
    ``seldom_below_one`` marks percents where 0.98 is likely to mean 98. ``width`` is in characters, 0 for the kind's.
    """

    heading: str
    field: str
    kind: Kind
    help: str
    required: bool = False
    default: Any = None
    default_words: str = ""
    unique: bool = False
    width: int = 0
    without_loads: bool = False
    seldom_below_one: bool = False

    def unit(self, terms: Terms) -> str:
        """The unit of its cells, or that it has none."""
        return terms.fill(self.kind.unit) if self.kind.unit != NO_UNIT else NO_UNIT

    def default_of(self, units: Units | None) -> Any:
        """The value that a blank cell stands for, in these units."""
        if isinstance(self.default, ByUnits):
            return self.default.of(units) if units else None
        return self.default

    def default_shown(self, terms: Terms) -> str:
        """What a blank cell stands for, in words."""
        if self.default_words:
            return terms.fill(self.default_words)
        if isinstance(self.default, ByUnits) and terms.units is None:
            return " / ".join(self.kind.show(self.default.of(units), Terms(units)) for units in Units)
        default = self.default_of(terms.units)
        return "nothing" if default is None or default == "" else self.kind.show(default, terms)


@dataclass(frozen=True)
class Sheet:
    """One input sheet. Its first column is the name by which other sheets refer to its rows.

    ``settings`` marks the sheet whose columns stand one below another, under ``Setting | Value | Note``.
    ``by_program`` marks one that only the program fills: a template without rows for it has no such sheet.
    ``rows`` is how many rows of the template have drop-downs.
    """

    name: str
    help: str
    columns: tuple[Column, ...]
    required: bool = True
    settings: bool = False
    by_program: bool = False
    rows: int = 500

    @cached_property
    def by_field(self) -> Mapping[str, Column]:
        """Its columns by their name in the program."""
        return {column.field: column for column in self.columns}

    @cached_property
    def by_heading(self) -> Mapping[str, Column]:
        """Its columns by their heading as matched: ``heading_key``."""
        return {heading_key(column.heading): column for column in self.columns}

    def heading(self, field: str) -> str:
        """The heading of a column, by its name in the program."""
        return self.by_field[field].heading


def heading_key(heading: str) -> str:
    """A heading as it is matched: without regard to case, outer spaces, line breaks and runs of spaces."""
    return " ".join(plain_spaces(heading.replace("_x000D_", " ")).casefold().split())
