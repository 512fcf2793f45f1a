"""Invented moves with plans made by hand, for tests of what is made from a plan. Nothing here searches or optimises.

``small_plan`` has a few dozen records by three quotes; ``larger_plan`` fills cartons in shelf order with any number of
records and sends them round five quotes. Names, prices and values are made up.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

from shipopt.move.care import CareLevel
from shipopt.move.cartons import CartonType, FilledCarton, Portion, filled
from shipopt.move.cover import Band, Cover
from shipopt.move.money import currency
from shipopt.move.move import Move, PackedAlready
from shipopt.move.plan import Plan, Search, Shipment
from shipopt.move.quotes import Quote, RateCard, RateStep, WeightBreak, WeightBreaks
from shipopt.move.records import Format, Record
from shipopt.move.settings import Settings
from shipopt.move.words import Consignment, CoverBasis, Covers, Means, Status, Units

SEARCH = Search("HiGHS 1.16", 4.2, Decimal("400"), "no plan that obeys the rules costs less", "within 0.5 %")


def d(text: object) -> Decimal:
    """A decimal from text or a number."""
    return Decimal(str(text))


LP = Format("LP", "12", d("0.26"), d("0.36"), d("0.5"), d(14))
SINGLE = Format("single", "7", d("0.055"), d("0.18"), d("0.25"), d(5))
CRATE = CartonType("crate 12", ("12",), d(31), d(34), d(34), d(34), d("0.9"), 1, d(25), d("2.35"), on_hand=3)
TWIN = CartonType("twin box", ("7",), d(40), d(42), d(21), d(21), d("0.6"), 2, d(20), d("1.85"))
CARE = {
    "hand": CareLevel("hand", frozenset({Means.CARRY_ON})),
    "guarded": CareLevel("guarded", frozenset({Means.CARRY_ON, Means.VAN}), needs_closed_body=True),
    "standard": CareLevel("standard", frozenset(Means)),
}
COVERS = {
    "Porcelain Mutual": Cover(
        "Porcelain Mutual",
        Covers.LOSS_AND_DAMAGE,
        CoverBasis.CONSIGNMENT,
        (Band(None, d(12), d("0.006"), d(25)),),
        None,
        d(100),
    ),
    "Parcel care": Cover(
        "Parcel care", Covers.LOSS, CoverBasis.CARTON, (Band(d(500), d(3)), Band(d(2500), d(9))), ("Mule post tracked",)
    ),
}
PARCELS = RateCard("parcel", (RateStep(d(5), d("7.9")), RateStep(d(10), d("11.4")), RateStep(d(23), d("21.9"))))
CHANCES: dict[str, Any] = {"loss_chance": d("0.004"), "damage_chance": d("0.01"), "whole_load_loss": d("0.001")}
QUOTES = {
    quote.name: quote
    for quote in (
        Quote(
            "Train seat", Means.CARRY_ON, Consignment.LOAD, "yourself", fixed_charge=d(59), most_cartons=1, **CHANCES
        ),
        Quote(
            "Blue van",
            Means.VAN,
            Consignment.LOAD,
            "Ollerby & Daughter",
            trips_at_most=3,
            fixed_charge=d(180),
            included_cartons=4,
            per_carton=d("6.5"),
            surcharge=d("0.075"),
            most_cartons=12,
            closed_body=True,
            transit_days=1,
            liability_per_weight=d(2),
            **CHANCES,
        ),
        Quote(
            "Slow freight",
            Means.FREIGHT,
            Consignment.LOAD,
            "Northern Bulk",
            weight_breaks=WeightBreaks("freight", (WeightBreak(d(0), d("61.337")), WeightBreak(d(250), d("48.9")))),
            per_volume=d("3.33"),
            minimum_charge=d(95),
            transit_days=9,
            liability_per_weight=d(5),
            **CHANCES,
        ),
        Quote(
            "Mule post tracked",
            Means.POST,
            Consignment.CARTON,
            "Mule Post",
            rate_card=RateCard(
                "parcel", (RateStep(d(5), d("7.9")), RateStep(d(10), d("11.4")), RateStep(d(23), d("21.9")))
            ),
            surcharge=d("0.035"),
            tracked=True,
            transit_days=3,
            weigh_step=d("0.5"),
            volumetric_divisor=d(5000),
            **CHANCES,
        ),
        Quote("Green van", Means.VAN, Consignment.LOAD, "Fernlea Removals of Nowhere", fixed_charge=d(900), **CHANCES),
        Quote("Late van", Means.VAN, Consignment.LOAD, fixed_charge=d(90), transit_days=60, **CHANCES),
        Quote("Old bid", Means.VAN, Consignment.LOAD, fixed_charge=d(80), valid_until=date(2031, 1, 2), **CHANCES),
        Quote("Jacket pocket", Means.CARRY_ON, Consignment.LOAD, cartons_accepted=("tote",), **CHANCES),
    )
}


def settings(**given: Any) -> Settings:
    """Settings of an invented move in euros, kilograms and centimetres."""
    plain: dict[str, Any] = {
        "units": Units.KILOGRAM_CENTIMETRE,
        "currency": currency("EUR"),
        "heaviest_carton": d(23),
        "title": "From the attic to the shop (invented)",
        "from_place": "Old Quay",
        "to_place": "Hilltop",
        "decide_on": date(2031, 2, 1),
        "ready_on": date(2031, 3, 1),
        "needed_by": date(2031, 3, 12),
        "insure_from": d(2_000),
        "cells": {"title": "Move!B2", "units": "Move!B3", "currency": "Move!B4", "needed_by": "Move!B9"},
    }
    return Settings(**plain | given)


def record(place: int, format_: Format = LP, **given: Any) -> Record:
    """An invented record at this place of the shelves, its value and care following from the place."""
    hand = place % 67 == 5
    care = "hand" if hand and place < 67 else "guarded" if place % 61 == 7 else "standard"
    value = d(220) if care == "hand" else d(90) if care == "guarded" else format_.value or d(1)
    plain: dict[str, Any] = {
        "record_id": f"R{place + 1:05d}",
        "format": format_,
        "care": care,
        "value": value + d(place % 7) / 2,
        "weight": format_.weight,
        "thickness": format_.thickness,
        "place": place,
        "artist": f"The {('Tin', 'Paper', 'Velvet', 'Salt')[place % 4]} {('Lamps', 'Choir', 'Sisters')[place % 3]}",
        "title": f"{('Songs for', 'Live at', 'Return to')[place % 3]} {('the Quarry', 'Lisle', 'Rain')[place % 7 % 3]}",
        "grade": ("VG+", "NM", "VG", "G")[place % 4],
        "shelf": f"{chr(65 + place // 200 % 26)}{place // 40 % 5 + 1}",
    }
    return Record(**plain | given)


def move(records: Sequence[Record], with_settings: Settings | None = None, **given: Any) -> Move:
    """A move of these records with the invented quotes, cartons, covers and care levels."""
    plain: dict[str, Any] = {
        "settings": with_settings or settings(),
        "records": tuple(records),
        "cartons": {"crate 12": CRATE, "twin box": TWIN},
        "quotes": QUOTES,
        "care": CARE,
        "covers": COVERS,
    }
    return Move(**plain | given)


def packed(
    records: Sequence[Record], carton: CartonType, first_number: int, share: str = "0.95"
) -> Iterator[FilledCarton]:
    """Cartons filled in the order given to a share of their stack length, numbered from ``first_number``."""
    load: list[Portion] = []
    room = carton.stack_length * d("0.95")
    number = first_number
    for each in records:
        used = sum((portion.record.thickness * portion.copies for portion in load), d(0))
        if load and used + each.thickness * each.copies > room:
            yield filled(str(number), carton, load)
            number, load = number + 1, []
            used = d(0)
        inner = 1 if used < room / carton.inner_cartons else carton.inner_cartons
        load.append(Portion(each, 1, each.copies, inner))
    if load:
        yield filled(str(number), carton, load)


def small_plan(
    with_settings: Settings | None = None, packed_already: Sequence[PackedAlready] = (), **texts: str
) -> Plan:
    """Some 170 records in five cartons by four quotes; ``texts`` replace texts of the first record."""
    records = [record(place) for place in range(130)] + [record(place, SINGLE) for place in range(130, 168)]
    records.append(record(168, SINGLE, copies=6, title="Six alike"))
    records[0] = replace(records[0], **texts) if texts else records[0]
    return plan_of(records, with_settings, packed_already)


def larger_plan(number: int = 1500, with_settings: Settings | None = None) -> Plan:
    """So many records, a fifth of them singles, in shelf order."""
    cut = number * 4 // 5
    records = [record(place) for place in range(cut)] + [record(place, SINGLE) for place in range(cut, number)]
    return plan_of(records, with_settings)


def plan_of(
    records: Sequence[Record], with_settings: Settings | None = None, packed_already: Sequence[PackedAlready] = ()
) -> Plan:
    """Packs and assigns by hand: `hand` by train, `guarded` by van with cover, the rest by van, freight, post."""
    it = move(records, with_settings, packed=tuple(packed_already))
    shipments = []
    number = 1
    for care, sleeve in (("hand", "12"), ("guarded", "12"), ("standard", "12"), ("guarded", "7"), ("standard", "7")):
        chosen = [each for each in records if each.care == care and each.format.sleeve == sleeve]
        for carton in packed(chosen, CRATE if sleeve == "12" else TWIN, number):
            shipments.append(_sent(it, carton, care, len(shipments)))
            number += 1
    return Plan(it, tuple(shipments), SEARCH)


def _sent(it: Move, carton: FilledCarton, care: str, count: int) -> Shipment:
    mutual, parcel = it.covers["Porcelain Mutual"], it.covers["Parcel care"]
    if care == "hand":
        return Shipment(carton, it.quotes["Train seat"])
    if care == "guarded":
        return Shipment(carton, it.quotes["Blue van"], 1, mutual)
    if carton.carton is TWIN:
        return Shipment(carton, it.quotes["Mule post tracked"], 1, parcel if count % 2 else None)
    if count % 3 == 2:
        return Shipment(carton, it.quotes["Slow freight"], 1, mutual if count % 2 else None)
    return Shipment(carton, it.quotes["Blue van"], 1 + count % 2)


def gone(number: str = "A 1", status: Status = Status.SENT, **given: Any) -> PackedAlready:
    """A carton closed by the user that has gone by the blue van; of its contents only the totals are known."""
    carton = FilledCarton(number, CRATE, (), 70, d("19.4"), d(1_150), d(0), (), False, closed_by_user=True)
    plain: dict[str, Any] = {"filled": carton, "status": status, "gone_by": "Blue van", "paid": d("41.2")}
    return PackedAlready(**plain | given)
