"""The whole job on one page: a filled workbook is read, its move is planned, the plan is written.

``plan_workbook`` is the job; the functions it calls are the steps that scripts and notebooks call one by one. What
each step does is known in its own room. Called by the command line and through the package's public names.
"""

from collections.abc import Callable
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from typing import Any

from shipopt.comparing.caution import Caution, cost_of_caution
from shipopt.comparing.comparison import Comparison, compare
from shipopt.comparing.workers import Standing
from shipopt.move.move import Move
from shipopt.move.plan import Plan
from shipopt.planning import AuditFailed, NoPlan, NoPlanInTime, Reason, Report, Solver, optimise
from shipopt.workbook.problems import Problem
from shipopt.workbook.reader import Reading, read
from shipopt.workbook.results import reading as facts
from shipopt.workbook.results.calendar_file import write_calendar
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.json_plan import write_json
from shipopt.workbook.results.whole_file import CannotWrite, whole_file
from shipopt.workbook.results.writing import write_results
from shipopt.workbook.template import write_template as write_template_file

__all__ = [
    "AuditFailed",
    "CannotWrite",
    "Caution",
    "Comparison",
    "Move",
    "NoPlan",
    "NoPlanInTime",
    "Plan",
    "Problem",
    "ReadWorkbook",
    "Reason",
    "Report",
    "Results",
    "Solver",
    "Standing",
    "WorkbookErrors",
    "compare",
    "cost_of_caution",
    "optimise",
    "plan_tables",
    "plan_workbook",
    "read_workbook",
    "write_calendar",
    "write_json",
    "write_results",
    "write_template",
]


def plan_workbook(
    workbook: str | PathLike[str],
    results: str | PathLike[str],
    json: str | PathLike[str] | None = None,
    search: Callable[[Move], Plan] = optimise,
    calendar: str | PathLike[str] | None = None,
    comparing: Callable[[Plan], Comparison | None] | None = None,
    cautioning: Callable[[Plan], Caution | None] | None = None,
) -> Results:
    """Plans the move that a workbook describes, writes the results, and returns all that they show.

    ``comparing`` (as ``compare``) sets the plan against what else could be, ``cautioning`` (as ``cost_of_caution``)
    works out what losing less would cost; without them, or where they give up (None), those sheets say so.

    Raises WorkbookErrors, or what the search raises (NoPlan, NoPlanInTime); nothing is written then. Raises CannotWrite
    for a file that cannot be written, after those before it: results, JSON, calendar.
    """
    described = read_workbook(workbook)
    plan = search(described.move)
    comparison = comparing(plan) if comparing else None
    caution = cautioning(comparison.plan if comparison else plan) if cautioning else None
    shown = write_results(results, plan, described.facts, comparison, caution)
    if json is not None:
        write_json(json, shown)
    if calendar is not None:
        write_calendar(calendar, shown)
    return shown


@dataclass(frozen=True)
class ReadWorkbook:
    """What a sound workbook says: the move, the findings that are no errors, and the facts that results repeat."""

    move: Move
    notices: tuple[Problem, ...]
    facts: facts.Reading


class WorkbookErrors(Exception):  # noqa: N818 - it names what was found
    """The workbook cannot be planned; ``errors`` are all findings, each with its cell, ``notices`` the rest."""

    def __init__(self, reading: Reading) -> None:
        super().__init__("\n".join(str(error) for error in reading.errors))
        self.errors, self.notices = reading.errors, reading.notices


def read_workbook(workbook: str | PathLike[str]) -> ReadWorkbook:
    """The move that a filled workbook describes. Raises WorkbookErrors, with everything that is wrong at once."""
    reading = read(workbook)
    if reading.move is None:
        raise WorkbookErrors(reading)
    notices = tuple(str(notice) for notice in reading.notices)
    return ReadWorkbook(
        reading.move,
        reading.notices,
        facts.Reading(Path(workbook).name, reading.sha256, _rows_read(reading.move), notices),
    )


def _rows_read(move: Move) -> tuple[tuple[str, int], ...]:
    """How many rows of each sheet make up the move."""
    return (
        ("Records", len(move.records)),
        ("Cartons", len(move.cartons)),
        ("Quotes", len(move.quotes)),
        ("Care", len(move.care)),
        ("Cover", sum(len(cover.bands) for cover in move.covers.values())),
        ("Packed already", len(move.packed)),
    )


def write_template(path: str | PathLike[str], units: str, currency: str) -> None:
    """Writes the empty workbook to fill in; ValueError for units or a currency that are not accepted, CannotWrite."""
    with whole_file(Path(path)) as unfinished:
        write_template_file(unfinished, units, currency)


def plan_tables(plan: Plan | Results) -> dict[str, Any]:
    """A plan's tables as pandas data frames by name; amounts in them are floating numbers. See ``data_frames``."""
    from shipopt.workbook.results import data_frames  # pandas takes a while to load, and only this needs it

    return data_frames.plan_tables(plan)
