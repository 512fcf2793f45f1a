"""The plan of worked example 1 that example 3 carries on, kept as a list, so that example 3 is always made the same.

A row for each run of copies in a carton. Written when everything is made anew, read by ``late_finds``.
"""

import csv
from pathlib import Path

from shipopt.move.cartons import Portion, filled
from shipopt.move.move import Move
from shipopt.move.plan import Plan, Shipment

HEADINGS = ("carton no", "carton", "quote", "trip", "cover", "record", "first copy", "copies", "inner carton")


def write_first_plan(path: Path, plan: Plan) -> None:
    """Writes the plan."""
    with path.open("w", newline="", encoding="utf-8") as file:
        rows = csv.writer(file, lineterminator="\n")
        rows.writerow(HEADINGS)
        for each in plan.shipments:
            way = (each.filled.number, each.filled.carton.name, each.quote.name, each.trip)
            cover = each.cover.name if each.cover else ""
            for portion in each.filled.portions:
                rows.writerow((*way, cover, portion.record.record_id, portion.first, portion.copies, portion.inner))


def read_first_plan(path: Path, move: Move) -> list[Shipment]:
    """The shipments of the plan, of the move's own records."""
    records = {record.record_id: record for record in move.records}
    ways: dict[str, dict[str, str]] = {}
    inside: dict[str, list[Portion]] = {}
    with path.open(newline="", encoding="utf-8") as file:
        for row in csv.DictReader(file):
            number = row["carton no"]
            ways[number] = row
            portion = Portion(
                records[row["record"]], int(row["first copy"]), int(row["copies"]), int(row["inner carton"])
            )
            inside.setdefault(number, []).append(portion)
    return [
        Shipment(
            filled(number, move.cartons[way["carton"]], inside[number]),
            move.quotes[way["quote"]],
            int(way["trip"]),
            move.covers[way["cover"]] if way["cover"] else None,
        )
        for number, way in ways.items()
    ]
