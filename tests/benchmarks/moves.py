"""Realistic moves of any size from a seed, for measuring plans at the sizes people have. All of it is invented.

``realistic`` makes a whole move straight from the domain, no workbook in between: this module draws the collection,
the care levels and the settings; ``quotes_of_size`` the quotes, ``boxes`` the cartons. The same arguments give the
same move.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from random import Random
from typing import Any

from benchmarks.boxes import boxes
from benchmarks.quotes_of_size import Size, covers_of, quotes_of
from benchmarks.scale import Scale
from shipopt.move.care import CareLevel
from shipopt.move.cartons import CartonType
from shipopt.move.money import currency
from shipopt.move.move import Move
from shipopt.move.records import Format, Record
from shipopt.move.settings import Settings
from shipopt.move.words import Means, Units

SHARE_OF_HAND = 0.006
SHARE_OF_GUARDED = 0.015
SHARE_IN_LINES_OF_MANY = 0.3
SHARE_OF_OWN_WEIGHTS = 0.05
SHARE_OF_DISCS_OUTSIDE = 0.04

# name, sleeve, kg, cm, cm with the disc outside, value if blank, sound recording, share of the copies.
FORMATS: tuple[tuple[str, str, float, float, float, float, bool, float], ...] = (
    ("LP", "12", 0.25, 0.38, 0.60, 8, True, 0.57),
    ("gatefold LP", "12", 0.30, 0.46, 0.70, 10, True, 0.11),
    ("double LP", "12", 0.45, 0.60, 0.95, 14, True, 0.12),
    ("12-inch single", "12", 0.17, 0.30, 0.45, 5, True, 0.04),
    ("10-inch", "10", 0.17, 0.32, 0.48, 12, True, 0.02),
    ("7-inch", "7", 0.06, 0.15, 0.22, 3, True, 0.126),
    ("box set", "box set", 1.20, 3.20, 3.60, 45, True, 0.01),
    ("empty jacket", "12", 0.11, 0.20, 0.20, 1, False, 0.004),
)
FORMATS_OF_MANY = ("LP", "LP", "LP", "double LP", "7-inch", "7-inch")
"""Formats of lines that stand for many copies; the rest of such a line's fate is to be cheap and standard."""


def realistic(
    seed: int,
    records: int,
    quotes: int = 12,
    *,
    tight: bool | None = None,
    units: Units = Units.KILOGRAM_CENTIMETRE,
) -> Move:
    """A move of so many copies by so many quotes (6 to 30). ``tight`` says whether expected uninsured loss is capped
    so that the cap binds (True) or does not (False); None leaves it uncapped, or in one of three caps it loosely."""
    if records < 100 or not 6 <= quotes <= 30:
        raise ValueError("a realistic move has at least 100 copies, and 6 to 30 quotes")
    rng = Random(f"{seed}/{records}/{quotes}/{tight}/{units}")
    scale = Scale(units)
    collection = _collection(rng, records, scale)
    cartons = boxes(rng, scale, _stack(collection))
    size = _size(collection, cartons)
    offered = quotes_of(rng, quotes, size, scale, cartons)
    return Move(
        settings=_settings(rng, size, scale, tight),
        records=collection,
        cartons=cartons,
        quotes=offered,
        care=_care(),
        covers=covers_of(rng, offered),
    )


def _care() -> dict[str, CareLevel]:
    return {
        "hand": CareLevel("hand", frozenset({Means.CARRY_ON})),
        "guarded": CareLevel(
            "guarded", frozenset({Means.CARRY_ON, Means.VAN, Means.POST}), needs_closed_body=True, needs_tracking=True
        ),
        "standard": CareLevel("standard", frozenset(Means)),
    }


def _settings(rng: Random, size: Size, scale: Scale, tight: bool | None) -> Settings:
    given: dict[str, Any] = {}
    if rng.random() < 0.7:
        given["insure_from"] = Decimal(rng.choice([500, 750, 1000, 1500]))
    if rng.random() < 0.4:
        # Above the dearest record and what a few trips of carry-on must hold, else no plan could exist.
        least = max(1.5 * size.dearest, 0.6 * size.hand_value)
        most = max(least, rng.uniform(0.2, 0.45) * size.value)
        given["most_value_on_consignment"] = Decimal(math.ceil(most / 50) * 50)
    if tight is None and rng.random() < 1 / 3:
        tight = False
    if tight is not None:
        # The rule of thumb leaves about 0.85 % of the value to chance where no cover is a duty, 0.5 % where it is.
        tight_share = (0.0031, 0.0042) if "insure_from" in given else (0.0051, 0.0068)
        share = rng.uniform(*(tight_share if tight else (0.012, 0.016)))
        given["most_expected_loss"] = Decimal(math.ceil(share * size.value))
    return Settings(
        units=scale.units,
        currency=currency("EUR" if scale.metric else "USD"),
        heaviest_carton=Decimal(23 if scale.metric else 50),
        title="An invented move",
        from_place="Old Quay",
        to_place="Hilltop",
        decide_on=date(2031, 2, 1),
        ready_on=date(2031, 3, 1),
        needed_by=date(2031, 4, 1),
        **given,
    )


# The collection


def _collection(rng: Random, copies: int, scale: Scale) -> tuple[Record, ...]:
    """Lines in shelf order: 12-inch shelves first, lines of many among them, then the smaller sizes, then box sets."""
    formats = {name: _format(row, scale) for row in FORMATS for name in row[:1]}
    lines = _lines_of_many(rng, round(copies * SHARE_IN_LINES_OF_MANY), formats)
    lines += _single_rows(rng, copies - sum(line.copies for line in lines), formats, scale)
    lines = _with_care(rng, lines, copies)
    rng.shuffle(lines)
    order = {"12": 0, "10": 1, "7": 2, "box set": 3}
    lines.sort(key=lambda line: order[line.format.sleeve])
    return tuple(
        replace(line, place=place, record_id=f"R{place + 1:06}", shelf=_shelf(place))
        for place, line in enumerate(lines)
    )


def _shelf(place: int) -> str:
    return f"{chr(65 + place // 900 % 26)}{place // 60 % 15 + 1}"


def _format(row: tuple[Any, ...], scale: Scale) -> Format:
    name, sleeve, weight, thickness, outside, value, sound, _ = row
    return Format(
        name, sleeve, scale.weight(weight), scale.length(thickness), scale.length(outside), Decimal(value), sound
    )


def _lines_of_many(rng: Random, copies: int, formats: dict[str, Format]) -> list[Record]:
    lines = []
    while copies >= 5:
        number = min(copies, round(math.exp(rng.uniform(math.log(5), math.log(200)))))
        value = Decimal(rng.choice(["1", "1.5", "2", "3", "4", "6"]))
        lines.append(_line(formats[rng.choice(FORMATS_OF_MANY)], value, copies=number))
        copies -= number
    return lines


def _single_rows(rng: Random, number: int, formats: dict[str, Format], scale: Scale) -> list[Record]:
    names = [row[0] for row in FORMATS]
    shares = [row[7] for row in FORMATS]
    lines = []
    for name in rng.choices(names, shares, k=number):
        form = formats[name]
        line = _line(form, _value(rng, form), disc_outside=rng.random() < SHARE_OF_DISCS_OUTSIDE)
        if rng.random() < SHARE_OF_OWN_WEIGHTS:
            line = replace(line, weight=scale.rounded_weight(float(form.weight) * rng.uniform(0.8, 1.4)))
        lines.append(line)
    return lines


def _line(form: Format, value: Decimal, *, copies: int = 1, disc_outside: bool = False) -> Record:
    thickness = form.thickness_disc_outside if disc_outside else form.thickness
    return Record("", form, "standard", value, form.weight, thickness, copies=copies, disc_outside=disc_outside)


def _value(rng: Random, form: Format) -> Decimal:
    """Half the rows have their format's value; the rest a long tail about it, with one treasure in 600 rows."""
    usual = float(form.value or 1)
    if rng.random() < 0.4:
        return Decimal(form.value or 1)
    if rng.random() < 1 / 360 and form.sound_recording:
        return Decimal(round(math.exp(rng.uniform(math.log(250), math.log(3000)))))
    worth = usual * 1.2 * math.exp(rng.gauss(0, 1.05))
    return Decimal(max(1, round(2 * worth))) / 2


def _with_care(rng: Random, lines: list[Record], copies: int) -> list[Record]:
    """The dearest records, more or less, are to be carried by hand, the next guarded."""
    singles = [place for place, line in enumerate(lines) if line.copies == 1]
    singles.sort(key=lambda place: float(lines[place].value) * math.exp(rng.gauss(0, 0.35)), reverse=True)
    hand = max(1, round(copies * SHARE_OF_HAND))
    guarded = max(1, round(copies * SHARE_OF_GUARDED))
    for care, chosen in (("hand", singles[:hand]), ("guarded", singles[hand : hand + guarded])):
        for place in chosen:
            lines[place] = replace(lines[place], care=care)
    return lines


# What the rest is scaled to


def _stack(records: Sequence[Record]) -> float:
    return float(sum(line.thickness * line.copies for line in records))


def _size(records: Sequence[Record], cartons: dict[str, CartonType]) -> Size:
    hand = [line for line in records if line.care == "hand"]
    number = math.ceil(_stack(records) / float(cartons["LP carton"].stack_length) / 0.97)
    contents = float(sum(line.weight * line.copies for line in records))
    return Size(
        cartons=number,
        weight=contents + number * float(cartons["LP carton"].empty_weight),
        volume=number * float(cartons["LP carton"].small_volume),
        value=float(sum(line.value * line.copies for line in records)),
        dearest=float(max(line.value for line in records)),
        hand_weight=float(sum(line.weight for line in hand)),
        hand_stack=float(sum(line.thickness for line in hand)),
        hand_value=float(sum(line.value for line in hand)),
    )
