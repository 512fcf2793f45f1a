"""What the command line says: findings as a table, the search as it goes, a finished plan in a few lines.

Words and layout only; what to do and with which exit status is the module cli's. Findings and progress go to the
standard error, a plan's summary to the standard output.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from rich import box
from rich.console import Console, RenderableType
from rich.live import Live
from rich.spinner import Spinner
from rich.table import Table
from rich.text import Text

if TYPE_CHECKING:
    from shipopt import (
        Arrival,
        CarriedOn,
        Claim,
        Gathered,
        Move,
        Problem,
        ReadWorkbook,
        Reason,
        Report,
        Results,
        Standing,
    )

WIDTH_OF_FILES = 120
"""Columns where the output is not a terminal."""


ENDING = "Interrupted: the best plan found so far is written. Ctrl-C once more leaves at once."


def console(*, error: bool = False) -> Console:
    """The standard output or error; colours and width are the terminal's, if it is one."""
    made = Console(stderr=error, highlight=False)
    return made if made.is_terminal else Console(stderr=error, highlight=False, width=WIDTH_OF_FILES)


def say(to: Console, text: str | Text, style: str = "") -> None:
    """Some words: wrapped on a terminal, left on one line in a file."""
    to.print(text if isinstance(text, Text) else Text(text), style=style, soft_wrap=not to.is_terminal)


def findings(to: Console, found: Sequence[Problem]) -> None:
    """A table of findings: cell, what was found, what is accepted, and a sentence, less what the cells before say."""
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, expand=False)
    table.add_column("Cell", no_wrap=True, style="bold")
    table.add_column("Found", overflow="fold", ratio=2)
    table.add_column("Accepted", overflow="fold", ratio=3)
    table.add_column("What is wrong", overflow="fold", ratio=5)
    for each in found:
        sentence = each.sentence.removesuffix(f" Accepted: {each.accepted}.")
        table.add_row(*(Text(part) for part in (each.place, each.found, each.accepted or "—", sentence)))
    to.print(table)


def notices(to: Console, found: Sequence[Problem]) -> None:
    """Findings that stop nothing, one line each."""
    for each in found:
        say(to, f"Note  {each}")


def refused(to: Console, workbook: Path, errors: Sequence[Problem]) -> None:
    """That a workbook has errors, all of them, and that nothing was written."""
    findings(to, errors)
    number = "1 error" if len(errors) == 1 else f"{len(errors)} errors"
    say(to, f"{workbook} has {number}. Nothing was written.", "bold")


def no_plan(to: Console, reasons: Sequence[Reason]) -> None:
    """That no plan can meet the rules, which of them clash, and the smallest change to each that would do."""
    say(to, "No plan can meet the rules of this workbook. Nothing was written.", "bold")
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    table.add_column("Rule that stands in the way", overflow="fold", ratio=1)
    table.add_column("Smallest change that would do, or why not", overflow="fold", ratio=1)
    for reason in reasons:
        table.add_row(Text(reason.rule), Text(reason.change))
    to.print(table)
    if len(reasons) > 1:
        say(to, "Each change is worked out alone, with every other rule kept.")


def no_plan_in_time(to: Console) -> None:
    """That the time was too short to say anything."""
    say(to, "No plan was found in the time allowed. Nothing was written.", "bold")
    say(to, "There may be one: give more seconds with --seconds, or in the setting Seconds to search.")


def left_out(to: Console, what: str) -> None:
    """That the plan is written without what was being worked out when the run was interrupted."""
    say(to, f"Interrupted: the plan is written without {what}. Ctrl-C once more leaves at once.")


def fault(to: Console, reason: Exception, debug: str) -> None:
    """That the program failed, in one line, and how to see where."""
    what = f"{type(reason).__name__}: {reason}" if str(reason) else type(reason).__name__
    say(to, Text.assemble(("A fault of the program", "bold red"), f", not of your workbook: {what}"))
    say(to, f"Set {debug}=1 to see where it happened.")


def described(to: Console, workbook: Path, read: ReadWorkbook) -> None:
    """What a sound workbook holds."""
    move = read.move
    records = sum(record.copies for record in move.records)
    say(to, f"{workbook} can be planned: {_counted(move, records)}.")


def _counted(move: Move, records: int) -> str:
    return (
        f"{records:,} records in {len(move.records):,} lines worth {move.settings.currency.show(move.worth)}, "
        f"{len(move.quotes)} quotes, {len(move.cartons)} kinds of carton, {len(move.covers)} covers"
    )


class Watch:
    """Shows reports of a search as they come: one living line on a terminal, plain lines elsewhere."""

    def __init__(self, to: Console, move: Move) -> None:
        self.to, self.move = to, move
        self.began = time.monotonic()
        self.last: Report | None = None
        self.said = ""
        self.spinner = Spinner("dots")

    def __call__(self, report: Report) -> None:
        """Takes a report; called by the search."""
        self.last = report
        line = self.line(report.seconds)
        if not self.to.is_terminal and self.without_clock(report) != self.said:
            self.said = self.without_clock(report)
            self.to.print(Text(line), soft_wrap=True)

    def __rich__(self) -> RenderableType:
        """The living line, drawn anew several times a second."""
        self.spinner.update(text=Text(self.line(time.monotonic() - self.began)))
        return self.spinner

    def line(self, seconds: float) -> str:
        """Seconds, stage, best cost, floor and gap."""
        return f"{seconds:5.0f} s  {self.without_clock(self.last) if self.last else 'preparing'}"

    def without_clock(self, report: Report) -> str:
        """Stage, best cost, floor and gap."""
        show = self.move.settings.currency.show
        best = f"best {show(report.best)}" if report.best is not None else "no plan yet"
        floor = f"  floor {show(report.floor)}" if report.floor else ""
        gap = f"  gap {report.gap:.2%}" if report.gap is not None and report.floor else ""
        return f"{best}{floor}{gap}  {report.stage}"


@contextmanager
def watching(to: Console, move: Move, *, quiet: bool) -> Iterator[Callable[[Report], None]]:
    """A watch that shows a search as long as it lasts; a quiet one shows nothing."""
    watch = Watch(to, move)
    if quiet:
        yield lambda report: None
        return
    if not to.is_terminal:
        yield watch
        return
    with Live(watch, console=to, transient=True, refresh_per_second=8, redirect_stdout=False):
        yield watch


@contextmanager
def comparing(to: Console, *, quiet: bool, word: str = "comparing") -> Iterator[Callable[[Standing], None]]:
    """A watch that shows a comparison as long as it lasts: a living line; in a file, a line for every tenth answer."""
    if quiet:
        yield lambda standing: None
        return
    if to.is_terminal:
        with to.status(word, spinner="dots") as status:
            yield lambda standing: status.update(Text(f"{word}, {_standing(standing)}"))
        return

    def tell(standing: Standing) -> None:
        if standing.report is None and (standing.done % 10 == 0 or standing.done == standing.of):
            to.print(Text(f"{word}, {_standing(standing)}"), soft_wrap=True)

    yield tell


def _standing(standing: Standing) -> str:
    return f"{standing.done} of {standing.of} answered: {standing.name}"


def summary(to: Console, results: Results, files: Sequence[Path], seconds: float) -> None:
    """A finished plan: total, bookings, warnings, how near the floor, what took how many of all ``seconds``, and where
    the results are."""
    show, totals = results.plan.move.settings.currency.show, results.totals
    say(to, f"Total cost {show(totals.total_cost)}", "bold")
    to.print(
        Text(
            f"Carriage {show(totals.carriage)}, cartons bought {show(totals.cartons_bought)}, "
            f"cover fees {show(totals.cover_fees)}. Expected uninsured loss, not in the total: "
            f"{show(totals.expected_uninsured_loss)}."
        )
    )
    to.print(_bookings(results))
    for warning in results.warnings:
        say(to, Text.assemble(("Warning  ", "bold yellow"), warning))
    to.print()
    if results.cost_changes:
        say(to, against_last_plan(results))
    say(to, nearness(results))
    say(to, times(results, seconds))
    for path in files:
        written(to, path)


def carried_on(to: Console, on: CarriedOn) -> None:
    """Where the cartons of a plan that is carried on stand."""
    stand = Counter(packed.status.value for packed in on.closed)
    split = sum(len(parts) > 1 for parts in on.parts.values())
    loose = sum(part.copies for parts in on.parts.values() for part in parts if part.packed_in is None)
    counts = ", ".join(f"{count} {status}" for status, count in sorted(stand.items()))
    say(to, f"Packed already: {counts or 'nothing'}.")
    if on.trips:
        say(to, f"Gone, and not to be booked again: {', '.join(on.trips)}. Put Consider back to yes for one that is.")
    if split:
        say(to, f"{split} record lines stand in several cartons and became several lines; their IDs end in /1, /2 …")
    if loose:
        say(to, f"{loose:,} records are loose and will be packed anew.")
    say(to, "Add what was found late, change quotes, then plan it: what is sent stays as it is.")


def checked_in(to: Console, found: Sequence[Arrival], claims: Sequence[Claim]) -> None:
    """What was found on arrival, carton by carton where something is wrong, and the claims that are written."""
    wrong = [each for each in found if each.finding is not None]
    say(to, f"{len(found) - len(wrong)} of {len(found)} cartons have arrived and are sound.", "bold")
    for each in wrong:
        say(to, f"- carton {each.filled.number} ({each.quote.name}): {each.finding}")
    for number, claim in enumerate(claims, start=1):
        say(to, f"Claim {number}  {claim.whose}")
    if claims:
        say(to, "Give notice in writing at once; the carrier's and the insurer's terms say how, and until when.")


def gathered(to: Console, found: Gathered) -> None:
    """What gathering bids changed in the workbook, which answers are missing, and which look odd."""
    parts = (("Put in", found.changes), ("Not answered", found.missing), ("Looks odd: ask again", found.odd))
    for title, lines in parts:
        if lines:
            say(to, title, "bold")
        for line in lines:
            say(to, f"- {line}")


def times(results: Results, seconds: float) -> str:
    """What took how many of all seconds: the search, the comparison, the cost of caution, and all the rest."""
    search, comparison, caution = results.plan.search, results.comparison, results.caution
    parts = [f"search {search.seconds:.0f} s ({search.solver})"]
    rest = seconds - search.seconds
    if comparison is not None:
        cut = "" if comparison.in_time else ", some cut short"
        parts.append(f"comparison {comparison.seconds:.0f} s ({comparison.variants} variants{cut})")
        rest -= comparison.seconds
    if caution is not None:
        parts.append(f"cost of caution {caution.seconds:.0f} s")
        rest -= caution.seconds
    return f"It took {seconds:.0f} s: {', '.join(parts)}, reading and writing {max(rest, 0):.0f} s."


def written(to: Console, path: Path) -> None:
    """Where a file is; never broken over lines, so that it can be copied."""
    to.print(Text(f"Written to {path}", style="bold"), soft_wrap=True)


def _bookings(results: Results) -> Table:
    move = results.plan.move
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False)
    table.add_column("Book", overflow="fold")
    for heading in ("Trips", "Cartons", f"Weight {move.settings.units.weight}", "Value", "Carriage", "Cover fees"):
        table.add_column(heading, justify="right", no_wrap=True)
    money = move.settings.currency.round
    for row in results.bookings:
        trips = "" if row.trips is None else str(row.trips)
        figures = (f"{money(amount):,f}" for amount in (row.value, row.carriage, row.cover_fees))
        table.add_row(Text(row.quote), trips, str(row.cartons), f"{row.gross_weight:,.1f}", *figures)
    return table


def against_last_plan(results: Results) -> str:
    """How this plan differs from the last one, in one line."""
    show, before = results.plan.move.settings.currency.show, results.cost_changes[0].amount
    more = results.totals.total_cost - before
    cost = f"{show(abs(more))} {'more' if more > 0 else 'less'} than" if more else "as much as"
    if not results.carton_changes:
        return f"It costs {cost} the last plan, and every carton goes as it was planned."
    return f"It costs {cost} the last plan; the sheet Changes says what is different and why."


def nearness(results: Results) -> str:
    """The floor and the gap in words."""
    show, totals = results.plan.move.settings.currency.show, results.totals
    what = "cost and expected uninsured loss together" if results.plan.move.settings.count_expected_loss else "cost"
    if totals.gap_percent <= 0:
        return f"Proven to be the cheapest there is: no plan that obeys the rules has a lower {what}."
    return (
        f"No plan that obeys the rules can bring the {what} below {show(totals.lower_bound)}: at most "
        f"{totals.gap_percent:.2f} % could still be saved."
    )
