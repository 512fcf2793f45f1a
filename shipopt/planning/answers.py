"""What a search says: how far it is while it runs, and how it can end without a plan.

Raised and reported by ``search``; shown by the terminal and by whoever calls ``optimise``.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from shipopt.move.money import ZERO
from shipopt.planning.reasons import Reason


@dataclass(frozen=True, slots=True)
class Report:
    """Where a search stands: costs are objectives in the move's currency, None if there is none yet."""

    stage: str
    seconds: float
    best: Decimal | None = None
    floor: Decimal | None = None

    @property
    def gap(self) -> Decimal | None:
        """(best − floor) ÷ best, a fraction."""
        if self.best is None or self.floor is None:
            return None
        return (self.best - self.floor) / self.best if self.best else ZERO


Progress = Callable[[Report], None]


class NoPlan(Exception):  # noqa: N818 - an answer, not a mistake
    """No plan can meet the rules; ``reasons`` names those that clash, with the smallest change to each."""

    def __init__(self, reasons: Sequence[Reason]) -> None:
        super().__init__("; ".join(str(reason) for reason in reasons))
        self.reasons = tuple(reasons)


class NoPlanInTime(Exception):  # noqa: N818 - an answer, not a mistake
    """No plan was found in the time allowed; there may be one."""


class AuditFailed(RuntimeError):  # noqa: N818 - the audit is what failed
    """The plan found breaks a rule: a fault of this program. Nothing is written."""
