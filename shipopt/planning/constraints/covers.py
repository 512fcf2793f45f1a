"""Fees of covers whose insured value is that of all cartons of a trip that take them."""

import pulp

from shipopt.move.cover import Cover
from shipopt.planning.programme import Programme
from shipopt.planning.tracks import Track


def consignments_are_covered(programme: Programme) -> None:
    """Each booked trip takes a cover in at most one of its bands b: value = Σ value_b, low_b × taken_b ≤ value_b ≤
    top_b × taken_b, fee_b ≥ Least fee × taken_b and ≥ Fee × taken_b + share × value_b."""
    for track in programme.tracks:
        load = programme.load(track)
        for place, (name, value) in enumerate(sorted(load.value_by_cover.items())):
            _cover_trip(programme, track, programme.move.covers[name], value, f"{track.index}_{place}")


def _cover_trip(programme: Programme, track: Track, cover: Cover, value: pulp.LpAffineExpression, name: str) -> None:
    load = programme.load(track)
    most = _most(value)
    values, taken, fees = pulp.LpAffineExpression(), pulp.LpAffineExpression(), pulp.LpAffineExpression()
    below, step = 0.0, float(programme.move.settings.currency.minor_unit) / 2
    for place, band in enumerate(cover.bands):
        top = most if band.value_up_to is None else min(most, float(band.value_up_to))
        if below > top:
            break
        label = f"{name}_{place}"
        take = programme.variable(f"cover_taken_{label}", track.trips, whole=True)
        if place or band.fee or band.least_fee:
            programme.charge_by_itself(f"{track.quote.name} with {cover.name}, band {place + 1}", take)
        insured = programme.variable(f"cover_value_{label}")
        fee = programme.variable(f"cover_fee_{label}")
        programme.add(insured <= top * take, f"cover_up_to_{label}")
        programme.add(insured >= (below + step if place else 0.0) * take, f"cover_from_{label}")
        programme.add(fee >= float(band.least_fee) * take, f"cover_least_fee_{label}")
        programme.add(fee >= float(band.fee) * take + float(band.share_of_value) * insured, f"cover_fee_{label}")
        fees.addterm(fee, 1)
        values.addterm(insured, 1)
        taken.addterm(take, 1)
        below = top
    programme.add(values - value == 0, f"cover_values_{name}")
    programme.fees += programme.charged(fees, f"cover_{name}")
    load.taken_by_cover[cover.name] = taken
    programme.add(taken - load.used <= 0, f"cover_once_{name}")


def _most(value: pulp.LpAffineExpression) -> float:
    return float(sum(c * (v.upBound if v.upBound is not None else 0.0) for v, c in value.items()))
