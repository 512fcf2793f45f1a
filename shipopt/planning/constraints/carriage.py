"""Carriage: what each track is charged, exactly as the pricing module charges it (rounding apart)."""

from math import inf

import pulp

from shipopt.move.quotes import Quote
from shipopt.planning.programme import Load, Programme
from shipopt.planning.tracks import Track
from shipopt.pricing.carriage import fixed_once

SLACK = 0.01
"""Of what a solution may cost, what a charge may cost more and still be there: roundings are counted elsewhere."""


def loads_are_charged(programme: Programme) -> None:
    """carriage ≥ (1 + surcharge) × the sum of charges, and ≥ (1 + surcharge) × Minimum × trips, for every load.

    The sum is Fixed × trips + Per carton × cartons over the included ones + Per weight × billed weight + Per volume ×
    volume + rate cards + weight breaks.
    """
    for track in programme.tracks:
        if not track.quote.by_load:
            continue
        quote, load = track.quote, programme.load(track)
        base = load.rate_cards + float(quote.fixed_charge) * load.used
        base += float(quote.per_weight) * load.billed + float(quote.per_volume) * load.volume
        base += _cartons_over_the_included(programme, track)
        base += _weight_breaks(programme, track)
        rise = 1 + float(quote.surcharge)
        if not quote.minimum_charge:
            programme.carriage += programme.charged(rise * base, f"charge_{track.index}")
            continue
        carriage = programme.variable(f"carriage_{track.index}")
        programme.add(rise * base - carriage <= 0, f"charged_{track.index}")
        least = rise * float(quote.minimum_charge)
        programme.add(least * load.used - carriage <= 0, f"charged_the_minimum_{track.index}")
        programme.carriage += programme.charged(pulp.LpAffineExpression(carriage), f"charge_{track.index}")


def _cartons_over_the_included(programme: Programme, track: Track) -> pulp.LpAffineExpression:
    """Per carton × over, with over ≥ cartons − Included × trips."""
    quote, load = track.quote, programme.load(track)
    if not quote.per_carton:
        return pulp.LpAffineExpression()
    if not quote.included_cartons:
        return float(quote.per_carton) * load.cartons
    over = programme.variable(f"over_the_included_{track.index}")
    programme.add(load.cartons - quote.included_cartons * load.used <= over, f"over_the_included_{track.index}")
    return float(quote.per_carton) * over


def _weight_breaks(programme: Programme, track: Track) -> pulp.LpAffineExpression:
    """Each booked trip is rated in one row r: W = Σ W_r, W_r ≤ top_r × trips_r, and the row's charge is its price on
    a weight that is at least W_r and at least its From weight × trips_r ("shipped as" the heavier weight)."""
    quote, load = track.quote, programme.load(track)
    charge = pulp.LpAffineExpression()
    if quote.weight_breaks is None:
        return charge
    weights, chosen = pulp.LpAffineExpression(), pulp.LpAffineExpression()
    most, dearest = _most_billed_weight(programme, load), _dearest_weight_charge(programme, quote)
    for row, (from_weight, price, top) in enumerate(_useful_rows(quote, most, dearest)):
        name = f"{track.index}_{row}"
        trips = programme.variable(f"rated_{name}", track.trips, whole=True)
        programme.charge_by_itself(f"{quote.name} from {from_weight}", trips)
        weight = programme.variable(f"rated_weight_{name}")
        rated = programme.variable(f"rated_as_{name}")
        programme.add(weight <= top * trips, f"rated_in_row_{name}")
        programme.add(rated >= weight, f"rated_for_its_weight_{name}")
        programme.add(rated >= from_weight * trips, f"rated_from_{name}")
        charge.addterm(rated, price / 100)
        weights.addterm(weight, 1)
        chosen.addterm(trips, 1)
    programme.add(weights - load.billed == 0, f"rated_weights_{track.index}")
    programme.add(chosen - load.used == 0, f"rated_trips_{track.index}")
    return charge


def _dearest_weight_charge(programme: Programme, quote: Quote) -> float:
    """What weight may cost one trip of a quote, where solutions that cost too much need not be there."""
    if programme.at_most is None:
        return inf
    return (programme.at_most + SLACK * max(1.0, abs(programme.at_most))) / (1 + float(quote.surcharge))


def _useful_rows(quote: Quote, most: float, dearest: float) -> list[tuple[float, float, float]]:
    """From weight, price and the heaviest weight worth rating there, for each row that is the cheapest somewhere and
    may charge no more than the ``dearest`` charge.

    A row stops being worth it where shipping as the next cheaper row's From weight costs less. Without the rows that
    cost too much no part of a trip can be rated at their price, which is what a relaxation would do.
    """
    assert quote.weight_breaks is not None
    rows: list[tuple[float, float]] = []
    for row in quote.weight_breaks.rows:
        if not rows or float(row.price_per_100) < rows[-1][1]:
            rows.append((float(row.from_weight), float(row.price_per_100)))
    useful = []
    for place, (from_weight, price) in enumerate(rows):
        turns = [later_from * later / price for later_from, later in rows[place + 1 :]] if price else []
        top = min([most, *turns, dearest / price * 100 if price else inf])
        if from_weight * price / 100 <= dearest:
            useful.append((from_weight, price, top))
    return useful


def _most_billed_weight(programme: Programme, load: Load) -> float:
    """A weight that no trip can exceed: everything billed that might travel on it."""
    return float(
        sum(
            coefficient * (variable.upBound if variable.upBound is not None else 0.0)
            for variable, coefficient in load.billed.items()
        )
    )


def cartons_by_themselves_are_charged(programme: Programme) -> None:
    """Where a carton is the consignment: each filled carton's own charge, and the fixed charge once.

    Included cartons are free of Per carton: as many as are included may each save what being free saves.
    """
    for track in programme.tracks:
        if track.quote.by_load:
            continue
        load = programme.load(track)
        programme.carriage += float(fixed_once(track.quote, programme.move.settings)) * load.used
        for number, option in enumerate(o for o in programme.options if o.track is track):
            programme.carriage.addterm(option.variable, float(option.way.charge))
            saved = float(option.way.charge - option.way.charge_included)
            if saved > 0:
                most = programme.candidates[option.candidate].times
                free = programme.variable(f"free_{track.index}_{number}", most, whole=True)
                programme.add(free <= option.variable, f"free_if_it_goes_{track.index}_{number}")
                programme.carriage.addterm(free, -saved)
                load.freed.addterm(free, 1)


def no_more_cartons_are_free_than_included(programme: Programme) -> None:
    """Σ free ≤ Included cartons, where a carton is the consignment."""
    for track in programme.tracks:
        freed = programme.load(track).freed
        if freed:
            programme.add(freed <= track.quote.included_cartons, f"free_cartons_{track.index}")
