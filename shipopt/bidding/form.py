"""The bid form, declared once: its two sheets, and each line of the sheet to fill with its place.

Answers are columns of the workbook's sheets Quotes, Rate cards and Weight breaks, with their headings, kinds and
help; nothing is named here a second time. Written by ``form_workbook``, read by ``returned``.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from shipopt.move.words import Means
from shipopt.workbook.declaration import QUOTES, RATE_CARDS, WEIGHT_BREAKS, Column, Sheet

TO_READ = "What is to be carried"
TO_FILL = "Your bid"

BIDS = 3
"""Bids that one form holds, side by side: the first answers stand in column B."""
TABLE_ROWS = 10

REFERENCE_ROW, BIDDER_ROW, HEADING_ROW, FIRST_ROW = 3, 4, 6, 7
"""Rows (from 1) of the reply reference, the bidder's name and the bids' headings, and the first of the sections."""

REFERENCE = "Reply reference"
BIDDER = QUOTES.by_field["bidder"]

_SECTIONS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "What you charge: any mix of these; leave blank what does not apply",
        (
            "consignment",
            "trips_at_most",
            "fixed_charge",
            "included_cartons",
            "per_carton",
            "per_weight",
            "per_volume",
            "minimum_charge",
            "surcharge",
        ),
    ),
    (
        "What you can take: blank means no limit",
        (
            "most_cartons",
            "most_weight",
            "most_volume",
            "most_value",
            "carton_weight_limit",
            "carton_length_limit",
            "carton_girth_limit",
        ),
    ),
    ("How you weigh", ("volumetric_divisor", "volumetric_above", "weigh_step")),
    ("How it travels", ("closed_body", "temperature_held", "tracked", "sole_use", "recordings_only")),
    ("Dates", ("collect_from", "collect_until", "transit_days", "valid_until")),
    (
        "What you pay if something is lost or damaged",
        ("liability_per_weight", "liability_per_carton", "most_liability", "liability_covers", "claim_days"),
    ),
    ("Anything else", ("notes",)),
)

PRICES = (
    "fixed_charge",
    "per_carton",
    "per_weight",
    "per_volume",
    "minimum_charge",
)
"""Answers that are prices; a rate card and weight breaks are too."""

ASKED_FOR = ("valid_until", "transit_days", "liability_per_weight", "liability_per_carton", "closed_body", "tracked")
"""Answers whose lack is told: they often decide a bid."""


@dataclass(frozen=True, slots=True)
class Tariff:
    """A small table of the form: a weight in column A, the price of each bid beside it."""

    sheet: Sheet
    field: str
    weight: Column
    price: Column
    title: str


TARIFFS = (
    Tariff(
        RATE_CARDS,
        "rate_card",
        RATE_CARDS.by_field["weight_up_to"],
        RATE_CARDS.by_field["price"],
        "Prices of one carton by its weight, if you have such a list, lightest first",
    ),
    Tariff(
        WEIGHT_BREAKS,
        "weight_breaks",
        WEIGHT_BREAKS.by_field["from_weight"],
        WEIGHT_BREAKS.by_field["price_per_100"],
        "Prices of the whole load by its weight, if you have such a list, the first row from 0",
    ),
)


@dataclass(frozen=True, slots=True)
class Title:
    """The heading of a section."""

    row: int
    text: str


@dataclass(frozen=True, slots=True)
class Answer:
    """A line with one cell for each bid."""

    row: int
    column: Column


@dataclass(frozen=True, slots=True)
class Table:
    """A tariff: its headings in ``row``, the cells to fill in the ``TABLE_ROWS`` rows below."""

    row: int
    tariff: Tariff


def lines(means: Means) -> Iterator[Title | Answer | Table]:
    """Every line of the sheet to fill, for bids by one means, in order."""
    row = FIRST_ROW
    for title, fields in _SECTIONS:
        yield Title(row, title)
        for place, field in enumerate(fields, start=1):
            yield Answer(row + place, QUOTES.by_field[field])
        row += len(fields) + 2
    for tariff in TARIFFS:
        if means is Means.POST and tariff.sheet is WEIGHT_BREAKS:
            continue
        yield Title(row, tariff.title)
        yield Table(row + 1, tariff)
        row += TABLE_ROWS + 3


def answers(means: Means) -> list[Answer]:
    """The lines with one cell for each bid."""
    return [line for line in lines(means) if isinstance(line, Answer)]


def tables(means: Means) -> list[Table]:
    """The tariffs."""
    return [line for line in lines(means) if isinstance(line, Table)]


def bid_heading(bid: int) -> str:
    """The heading of a bid's column, bids counted from 0."""
    return f"Bid {bid + 1}"
