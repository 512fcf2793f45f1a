"""The settings of a move: the sheet Move, each with the value used.

Money is in the move's currency, weights and lengths in its units, percents as fractions of one (90 % is 0.9).
"""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from shipopt.move.money import Currency
from shipopt.move.words import Grip, Units


@dataclass(frozen=True, slots=True)
class Settings:
    """Every setting of one move; None means "no limit" or "not given"."""

    units: Units
    currency: Currency
    heaviest_carton: Decimal
    title: str = "Untitled move"
    from_place: str = ""
    to_place: str = ""
    decide_on: date | None = None
    ready_on: date | None = None
    needed_by: date | None = None
    insure_from: Decimal | None = None
    most_value_on_consignment: Decimal | None = None
    most_expected_loss: Decimal | None = None
    most_tail_mean: Decimal | None = None
    fill_least: Decimal = Decimal("0.90")
    fill_most: Decimal = Decimal("0.98")
    damage_share: Decimal = Decimal("0.30")
    count_expected_loss: bool = False
    weight_of_loss: Decimal = Decimal(1)
    """What a unit of expected loss counts as, where it counts as a cost; asked for by no sheet, but by questions about
    the price of caution."""
    seconds: Decimal = Decimal(60)
    within: Decimal = Decimal("0.005")
    mark_heavy_from: Decimal | None = None
    lift_from: Decimal | None = None
    lift_to: Decimal | None = None
    lift_reach: Decimal | None = None
    lift_twist: Decimal = Decimal(30)
    lifts_a_minute: Decimal = Decimal(1)
    lifting_hours: Decimal = Decimal(2)
    grip: Grip = Grip.FAIR
    stacked_days: int = 30
    stacked_humidity: Decimal = Decimal("0.7")
    cells: dict[str, str] = field(default_factory=dict, compare=False)
    """For each setting's field name that was given: the cell it was read from (``Move!B7``)."""

    def __post_init__(self) -> None:
        if not 0 < self.fill_most <= 1 or not 0 <= self.fill_least <= 1:
            raise ValueError("fill limits are fractions between 0 and 1")
        if self.heaviest_carton <= 0:
            raise ValueError("the heaviest carton to lift weighs more than nothing")
