"""Column kinds that hold numbers: counts, weights, lengths, volumes, money, percents.

A number is stored as such, or typed as text whose meaning is certain. Values are decimals, whole numbers ints;
percents become fractions of one. Limits are part of the declaration of a column.
"""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any, ClassVar

from shipopt.move.words import Units
from shipopt.workbook import problems
from shipopt.workbook.kinds import NO_UNIT, Kind, Refused, Terms
from shipopt.workbook.number_text import CURRENCY_SIGNS, looks_like_number, typed_number, without_sign
from shipopt.workbook.plain_text import plain_spaces
from shipopt.workbook.raw import ShownAsPercent, stored_number

MOST_MONEY = Decimal(10) ** 12
MOST_MEASURE = Decimal(10) ** 7
MOST_COUNT = 1_000_000


@dataclass(frozen=True)
class Number(Kind):
    """A number between limits. ``above`` excludes the lower limit itself."""

    least: Decimal | None = Decimal(0)
    most: Decimal | None = MOST_MEASURE
    above: bool = False
    what: ClassVar[str] = "number"

    def read(self, raw: Any, terms: Terms) -> Any:
        """The number as a Decimal (a whole number as an int), in the cell's own unit."""
        number = self._typed(raw, terms) if isinstance(raw, str) else self._stored(raw)
        if not number.is_finite():
            raise Refused(problems.NOT_A_NUMBER)
        low = self.least is not None and (number <= self.least if self.above else number < self.least)
        if low or (self.most is not None and number > self.most):
            raise Refused(problems.OUT_OF_LIMITS)
        return number

    def _stored(self, raw: Any) -> Decimal:
        if isinstance(raw, bool) or not isinstance(raw, int | float):
            raise Refused(problems.NOT_A_NUMBER)
        return stored_number(raw)

    def _typed(self, raw: str, terms: Terms) -> Decimal:
        text = self._bare(raw, terms)
        number = typed_number(text)
        if number is None:
            raise Refused(problems.NUMBER_UNCERTAIN if looks_like_number(text) else problems.NOT_A_NUMBER)
        return number

    def _bare(self, raw: str, terms: Terms) -> str:
        """The text without its unit, which may stand behind or before it. While the units of the workbook are not
        known, because their own cell is at fault, either will do."""
        if self.unit == NO_UNIT:
            return plain_spaces(raw)
        spoken = [terms] if terms.units else [Terms(units) for units in Units]
        found = (without_sign(raw, each.fill(self.unit)) for each in spoken)
        return next((bare for bare in found if bare), plain_spaces(raw))

    def accepted(self, terms: Terms) -> str:
        return f"{self._what(terms)} {self._limits()}".strip()

    def _what(self, terms: Terms) -> str:
        return f"a {self.what}" if self.unit == NO_UNIT else f"a {self.what} in {terms.fill(self.unit)}"

    def _limits(self) -> str:
        low = "" if self.least is None else f"above {self.least:,f}" if self.above else f"from {self.least:,f}"
        return low if self.most is None else f"{low} to {self.most:,f}".strip()

    def show(self, value: Any, terms: Terms) -> str:
        return f"{value:,f}" if self.unit == NO_UNIT else f"{value:,f} {terms.fill(self.unit)}"


@dataclass(frozen=True)
class Whole(Number):
    """A whole number."""

    most: Decimal | None = Decimal(MOST_COUNT)
    what: ClassVar[str] = "whole number"

    def read(self, raw: Any, terms: Terms) -> int:
        """The number as an int."""
        number = super().read(raw, terms)
        if number != number.to_integral_value():
            raise Refused(problems.NOT_WHOLE)
        return int(number)

    def show(self, value: Any, terms: Terms) -> str:
        return f"{value:,d}" if self.unit == NO_UNIT else f"{value:,d} {terms.fill(self.unit)}"


@dataclass(frozen=True)
class Days(Whole):
    """A number of days."""

    most: Decimal | None = Decimal(3_650)
    unit: ClassVar[str] = "days"


@dataclass(frozen=True)
class Seconds(Number):
    """A time to search."""

    above: bool = True
    most: Decimal | None = Decimal(86_400)
    unit: ClassVar[str] = "seconds"
    what: ClassVar[str] = "time"


@dataclass(frozen=True)
class Weight(Number):
    """A weight in the move's weight unit."""

    unit: ClassVar[str] = "{weight}"
    what: ClassVar[str] = "weight"


@dataclass(frozen=True)
class Length(Number):
    """A length in the move's length unit (also the small lengths: thickness, stack)."""

    unit: ClassVar[str] = "{length}"
    what: ClassVar[str] = "length"


@dataclass(frozen=True)
class Volume(Number):
    """A volume in the move's volume unit."""

    unit: ClassVar[str] = "{volume}"
    what: ClassVar[str] = "volume"


@dataclass(frozen=True)
class EdgeCrush(Number):
    """How much load a board's edge bears: force by length, as box makers print it."""

    above: bool = True
    most: Decimal | None = Decimal(1_000)
    unit: ClassVar[str] = "{crush}"
    what: ClassVar[str] = "edge crush"

    def _what(self, terms: Terms) -> str:
        return f"an {self.what} in {terms.fill(self.unit)}"


@dataclass(frozen=True)
class Degrees(Number):
    """An angle."""

    unit: ClassVar[str] = "degrees"
    what: ClassVar[str] = "angle"

    def _what(self, terms: Terms) -> str:
        return f"an {self.what} in {self.unit}"


@dataclass(frozen=True)
class AMinute(Number):
    """How often something is done in a minute."""

    unit: ClassVar[str] = "a minute"

    def _what(self, terms: Terms) -> str:
        return "how often a minute,"


@dataclass(frozen=True)
class Hours(Number):
    """A number of hours."""

    above: bool = True
    unit: ClassVar[str] = "hours"


@dataclass(frozen=True)
class Divisor(Number):
    """A volumetric divisor: cubic length units for one weight unit."""

    above: bool = True
    unit: ClassVar[str] = "{small} per {weight}"
    what: ClassVar[str] = "divisor"


@dataclass(frozen=True)
class Money(Number):
    """An amount in the move's currency, also with its sign or code beside it. ``per`` makes it a rate."""

    most: Decimal | None = MOST_MONEY
    unit: ClassVar[str] = "{currency}"
    what: ClassVar[str] = "amount"

    def _bare(self, raw: str, terms: Terms) -> str:
        code = terms.currency.code if terms.currency else None
        bare = without_sign(raw, code) if code else None
        for sign, codes in CURRENCY_SIGNS.items():
            unsigned = without_sign(raw, sign)
            if unsigned is not None and code is not None and code not in codes:
                raise Refused(problems.OTHER_CURRENCY)
            bare = bare if unsigned is None else unsigned
        return plain_spaces(raw) if bare is None else bare

    def _what(self, terms: Terms) -> str:
        return f"an amount in {terms.fill('{currency}')}"

    def show(self, value: Any, terms: Terms) -> str:
        return terms.currency.show(value) if terms.currency else f"{value:,f}"


@dataclass(frozen=True)
class MoneyPerWeight(Money):
    """A price for each weight unit."""

    unit: ClassVar[str] = "{currency} per {weight}"


@dataclass(frozen=True)
class MoneyPerVolume(Money):
    """A price for each volume unit."""

    unit: ClassVar[str] = "{currency} per {volume}"


@dataclass(frozen=True)
class MoneyPer100(Money):
    """A price for each hundred weight units."""

    unit: ClassVar[str] = "{currency} per 100 {weight}"


@dataclass(frozen=True)
class Percent(Number):
    """A percent: the cell says 98 for 98 %, the value is the fraction 0.98. A cell with a percent format
    holds the fraction already, and shows 98 %."""

    most: Decimal | None = Decimal(100)
    unit: ClassVar[str] = "%"
    what: ClassVar[str] = "percent"

    def read(self, raw: Any, terms: Terms) -> Decimal:
        """The percent as a fraction of one."""
        percent: Decimal = super().read(raw, terms)
        return percent.scaleb(-2)

    def _stored(self, raw: Any) -> Decimal:
        return super()._stored(raw.value) * 100 if isinstance(raw, ShownAsPercent) else super()._stored(raw)

    def _bare(self, raw: str, terms: Terms) -> str:
        return without_sign(raw, "%") or plain_spaces(raw)

    def _what(self, terms: Terms) -> str:
        return "a percent, such as 2.5 for 2.5 %,"

    def show(self, value: Any, terms: Terms) -> str:
        return f"{(value * 100).normalize():f} %"
