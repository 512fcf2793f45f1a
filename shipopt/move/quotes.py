"""Quotes: one bid or service each, with the tariffs they refer to.

Money is in the move's currency, weights, lengths and volumes in its units; percents are fractions of one.
Rate cards and weight breaks are resolved: a quote holds the tariff itself, not its name.
"""

from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from shipopt.move.money import ZERO
from shipopt.move.origin import NOWHERE, Origin
from shipopt.move.words import Consignment, Covers, Means


@dataclass(frozen=True, slots=True)
class RateStep:
    """One row of a rate card: the price of a carton of billed weight up to and including ``weight_up_to``."""

    weight_up_to: Decimal
    price: Decimal
    origin: Origin = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class RateCard:
    """Prices of one carton by weight step, lightest step first."""

    name: str
    steps: tuple[RateStep, ...]

    def __post_init__(self) -> None:
        weights = [step.weight_up_to for step in self.steps]
        if not weights or weights != sorted(set(weights)):
            raise ValueError(f"rate card {self.name!r}: steps rise and are all different")


@dataclass(frozen=True, slots=True)
class WeightBreak:
    """One row of weight breaks: the price per 100 weight units from ``from_weight`` on."""

    from_weight: Decimal
    price_per_100: Decimal
    origin: Origin = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class WeightBreaks:
    """Prices of a whole consignment by its billed weight, the first row from 0."""

    name: str
    rows: tuple[WeightBreak, ...]

    def __post_init__(self) -> None:
        weights = [row.from_weight for row in self.rows]
        if not weights or weights[0] != 0 or weights != sorted(set(weights)):
            raise ValueError(f"weight breaks {self.name!r}: rows start from 0 and rise")


@dataclass(frozen=True)
class Quote:
    """One bid or service. Chances are those to use (the quote's own or its means'), as fractions for each
    carton (loss, damage) or each trip (whole load). Limits that are None do not bind."""

    name: str
    means: Means
    consignment: Consignment
    bidder: str = ""
    consider: bool = True
    trips_at_most: int = 1
    fixed_charge: Decimal = ZERO
    included_cartons: int = 0
    per_carton: Decimal = ZERO
    per_weight: Decimal = ZERO
    per_volume: Decimal = ZERO
    rate_card: RateCard | None = None
    weight_breaks: WeightBreaks | None = None
    minimum_charge: Decimal = ZERO
    surcharge: Decimal = ZERO
    cartons_accepted: tuple[str, ...] | None = None
    most_cartons: int | None = None
    most_weight: Decimal | None = None
    most_volume: Decimal | None = None
    most_value: Decimal | None = None
    carton_weight_limit: Decimal | None = None
    carton_length_limit: Decimal | None = None
    carton_girth_limit: Decimal | None = None
    volumetric_divisor: Decimal | None = None
    volumetric_above: Decimal = ZERO
    weigh_step: Decimal | None = None
    recordings_only: bool = False
    closed_body: bool = False
    temperature_held: bool = False
    tracked: bool = False
    sole_use: bool = False
    collect_from: date | None = None
    collect_until: date | None = None
    transit_days: int | None = None
    valid_until: date | None = None
    loss_chance: Decimal = ZERO
    damage_chance: Decimal = ZERO
    whole_load_loss: Decimal = ZERO
    chances_assumed: bool = True
    """True where at least one of the three chances is the means' planning assumption, not the quote's own."""
    insure_rule_applies: bool = True
    liability_per_weight: Decimal = ZERO
    liability_per_carton: Decimal = ZERO
    most_liability: Decimal | None = None
    liability_covers: Covers = Covers.LOSS
    notes: str = ""
    claim_days: int | None = None
    """Days after delivery within which a claim must be made, None where the terms are not told."""
    origin: Origin = field(default=NOWHERE, compare=False)

    def __post_init__(self) -> None:
        if self.trips_at_most < 1 or self.included_cartons < 0:
            raise ValueError(f"quote {self.name!r}: at least one trip, included cartons not negative")
        charges = (self.fixed_charge, self.per_carton, self.per_weight, self.per_volume, self.minimum_charge)
        if min(*charges, self.surcharge, self.liability_per_weight, self.liability_per_carton) < 0:
            raise ValueError(f"quote {self.name!r}: charges and liability are not negative")
        if self.volumetric_divisor is not None and self.volumetric_divisor <= 0:
            raise ValueError(f"quote {self.name!r}: the volumetric divisor is above zero")
        if self.weigh_step is not None and self.weigh_step <= 0:
            raise ValueError(f"quote {self.name!r}: weights are rounded in steps above zero")
        if not all(0 <= c <= 1 for c in (self.loss_chance, self.damage_chance, self.whole_load_loss)):
            raise ValueError(f"quote {self.name!r}: chances lie between 0 and 1")

    def __hash__(self) -> int:
        return hash(self.name)

    @property
    def by_load(self) -> bool:
        """True if all that goes on one trip is the consignment."""
        return self.consignment is Consignment.LOAD


@dataclass(frozen=True, slots=True)
class MeansAssumption:
    """Planning assumptions of a means: chances as fractions, and whether the insure rule applies to it."""

    means: Means
    loss_chance: Decimal
    damage_chance: Decimal
    whole_load_loss: Decimal
    insure_rule_applies: bool
    origin: Origin = field(default=NOWHERE, compare=False)
