"""The rows that a new workbook comes with: formats, cartons, means and care levels to change.

All of them are planning assumptions and are called so on their sheets. Figures for records are set so that a full
carton of LPs of 31.5 cm holds about 75 of them and 17 kg: shelf load of vinyl is 21, 38 and 54 kg for a metre of 7-,
10- and 12-inch records (IASA-TC 05, Handling and Storage of Audio and Video Carriers), and a carton of that inside
length holds 60 to 80 LPs (common practice, no source). Both unit systems describe the same things in round figures.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from shipopt.move.words import Means, Units
from shipopt.workbook.declaration import CARE, CARTONS, FORMATS, MEANS, Sheet

_Row = tuple[Any, ...]

_FORMATS: dict[Units, tuple[_Row, ...]] = {
    # name, sleeve, weight, thickness, thickness with the disc outside, sound recording
    Units.POUND_INCH: (
        ("LP", "12", 0.5, 0.165, 0.33, "yes"),
        ("Double LP", "12", 0.95, 0.3, 0.5, "yes"),
        ("10-inch", "10", 0.35, 0.165, 0.33, "yes"),
        ("7-inch", "7", 0.11, 0.095, 0.19, "yes"),
        ("Box set", "12", 2.2, 1.2, 1.2, "yes"),
        ("Empty jacket", "12", 0.15, 0.08, 0.08, "no"),
    ),
    Units.KILOGRAM_CENTIMETRE: (
        ("LP", "12", 0.23, 0.42, 0.84, "yes"),
        ("Double LP", "12", 0.43, 0.75, 1.3, "yes"),
        ("10-inch", "10", 0.16, 0.42, 0.84, "yes"),
        ("7-inch", "7", 0.05, 0.24, 0.48, "yes"),
        ("Box set", "12", 1.0, 3.0, 3.0, "yes"),
        ("Empty jacket", "12", 0.07, 0.2, 0.2, "no"),
    ),
}
_FORMAT_FIELDS = ("name", "sleeve", "weight", "thickness", "thickness_disc_outside", "sound_recording")

# Gross limits: 65 lb is what a single-wall carton of 32 lb/in edge crush may hold (National Motor Freight
# Classification, Item 222); 29 kg is the same, rounded down. The bag has the size of the cabin guideline of the
# International Air Transport Association, 56 × 45 × 25 cm (22 × 18 × 10 in), with room for what is not records;
# each airline has its own limits. Sizes, empty weights and damage factors are assumptions, no source.
_CARTONS: dict[Units, tuple[_Row, ...]] = {
    # name, sleeves, stack, inner, length, width, height, empty weight, gross limit, on hand, most, damage factor
    Units.POUND_INCH: (
        ("LP carton", "12", 12.4, 1, 13, 13, 13, 1.2, 65, 0, None, 1),
        ("LP carton, double-boxed", "12", 12.4, 1, 16, 16, 16, 3, 65, 0, None, 0.5),
        ("10-inch carton", "10", 12.4, 1, 13, 11, 11, 1, 65, 0, None, 1),
        ("7-inch carton", "7", 15, 1, 16, 8, 8, 0.8, 65, 0, None, 1),
        ("Carry-on bag", "12; 10; 7", 8, 1, 22, 18, 10, 4, 22, 1, 1, 0.5),
    ),
    Units.KILOGRAM_CENTIMETRE: (
        ("LP carton", "12", 31.5, 1, 33, 33, 33, 0.55, 29, 0, None, 1),
        ("LP carton, double-boxed", "12", 31.5, 1, 41, 41, 41, 1.4, 29, 0, None, 0.5),
        ("10-inch carton", "10", 31.5, 1, 33, 28, 28, 0.45, 29, 0, None, 1),
        ("7-inch carton", "7", 38, 1, 40, 20, 20, 0.35, 29, 0, None, 1),
        ("Carry-on bag", "12; 10; 7", 20, 1, 56, 45, 25, 1.8, 10, 1, 1, 0.5),
    ),
}
_CARTON_FIELDS = (
    "name",
    "sleeves",
    "stack_length",
    "inner_cartons",
    "length",
    "width",
    "height",
    "empty_weight",
    "gross_limit",
    "on_hand",
    "most",
    "damage_factor",
)

_MEANS: tuple[_Row, ...] = (
    (Means.CARRY_ON, 0.05, 0.2, 0.02, "no"),
    (Means.VAN, 0.1, 0.5, 0.1, "yes"),
    (Means.FREIGHT, 0.3, 1.5, 0.1, "yes"),
    (Means.POST, 0.5, 2, 0, "yes"),
)
_MEANS_FIELDS = ("means", "loss_chance", "damage_chance", "whole_load_loss", "insure_rule_applies")

_CARE: tuple[_Row, ...] = (
    ("hand", "yes", "no", "no", "no", None),
    ("guarded", "yes", "yes", "no", "no", 0.5),
    ("standard", "yes", "yes", "yes", "yes", None),
)
_CARE_FIELDS = ("name", *(means.name.lower() for means in Means), "most_loss_chance")


def planning_rows(units: Units) -> dict[str, list[dict[str, Any]]]:
    """The rows by sheet, each row by heading, as ``write_workbook`` takes them."""
    return {
        FORMATS.name: _by_heading(FORMATS, _FORMAT_FIELDS, _FORMATS[units]),
        CARTONS.name: _by_heading(CARTONS, _CARTON_FIELDS, _CARTONS[units]),
        MEANS.name: _by_heading(MEANS, _MEANS_FIELDS, _MEANS),
        CARE.name: _by_heading(CARE, _CARE_FIELDS, _CARE),
    }


def _by_heading(sheet: Sheet, fields: Sequence[str], rows: Sequence[_Row]) -> list[dict[str, Any]]:
    return [_row(sheet, dict(zip(fields, row, strict=True))) for row in rows]


def _row(sheet: Sheet, values: Mapping[str, Any]) -> dict[str, Any]:
    return {sheet.heading(name): value for name, value in values.items() if value is not None}
