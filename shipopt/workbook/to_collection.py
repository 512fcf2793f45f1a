"""From typed rows to the domain: formats, carton types, care levels, records.

Only sound rows are turned; a row that is not has been reported. Called by the reader.
"""

from collections.abc import Mapping
from decimal import Decimal

from shipopt.move.care import CareLevel
from shipopt.move.cartons import CartonType
from shipopt.move.records import Format, Record
from shipopt.move.words import Means
from shipopt.workbook import problems
from shipopt.workbook.tables import Findings, Row, Table


def formats_of(table: Table) -> dict[str, Format]:
    """Formats by name. A disc outside its jacket doubles the thickness where nothing is given (common practice,
    no source)."""
    found: dict[str, Format] = {}
    for row in table.rows:
        if row.sound:
            outside = row["thickness_disc_outside"]
            found[row["name"]] = Format(
                name=row["name"],
                sleeve=row["sleeve"],
                weight=row["weight"],
                thickness=row["thickness"],
                thickness_disc_outside=2 * row["thickness"] if outside is None else outside,
                value=row["value"],
                sound_recording=row["sound_recording"],
                origin=row.origin,
            )
    return found


def cartons_of(table: Table, formats: Table, findings: Findings) -> dict[str, CartonType]:
    """Carton types by name, their sleeve words spelled as the formats spell them."""
    spelled = {row["sleeve"].casefold(): row["sleeve"] for row in reversed(formats.rows) if "sleeve" in row.given}
    found: dict[str, CartonType] = {}
    for row in table.rows:
        if not row.sound or not _gross_limit_is_possible(row, findings):
            continue
        sleeves = tuple(dict.fromkeys(spelled.get(word.casefold(), word) for word in row["sleeves"]))
        same = {column.field: row[column.field] for column in table.sheet.columns}
        found[row["name"]] = CartonType(**{**same, "sleeves": sleeves}, origin=row.origin)
    return found


def _gross_limit_is_possible(row: Row, findings: Findings) -> bool:
    limit: Decimal | None = row["gross_limit"]
    if limit is None or limit > row["empty_weight"]:
        return True
    row.faults.add("gross_limit")
    findings.errors.append(
        row.problem(problems.GROSS_LIMIT_TOO_LOW, "gross_limit", f"{limit:f}", f"{row['empty_weight']:f}")
    )
    return False


def care_of(table: Table) -> dict[str, CareLevel]:
    """Care levels by name."""
    return {
        row["name"]: CareLevel(
            name=row["name"],
            means=frozenset(means for means in Means if row[means.name.lower()]),
            needs_closed_body=row["needs_closed_body"],
            needs_temperature_held=row["needs_temperature_held"],
            needs_tracking=row["needs_tracking"],
            needs_sole_use=row["needs_sole_use"],
            most_loss_chance=row["most_loss_chance"],
            origin=row.origin,
        )
        for row in table.rows
        if row.sound
    }


def records_of(table: Table, formats: Mapping[str, Format], findings: Findings) -> list[Record]:
    """Records in shelf order, weights, thicknesses and values resolved from their formats."""
    taken = {row["record_id"].casefold() for row in table.rows if row["record_id"] is not None}
    found: list[Record] = []
    for place, row in enumerate(table.rows):
        if not row.sound or row["format"] not in formats:
            continue
        record = _record(row, place, formats[row["format"]], taken, findings)
        if record is not None:
            found.append(record)
    return found


def _record(row: Row, place: int, kind: Format, taken: set[str], findings: Findings) -> Record | None:
    value = kind.value if row["value"] is None else row["value"]
    if value is None:
        row.faults.add("value")
        accepted = "an amount here, or one in the format's row"
        findings.errors.append(row.problem(problems.NO_VALUE, "value", f"'{kind.name}'", accepted))
        return None
    usual = kind.thickness_disc_outside if row["disc_outside"] else kind.thickness
    return Record(
        record_id=row["record_id"] or _made_id(row.origin.row, taken),
        format=kind,
        care=row["care"],
        value=value,
        weight=row["weight"] or kind.weight,
        thickness=row["thickness"] or usual,
        place=place,
        copies=row["copies"],
        artist=row["artist"],
        title=row["title"],
        grade=row["grade"],
        shelf=row["shelf"],
        disc_outside=row["disc_outside"],
        must_go_by=row["must_go_by"],
        packed_in=row["packed_in"],
        notes=row["notes"],
        origin=row.origin,
    )


def _made_id(number: int, taken: set[str]) -> str:
    """An ID from the row number that no record was given."""
    made = f"row-{number}"
    while made in taken:
        made += "+"
    return made
