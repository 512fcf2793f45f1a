"""Amounts in the reasons for no plan, in the words and units of the workbook.

A solver's float becomes a whole number of records or cartons, money in the move's currency, a weight or a volume:
always rounded up, so that the change named is enough. Called by ``reasons`` only.
"""

from collections.abc import Mapping
from decimal import ROUND_CEILING, Decimal
from math import ceil

from shipopt.move.move import Move
from shipopt.planning.constraints.caps import EXPECTED_LOSS, TAIL_MEAN

SOLVERS_TOLERANCE = 1e-5
"""So much less than a unit is a solver's tolerance, not an amount."""

_WEIGHT, _VOLUME, _VALUE, _CARTONS = "most weight", "most volume", "most value", ("most cartons", "most to use")


def raised_by(rule: str, amount: float, move: Move) -> str:
    """By how much to raise the limit that a rule of the programme is named for, with its unit."""
    if rule in (EXPECTED_LOSS, TAIL_MEAN) or rule.startswith(_VALUE):
        said = move.settings.currency.show(_up(amount, move.settings.currency.minor_unit))
    elif rule.startswith(_WEIGHT):
        said = f"{_up(amount, Decimal('0.01')).normalize():,f} {move.settings.units.weight}"
    elif rule.startswith(_VOLUME):
        said = f"{_up(amount, Decimal('0.001')).normalize():,f} {move.settings.units.volume}"
    elif rule.startswith(_CARTONS):
        said = counted(_whole(amount), "carton")
    else:
        said = f"{_up(amount, Decimal('0.01')).normalize():,f}"
    quote = move.quotes.get(rule.partition(": ")[2])
    several = rule.startswith("most ") and quote is not None and quote.trips_at_most > 1
    return f"{said}, over all its trips together" if several else said


def left_behind(counts: Mapping[str, float]) -> str:
    """What stays behind: whole records by name, such as ``guarded records``, and closed cartons by number."""
    words = []
    for name, count in counts.items():
        if count > SOLVERS_TOLERANCE:
            words.append(counted(_whole(count), name.removesuffix("s")) if name.endswith("records") else name)
    return ", ".join(words) or "1 record"


def counted(number: int, thing: str) -> str:
    """A number of things: ``1 carton``, ``2 cartons``."""
    return f"{number:,} {thing}" if number == 1 else f"{number:,} {thing}s"


def _whole(amount: float) -> int:
    return max(1, ceil(amount - SOLVERS_TOLERANCE))


def _up(amount: float, step: Decimal) -> Decimal:
    """Rounded up to a multiple of a step; at least one step."""
    steps = (Decimal(amount) - Decimal(SOLVERS_TOLERANCE) * step) / step
    return max(steps.to_integral_value(ROUND_CEILING), Decimal(1)) * step
