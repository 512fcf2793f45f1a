"""Carriage: what a quote charges for a trip, or for its cartons where each is a consignment.

``max(base, minimum) × (1 + surcharge)``, rounded half up once: for each trip of a load, for each carton
of a quote by the carton, and for that quote's fixed charge, which falls due once. Every charge comes with its
lines. Whether a carton or a trip is allowed at all is asked of the rules, not here.
"""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from fractions import Fraction

from shipopt.move.cartons import FilledCarton
from shipopt.move.money import ZERO
from shipopt.move.quotes import Quote
from shipopt.move.settings import Settings
from shipopt.pricing.billing import exact_billed_weight, exact_outside_volume
from shipopt.pricing.exact import measured, settle
from shipopt.pricing.rate_cards import rate_card_step
from shipopt.pricing.statement import Part, Refused, Statement, lines_to, sum_of
from shipopt.pricing.weight_breaks import rated

FIXED = "Fixed charge"
INCLUDED = "Included cartons (free)"
PER_CARTON = "Per carton"
WEIGHT = "Billed weight"
VOLUME = "Outside volume"
TO_MINIMUM = "Up to the minimum charge"
SURCHARGE = "Surcharge"


def trip_statement(quote: Quote, trip: int, cartons: Sequence[FilledCarton], settings: Settings) -> Statement:
    """The charge of one trip of a load that carries these cartons; Refused if its rate card has no price for one."""
    free = min(len(cartons), quote.included_cartons)
    parts = _fixed(quote) + _by_measure(quote, cartons, free, settings)
    parts += _on_top(quote, parts, Fraction(quote.minimum_charge), settings)
    total = settle(sum_of(parts), settings.currency)
    return Statement(quote, trip, lines_to(total, parts, settings.currency), total)


def carton_charge(quote: Quote, filled: FilledCarton, settings: Settings, included: bool = False) -> Decimal | None:
    """The rounded charge of one carton that is a consignment; None if the rate card has no price for it. An
    ``included`` carton is free of Per carton."""
    try:
        parts = _carton_parts(quote, filled, settings, included)
    except Refused:
        return None
    return settle(sum_of(parts), settings.currency)


def fixed_once(quote: Quote, settings: Settings) -> Decimal:
    """The fixed charge of a quote by the carton, surcharge included: due once if the quote is used at all."""
    return settle(sum_of(_fixed_once_parts(quote, settings)), settings.currency)


def included_places(quote: Quote, cartons: Sequence[FilledCarton], settings: Settings) -> frozenset[int]:
    """Places in the sequence of the cartons free of Per carton: those that save most by it, of equal ones the
    lower carton number, so that the charge does not depend on the order of the cartons."""
    if not quote.included_cartons:
        return frozenset()
    gains = []
    for place, filled in enumerate(cartons):
        dear, cheap = (sum_of(_carton_parts(quote, filled, settings, included)) for included in (False, True))
        gains.append((settle(cheap, settings.currency) - settle(dear, settings.currency), filled.number, place))
    return frozenset(place for _, _, place in sorted(gains)[: quote.included_cartons])


def carton_charges(quote: Quote, cartons: Sequence[FilledCarton], settings: Settings) -> tuple[Decimal, ...]:
    """The rounded charge of each carton of a quote by the carton, in the order given; Refused if one has no price."""
    return tuple(settle(sum_of(parts), settings.currency) for parts in _each_carton(quote, cartons, settings))


def cartons_statement(quote: Quote, cartons: Sequence[FilledCarton], settings: Settings) -> Statement:
    """The charges of all cartons of a quote by the carton, each rounded by itself, and its fixed charge once;
    Refused if its rate card has no price for one."""
    fixed = _fixed_once_parts(quote, settings)
    each = _each_carton(quote, cartons, settings)
    charges = [settle(sum_of(parts), settings.currency) for parts in (fixed, *each)]
    total = sum(charges, ZERO)
    parts = fixed + [part for carton in each for part in carton]
    return Statement(quote, None, lines_to(total, parts, settings.currency), total)


def quote_statements(
    quote: Quote, trips: Mapping[int, Sequence[FilledCarton]], settings: Settings
) -> tuple[Statement, ...]:
    """All statements of a quote: one for each trip that carries something, or one for all its cartons where each
    is a consignment (trips then mean nothing)."""
    used = {trip: trips[trip] for trip in sorted(trips) if trips[trip]}
    if quote.by_load:
        return tuple(trip_statement(quote, trip, cartons, settings) for trip, cartons in used.items())
    cartons = [filled for trip in used.values() for filled in trip]
    return (cartons_statement(quote, cartons, settings),) if cartons else ()


def _each_carton(quote: Quote, cartons: Sequence[FilledCarton], settings: Settings) -> list[list[Part]]:
    free = included_places(quote, cartons, settings)
    return [_carton_parts(quote, filled, settings, place in free) for place, filled in enumerate(cartons)]


def _carton_parts(quote: Quote, filled: FilledCarton, settings: Settings, included: bool) -> list[Part]:
    parts = _by_measure(quote, [filled], int(included), settings)
    return parts + _on_top(quote, parts, Fraction(quote.minimum_charge), settings)


def _fixed_once_parts(quote: Quote, settings: Settings) -> list[Part]:
    parts = _fixed(quote)
    return parts + _on_top(quote, parts, Fraction(0), settings)


def _fixed(quote: Quote) -> list[Part]:
    if not quote.fixed_charge:
        return []
    return [Part(FIXED, Fraction(1), "trip" if quote.by_load else "quote", Fraction(quote.fixed_charge))]


def _by_measure(quote: Quote, cartons: Sequence[FilledCarton], free: int, settings: Settings) -> list[Part]:
    """What the cartons of one consignment are charged by number, weight and volume, ``free`` of them included."""
    units = settings.units
    billed = [exact_billed_weight(quote, filled.carton, filled.gross_weight, units) for filled in cartons]
    weight = sum(billed, Fraction(0))
    parts = []
    if quote.per_carton:
        if free:
            parts.append(Part(INCLUDED, Fraction(free), "carton", Fraction(0)))
        parts.append(Part(PER_CARTON, Fraction(len(cartons) - free), "carton", Fraction(quote.per_carton)))
    if quote.per_weight:
        parts.append(Part(WEIGHT, weight, units.weight, Fraction(quote.per_weight)))
    if quote.per_volume:
        volume = sum((exact_outside_volume(filled.carton, units) for filled in cartons), Fraction(0))
        parts.append(Part(VOLUME, volume, units.volume, Fraction(quote.per_volume)))
    if quote.rate_card:
        parts += [_rate_card_part(quote, *pair, settings) for pair in zip(cartons, billed, strict=True)]
    if quote.weight_breaks:
        _, row, as_weight = rated(quote.weight_breaks, weight)
        what = f"Weight breaks, from {row.from_weight:f} {units.weight}"
        parts.append(Part(what, as_weight / 100, f"100 {units.weight}", Fraction(row.price_per_100)))
    return [part for part in parts if part.quantity]


def _rate_card_part(quote: Quote, filled: FilledCarton, billed: Fraction, settings: Settings) -> Part:
    step = rate_card_step(quote.rate_card, billed) if quote.rate_card else None
    if step is None:
        raise Refused(quote, filled.number, measured(billed))
    what = f"Rate card, up to {step.weight_up_to:f} {settings.units.weight}"
    return Part(what, Fraction(1), "carton", Fraction(step.price))


def _on_top(quote: Quote, parts: Sequence[Part], minimum: Fraction, settings: Settings) -> list[Part]:
    """The lines that raise a charge to its minimum and then add the surcharge."""
    base = sum_of(parts)
    code = settings.currency.code
    found = []
    if base < minimum:
        found.append(Part(TO_MINIMUM, minimum - base, code, Fraction(1)))
    if quote.surcharge:
        found.append(Part(SURCHARGE, max(base, minimum), code, Fraction(quote.surcharge)))
    return [part for part in found if part.quantity]
