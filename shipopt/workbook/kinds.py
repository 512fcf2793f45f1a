"""Column kinds: how each kind of cell is read, what it accepts in words, and how its value is shown.

A kind turns one raw cell value (as the file holds it) into a value of the domain, or refuses it with the
finding to report. Sheets and columns are declared elsewhere; files are opened elsewhere.
"""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Any, ClassVar, Protocol

from shipopt.move.money import Currency, currency
from shipopt.move.words import Units
from shipopt.workbook import problems
from shipopt.workbook.plain_text import plain_spaces, tidy
from shipopt.workbook.problems import ProblemKind
from shipopt.workbook.raw import day_of, stored_number

SEPARATOR = ";"
"""Parts the names of a list in one cell."""

NO_UNIT = "no unit"
FIRST_DAY, LAST_DAY = date(1990, 1, 1), date(2199, 12, 31)


class Refused(ValueError):  # noqa: N818 - it names what happened to the cell
    """A cell is not what its kind accepts."""

    def __init__(self, kind: ProblemKind) -> None:
        super().__init__(kind.code)
        self.kind = kind


@dataclass(frozen=True, slots=True)
class Terms:
    """The units and the currency that a workbook speaks in; None before they are known."""

    units: Units | None = None
    currency: Currency | None = None

    def fill(self, text: str) -> str:
        """A text with {weight}, {length}, {volume}, {currency}, {small} and {crush} named in these terms."""
        units = self.units
        if units is None:
            words = {"weight": "lb or kg", "length": "in or cm", "volume": "cu ft or m³"}
            words |= {"small": "in³ or cm³", "crush": "lb/in or kN/m"}
        else:
            words = {"weight": units.weight, "length": units.length, "volume": units.volume}
            pounds = units is Units.POUND_INCH
            words |= {"small": "in³" if pounds else "cm³", "crush": "lb/in" if pounds else "kN/m"}
        return text.format(**words, currency=self.currency.code if self.currency else "the move's currency")


class Referable(Protocol):
    """A sheet that others refer to by the name in its first column."""

    @property
    def name(self) -> str:
        """The sheet's name."""


class Kind:
    """A kind of cell. ``unit`` may hold {weight}, {length}, {volume}, {small}, {currency}."""

    unit: ClassVar[str] = NO_UNIT
    what: ClassVar[str] = ""
    takes_anything: ClassVar[bool] = False

    def read(self, raw: Any, terms: Terms) -> Any:
        """The value a cell holds; raises Refused. Never called with None, an error value or a bare formula."""
        raise NotImplementedError

    def accepted(self, terms: Terms) -> str:
        """What a cell of this kind may hold, in words."""
        raise NotImplementedError

    def show(self, value: Any, terms: Terms) -> str:
        """The value for people."""
        return f"{value}"


def text_of(raw: Any) -> str:
    """The text a cell shows: spaces as stored, a number without a needless ``.0``, a date in ISO 8601."""
    match raw:
        case str():
            return raw
        case bool():
            return "yes" if raw else "no"
        case int() | float():
            return f"{stored_number(raw):f}"
        case datetime() | date():
            return day_of(raw).isoformat()
        case _:
            raise Refused(problems.NOT_TEXT)


@dataclass(frozen=True)
class AsStored(Kind):
    """Whatever the cell holds, read later by another kind: the value of a setting."""

    takes_anything: ClassVar[bool] = True

    def accepted(self, terms: Terms) -> str:
        return "what the setting's note says"


@dataclass(frozen=True)
class Text(Kind):
    """Any text; numbers and dates become the text they show."""

    keeps_lines: bool = False
    what: ClassVar[str] = "text"

    def read(self, raw: Any, terms: Terms) -> str:
        """The text, tidied."""
        return tidy(text_of(raw), self.keeps_lines)

    def accepted(self, terms: Terms) -> str:
        return "text"


@dataclass(frozen=True)
class Name(Kind):
    """A text that other cells refer to: no date, no separator of lists in it."""

    what: ClassVar[str] = "name"

    def read(self, raw: Any, terms: Terms) -> str:
        """The name; refuses what a spreadsheet program turned into a date, and a separator of lists."""
        if isinstance(raw, bool | datetime | date):
            raise Refused(problems.NOT_A_NAME)
        text = tidy(text_of(raw))
        if not text or SEPARATOR in text:
            raise Refused(problems.NOT_A_NAME)
        return text

    def accepted(self, terms: Terms) -> str:
        return f"a name, as text, without '{SEPARATOR}'"


@dataclass(frozen=True)
class Reference(Name):
    """The name of a row of another sheet, matched ignoring case."""

    to: Referable

    def accepted(self, terms: Terms) -> str:
        return f"a name in the sheet {self.to.name}"


@dataclass(frozen=True)
class NameList(Kind):
    """Free words parted by ``;``, each once, in the order given."""

    what: ClassVar[str] = "names"

    def read(self, raw: Any, terms: Terms) -> tuple[str, ...]:
        """The words; refuses a cell that holds none."""
        if isinstance(raw, bool | datetime | date):
            raise Refused(problems.NOT_A_NAME)
        parts = [tidy(part) for part in text_of(raw).split(SEPARATOR)]
        found = tuple(dict.fromkeys(part for part in parts if part))
        if not found:
            raise Refused(problems.NOT_A_NAME)
        return found

    def accepted(self, terms: Terms) -> str:
        return f"one or more words, parted by '{SEPARATOR}'"

    def show(self, value: Any, terms: Terms) -> str:
        return f"{SEPARATOR} ".join(value)


@dataclass(frozen=True)
class References(NameList):
    """Names of rows of another sheet, parted by ``;``."""

    to: Referable

    def accepted(self, terms: Terms) -> str:
        return f"names in the sheet {self.to.name}, parted by '{SEPARATOR}'"


@dataclass(frozen=True)
class YesNo(Kind):
    """Yes or no; also y, n, true, false, 1, 0."""

    what: ClassVar[str] = "yes or no"
    words: ClassVar[tuple[str, ...]] = ("yes", "no")
    _meaning: ClassVar[dict[str, bool]] = dict.fromkeys(("yes", "y", "true", "1"), True) | dict.fromkeys(
        ("no", "n", "false", "0"), False
    )

    def read(self, raw: Any, terms: Terms) -> bool:
        """True for yes."""
        if isinstance(raw, str | int | float):
            text = str(int(raw)) if isinstance(raw, float) and raw in (0.0, 1.0) else str(raw)
            found = self._meaning.get(plain_spaces(text).casefold())
            if found is not None:
                return found
        raise Refused(problems.NOT_YES_OR_NO)

    def accepted(self, terms: Terms) -> str:
        return "yes, no, y, n, true, false, 1, 0"

    def show(self, value: Any, terms: Terms) -> str:
        return "yes" if value else "no"


@dataclass(frozen=True)
class Day(Kind):
    """A date: a date cell, or text YYYY-MM-DD (ISO 8601)."""

    what: ClassVar[str] = "date"

    def read(self, raw: Any, terms: Terms) -> date:
        """The day; a time of day in the cell is left off."""
        if isinstance(raw, datetime | date):
            day = day_of(raw)
        elif isinstance(raw, str):
            try:
                text = plain_spaces(raw)
                day = date.fromisoformat(text[:10]) if text[4:5] == "-" and len(text) == 10 else date.min
            except ValueError:
                raise Refused(problems.NOT_A_DATE) from None
        else:
            raise Refused(problems.NOT_A_DATE)
        if not FIRST_DAY <= day <= LAST_DAY:
            raise Refused(problems.NOT_A_DATE)
        return day

    def accepted(self, terms: Terms) -> str:
        return f"a date from {FIRST_DAY} to {LAST_DAY}, as a date cell or as text YYYY-MM-DD"


@dataclass(frozen=True)
class Word(Kind):
    """One word of a closed list, ignoring case, spaces and hyphens: ``lb/in`` is ``lb / in``."""

    of: type[StrEnum]
    what: ClassVar[str] = "word"

    @property
    def words(self) -> tuple[str, ...]:
        """The words, in their order."""
        return tuple(word.value for word in self.of)

    def read(self, raw: Any, terms: Terms) -> StrEnum:
        """The word as a member of its list."""
        if isinstance(raw, str):
            found = {_bare(word.value): word for word in self.of}.get(_bare(raw))
            if found is not None:
                return found
        raise Refused(problems.NOT_A_WORD)

    def accepted(self, terms: Terms) -> str:
        return ", ".join(self.words)


def _bare(word: str) -> str:
    """A closed word without case, spaces and hyphens."""
    return "".join(plain_spaces(word).casefold().replace("-", "").split())


@dataclass(frozen=True)
class CurrencyCode(Kind):
    """A three-letter code of ISO 4217."""

    what: ClassVar[str] = "currency code"

    def read(self, raw: Any, terms: Terms) -> Currency:
        """The currency with its decimal places."""
        try:
            if isinstance(raw, str):
                return currency(plain_spaces(raw).upper())
        except ValueError:
            pass
        raise Refused(problems.NOT_A_WORD)

    def accepted(self, terms: Terms) -> str:
        return "a three-letter code of ISO 4217, such as EUR, GBP, JPY or USD"

    def show(self, value: Any, terms: Terms) -> str:
        return str(value.code)
