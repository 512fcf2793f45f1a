"""Slots: the cartons that loose records may fill, track by track, and the variables that share the kinds out.

Called once by the aggregate programme, before its constraints. For each track: how many cartons of which type, in
which mode of cover, up to which weight; how many copies of each kind go in which carton type and in which mode.
"""

from math import inf

import pulp

from shipopt.move.cartons import CartonType
from shipopt.move.quotes import Quote
from shipopt.move.rules import most_gross_weight
from shipopt.planning.kinds import Kind, Measure
from shipopt.planning.modes import Mode, modes_of, values_matter
from shipopt.planning.programme import Programme, Slot
from shipopt.planning.tracks import Track
from shipopt.pricing.billing import exact_billed_weight, outside_volume

COUNTED = 12
"""Kinds of at most this many copies are shared out in whole copies: few and dear, each makes a difference."""


def offer_slots(programme: Programme, kinds: list[Kind]) -> None:
    """Give the programme its slots and shares, and count them in the loads of their tracks."""
    programme.kinds = kinds
    matter = values_matter(programme.move)
    for track in programme.tracks:
        carried = [kind for kind in kinds if kind.may_go(track.quote, programme.move)]
        fits = {kind.index: kind.cartons(track.quote, programme.move) for kind in carried}
        carried = [kind for kind in carried if fits[kind.index]]
        modes = modes_of(track.quote, programme.move)
        for kind in carried:
            _share_by_carton(programme, track, kind, fits[kind.index])
            if matter:
                _share_by_mode(programme, track, kind, modes)
        wanted = {carton.name for cartons in fits.values() for carton in cartons}
        copies = sum(kind.count for kind in carried)
        for place, carton in enumerate(programme.move.cartons.values()):
            if carton.name in wanted:
                _offer(programme, track, carton, place, modes, copies)
                _count_contents(programme, track, carton, place)


def _share_by_carton(programme: Programme, track: Track, kind: Kind, cartons: list[CartonType]) -> None:
    shares = programme.shares
    for place, carton in enumerate(programme.move.cartons.values()):
        if carton in cartons:
            name, key = f"{kind.index}_{track.index}_{place}", (kind.index, track.index, place)
            copies = programme.variable(f"copies_{name}", kind.count, whole=kind.count <= COUNTED)
            shares.copies.put(*key, pulp.LpAffineExpression(copies))
            shares.weight.put(*key, _measured(programme, kind.weight, copies, f"weight_{name}"))
            shares.thickness.put(*key, _measured(programme, kind.thickness, copies, f"thickness_{name}"))


def _share_by_mode(programme: Programme, track: Track, kind: Kind, modes: list[Mode]) -> None:
    load = programme.load(track)
    for mode in modes:
        name, key = f"{kind.index}_{track.index}_{mode.index}", (kind.index, track.index, mode.index)
        copies = programme.variable(f"moded_{name}", kind.count)
        programme.shares.moded.put(*key, pulp.LpAffineExpression(copies))
        value = _measured(programme, kind.value, copies, f"value_{name}")
        programme.shares.value.put(*key, value)
        load.value += value
        if mode.fee_by_trip and mode.cover is not None:
            covered = load.value_by_cover.setdefault(mode.cover.name, pulp.LpAffineExpression())
            covered += value


def _measured(programme: Programme, measure: Measure, copies: pulp.LpVariable, name: str) -> pulp.LpAffineExpression:
    """A measure of some copies of a kind: exact where all are alike, else any sum between least and most of each."""
    if measure.uniform:
        return measure.least * copies
    total = programme.variable(name, measure.total)
    programme.add(total >= measure.least * copies, f"{name}_at_least")
    programme.add(total <= measure.most * copies, f"{name}_at_most")
    return pulp.LpAffineExpression(total)


def _offer(
    programme: Programme, track: Track, carton: CartonType, place: int, modes: list[Mode], copies: int
) -> None:
    load = programme.load(track)
    most = _least(copies, carton.most, _times(track.quote.most_cartons, track.trips))
    volume = float(outside_volume(carton, programme.move.settings.units))
    for mode in modes:
        for step, (contents, price) in enumerate(weight_steps(carton, track.quote, programme)):
            name = f"cartons_{track.index}_{place}_{mode.index}_{step}"
            number = programme.variable(name, most, whole=True)
            programme.slots.append(Slot(track, carton, mode, contents, price, volume, number))
            load.cartons.addterm(number, 1)
            load.gross.addterm(number, float(carton.empty_weight))
            load.volume.addterm(number, volume)
            if track.quote.by_load:
                load.rate_cards.addterm(number, price)
            programme.of_type[carton.name].addterm(number, 1)


def _count_contents(programme: Programme, track: Track, carton: CartonType, place: int) -> None:
    """Gross and billed weight of the track's cartons of one type. Billed weight is at least the gross weight and the
    volumetric weight of each, and a whole number of steps where the quote weighs in steps."""
    load, quote = programme.load(track), track.quote
    cartons = pulp.lpSum(s.number for s in programme.slots if s.track is track and s.carton is carton)
    contents = programme.shares.weight.sum_at(track.index, place)
    load.gross += contents
    gross = contents + float(carton.empty_weight) * cartons
    lightest = float(exact_billed_weight(quote, carton, carton.empty_weight, programme.move.settings.units))
    if quote.weigh_step is None and lightest <= float(carton.empty_weight):
        load.billed += gross
        programme.shares.billed[track.index, place] = gross
        return
    step = float(quote.weigh_step) if quote.weigh_step else 1.0
    ceiling = float(most_gross_weight(carton, quote, programme.move.settings)) + lightest + step
    most = sum(v.upBound for v in cartons) * ceiling / step
    billed = step * programme.variable(f"billed_{track.index}_{place}", most, whole=quote.weigh_step is not None)
    programme.add(billed >= gross, f"billed_for_weight_{track.index}_{place}")
    programme.add(billed >= lightest * cartons, f"billed_for_volume_{track.index}_{place}")
    load.billed += billed
    programme.shares.billed[track.index, place] = billed


def weight_steps(carton: CartonType, quote: Quote, programme: Programme) -> list[tuple[float, float]]:
    """For cartons of one type by one quote: the most weight of contents and the rate card's price, step by step.

    Without a rate card there is one step. Steps that hold no more than a cheaper one, or nothing at all, are left out.
    """
    settings = programme.move.settings
    heaviest, empty = most_gross_weight(carton, quote, settings), carton.empty_weight
    if quote.rate_card is None:
        return [(float(heaviest - empty), 0.0)]
    lightest = exact_billed_weight(quote, carton, empty, settings.units)
    steps: list[tuple[float, float]] = []
    for row in quote.rate_card.steps:
        top = row.weight_up_to
        if quote.weigh_step is not None:
            top = top // quote.weigh_step * quote.weigh_step
        if top < lightest or min(top, heaviest) <= empty:
            continue
        while steps and steps[-1][1] >= float(row.price):
            steps.pop()
        steps.append((float(min(top, heaviest) - empty), float(row.price)))
        if top >= heaviest:
            break
    return steps


def _times(limit: int | None, trips: int) -> int | None:
    return None if limit is None else limit * trips


def _least(*limits: int | None) -> int:
    return int(min((limit for limit in limits if limit is not None), default=inf))
