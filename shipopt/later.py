"""What is done with a plan later, one function for each command: the plan is carried on when some of it is packed or
sent, and checked in on arrival.

As in the module job, each line makes one named thing from earlier ones; what each step does is known in its own room.
Called by the command line and through the package's public names.
"""

from collections.abc import Sequence
from datetime import date
from os import PathLike
from pathlib import Path

from shipopt.afterwards.carrying_on import CarriedOn, carried_on
from shipopt.afterwards.check_in import Arrival, Finding, arrivals
from shipopt.afterwards.choosing import NoSuchCarton, cartons_named
from shipopt.afterwards.claims import Claim, claims_of
from shipopt.afterwards.claims_workbook import write_claims
from shipopt.afterwards.next_workbook import write_next
from shipopt.afterwards.read_back import WrongResults, open_results, plan_of
from shipopt.job import WorkbookErrors, read_workbook
from shipopt.move.words import Status
from shipopt.workbook.files import NotReadable
from shipopt.workbook.reader import Reading
from shipopt.workbook.results.whole_file import whole_file

__all__ = ["Arrival", "CarriedOn", "Claim", "Finding", "NoSuchCarton", "WrongResults", "carry_on", "check_in"]


def carry_on(
    workbook: str | PathLike[str],
    results: str | PathLike[str],
    following: str | PathLike[str],
    *,
    sent: Sequence[str] = (),
    arrived: Sequence[str] = (),
    loose: Sequence[str] = (),
) -> CarriedOn:
    """Writes the workbook to plan next, in which the cartons of a plan are packed already, and returns what it says.

    ``sent``, ``arrived`` and ``loose`` (not packed yet) name cartons: numbers, ranges such as ``3-9``, or a quote for
    all that goes by it; the results' column Status may say sent and arrived too. Raises WorkbookErrors, WrongResults
    where the results are not those of the workbook, NoSuchCarton, or CannotWrite; nothing is written then.
    """
    described = read_workbook(workbook)
    plan = plan_of(open_results(results), described.move, described.facts.sha256)
    statuses = dict(plan.statuses)
    for names, status in ((sent, Status.SENT), (arrived, Status.ARRIVED)):
        statuses |= dict.fromkeys(cartons_named(names, plan.statuses, plan.shipments), status)
    not_packed = cartons_named(loose, plan.statuses, plan.shipments)
    on = carried_on(described.move, plan.shipments, statuses, not_packed)
    try:
        with whole_file(Path(following)) as unfinished:
            write_next(unfinished, Path(workbook), described.move, on)
    except NotReadable as reason:
        raise WorkbookErrors(Reading(None, (reason.problem,))) from None
    return on


def check_in(
    workbook: str | PathLike[str],
    results: str | PathLike[str],
    claims: str | PathLike[str],
    arrived_on: date | None = None,
) -> tuple[tuple[Arrival, ...], tuple[Claim, ...]]:
    """Reads the check-in of a results workbook, writes the claims workbook, and returns what was found and is claimed.

    ``arrived_on`` is the day of arrival, for the days to claim. Raises as ``carry_on`` does; nothing is written then.
    """
    described = read_workbook(workbook)
    book = open_results(results)
    plan = plan_of(book, described.move, described.facts.sha256)
    found = arrivals(book, described.move, plan.shipments)
    claimed = claims_of(found, described.move, arrived_on)
    with whole_file(Path(claims)) as unfinished:
        write_claims(unfinished, described.move.settings, found, claimed)
    return found, claimed
