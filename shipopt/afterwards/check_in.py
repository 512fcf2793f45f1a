"""What was found on arrival: the check-in sheet of a results workbook, read back, and what is missing or damaged.

Cells are read with the input's own kinds and messages. What is claimed, of whom and by when, is said in the module
claims. Called by the job.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from shipopt.afterwards.read_back import ResultsBook, WrongResults
from shipopt.move.cartons import FilledCarton
from shipopt.move.cover import Cover
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.quotes import Quote
from shipopt.workbook import problems
from shipopt.workbook.declaration_terms import Column, Sheet
from shipopt.workbook.kinds import Name, Terms, Text, Word, YesNo
from shipopt.workbook.number_kinds import Money, Weight
from shipopt.workbook.problems import problem
from shipopt.workbook.results.declaration_afterwards import CHECK_IN
from shipopt.workbook.results.sheets.check_in import CONDITIONS
from shipopt.workbook.tables import Row

LIGHT = Decimal("0.02")
"""A carton that weighs less than expected by more than this share is told: a choice of this program."""


class Condition(StrEnum):
    """What a carton looks like on arrival."""

    SOUND = CONDITIONS[0]
    DAMAGED = CONDITIONS[1]


class Finding(StrEnum):
    """What is wrong with a carton."""

    MISSING = "missing"
    DAMAGED = "damaged"
    LIGHT = "lighter than it was"
    NOT_CHECKED = "not checked yet"


def _heading(key: str) -> str:
    return CHECK_IN.tables[0].column(key).heading


CHECKED_BACK = Sheet(
    CHECK_IN.name,
    CHECK_IN.help,
    (
        Column(_heading("carton_no"), "number", Name(), "", required=True, unique=True),
        Column(_heading("arrived"), "arrived", YesNo(), ""),
        Column(_heading("condition"), "condition", Word(Condition), ""),
        Column(_heading("weight_found"), "weight", Weight(above=True), ""),
        Column(_heading("damage_found"), "damage", Money(), ""),
        Column(_heading("remarks"), "remarks", Text(), "", default=""),
    ),
)


@dataclass(frozen=True)
class Arrival:
    """One carton as it was found. Weights in the move's unit, damage in its currency; None where not said."""

    filled: FilledCarton
    quote: Quote
    cover: Cover | None
    finding: Finding | None
    weight_found: Decimal | None
    damage_found: Decimal | None
    remarks: str


def arrivals(book: ResultsBook, move: Move, shipments: Sequence[Shipment]) -> tuple[Arrival, ...]:
    """Every carton of the check-in sheet, in its order. WrongResults for unreadable cells, or other cartons."""
    terms = Terms(move.settings.units, move.settings.currency)
    ways: dict[str, tuple[FilledCarton, Quote, Cover | None]] = {
        each.filled.number: (each.filled, each.quote, each.cover) for each in shipments
    }
    for gone in move.gone:
        if gone.gone_by is not None:
            cover = move.covers[gone.cover] if gone.cover else None
            ways[gone.filled.number] = (gone.filled, move.quotes[gone.gone_by], cover)
    rows = book.rows(CHECKED_BACK, terms)
    errors = [_unknown(row) for row in rows if row["number"] not in ways]
    listed = {row["number"] for row in rows}
    errors += [problem(problems.CARTON_NOT_LISTED, CHECK_IN.name, "", f"'{n}'") for n in ways if n not in listed]
    if errors:
        raise WrongResults(errors)
    return tuple(_arrival(row, *ways[row["number"]]) for row in rows)


def _unknown(row: Row) -> problems.Problem:
    return row.problem(problems.NOT_OF_THIS_PLAN, "number", f"'{row['number']}'", "a carton of the plan")


def _arrival(row: Row, filled: FilledCarton, quote: Quote, cover: Cover | None) -> Arrival:
    return Arrival(filled, quote, cover, _finding(row, filled), row["weight"], row["damage"], row["remarks"])


def _finding(row: Row, filled: FilledCarton) -> Finding | None:
    """What is wrong with it; damage or a weight that is told says that it is here."""
    here = row["condition"] is not None or row["weight"] is not None or bool(row["damage"])
    if row["arrived"] is False:
        return Finding.MISSING
    if row["condition"] is Condition.DAMAGED or row["damage"]:
        return Finding.DAMAGED
    if row["weight"] is not None and row["weight"] < filled.gross_weight * (1 - LIGHT):
        return Finding.LIGHT
    return None if row["arrived"] or here else Finding.NOT_CHECKED
