"""Plans the move of a record collection: which record in which carton, with whom, under which cover.

The names listed in ``__all__`` are the public ones, for scripts and notebooks. They live in ``shipopt.job`` and
``shipopt.later``, loaded when the first of them is used, so that importing the package costs next to nothing.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from shipopt.version import __version__

if TYPE_CHECKING:
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
    "WrongResults",
    "__version__",
    "carry_on",
    "check_in",
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

_LATER = {"Arrival", "CarriedOn", "Claim", "Finding", "NoSuchCarton", "WrongResults", "carry_on", "check_in"}


def __getattr__(name: str) -> Any:
    if name in __all__:
        return getattr(import_module("shipopt.later" if name in _LATER else "shipopt.job"), name)
    raise AttributeError(f"shipopt has no {name!r}")


def __dir__() -> list[str]:
    return sorted(__all__)
