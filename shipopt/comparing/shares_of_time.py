"""How the time for the cost of caution is shared among its steps.

Called by caution.
"""

from dataclasses import dataclass

OF_SEARCH = 0.85
"""All steps together take at most so much of the setting Seconds to search."""


@dataclass(frozen=True)
class Shares:
    """By what share of the time, 0 to 1, each step has ended: plans for each of the ``weights`` of loss, with floors or
    without; plans for more ``levels`` where these are few; plans by each weight in the cartons of those ``beside``."""

    weights: float
    levels: float
    beside: float


LITTLE = Shares(weights=0.42, levels=0.46, beside=0.5)
SOME = Shares(weights=0.88, levels=0.93, beside=0.96)
"""Where there is time for floors by ``FEW_WEIGHTS`` at the least: plans without floors are poor (example 1, one lost
counted as 64: 1,440 in 8 s, and 1,096 after a look at the floor)."""
MUCH = Shares(weights=0.7, levels=0.71, beside=0.72)
"""Where each weight's floor comes near to its plan at once."""
FEW_WEIGHTS = 4

HALF_OF_MUCH = 0.35
"""With much time every other weight comes first, from whose plans those between start: by this share."""

ENDS, MOST_FOR_ENDS = 0.25, 150
"""By then, and within so many seconds, the two ends are known, on which the levels between rest, and the other
chances."""

CAREFUL, CHEAP_CAREFUL = 0.9, 0.92
"""With much time what every plan loses at the least and the plan that loses least, then a cheaper one that loses as
little, are looked for only by these shares, with all cores."""

MOST_FLOORS, FLOORS = 0.85, 0.97
"""By then: floors by what loss costs from one plan to the next, and the plans that their proofs lead to; more of them
where these did not do. The rest is for floors of levels."""

FOR_A_FLOOR, FOR_A_GOOD_FLOOR = 15, 40
"""Seconds that a floor by a weight needs to come to something, and to lead to plans; and to come near to them (1,500
copies: 14 to 50 s, and twice as long by some weights)."""

FOR_A_LEVEL = 4
"""Seconds that a floor of a level needs, or none is asked for."""
