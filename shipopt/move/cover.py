"""Covers: insurance that can be bought for a carton, with its bands of value.

Fees of a band: max(least fee, fee + percent × value), the value being the carton's or that of the
cartons of a trip that take this cover. Money in the move's currency, percents as fractions.
"""

from dataclasses import dataclass, field
from decimal import Decimal

from shipopt.move.money import ZERO
from shipopt.move.origin import NOWHERE, Origin
from shipopt.move.words import CoverBasis, Covers


@dataclass(frozen=True, slots=True)
class Band:
    """One row of a cover: its fee up to and including a value; None is a last band with no upper limit."""

    value_up_to: Decimal | None
    fee: Decimal = ZERO
    share_of_value: Decimal = ZERO
    least_fee: Decimal = ZERO
    origin: Origin = field(default=NOWHERE, compare=False)


@dataclass(frozen=True)
class Cover:
    """Insurance on offer. ``for_quotes`` None means every quote. Excess is kept by the owner on each claim."""

    name: str
    covers: Covers
    basis: CoverBasis
    bands: tuple[Band, ...]
    for_quotes: tuple[str, ...] | None = None
    excess: Decimal = ZERO
    claim_days: int | None = None
    """Days after delivery within which a claim must be made, None where the terms are not told."""
    notes: str = ""
    origin: Origin = field(default=NOWHERE, compare=False)

    def __post_init__(self) -> None:
        tops = [band.value_up_to for band in self.bands]
        finite = [top for top in tops if top is not None]
        if not tops or None in tops[:-1] or finite != sorted(set(finite)):
            raise ValueError(f"cover {self.name!r}: bands rise, and only the last may have no upper limit")
        if self.excess < 0:
            raise ValueError(f"cover {self.name!r}: the excess is not negative")

    def __hash__(self) -> int:
        return hash(self.name)

    def offered_to(self, quote_name: str) -> bool:
        """Whether a carton on that quote may take this cover."""
        return self.for_quotes is None or quote_name in self.for_quotes
