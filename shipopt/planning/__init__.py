"""Planning: from a move to a plan, by integer programmes, with a floor that no plan can go below.

``optimise`` is the way in. PuLP is used here and nowhere else; nothing here knows of spreadsheets.
"""

from shipopt.planning.answers import AuditFailed, NoPlan, NoPlanInTime, Progress, Report
from shipopt.planning.reasons import Reason
from shipopt.planning.search import optimise
from shipopt.planning.solving import Solver

__all__ = ["AuditFailed", "NoPlan", "NoPlanInTime", "Progress", "Reason", "Report", "Solver", "optimise"]
