"""The commands ``template``, ``check``, ``optimise``, ``again``, ``arrived``: options, exit status, what is written.

Calls only the package's public names; what is said stands in the module telling. Called as ``shipopt`` or
``python -m shipopt``.
"""

import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

import shipopt
from shipopt import outputs, telling
from shipopt.interrupting import Interruptible, leave_at_once

WORKBOOK_ERRORS, NO_PLAN, NO_PLAN_IN_TIME, FAULT = 2, 3, 4, 1
"""Exit statuses; 0 is a plan written."""

UNITS = ("lb / in", "kg / cm")
DEBUG = "SHIPOPT_DEBUG"
"""Environment variable: set to anything, faults of the program show their traceback."""

app = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Plans the move of a record collection: fill a workbook, get back who carries which record in which carton, "
    "under which cover, at what cost.",
    epilog="Exit status: 0 done; 1 a fault of the program; 2 the workbook has errors, or wrong usage; 3 no plan can "
    "meet the rules; 4 no plan was found in the time allowed; 130 interrupted.",
)

Workbook = Annotated[Path, typer.Argument(metavar="FILE", help="The filled workbook (.xlsx). It is never changed.")]


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"shipopt {shipopt.__version__}")
        raise typer.Exit


@app.callback()
def start(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version and stop.")
    ] = False,
) -> None:
    """Options that come before the command."""


@app.command()
def template(
    out: Annotated[Path, typer.Argument(metavar="OUT.xlsx", help="Where to write it; an existing file is kept.")],
    units: Annotated[str, typer.Option(metavar="UNITS", help="Units of the whole workbook: 'lb / in' or 'kg / cm'.")],
    currency: Annotated[str, typer.Option(metavar="XXX", help="Currency: a three-letter code of ISO 4217.")],
) -> None:
    """Write an empty workbook to fill in."""
    with _exit_statuses():
        if out.exists():
            raise typer.BadParameter(f"{out} exists already; choose another name.", param_hint="OUT.xlsx")
        outputs.refuse([], out, option="OUT.xlsx")
        try:
            shipopt.write_template(out, _units(units), currency)
        except ValueError as reason:
            raise typer.BadParameter(str(reason)) from None
        telling.written(telling.console(), out)


@app.command()
def check(workbook: Workbook) -> None:
    """Say everything that is wrong with a workbook, without planning."""
    with _exit_statuses(workbook):
        read = shipopt.read_workbook(workbook)
        telling.notices(telling.console(), read.notices)
        telling.described(telling.console(), workbook, read)


@app.command()
def optimise(
    workbook: Workbook,
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", metavar="OUT.xlsx", help="The results workbook.  [default: NAME.results.xlsx]"),
    ] = None,
    json: Annotated[Path | None, typer.Option("--json", metavar="FILE", help="Write the plan as JSON too.")] = None,
    calendar: Annotated[
        Path | None, typer.Option("--calendar", metavar="FILE", help="Write the diary as a calendar file (.ics) too.")
    ] = None,
    seconds: Annotated[
        float | None, typer.Option(min=1, help="Seconds to search.  [default: the workbook's setting]")
    ] = None,
    within: Annotated[
        float | None,
        typer.Option(
            metavar="PERCENT",
            min=0,
            max=100,
            help="Stop when no plan can be cheaper by more than this many percent.  [default: the workbook's setting]",
        ),
    ] = None,
    solver: Annotated[
        str | None, typer.Option(metavar="highs|cbc", help="The solver.  [default: highs where it is installed]")
    ] = None,
    no_compare: Annotated[
        bool, typer.Option("--no-compare", help="Leave out what each quote is worth and what binds: quicker.")
    ] = False,
    no_caution: Annotated[
        bool, typer.Option("--no-caution", help="Leave out what it would cost to lose less: quicker.")
    ] = False,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing unless something is wrong.")] = False,
) -> None:
    """Plan the move of a workbook and write the results beside it."""
    results_file = output or workbook.with_name(f"{workbook.stem}.results.xlsx")
    outputs.refuse([workbook], results_file, {"--json": json, "--calendar": calendar})
    chosen = _solver(solver)
    fraction = None if within is None else within / 100
    began = time.monotonic()
    with _exit_statuses(workbook):
        run = Interruptible()
        comparing = None if no_compare else _comparing(run, seconds, chosen, quiet)
        cautioning = None if no_caution else _cautioning(run, seconds, chosen, quiet)
        search = _searching(run, seconds, fraction, chosen, quiet)
        results = shipopt.plan_workbook(workbook, results_file, json, search, calendar, comparing, cautioning)
        if not quiet:
            files = [path for path in (results_file, json, calendar) if path]
            telling.summary(telling.console(), results, files, time.monotonic() - began)
        if run.interrupted:
            leave_at_once(0)


Results = Annotated[Path, typer.Argument(metavar="RESULTS.xlsx", help="The results workbook of that plan.")]
Cartons = "Cartons: numbers, ranges (3-9), or a quote for all of its own; parted by ; or given again."


@app.command()
def again(
    workbook: Workbook,
    results: Results,
    output: Annotated[Path, typer.Option("-o", "--output", metavar="NEXT.xlsx", help="The workbook to plan next.")],
    sent: Annotated[list[str] | None, typer.Option(metavar="CARTONS", help=f"Sent as planned. {Cartons}")] = None,
    arrived: Annotated[list[str] | None, typer.Option(metavar="CARTONS", help="Arrived; named likewise.")] = None,
    loose: Annotated[
        list[str] | None, typer.Option(metavar="CARTONS", help="Not packed yet, to be packed anew; named likewise.")
    ] = None,
) -> None:
    """Carry a plan on: write the workbook in which its cartons are packed already, to add to and plan again."""
    outputs.refuse([workbook, results], output)
    with _exit_statuses(workbook), _results_read_back(results):
        on = shipopt.carry_on(workbook, results, output, sent=sent or (), arrived=arrived or (), loose=loose or ())
        telling.carried_on(telling.console(), on)
        telling.written(telling.console(), output)


@app.command()
def arrived(
    workbook: Workbook,
    results: Results,
    output: Annotated[Path, typer.Option("-o", "--output", metavar="CLAIMS.xlsx", help="The claims workbook.")],
    on: Annotated[
        datetime | None, typer.Option(formats=["%Y-%m-%d"], metavar="DATE", help="The day of arrival, YYYY-MM-DD.")
    ] = None,
) -> None:
    """Check in what has arrived, from the results' sheet Check-in, and write a claim for each carrier and cover."""
    outputs.refuse([workbook, results], output)
    with _exit_statuses(workbook), _results_read_back(results):
        found, claims = shipopt.check_in(workbook, results, output, on.date() if on else None)
        telling.checked_in(telling.console(), found, claims)
        telling.written(telling.console(), output)


@app.command()
def ask(
    workbook: Workbook,
    output: Annotated[Path, typer.Option("-o", "--output", metavar="FOLDER", help="Where the forms go; made if new.")],
) -> None:
    """Write forms that ask carriers for bids: what is to be carried, without its value, and cells to answer in."""
    outputs.refuse_folder(output)
    with _exit_statuses(workbook):
        for path in shipopt.ask_for_bids(workbook, output):
            telling.written(telling.console(), path)


@app.command()
def gather(
    workbook: Workbook,
    forms: Annotated[list[Path], typer.Argument(metavar="FORM.xlsx …", help="Forms that came back.")],
    output: Annotated[Path, typer.Option("-o", "--output", metavar="NEW.xlsx", help="The workbook with the bids.")],
) -> None:
    """Put the bids of returned forms into a copy of the workbook, and tell what changed and what looks odd."""
    outputs.refuse([workbook, *forms], output, macros=True)
    with _exit_statuses(workbook):
        try:
            found = shipopt.gather_bids(workbook, forms, output)
        except shipopt.WrongForms as reason:
            for path, errors in reason.errors.items():
                telling.refused(telling.console(error=True), path, errors)
            raise typer.Exit(WORKBOOK_ERRORS) from None
        telling.gathered(telling.console(), found)
        telling.written(telling.console(), output)


@contextmanager
def _results_read_back(results: Path) -> Iterator[None]:
    """Tells what is wrong with a results workbook, or with what was asked of it."""
    try:
        yield
    except shipopt.WrongResults as reason:
        telling.refused(telling.console(error=True), results, reason.errors)
        raise typer.Exit(WORKBOOK_ERRORS) from None
    except shipopt.NoSuchCarton as reason:
        raise typer.BadParameter(f"{reason}.") from None


def _searching(
    run: Interruptible, seconds: float | None, within: float | None, solver: "shipopt.Solver | None", quiet: bool
) -> "Callable[[shipopt.Move], shipopt.Plan]":
    def search(move: shipopt.Move) -> shipopt.Plan:
        told: list[Callable[[], shipopt.Plan]] = []

        def so_far() -> shipopt.Plan:
            try:
                plan = told[0]()
            except (shipopt.NoPlanInTime, IndexError):
                raise KeyboardInterrupt from None
            telling.say(telling.console(error=True), telling.ENDING)
            return plan

        with telling.watching(telling.console(error=True), move, quiet=quiet) as watch:
            tell = run.reporting(watch)
            return run.run(
                lambda: shipopt.optimise(
                    move, seconds=seconds, within=within, solver=solver, progress=tell, hand_over=told.append
                ),
                so_far,
            )

    return search


def _comparing(
    run: Interruptible, seconds: float | None, solver: "shipopt.Solver | None", quiet: bool
) -> "Callable[[shipopt.Plan], shipopt.Comparison | None]":
    def compare(plan: shipopt.Plan) -> shipopt.Comparison | None:
        if run.interrupted:
            return None
        with telling.comparing(telling.console(error=True), quiet=quiet) as watch:
            tell = run.reporting(watch)
            return run.run(
                lambda: shipopt.compare(plan, seconds=seconds, solver=solver, progress=tell),
                lambda: telling.left_out(telling.console(error=True), "the comparison of bids"),
            )

    return compare


def _cautioning(
    run: Interruptible, seconds: float | None, solver: "shipopt.Solver | None", quiet: bool
) -> "Callable[[shipopt.Plan], shipopt.Caution | None]":
    def weigh(plan: shipopt.Plan) -> shipopt.Caution | None:
        if run.interrupted:
            return None
        with telling.comparing(telling.console(error=True), quiet=quiet, word="cost of caution") as watch:
            tell = run.reporting(watch)
            return run.run(
                lambda: shipopt.cost_of_caution(plan, seconds=seconds, solver=solver, progress=tell),
                lambda: telling.left_out(telling.console(error=True), "the cost of caution"),
            )

    return weigh


def _units(given: str) -> str:
    """The units as the workbook writes them; spaces are free."""
    for units in UNITS:
        if units.replace(" ", "") == given.replace(" ", "").casefold():
            return units
    raise ValueError(f"{given!r} are no units. Accepted: {' or '.join(map(repr, UNITS))}.")


def _solver(name: str | None) -> "shipopt.Solver | None":
    if name is None:
        return None
    for solver in shipopt.Solver:
        if solver.value.casefold() == name.casefold():
            return solver
    raise typer.BadParameter(f"{name!r} is not a solver. Accepted: highs, cbc.", param_hint="--solver")


@contextmanager
def _exit_statuses(workbook: Path = Path()) -> Iterator[None]:
    """Turns every ending but a good one into a clear word on the standard error and an exit status."""
    to = telling.console(error=True)
    try:
        yield
    except (typer.Exit, typer.BadParameter):
        raise
    except shipopt.WorkbookErrors as reason:
        telling.refused(to, workbook, reason.errors)
        raise typer.Exit(WORKBOOK_ERRORS) from None
    except shipopt.NoPlan as reason:
        telling.no_plan(to, reason.reasons)
        raise typer.Exit(NO_PLAN) from None
    except shipopt.NoPlanInTime:
        telling.no_plan_in_time(to)
        raise typer.Exit(NO_PLAN_IN_TIME) from None
    except KeyboardInterrupt:
        telling.say(to, "Interrupted: no unfinished file is left behind.")
        leave_at_once()
    except shipopt.CannotWrite as reason:
        telling.say(to, str(reason))
        raise typer.Exit(FAULT) from None
    except Exception as fault:
        if os.environ.get(DEBUG):
            raise
        telling.fault(to, fault, DEBUG)
        raise typer.Exit(FAULT) from None


def main() -> None:
    """The command ``shipopt``."""
    app()
