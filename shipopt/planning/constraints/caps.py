"""The caps of the whole move on what may be lost without being paid back: on average, and in the worst outcomes.

The mean of the worst 5 % cannot be written linearly. What is written here is never above it, so that the programme
stays a relaxation; what it leaves open is closed by cuts (module tail_cap) and by the exact distribution.
"""

from shipopt.move.plan import Shipment
from shipopt.planning.programme import Programme
from shipopt.planning.tail_weights import growth, tail_loss

EXPECTED_LOSS = "expected uninsured loss"
TAIL_MEAN = "average of the worst 5 % of outcomes"


def expected_loss_is_capped(programme: Programme) -> None:
    """Σ expected uninsured loss of cartons, those already on the road included, ≤ the cap."""
    cap = programme.move.settings.most_expected_loss
    if cap is not None:
        most = programme.use_of_room * float(cap)
        programme.limit(programme.expected_loss, most, EXPECTED_LOSS, "expected_loss")


def mean_is_within_the_tail_cap(programme: Programme) -> None:
    """The expected uninsured loss ≤ the cap on the mean of the worst 5 %, which is never below the mean of all."""
    cap = programme.move.settings.most_tail_mean
    if cap is not None:
        most = programme.use_of_room * float(cap)
        programme.limit(programme.expected_loss, most, TAIL_MEAN, "tail_mean_by_mean")


def lost_trips_are_within_the_tail_cap(programme: Programme) -> None:
    """The expected loss with trips lost as much likelier as the worst 5 % allow ≤ the cap on its mean."""
    cap = programme.move.settings.most_tail_mean
    if cap is None:
        return
    factor = growth(programme.move)
    for option in programme.options:
        way, filled = option.way, programme.candidates[option.candidate].filled
        shipment = Shipment(filled, way.quote, option.track.trip, way.cover)
        programme.tail_loss.addterm(option.variable, tail_loss(programme.move, shipment, factor))
    most = programme.use_of_room * float(cap)
    programme.limit(programme.tail_loss, most, TAIL_MEAN, "tail_mean_by_trips")
