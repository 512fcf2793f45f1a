"""The closed words of a move: what a cell of the workbook may say.

Each value is spelled exactly as in the workbook. Nothing here knows of sheets or prices;
every other room of the program uses these words.
"""

from enum import StrEnum


class Units(StrEnum):
    """The one choice of units of a workbook; pricing rounds in these units, so nothing is converted."""

    POUND_INCH = "lb / in"
    KILOGRAM_CENTIMETRE = "kg / cm"

    @property
    def weight(self) -> str:
        """Name of the weight unit: ``lb`` or ``kg``."""
        return "lb" if self is Units.POUND_INCH else "kg"

    @property
    def length(self) -> str:
        """Name of the length unit: ``in`` or ``cm``."""
        return "in" if self is Units.POUND_INCH else "cm"

    @property
    def volume(self) -> str:
        """Name of the volume unit that quotes are priced in: ``cu ft`` or ``m³``."""
        return "cu ft" if self is Units.POUND_INCH else "m³"

    @property
    def small_volumes_in_a_volume(self) -> int:
        """How many cubic length units make one volume unit: 1,728 cu in a cu ft, 1,000,000 cm³ a m³."""
        return 1_728 if self is Units.POUND_INCH else 1_000_000


class Means(StrEnum):
    """How a quote carries: by hand, by van, by freight or by post."""

    CARRY_ON = "carry-on"
    VAN = "van"
    FREIGHT = "freight"
    POST = "post"


class Consignment(StrEnum):
    """What a quote is priced for: all that goes on one trip, or each carton by itself."""

    LOAD = "load"
    CARTON = "carton"


class Covers(StrEnum):
    """Which mishaps a cover, or a carrier's liability, pays for."""

    LOSS = "loss"
    LOSS_AND_DAMAGE = "loss and damage"


class CoverBasis(StrEnum):
    """What the insured value of a cover is: one carton's, or that of the cartons of a trip that take it."""

    CARTON = "carton"
    CONSIGNMENT = "consignment"


class Status(StrEnum):
    """Where a carton that is packed already stands."""

    TO_GO = "to go"
    SENT = "sent"
    ARRIVED = "arrived"


class Grip(StrEnum):
    """How well hands hold a carton: the coupling of the revised NIOSH lifting equation."""

    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"
