"""Covers and uninsured loss for the straightforward formulation: fees by band, the insure rule, the cap on loss.

A slot takes one cover at most: by itself, or with the others of its trip that take the same. What the carrier owes is
counted as a constant, or by weight where it is not capped, whichever the quote has: never more than it owes.
"""

from dataclasses import dataclass, field
from decimal import Decimal

from benchmarks.modeller import Term, Variable
from benchmarks.slots import Slot, Slots, Trip
from shipopt.move.cover import Band, Cover
from shipopt.move.words import CoverBasis, Covers


@dataclass(slots=True)
class _Taken:
    """A cover that a slot may take: by itself, or (``by_trip``) with its trip; ``trips`` are those it is offered on."""

    cover: Cover
    by_trip: bool
    trips: list[int]
    slots: list[Variable] = field(default_factory=list)


def covers(it: Slots) -> None:
    """Add covers, their fees, the duty to take one and the cap on loss, as far as the move has any of these."""
    settings = it.move.settings
    rule = settings.insure_from is not None
    losses_count = settings.most_expected_loss is not None or settings.count_expected_loss
    if not rule and not losses_count:
        return
    it.taken = _offers(it)
    for taken in it.taken:
        _only_where_offered(it, taken)
        if taken.by_trip:
            _fees_of_trips(it, taken)
        else:
            _fees_of_slots(it, taken)
    for place in range(len(it.slots)):
        it.model.at_most([(1, taken.slots[place]) for taken in it.taken], 1)
    if rule:
        _insure_rule(it)
    if losses_count:
        _losses(it)


def _offers(it: Slots) -> list[_Taken]:
    found = []
    for cover in it.move.covers.values():
        offered = [i for i, trip in enumerate(it.trips) if cover.offered_to(trip.quote.name)]
        together = [i for i in offered if cover.basis is CoverBasis.CONSIGNMENT and it.trips[i].quote.by_load]
        alone = [i for i in offered if i not in together]
        found += [_Taken(cover, by_trip, trips) for by_trip, trips in ((False, alone), (True, together)) if trips]
    for taken in found:
        taken.slots = [it.model.yes() for _ in it.slots]
    return found


def _only_where_offered(it: Slots, taken: _Taken) -> None:
    for slot, x in zip(it.slots, taken.slots, strict=True):
        it.model.at_most([(1, x), *((-1, slot.on[index]) for index in taken.trips)], 0)


def _value(slot: Slot) -> list[Term]:
    return [(1, there) for there in slot.value]


def _fees_of_slots(it: Slots, taken: _Taken) -> None:
    for slot, x in zip(it.slots, taken.slots, strict=True):
        _fee(it, taken.cover, _value(slot), x, it.most_value)


def _fees_of_trips(it: Slots, taken: _Taken) -> None:
    everything = sum((line.value * line.copies for line in it.lines), Decimal(0))
    for index in taken.trips:
        any_taken, insured = it.model.yes(), []
        for slot, x in zip(it.slots, taken.slots, strict=True):
            it.model.at_most([(1, x), (1, slot.on[index]), (-1, any_taken)], 1)
            part = it.model.amount(it.most_value, it.value_step)
            it.model.at_most([(1, slot.value[index]), (-1, part)], 0, given=x)
            insured.append((1, part))
        _fee(it, taken.cover, insured, any_taken, everything)


def _fee(it: Slots, cover: Cover, value: list[Term], taken: Variable, most: Decimal) -> None:
    """A band where the cover is taken; the value is not above it, the fee not below what the band asks."""
    model = it.model
    bands = [(band, model.yes()) for band in cover.bands]
    model.exactly([*((1, x) for _, x in bands), (-1, taken)], 0)
    fee = model.amount(max(_most_fee(band, most) for band in cover.bands) + 1)
    before = None
    for band, x in bands:
        if band.value_up_to is not None and band.value_up_to < most:
            model.at_most(value, band.value_up_to, given=x)
        if before is not None and _most_fee(before, before.value_up_to or most) > _least_fee(band):
            above = (before.value_up_to or most) + it.move.settings.currency.minor_unit
            model.at_most([(-factor, v) for factor, v in value], -above, given=x)
        before = band
        if band.share_of_value:
            model.at_most([*((band.share_of_value, v) for _, v in value), (-1, fee)], -band.fee, given=x)
    model.at_most([*((max(band.fee, band.least_fee), x) for band, x in bands), (-1, fee)], 0)
    it.costs.append((1, fee))


def _most_fee(band: Band, most: Decimal) -> Decimal:
    return max(band.fee + band.share_of_value * most, band.least_fee)


def _least_fee(band: Band) -> Decimal:
    return max(band.fee, band.least_fee)


def _insure_rule(it: Slots) -> None:
    settings = it.move.settings
    for index, trip in enumerate(it.trips):
        if not trip.quote.insure_rule_applies:
            continue
        assert settings.insure_from is not None
        uncovered = max(settings.insure_from - settings.currency.minor_unit, _owed_always(trip))
        cap = it.value_cap(trip)
        for place, slot in enumerate(it.slots):
            terms: list[Term] = [(1, slot.value[index]), (-uncovered, slot.on[index])]
            terms += [(-cap, taken.slots[place]) for taken in it.taken if index in taken.trips]
            it.model.at_most(terms, 0)


def _owed_always(trip: Trip) -> Decimal:
    """What the carrier owes for a carton whatever it weighs."""
    owed, most = trip.quote.liability_per_carton, trip.quote.most_liability
    return owed if most is None else min(owed, most)


# Uninsured loss


def _losses(it: Slots) -> None:
    settings = it.move.settings
    for place in range(len(it.slots)):
        it.losses += [(1, _lost(it, place)), (1, _damaged(it, place))]
    if settings.most_expected_loss is not None:
        it.model.at_most(it.losses, settings.most_expected_loss * Decimal("0.999999"))
    if settings.count_expected_loss:
        it.costs += it.losses


def _owed(it: Slots, slot: Slot, index: int) -> Term:
    """What the carrier owes for the slot on a trip, as a term."""
    quote = it.trips[index].quote
    by_weight = quote.liability_per_weight * it.move.settings.heaviest_carton
    if quote.most_liability is None and by_weight > quote.liability_per_carton:
        return quote.liability_per_weight, slot.weight[index]
    return _owed_always(it.trips[index]), slot.on[index]


def _lost(it: Slots, place: int) -> Variable:
    """Expected loss by losing the carton: chance × what neither cover nor carrier pays."""
    slot = it.slots[place]
    chances = [trip.quote.loss_chance + trip.quote.whole_load_loss for trip in it.trips]
    terms: list[Term] = []
    for index, chance in enumerate(chances):
        owed, x = _owed(it, slot, index)
        terms += [(chance, slot.value[index]), (-chance * owed, x)]
    borne = it.model.amount(max(chances) * it.most_value + 1, "0.001")
    _bear(it, place, borne, chances, terms, it.taken, Decimal(1), [])
    return borne


def _damaged(it: Slots, place: int) -> Variable:
    """Expected loss by damage, by the carton's damage factor."""
    slot, share = it.slots[place], it.move.settings.damage_share
    chances = [trip.quote.damage_chance for trip in it.trips]
    helping = [taken for taken in it.taken if taken.cover.covers is Covers.LOSS_AND_DAMAGE]
    factors = sorted({carton.damage_factor for carton in it.move.cartons.values()})
    # Sized by the largest factor: every factor's own terms bound the same variable from below.
    borne = it.model.amount(max(chances) * it.most_value * factors[-1] + 1, "0.001")
    for factor in factors:
        terms: list[Term] = []
        for index, chance in enumerate(chances):
            terms.append((chance * factor * share, slot.value[index]))
            if it.trips[index].quote.liability_covers is Covers.LOSS_AND_DAMAGE:
                owed, x = _owed(it, slot, index)
                terms.append((-chance * factor * owed, x))
        weaker = [slot.kinds[carton.name, index] for carton, index in it.pairs if carton.damage_factor < factor]
        _bear(it, place, borne, chances, terms, helping, factor, weaker)
    return borne


def _bear(
    it: Slots,
    place: int,
    borne: Variable,
    chances: list[Decimal],
    terms: list[Term],
    helping: list[_Taken],
    factor: Decimal,
    weaker: list[Variable],
) -> None:
    """What is borne is at least the terms, unless a cover that is taken helps: then at least its excess. ``weaker``
    are carton types that these terms are too much for."""
    model, slot = it.model, it.slots[place]
    most = max(chances) * it.most_value * factor
    helps = []
    for taken in helping:
        x = model.yes()
        model.at_most([(1, x), (-1, taken.slots[place])], 0)
        excess: list[Term] = [
            (chance * factor * taken.cover.excess, slot.on[index]) for index, chance in enumerate(chances)
        ]
        high = max(chances) * factor * taken.cover.excess
        model.at_most([*excess, *((-high, w) for w in weaker), (-1, borne)], 0, given=x)
        helps.append(x)
    model.at_most([*terms, *((-most, x) for x in [*helps, *weaker]), (-1, borne)], 0)
