"""Bookings: a track carries nothing unless it is booked, and no more than its trips may."""

from decimal import Decimal

import pulp

from shipopt.move.rules import most_value_of_consignment
from shipopt.planning.programme import Programme


def cartons_travel_only_on_booked_tracks(programme: Programme) -> None:
    """go ≤ times × trips booked, for every option: the tight form, one row each."""
    for number, option in enumerate(programme.options):
        times = programme.candidates[option.candidate].times
        booked = programme.load(option.track).used
        programme.add(option.variable <= times * booked, f"booked_{number}")


def no_trip_is_booked_for_nothing(programme: Programme) -> None:
    """trips booked ≤ cartons, for every track."""
    for track in programme.tracks:
        load = programme.load(track)
        programme.add(load.used <= load.cartons, f"not_for_nothing_{track.index}")


def trips_are_booked_in_order(programme: Programme) -> None:
    """Trips of one quote are alike: the second is booked only with the first, and carries no more cartons."""
    for earlier, later in zip(programme.tracks, programme.tracks[1:], strict=False):
        if earlier.quote is later.quote:
            first, second = programme.load(earlier), programme.load(later)
            programme.add(second.used <= first.used, f"in_order_{later.index}")
            programme.add(second.cartons - first.cartons <= 0, f"no_more_than_earlier_{later.index}")


def no_trip_carries_more_cartons_than_it_may(programme: Programme) -> None:
    """cartons ≤ Most cartons × trips booked."""
    _limit_loads(programme, "cartons")


def no_trip_is_heavier_than_it_may(programme: Programme) -> None:
    """gross weight ≤ Most weight × trips booked."""
    _limit_loads(programme, "gross")


def no_trip_is_larger_than_it_may(programme: Programme) -> None:
    """outside volume ≤ Most volume × trips booked."""
    _limit_loads(programme, "volume")


def no_trip_is_worth_more_than_it_may(programme: Programme) -> None:
    """value ≤ the least of Most value and Most value on one consignment, × trips booked."""
    for track in programme.tracks:
        most = most_value_of_consignment(track.quote, programme.move.settings)
        if most is not None and track.quote.by_load:
            own = track.quote.most_value == most
            rule = f"most value: {track.quote.name}" if own else "most value on one consignment"
            _limit(programme, track.index, "value", most, rule)


_LIMITS = {"cartons": "most_cartons", "gross": "most_weight", "volume": "most_volume"}


def _limit_loads(programme: Programme, measure: str) -> None:
    for track in programme.tracks:
        most = getattr(track.quote, _LIMITS[measure])
        if most is not None and track.quote.by_load:
            rule = f"{_LIMITS[measure].replace('_', ' ')}: {track.quote.name}"
            _limit(programme, track.index, measure, most, rule)


def _limit(programme: Programme, index: int, measure: str, most: Decimal | int, rule: str) -> None:
    load = programme.loads[index]
    carried: pulp.LpAffineExpression = getattr(load, measure)
    used = programme.use_of_room if measure in ("gross", "value") else 1.0
    programme.limit(carried - used * float(most) * load.used, 0.0, rule, f"most_{measure}_{index}")
