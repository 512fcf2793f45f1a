"""The cap on the mean of the worst 5 % of outcomes, kept by cuts drawn from the exact distribution.

A programme of cartons cannot see the distribution. Where its best plan breaks the cap, the chances of each mishap in
that plan's worst 5 % (risk room) give a linear row that every plan within the cap obeys and this one does not; the
programme is solved again, until its plan keeps the cap by the exact distribution, error included. Rows of that kind
leave the bound a floor and "no solution" a proof. Called by the search; the audit asks again.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, Decimal

import pulp

from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.planning.constraints.caps import TAIL_MEAN
from shipopt.planning.programme import Candidate, Option, Programme
from shipopt.planning.reasons import Reason
from shipopt.planning.solving import Outcome, Verdict
from shipopt.planning.tail_weights import WORST_SHARE
from shipopt.risk.distribution import loss_distribution
from shipopt.risk.expected import expected_uninsured_loss_of_all, still_on_their_way
from shipopt.risk.worst_part import WorstPart, worst_part

MOST_SOUND_CUTS = 8
"""Rows that prove something, after which a plan is worth more than a proof: then the expected loss is pressed too.
Where every carton is tried, so that the bound is the floor, ten times as many."""
MOST_CUTS = 20
"""Rows beyond those, after which a programme is given up."""
PRESSED = Decimal("0.85")
"""Each time to this share of what the last plan lost on average: the cap on the tail is sure to be kept in the end."""
CLEAR = 1e-6
"""A row has to cut its plan off by more than this share of the cap, or the solver may come back to it."""
GUIDED_SHARES = (Decimal("0.5"), Decimal("0.25"), Decimal("0.1"), Decimal(0))
"""What guides may risk on average, in the order of trial: shares of the way from what is sure to keep the cap to what a
plan that breaks it risks."""

Luck = tuple[str, int]
"""What the luck of a carton is tied to: an item that it alone holds whole, or a candidate. No two cartons of a plan
have the same, but for copies of a candidate."""


def tail_at_most(move: Move, shipments: Sequence[Shipment]) -> Decimal:
    """The mean of the worst 5 % of outcomes with the error of its computation; money."""
    losses = loss_distribution(move, shipments)
    return losses.tail_mean + losses.tail_mean_error


def breaks_tail_cap(move: Move, shipments: Sequence[Shipment]) -> bool:
    """Whether the mean of the worst 5 % of outcomes, with the error of its computation, is above the cap."""
    cap = move.settings.most_tail_mean
    return cap is not None and tail_at_most(move, shipments) > cap


@dataclass(slots=True)
class Kept:
    """The last outcome of a programme under the cap: a plan within it, or none. ``bound`` is a floor under every plan
    of the programme within the cap; ``IMPOSSIBLE`` is only said where that is proved. ``broke`` is what the first plan
    that broke the cap loses on average, None if none did, ``least_tail`` the least mean of the worst 5 % of any that
    did."""

    outcome: Outcome
    bound: float
    broke: Decimal | None = None
    least_tail: Decimal | None = None


def keep_tail_cap(
    programme: Programme, run: Callable[[], Outcome], time_is_left: Callable[[], bool], for_a_floor: bool
) -> Kept:
    """Solve the programme (by ``run``) until its plan keeps the cap, none is left, or time or patience is at an end."""
    move, sound = programme.move, True
    kept = Kept(Outcome(Verdict.NOTHING, "", 0.0), float("-inf"))
    patience = MOST_SOUND_CUTS * (10 if for_a_floor else 1)
    for number in range(patience + MOST_CUTS):
        if not time_is_left():
            break
        outcome = run()
        kept.bound = max(kept.bound, outcome.bound) if sound else kept.bound
        if not outcome.found:
            unproved = outcome.verdict is Verdict.IMPOSSIBLE and not sound
            kept.outcome = replace(outcome, verdict=Verdict.NOTHING) if unproved else outcome
            return kept
        chosen = list(chosen_options(programme, outcome))
        shipments = [shipment_of(programme, option) for option in chosen]
        if not breaks_tail_cap(move, shipments):
            kept.outcome = outcome
            return kept
        tail, loss = tail_at_most(move, shipments), expected_uninsured_loss_of_all(move, shipments)
        kept.broke = loss if kept.broke is None else kept.broke
        kept.least_tail = tail if kept.least_tail is None else min(tail, kept.least_tail)
        sound = _cut_off(programme, outcome, chosen, shipments) and sound
        if number >= patience:
            programme.add(programme.expected_loss <= float(loss * PRESSED), f"pressed_{number}")
            sound = False
    return kept


def chosen_options(programme: Programme, outcome: Outcome) -> Iterator[Option]:
    """The options chosen, each as often as it was, in the order of candidates."""
    for option in programme.options:
        for _ in range(round(outcome.values[option.variable.name])):
            yield option


def shipment_of(programme: Programme, option: Option) -> Shipment:
    """The option's carton on its way."""
    return Shipment(
        programme.candidates[option.candidate].filled, option.way.quote, option.track.trip, option.way.cover
    )


def _cut_off(programme: Programme, outcome: Outcome, chosen: Sequence[Option], shipments: Sequence[Shipment]) -> bool:
    """Add the row that this plan breaks; whether every plan within the cap obeys it. Where the true row would not cut
    the plan off (the carrier's cap for a consignment is not in it), a harder one does, which proves nothing."""
    move, cap = programme.move, float(programme.move.settings.most_tail_mean or 0)
    # Cartons on their way are on trips of their own, which no trip number of the plan may mean.
    sent = [replace(each, trip=0) for each in still_on_their_way(move)]
    part = worst_part(move, [*shipments, *sent], 1 - WORST_SHARE)
    row = pulp.LpAffineExpression(
        constant=sum(part.mean_of(move, len(shipments) + place, each) for place, each in enumerate(sent))
    )
    places: dict[Luck, list[int]] = {}
    for place, option in enumerate(chosen):
        places.setdefault(_luck(programme, option.candidate), []).append(place)
    for option in programme.options:
        luck = places.get(_luck(programme, option.candidate), [])
        row.addterm(option.variable, _weight(programme, part, option, luck))
    taken = {option.variable.name: option.variable for option in chosen}
    here = float(row.constant) + sum(float(row[each]) * outcome.values[name] for name, each in taken.items())
    sound: bool = here > cap * (1 + CLEAR) + CLEAR
    most = cap if sound else here - CLEAR * (1 + 10 * abs(here))
    programme.add(row <= most, f"tail_cut_{len(programme.problem.constraints)}")
    return sound


def _luck(programme: Programme, candidate: int) -> Luck:
    holds = programme.candidates[candidate].holds
    alone = [item for item, copies in holds.items() if copies == programme.items[item]]
    return ("item", min(alone)) if alone else ("candidate", candidate)


def _weight(programme: Programme, part: WorstPart, option: Option, luck: Sequence[int]) -> float:
    """At least what one carton of the option adds to the mean within the worst part. ``luck`` are the plan's cartons
    whose luck it may have; where more cartons of a kind may go than that, the rest have usual luck."""
    move, candidate = programme.move, programme.candidates[option.candidate]
    shipment = shipment_of(programme, option)
    usual = part.mean_of(move, None, shipment)
    if not luck:
        return usual
    hard = min(part.mean_of(move, place, shipment) for place in luck)
    return usual + max(0.0, hard - usual) * min(1.0, len(luck) / _times(candidate, programme))


def _times(candidate: Candidate, programme: Programme) -> int:
    return 1 if any(copies == programme.items[item] for item, copies in candidate.holds.items()) else candidate.times


def why_none_keeps_the_tail_cap(kept: Kept, move: Move) -> list[Reason]:
    """The cap as the reason for no plan, where there are plans without it, with a cap that one of them keeps; else
    nothing."""
    if kept.least_tail is None:
        return []
    minor = move.settings.currency.minor_unit
    enough = move.settings.currency.show(kept.least_tail.quantize(minor, ROUND_CEILING))
    return [Reason(TAIL_MEAN, f"raise it to {enough}: a plan that keeps every other rule is known with that")]


def guiding_moves(move: Move, broke: Decimal | None) -> Iterator[Move]:
    """The move with harder and harder caps on the expected loss, for guides that should pack with the tail in mind; the
    last is so hard that the cap on the tail is sure to be kept. None where no plan broke that cap (``broke`` is what
    one that did loses on average)."""
    cap, own = move.settings.most_tail_mean, move.settings.most_expected_loss
    if cap is None or broke is None:
        return
    sure = cap * WORST_SHARE
    for share in GUIDED_SHARES:
        expected = sure + share * max(ZERO, broke - sure)
        expected = expected if own is None else min(own, expected)
        yield replace(move, settings=replace(move.settings, most_expected_loss=expected))
