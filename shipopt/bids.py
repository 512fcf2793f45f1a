"""Asking for bids and gathering them, one function for each command.

As in the module job, each line makes one named thing from earlier ones; what each step does is known in its own room.
Called by the command line and through the package's public names.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from os import PathLike
from pathlib import Path

from shipopt.bidding import problems as ours
from shipopt.bidding.covering_note import covering_note
from shipopt.bidding.form_workbook import write_form
from shipopt.bidding.load import Load, loads
from shipopt.bidding.merging import merged, reading_of_merged
from shipopt.bidding.oddities import missing, odd
from shipopt.bidding.problems import WrongForms
from shipopt.bidding.returned import Bid, read_form
from shipopt.job import WorkbookErrors
from shipopt.move.move import Move
from shipopt.workbook.files import open_file
from shipopt.workbook.kinds import Terms
from shipopt.workbook.problems import Problem, problem
from shipopt.workbook.reader import read, reading_of
from shipopt.workbook.results.whole_file import CannotWrite, made_folder, whole_file

__all__ = ["Gathered", "WrongForms", "ask_for_bids", "gather_bids"]

COVERING_NOTE = "covering_note.txt"
WITH_MACROS = ".xlsm"
"""How the name of a workbook with macros has to end: spreadsheet programs refuse one of another name."""


@dataclass(frozen=True)
class Gathered:
    """What gathering did, in words: rows that changed, answers that are missing, answers that look odd."""

    changes: tuple[str, ...]
    missing: tuple[str, ...]
    odd: tuple[str, ...]


def ask_for_bids(workbook: str | PathLike[str], folder: str | PathLike[str]) -> tuple[Path, ...]:
    """Writes a bid form for each means that something may travel by, and a covering note; returns their paths.

    The folder is made if there is none, with those above it; forms in it that are there already are replaced. Raises
    WorkbookErrors, or CannotWrite.
    """
    asked = loads(_move(workbook))
    made_folder(Path(folder))
    written = []
    for load in asked:
        written.append(Path(folder) / f"bid_form_{load.means}.xlsx")
        with whole_file(written[-1]) as unfinished:
            write_form(unfinished, load)
    written.append(Path(folder) / COVERING_NOTE)
    with whole_file(written[-1]) as unfinished:
        unfinished.write_text(covering_note(asked), encoding="utf-8")
    return tuple(written)


def gather_bids(
    workbook: str | PathLike[str], forms: Sequence[str | PathLike[str]], following: str | PathLike[str]
) -> Gathered:
    """Writes a copy of the workbook with the bids of returned forms in it, and returns what changed.

    Raises WorkbookErrors for the workbook, WrongForms for the forms with all that is wrong with them, CannotWrite;
    nothing is written then. The workbook and the forms are not changed.
    """
    move, file = _move(workbook), open_file(Path(workbook))
    if file.with_macros != (Path(following).suffix.casefold() == WITH_MACROS):
        holds = f"macros, which are kept and never run: {WITH_MACROS}" if file.with_macros else "no macros: .xlsx"
        raise CannotWrite(f"{following} cannot be written: its name must end as that of a workbook that holds {holds}.")
    bids = _bids_of([Path(each) for each in forms], loads(move))
    content, changes, errors = merged(file, Terms(move.settings.units, move.settings.currency), bids)
    if errors:
        raise WrongForms({Path(workbook): errors})
    after = reading_of(reading_of_merged(content), quotes_to_come=True)
    if after.move is None:
        raise WorkbookErrors(after)
    with whole_file(Path(following)) as unfinished:
        unfinished.write_bytes(content)
    return Gathered(changes, missing(bids), odd(after.move, bids))


def _move(workbook: str | PathLike[str]) -> Move:
    reading = read(workbook, quotes_to_come=True)
    if reading.move is None:
        raise WorkbookErrors(reading)
    return reading.move


def _bids_of(forms: Sequence[Path], asked: Sequence[Load]) -> list[Bid]:
    """The bids of all forms; WrongForms with the findings of every form."""
    bids: list[Bid] = []
    errors: dict[Path, list[Problem]] = {}
    for path in forms:
        found, wrong = read_form(path, asked)
        twice = Counter(bid.name.casefold() for bid in bids) & Counter(bid.name.casefold() for bid in found)
        if twice:
            wrong = [*wrong, problem(ours.FORM_TWICE, found=found[0].bidder)]
        if wrong:
            errors[path] = wrong
        bids += found
    if errors:
        raise WrongForms(errors)
    return bids
