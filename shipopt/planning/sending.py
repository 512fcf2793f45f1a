"""Sending packed cartons: the carton programme in the search, solved within the cap on the tail, and what it chose.

Called by ``search`` for tiny moves and by ``by_guides`` for what was packed by a guide.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from shipopt.move.cartons import FilledCarton
from shipopt.move.plan import Shipment
from shipopt.move.rules import quotes_in
from shipopt.planning.formulation import carton_programme, closed_cartons
from shipopt.planning.improving import numbered, offers
from shipopt.planning.outline import free_to_book
from shipopt.planning.programme import Programme
from shipopt.planning.solving import BY_LOOKING_NEAR, Outcome, Verdict, solve
from shipopt.planning.state import State
from shipopt.planning.tail_cap import Kept, chosen_options, keep_tail_cap, shipment_of


def send(state: State, cartons: Sequence[FilledCarton], stage: str, quotes: Sequence[str] = ()) -> None:
    """Find the best way for packed cartons, in these or other types of carton, at exact prices; as they are, each by
    its own quote, if ``quotes`` are given, or where that is more than these may carry, by any of them and of those that
    are free to book."""
    verdict = _sent(state, cartons, stage, state.gap / 4, quotes)
    if quotes and state.best is None and verdict is Verdict.IMPOSSIBLE:
        free = [quote.name for quote in quotes_in(state.move) if free_to_book(quote)]
        _sent(state, cartons, stage, state.gap, quotes, [*dict.fromkeys(quotes), *free])


def _sent(
    state: State,
    cartons: Sequence[FilledCarton],
    stage: str,
    gap: float,
    quotes: Sequence[str],
    others: Sequence[str] = (),
) -> Verdict:
    """Keep the best way found for what these cartons offer; what the programme said."""
    candidates = [*offers(cartons, state.move, quotes, others), *closed_cartons(state.move, len(cartons))]
    exact = carton_programme(state.move, candidates, [1] * (len(cartons) + len(state.move.to_go)))
    sent = solve_cartons(state, exact, stage, gap, 2, BY_LOOKING_NEAR).outcome
    if sent.found:
        state.keep(numbered(state.move, [shipment for _, shipment in what_was_chosen(exact, sent)]), stage)
    return sent.verdict


def solve_in_search(
    state: State,
    programme: Programme,
    stage: str,
    gap: float,
    seconds: float,
    options: Mapping[str, Any] | None = None,
) -> Outcome:
    """Solve a programme, for what costs no more than it was made for, and less than the best plan."""
    state.report(stage)
    best = None if state.best_objective is None else float(state.best_objective) * (1 - 1e-6)
    at_most = min((most for most in (programme.at_most, best) if most is not None), default=None)
    return solve(
        programme.problem,
        seconds=seconds,
        gap=gap,
        at_most=at_most,
        solver=state.solver,
        options=options,
        stop=state.enough,
    )


def solve_cartons(
    state: State,
    programme: Programme,
    stage: str,
    gap: float,
    share: int,
    options: Mapping[str, Any] | None = None,
) -> Kept:
    """Solve a programme of cartons within the cap on the tail, each time in a share of the time left."""

    def run() -> Outcome:
        return solve_in_search(state, programme, stage, gap, max(state.left / share, 1), options)

    if state.move.settings.most_tail_mean is not None:
        kept = keep_tail_cap(programme, run, lambda: state.left > 0, for_a_floor=share == 1)
        state.broke = kept.broke if state.broke is None else state.broke
        return kept
    outcome = run()
    return Kept(outcome, outcome.bound)


def what_was_chosen(programme: Programme, outcome: Outcome) -> list[tuple[int, Shipment]]:
    """The candidates chosen, each as often as it was, with its shipment; in the order of candidates."""
    return [(option.candidate, shipment_of(programme, option)) for option in chosen_options(programme, outcome)]
