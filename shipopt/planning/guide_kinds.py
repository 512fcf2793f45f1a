"""The kinds of record that guides tell apart: few averages first, then many corners.

Called by ``by_guides`` and ``by_weights``.
"""

from shipopt.move.move import Move
from shipopt.planning.corners import corners_of
from shipopt.planning.kinds import (
    FOR_A_FINE_GUIDE,
    FOR_A_GUIDE,
    FOR_A_QUICK_GUIDE,
    Kind,
    averaged,
    for_a_guide,
    kinds_of,
)
from shipopt.planning.modes import values_matter
from shipopt.planning.ways import loss_matters


def average_kinds(move: Move, thorough: bool) -> list[Kind]:
    """Few kinds, fewer where the search is not thorough, each of its average copy: soon solved, and most of what they
    say can be packed."""
    most = for_a_guide(FOR_A_GUIDE if thorough else FOR_A_QUICK_GUIDE, move.loose)
    return averaged(kinds_of(move.loose, values_matter(move), most, by_size=not loss_matters(move)))


def few_averages(move: Move) -> list[Kind]:
    """No more kinds for a large collection than for a small one, each of its average copy: for what is asked of linear
    relaxations."""
    return averaged(kinds_of(move.loose, values_matter(move), FOR_A_GUIDE, by_size=not loss_matters(move)))


def fine_corners(move: Move) -> list[Kind]:
    """Many kinds, and nothing averaged: for what a few averages do not find."""
    return corners_of(move.loose, values_matter(move), for_a_guide(FOR_A_FINE_GUIDE, move.loose))
