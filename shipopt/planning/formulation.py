"""The programmes whole: which constraints make up each, in the order in which they are added.

``carton_programme`` is exact for filled cartons. ``aggregate_programme`` treats loose records as divisible between the
cartons of a track and counts cartons instead of packing them: every real plan is a solution of it at no more than the
plan's cost, so its bound is a floor.
"""

from collections.abc import Callable, Mapping, Sequence
from math import ceil

import pulp

from shipopt.move.cartons import FilledCarton
from shipopt.move.move import Move
from shipopt.move.rules import quotes_in
from shipopt.planning.constraints import bookings, caps, carriage, covers, groups, items, loose, risks
from shipopt.planning.kinds import Kind
from shipopt.planning.outline import Outline
from shipopt.planning.programme import Candidate, Programme, SlotKey
from shipopt.planning.rounding import rounds_charges, rounds_fees
from shipopt.planning.slots import offer_slots
from shipopt.planning.tracks import tracks_of
from shipopt.planning.ways import Way, ways_of

Constraint = Callable[[Programme], None]

OF_EVERY_PROGRAMME: tuple[Constraint, ...] = (
    items.every_item_goes_once,
    items.cartons_are_bought_beyond_those_on_hand,
    items.no_more_cartons_than_may_be_used,
    bookings.cartons_travel_only_on_booked_tracks,
    bookings.no_trip_is_booked_for_nothing,
    bookings.trips_are_booked_in_order,
    bookings.no_trip_carries_more_cartons_than_it_may,
    bookings.no_trip_is_heavier_than_it_may,
    bookings.no_trip_is_larger_than_it_may,
    bookings.no_trip_is_worth_more_than_it_may,
    carriage.loads_are_charged,
    carriage.cartons_by_themselves_are_charged,
    covers.consignments_are_covered,
)
BY_KIND: tuple[Constraint, ...] = (
    loose.every_copy_goes,
    loose.cartons_of_a_track_are_whole,
    loose.kinds_travel_only_on_booked_tracks,
    loose.stacks_fit_their_cartons,
    loose.contents_weigh_no_more_than_their_cartons_hold,
    loose.thick_copies_fit_by_number,
    loose.no_carton_is_empty,
    loose.copies_on_tracks_are_copies_in_modes,
    loose.modes_fit_their_cartons,
    loose.values_lie_in_their_modes,
    loose.liability_reaches_their_values,
    loose.light_cartons_hold_little_value,
    loose.slots_by_themselves_are_charged,
    loose.slots_pay_for_their_cover,
    risks.slots_risk_what_they_carry,
)
BY_GROUP: tuple[Constraint, ...] = (
    loose.every_copy_goes,
    loose.cartons_are_whole_together,
    loose.sleeves_travel_only_on_booked_tracks,
    loose.thick_copies_fit_by_number,
    loose.liability_reaches_their_values,
    loose.light_cartons_hold_little_value,
    groups.groups_hold_their_copies,
    loose.slots_by_themselves_are_charged,
    loose.slots_pay_for_their_cover,
    risks.groups_risk_what_they_hold,
)
AT_LARGE = tuple(each for each in BY_GROUP if each is not loose.cartons_are_whole_together)
LAST: tuple[Constraint, ...] = (
    carriage.no_more_cartons_are_free_than_included,
    caps.expected_loss_is_capped,
    caps.mean_is_within_the_tail_cap,
    caps.lost_trips_are_within_the_tail_cap,
)


def carton_programme(
    move: Move,
    candidates: Sequence[Candidate],
    items: Sequence[int],
    elastic: frozenset[str] = frozenset(),
    *,
    rounds: bool = False,
) -> Programme:
    """Which candidates go, each by which quote, trip and cover; every item as often as ``items`` says."""
    quotes = quotes_in(move)
    most = sum(items) + len(move.to_go)
    programme = Programme(move, tracks_of(quotes, apart=True, most_trips=most), "cartons", elastic, rounds=rounds)
    programme.items = list(items)
    for candidate in candidates:
        offer(programme, candidate)
    return _with(programme, OF_EVERY_PROGRAMME + LAST)


def aggregate_programme(
    move: Move,
    kinds: list[Kind],
    elastic: frozenset[str] = frozenset(),
    *,
    whole: bool = False,
    at_large: bool = False,
    only: Outline | None = None,
    use_of_room: float = 1.0,
    numbers: Mapping[SlotKey, int] | None = None,
    play: int = 0,
    at_most: float | None = None,
) -> Programme:
    """How many copies of which kind, and which closed cartons, go by which quote, in how many cartons of which type.

    Cartons are whole on each track; with ``whole`` also in each slot, and copies are told apart by carton type and
    cover: a higher bound, and a longer way to it. ``at_large`` tells them apart too, but only what costs by itself is
    whole: that says soon what the outlines of good plans are. ``only`` is the outline to consider. ``use_of_room``
    below 1 leaves the packer some play; the bound is then no floor. Nor is it where the ``numbers`` of cartons are
    given by slot, with a ``play`` of so many more or fewer. Solutions that cost more than ``at_most`` need not be
    there: the rest of them is bounded the better.
    """
    quotes = [quote for quote in quotes_in(move) if only is None or quote.name in only.quotes]
    most = ceil(sum(kind.count for kind in kinds) - 1e-6) + len(move.to_go)
    tracks = tracks_of(quotes, apart=False, most_trips=most)
    programme = Programme(
        move,
        tracks,
        "aggregate",
        elastic,
        use_of_room=use_of_room,
        numbers=numbers,
        play=play,
        at_most=at_most,
        only=only,
    )
    programme.items = [1] * len(move.to_go)
    for item, filled in enumerate(move.to_go):
        offer(programme, Candidate(filled, {item: 1}))
    offer_slots(programme, kinds, whole=whole or at_large)
    loose_records = AT_LARGE if at_large else BY_GROUP if whole else BY_KIND
    programme = _with(programme, OF_EVERY_PROGRAMME + loose_records + LAST, objective=False)
    _allow_for_rounding(programme)
    programme.minimise_cost()
    if at_large:
        _leave_whole_what_costs_by_itself(programme)
    return programme


def closed_cartons(move: Move, first_item: int = 0) -> list[Candidate]:
    """The cartons that the user has closed and that still have to go, each an item of its own."""
    return [Candidate(filled, {first_item + place: 1}) for place, filled in enumerate(move.to_go)]


def offer(programme: Programme, candidate: Candidate) -> None:
    """Offer a candidate on every track (of its own quote only, if it has one), in the ways it may go by that quote."""
    by_quote: dict[str, list[Way]] = {}
    for track in programme.tracks:
        name = track.quote.name
        if name not in by_quote:
            asked = candidate.quote is None or name == candidate.quote
            by_quote[name] = ways_of(candidate.filled, track.quote, programme.move) if asked else []
    programme.add_candidate(candidate, {track.index: by_quote[track.quote.name] for track in programme.tracks})


def _with(programme: Programme, constraints: Sequence[Constraint], *, objective: bool = True) -> Programme:
    for constraint in constraints:
        constraint(programme)
    if objective:
        programme.minimise_cost()
    return programme


def _leave_whole_what_costs_by_itself(programme: Programme) -> None:
    by_themselves = [*(load.used for load in programme.loads), *programme.charged_by_itself.values()]
    names = {variable.name for variable in by_themselves}
    for variable in programme.problem.variables():
        if variable.name not in names:
            variable.cat = pulp.LpContinuous


def _allow_for_rounding(programme: Programme) -> None:
    """Each trip's charge and each consignment's fee may be rounded down by half a minor unit at the most, if rounded at
    all."""
    currency = programme.move.settings.currency
    half = float(currency.minor_unit) / 2
    for track in programme.tracks:
        load = programme.load(track)
        if rounds_charges(track.quote, currency):
            programme.rounding += half * load.used
        for name, taken in load.taken_by_cover.items():
            if rounds_fees(programme.move.covers[name], currency):
                programme.rounding += half * taken


def filled_once(cartons: Sequence[FilledCarton]) -> tuple[list[Candidate], list[int]]:
    """Cartons that must all go, as candidates and items."""
    return [Candidate(filled, {item: 1}) for item, filled in enumerate(cartons)], [1] * len(cartons)
