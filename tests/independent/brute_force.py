"""The best plan of a very tiny move by trying every plan there is, each judged by ``recompute`` and ``broken``.

No programme and no bound is used: this is what the exact solver is checked against. Called by tests only.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from independent.broken import broken_rules
from independent.choices import Choice, all_choices, shipments_of
from independent.recompute import NoPriceError, totals
from shipopt.move.move import Move


def best_objective(move: Move) -> Fraction | None:
    """The least objective of all plans that obey the rules, None if none does."""
    best: Fraction | None = None
    for chosen in every_plan(move, all_choices(move)):
        shipments = shipments_of(move, chosen)
        try:
            objective = totals(move, shipments).objective
        except NoPriceError:
            continue
        if (best is None or objective < best) and not broken_rules(move, shipments):
            best = objective
    return best


def every_plan(move: Move, choices: Sequence[Choice]) -> Iterator[list[tuple[Choice, int]]]:
    """Every way of sending each copy and each closed carton once, on every trip, up to the order of the cartons."""
    ways = [(choice, trip) for choice in choices for trip in range(1, _trips(choice) + 1)]
    yield from _completions(ways, [record.copies for record in move.loose], set(range(len(move.to_go))), 0)


def _trips(choice: Choice) -> int:
    return choice.quote.trips_at_most if choice.by_load else 1


def _completions(
    ways: Sequence[tuple[Choice, int]], left: list[int], closed: set[int], start: int
) -> Iterator[list[tuple[Choice, int]]]:
    if not any(left) and not closed:
        yield []
        return
    for place in range(start, len(ways)):
        choice, _ = ways[place]
        after = [had - takes for had, takes in zip(left, choice.holds, strict=True)]
        if min(after, default=0) < 0 or (choice.closed is not None and choice.closed not in closed):
            continue
        for rest in _completions(ways, after, closed - {choice.closed}, place):
            yield [ways[place], *rest]
