"""Point and mean of the worst part of a discrete loss on a grid.

The mean of the worst part splits the atom at its edge: Rockafellar & Uryasev, "Conditional value-at-risk for general
loss distributions", Journal of Banking & Finance 26 (2002), 1443–1471, sections 3 and 4 (from memory). Called by
distribution.
"""

import numpy as np
from numpy.typing import NDArray

TIE = 1e-9
"""A cumulated chance that falls short of the level by less than this has reached it. Sums of a hundred thousand chances
are right to about 1e-12; and where whole loads are lost in one move of a thousand, all else together has a chance of
just 0.999, with nothing above it for thousands of places."""


def point_of(masses: NDArray[np.float64], level: float) -> int:
    """The first place whose cumulated chance reaches the level; ValueError if the grid ends before."""
    reached = np.cumsum(masses) >= level - TIE
    if not reached[-1]:
        raise ValueError("the grid ends before the level is reached")
    return int(np.argmax(reached))


def tail_mean_of(masses: NDArray[np.float64], mean: float, point: int, level: float) -> float:
    """Mean, in steps of the grid, of the worst 1 − level of outcomes.

    ``point + E[(L − point)⁺] ÷ (1 − level)``, where the excess over the point follows from the mean and from what lies
    below the point, so that nothing above it has to be kept.
    """
    shortfall = float(np.dot(point - np.arange(point), masses[:point]))
    return point + (mean - point + shortfall) / (1.0 - level)
