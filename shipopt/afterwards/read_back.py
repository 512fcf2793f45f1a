"""Reading a plan back from its results workbook: which copy is in which carton, and how each carton goes.

Read are the sheets Carton list and Packing list, as the user may have changed them (a record moved to another carton,
a status), and the fingerprint that ties the results to their input. Prices are not read: they follow. Called by the
modules carrying_on and check_in.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import groupby
from os import PathLike
from pathlib import Path
from typing import Any

from shipopt.move.cartons import FilledCarton, Portion, filled
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.records import Record
from shipopt.move.words import Status
from shipopt.workbook import problems
from shipopt.workbook.cells import RawSheet, raw_sheets
from shipopt.workbook.declaration_terms import Column, Sheet, heading_key
from shipopt.workbook.files import NotReadable, open_file
from shipopt.workbook.kinds import Name, Terms, Text, Word
from shipopt.workbook.number_kinds import Whole
from shipopt.workbook.problems import Problem, problem
from shipopt.workbook.results.columns import Sheet as ResultsSheet
from shipopt.workbook.results.declaration import CARTON_LIST, INPUT_AS_READ, PACKING_LIST
from shipopt.workbook.results.sheets.input_as_read import DIGEST
from shipopt.workbook.tables import Findings, Row, read_table


def heading(sheet: ResultsSheet, key: str) -> str:
    """The heading of a column of the first table of a results sheet."""
    return sheet.tables[0].column(key).heading


CARTONS_BACK = Sheet(
    CARTON_LIST.name,
    CARTON_LIST.help,
    (
        Column(heading(CARTON_LIST, "carton_no"), "number", Name(), "", required=True, unique=True),
        Column(heading(CARTON_LIST, "carton"), "carton", Name(), "", required=True),
        Column(heading(CARTON_LIST, "quote"), "quote", Name(), ""),
        Column(heading(CARTON_LIST, "trip"), "trip", Whole(least=Decimal(1)), "", default=1),
        Column(heading(CARTON_LIST, "cover"), "cover", Name(), ""),
        Column(heading(CARTON_LIST, "status"), "status", Word(Status), "", default=Status.TO_GO),
    ),
)
PACKED_BACK = Sheet(
    PACKING_LIST.name,
    PACKING_LIST.help,
    (
        Column(heading(PACKING_LIST, "carton_no"), "number", Name(), "", required=True),
        Column(heading(PACKING_LIST, "place"), "place", Whole(), ""),
        Column(heading(PACKING_LIST, "record_id"), "record_id", Name(), "", required=True),
        Column(heading(PACKING_LIST, "copy"), "copy", Whole(least=Decimal(1)), "", default=1),
        Column(heading(PACKING_LIST, "inner_carton"), "inner", Text(), "", default=""),
    ),
)


class WrongResults(Exception):  # noqa: N818 - it names what was found
    """The results workbook does not belong to the input, or cannot be read back; ``errors`` say why."""

    def __init__(self, errors: Sequence[Problem]) -> None:
        super().__init__("\n".join(str(error) for error in errors))
        self.errors = tuple(errors)


Copy = tuple[Record, int, str]
"""A record, the number of the copy, and what its inner carton is called, if there are several."""


@dataclass(frozen=True)
class PlanReadBack:
    """A plan as its results workbook has it: shipments in its order, and where each carton stands by now."""

    shipments: tuple[Shipment, ...]
    statuses: Mapping[str, Status]


@dataclass(frozen=True)
class ResultsBook:
    """The sheets of a results workbook, raw."""

    sheets: Mapping[str, RawSheet]

    def rows(self, sheet: Sheet, terms: Terms) -> tuple[Row, ...]:
        """The rows of a list with a name in its first column; sums below are left out. WrongResults if one is wrong."""
        if sheet.name not in self.sheets:
            raise WrongResults([problem(problems.SHEET_MISSING, sheet.name, "A1", "no such sheet", "the sheet")])
        findings = Findings()
        table = read_table(_without_sums(self.sheets[sheet.name]), sheet, terms, findings)
        if findings.errors:
            raise WrongResults(findings.errors)
        return table.rows

    @property
    def sha256(self) -> str:
        """The fingerprint of the input that the results were made from, "" if they do not say."""
        facts = self.sheets.get(INPUT_AS_READ.name)
        rows = facts.rows if facts else ()
        return next((str(values[1] or "") for _, values in rows if len(values) > 1 and values[0] == DIGEST), "")


def open_results(path: str | PathLike[str]) -> ResultsBook:
    """The sheets of a results workbook; WrongResults where the file cannot be read as one."""
    wanted = {heading_key(sheet.name): sheet.name for sheet in (CARTON_LIST, PACKING_LIST, INPUT_AS_READ)}
    try:
        raw = raw_sheets(open_file(Path(path)), lambda name: True)
    except NotReadable as reason:
        raise WrongResults([reason.problem]) from None
    return ResultsBook({wanted.get(heading_key(sheet.name), sheet.name): sheet for sheet in raw})


def plan_of(book: ResultsBook, move: Move, sha256: str) -> PlanReadBack:
    """The plan of a move from its results; ``sha256`` is the input's fingerprint. WrongResults, with everything that
    is wrong, if the two do not belong together or the lists contradict the move."""
    if book.sha256 != sha256:
        found = f"{book.sha256[:12]}…" if book.sha256 else ""
        accepted = f"{sha256[:12]}…, the input's"
        raise WrongResults([problem(problems.RESULTS_OF_ANOTHER, INPUT_AS_READ.name, "", found, accepted)])
    terms = Terms(move.settings.units, move.settings.currency)
    cartons = book.rows(CARTONS_BACK, terms)
    findings = Findings()
    inside = _contents(book.rows(PACKED_BACK, terms), {row["number"] for row in cartons}, move, findings)
    shipments = [_shipment(row, inside, move, findings) for row in cartons if not _gone_before(row, move)]
    if findings.errors:
        raise WrongResults(findings.errors)
    statuses = {row["number"]: row["status"] for row in cartons}
    return PlanReadBack(tuple(each for each in shipments if each is not None), statuses)


def _without_sums(raw: RawSheet) -> RawSheet:
    return RawSheet(raw.name, tuple((number, values) for number, values in raw.rows if values[0] is not None))


def _gone_before(row: Row, move: Move) -> bool:
    return any(gone.filled.number == row["number"] for gone in move.gone)


def _contents(rows: Sequence[Row], listed: set[str], move: Move, findings: Findings) -> dict[str, list[Copy]]:
    """Record, copy and inner carton by carton; every loose copy must be in one carton, once."""
    records = {record.record_id: record for record in move.records}
    inside: dict[str, list[Copy]] = {}
    where: dict[tuple[str, int], Row] = {}
    for row in rows:
        record = records.get(row["record_id"])
        if record is None or row["copy"] > record.copies:
            accepted = f"a record of the input, and a copy up to {record.copies if record else 1}"
            found = f"'{row['record_id']}', copy {row['copy']}"
            findings.errors.append(row.problem(problems.NOT_OF_THIS_PLAN, "record_id", found, accepted))
        elif row["number"] not in listed:
            accepted = f"a carton of the sheet {CARTON_LIST.name}"
            findings.errors.append(row.problem(problems.NOT_OF_THIS_PLAN, "number", f"'{row['number']}'", accepted))
        elif first := where.get((row["record_id"], row["copy"])):
            found = f"'{row['record_id']}', copy {row['copy']}"
            other = first.address("record_id")
            findings.errors.append(row.problem(problems.NAME_TWICE, "record_id", found, "once", other=other))
        else:
            where[row["record_id"], row["copy"]] = row
            inside.setdefault(row["number"], []).append((record, row["copy"], row["inner"]))
    for record in move.loose:
        for copy in range(1, record.copies + 1):
            if (record.record_id, copy) not in where:
                found = f"'{record.record_id}', copy {copy}"
                findings.errors.append(problem(problems.NOT_PACKED, PACKING_LIST.name, "", found))
    return inside


def _shipment(row: Row, inside: Mapping[str, list[Copy]], move: Move, findings: Findings) -> Shipment | None:
    """One carton on its way by what its row says."""
    known: dict[str, Mapping[str, Any]] = {"carton": move.cartons, "quote": move.quotes, "cover": move.covers}
    for name, names in known.items():
        if row[name] not in names and (row[name] is not None or name != "cover"):
            row.faults.add(name)
            found = f"'{row[name]}'" if row[name] is not None else ""
            findings.errors.append(row.problem(problems.NOT_OF_THIS_PLAN, name, found, "one of the input"))
    if not row.sound:
        return None
    cover = move.covers[row["cover"]] if row["cover"] is not None else None
    closed = {carton.number: carton for carton in move.to_go}
    packed = closed.get(row["number"]) or _filled(row, inside.get(row["number"], []), move)
    return Shipment(packed, move.quotes[row["quote"]], row["trip"], cover)


def _filled(row: Row, copies: Sequence[Copy], move: Move) -> FilledCarton:
    """The carton with its copies, those that follow one another together."""
    inner = {name: place for place, name in enumerate(sorted({name for *_, name in copies}), start=1)}
    ordered = sorted(copies, key=lambda each: (each[0].place, each[2], each[1]))
    runs = groupby(enumerate(ordered), key=lambda at: (at[1][0].place, at[1][2], at[1][1] - at[0]))
    portions = []
    for _, run in runs:
        found = [each for _, each in run]
        portions.append(Portion(found[0][0], found[0][1], len(found), inner[found[0][2]]))
    return filled(row["number"], move.cartons[row["carton"]], portions)
