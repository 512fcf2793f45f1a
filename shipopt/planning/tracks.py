"""Tracks: what the programmes book. A track is one trip of a load, or all trips of a load taken together, or a
quote whose consignment is the carton. Limits and charges of a track are those of one trip times its trips."""

from collections.abc import Sequence
from dataclasses import dataclass

from shipopt.move.quotes import Quote


@dataclass(frozen=True, slots=True)
class Track:
    """``trips`` trips of a quote, the first of which is ``trip`` (from 1)."""

    index: int
    quote: Quote
    trip: int
    trips: int


def tracks_of(quotes: Sequence[Quote], *, apart: bool, most_trips: int) -> list[Track]:
    """The tracks of these quotes: each trip apart (at most ``most_trips`` of a quote), or a quote's trips together."""
    tracks: list[Track] = []
    for quote in quotes:
        trips = min(quote.trips_at_most, max(1, most_trips)) if quote.by_load else 1
        for trip in range(1, trips + 1) if apart else [1]:
            tracks.append(Track(len(tracks), quote, trip, 1 if apart else trips))
    return tracks
