"""Plans the move of a record collection: which record in which carton, with whom, under which cover.

The names listed in ``__all__`` are the public ones, for scripts and notebooks. They live in ``shipopt.job``,
``shipopt.later`` and ``shipopt.bids``, loaded when the first of them is used, so that importing the package costs next
to nothing.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from shipopt.version import __version__

if TYPE_CHECKING:
    from shipopt.bids import Gathered, WrongForms, ask_for_bids, gather_bids
    from shipopt.job import (
        AuditFailed,
        CannotWrite,
        Caution,
        Comparison,
        Move,
        NoPlan,
        NoPlanInTime,
        Plan,
        Problem,
        ReadWorkbook,
        Reason,
        Report,
        Results,
        Solver,
        Standing,
        WorkbookErrors,
        compare,
        cost_of_caution,
        optimise,
        plan_tables,
        plan_workbook,
        read_workbook,
        write_calendar,
        write_json,
        write_results,
        write_template,
    )
    from shipopt.later import (
        Arrival,
        CarriedOn,
        Claim,
        Finding,
        NoSuchCarton,
        WrongResults,
        carry_on,
        check_in,
    )

__all__ = [
    "Arrival",
    "AuditFailed",
    "CannotWrite",
    "CarriedOn",
    "Caution",
    "Claim",
    "Comparison",
    "Finding",
    "Gathered",
    "Move",
    "NoPlan",
    "NoPlanInTime",
    "NoSuchCarton",
    "Plan",
    "Problem",
    "ReadWorkbook",
    "Reason",
    "Report",
    "Results",
    "Solver",
    "Standing",
    "WorkbookErrors",
    "WrongForms",
    "WrongResults",
    "__version__",
    "ask_for_bids",
    "carry_on",
    "check_in",
    "compare",
    "cost_of_caution",
    "gather_bids",
    "optimise",
    "plan_tables",
    "plan_workbook",
    "read_workbook",
    "write_calendar",
    "write_json",
    "write_results",
    "write_template",
]

_LATER = {"Arrival", "CarriedOn", "Claim", "Finding", "NoSuchCarton", "WrongResults", "carry_on", "check_in"}
_BIDS = {"Gathered", "WrongForms", "ask_for_bids", "gather_bids"}


def __getattr__(name: str) -> Any:
    if name in __all__:
        home = "shipopt.later" if name in _LATER else "shipopt.bids" if name in _BIDS else "shipopt.job"
        return getattr(import_module(home), name)
    raise AttributeError(f"shipopt has no {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
