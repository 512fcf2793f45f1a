"""From typed rows to the domain: cartons that the user has closed, with the records that name them; the last plan.

What a carton's own row leaves blank is summed from those records; what can be neither read nor summed is an error.
Called by the reader.
"""

from collections.abc import Mapping, Sequence
from decimal import Decimal

from shipopt.move.cartons import CartonType, FilledCarton, Portion, filled
from shipopt.move.last_plan import LastWay
from shipopt.move.move import PackedAlready
from shipopt.move.records import Record
from shipopt.move.words import Status
from shipopt.workbook import problems
from shipopt.workbook.declaration import RECORDS
from shipopt.workbook.declaration_collection import STANDARD_CARE
from shipopt.workbook.tables import Findings, Row, Table


def packed_of(
    table: Table,
    cartons: Mapping[str, CartonType],
    records: Sequence[Record],
    heaviest: Decimal | None,
    findings: Findings,
) -> list[PackedAlready]:
    """Closed cartons in the order of their sheet. ``heaviest`` is the heaviest carton to lift."""
    inside: dict[str, list[Record]] = {}
    for record in records:
        if record.packed_in is not None:
            inside.setdefault(record.packed_in, []).append(record)
    found: list[PackedAlready] = []
    for row in table.rows:
        if row.sound and row["carton"] in cartons:
            packed = _packed(row, cartons[row["carton"]], inside.get(row["number"], []), heaviest, findings)
            if packed is not None:
                found.append(packed)
    return found


def _packed(
    row: Row, carton: CartonType, records: list[Record], heaviest: Decimal | None, findings: Findings
) -> PackedAlready | None:
    named = filled(row["number"], carton, [Portion(record, 1, record.copies) for record in records])
    _check_totals(row, named, findings)
    _check_way(row, named, findings)
    if not row.sound:
        return None
    count = named.records if row["records"] is None else row["records"]
    weight = row["gross_weight"] or named.gross_weight
    limits = [limit for limit in (carton.gross_limit, heaviest) if limit is not None]
    if row["status"] is Status.TO_GO and limits and weight > min(limits):
        row.faults.add("gross_weight")
        findings.errors.append(
            row.problem(problems.PACKED_TOO_HEAVY, "gross_weight", f"{weight:f}", f"at most {min(limits):f}")
        )
        return None
    return PackedAlready(
        _filled(row, named, count, weight),
        row["status"],
        row["gone_by"],
        row["paid"],
        row["cover"],
        row["cover_fee"],
        row["carton_paid"],
    )


def last_plan_of(table: Table) -> tuple[LastWay, ...]:
    """How cartons were to go by the plan before, in the order of their sheet."""
    names = ("number", "quote", "trip", "cover", "carriage", "cover_fee", "carton_price")
    return tuple(LastWay(**{name: row[name] for name in names}, origin=row.origin) for row in table.rows if row.sound)


def _filled(row: Row, named: FilledCarton, count: int, weight: Decimal) -> FilledCarton:
    """The carton with its row's totals where given, those of its records elsewhere. It is known to hold sound
    recordings only if every record in it is named."""
    return FilledCarton(
        number=row["number"],
        carton=named.carton,
        portions=named.portions,
        records=count,
        gross_weight=weight,
        value=named.value if row["value"] is None else row["value"],
        stack=named.stack,
        care=tuple(sorted(row["care"] or named.care or (STANDARD_CARE,))),
        recordings_only=named.recordings_only and count == named.records > 0,
        must_go_by=named.must_go_by,
        closed_by_user=True,
        origin=row.origin,
    )


def _check_totals(row: Row, named: FilledCarton, findings: Findings) -> None:
    """Totals left blank must follow from the records named; totals given must not contradict them."""
    count = row["records"]
    if count is not None and count < named.records:
        row.faults.add("records")
        findings.errors.append(row.problem(problems.PACKED_TOO_MANY, "records", f"{count}", f"{named.records}"))
        return
    all_named = named.records > 0 and count in (None, named.records)
    missing = [name for name in ("gross_weight", "value") if row[name] is None and not all_named]
    missing += ["records"] if count is None and not named.records else []
    for name in missing:
        row.faults.add(name)
        accepted = row.sheet.by_field[name].kind.what
        findings.errors.append(
            row.problem(problems.PACKED_NOT_WEIGHED, name, accepted=f"a {accepted}", target=RECORDS.name)
        )
    if row["value"] is not None and all_named and row["value"] != named.value:
        findings.notices.append(
            row.problem(problems.PACKED_VALUE_DIFFERS, "value", f"{row['value']:f}", f"{named.value:f}")
        )


def _check_way(row: Row, named: FilledCarton, findings: Findings) -> None:
    """One carton goes one way, and one that is gone went by a quote."""
    if len(named.must_go_by) > 1:
        row.faults.add("number")
        findings.errors.append(
            row.problem(problems.PACKED_PULLED_APART, "number", " and ".join(named.must_go_by), "one quote for all")
        )
    if row["status"] is not Status.TO_GO and row["gone_by"] is None:
        row.faults.add("gone_by")
        accepted = "the quote it went by"
        findings.errors.append(row.problem(problems.PACKED_GONE_HOW, "gone_by", f"{row['status']}", accepted))
