"""Tariffs for the straightforward formulation: loads, weight breaks, and quotes by the carton, with their minimums."""

from decimal import Decimal

from benchmarks.modeller import Term, Variable
from benchmarks.slots import Slot, Slots
from shipopt.move.quotes import RateCard, WeightBreaks
from shipopt.pricing.billing import outside_volume, volumetric_weight


def prices(it: Slots) -> None:
    """Charge every trip of a load, and every slot that goes by a quote by the carton."""
    for index, trip in enumerate(it.trips):
        if trip.quote.by_load:
            _load(it, index)
        else:
            _by_carton(it, index)


def _load(it: Slots, index: int) -> None:
    quote, used, model = it.trips[index].quote, it.used[index], it.model
    base: list[Term] = [(quote.fixed_charge, used)]
    billed = [_billed(it, slot, index) for slot in it.slots]
    if quote.per_carton:
        over = model.whole(len(it.slots))
        terms: list[Term] = [(1, slot.on[index]) for slot in it.slots]
        model.at_most([*terms, (-1, over), (-quote.included_cartons, used)], 0)
        base.append((quote.per_carton, over))
    if quote.per_weight:
        base += [(quote.per_weight, weight) for weight in billed]
    if quote.per_volume:
        base += [(quote.per_volume * factor, x) for slot in it.slots for factor, x in it.volume_terms(slot, index)]
    if quote.rate_card:
        for slot, weight in zip(it.slots, billed, strict=True):
            base += _rate_card(it, quote.rate_card, weight, slot.on[index])
    if quote.weight_breaks:
        base += _weight_breaks(it, quote.weight_breaks, billed, used)
    charge = model.amount(_ceiling(it, index, len(it.slots)))
    up = 1 + quote.surcharge
    model.at_most([*((up * factor, x) for factor, x in base), (-1, charge)], 0)
    model.at_most([(up * quote.minimum_charge, used), (-1, charge)], 0)
    it.costs.append((1, charge))


def _by_carton(it: Slots, index: int) -> None:
    quote, model = it.trips[index].quote, it.model
    up = 1 + quote.surcharge
    it.costs.append((up * quote.fixed_charge, it.used[index]))
    free: list[Variable] = []
    for slot in it.slots:
        on, weight = slot.on[index], _billed(it, slot, index)
        base: list[Term] = [(quote.per_carton, on), (quote.per_weight, weight)]
        base += [(quote.per_volume * factor, x) for factor, x in it.volume_terms(slot, index)]
        if quote.rate_card:
            base += _rate_card(it, quote.rate_card, weight, on)
        if quote.weight_breaks:
            base += _weight_breaks(it, quote.weight_breaks, [weight], on)
        if quote.included_cartons:
            free.append(model.yes())
            model.at_most([(1, free[-1]), (-1, on)], 0)
            base.append((-quote.per_carton, free[-1]))
        charge = model.amount(_ceiling(it, index, 1))
        model.at_most([*((up * factor, x) for factor, x in base if factor), (-1, charge)], 0)
        model.at_most([(up * quote.minimum_charge, on), (-1, charge)], 0)
        it.costs.append((1, charge))
    if free:
        model.at_most([(1, x) for x in free], quote.included_cartons)


def _ceiling(it: Slots, index: int, cartons: int) -> Decimal:
    """The most that so many cartons on a trip can be charged."""
    quote, settings = it.trips[index].quote, it.move.settings
    kinds = [carton for carton, place in it.pairs if place == index]
    volumetric = [volumetric_weight(quote, carton, settings.units) or Decimal(0) for carton in kinds]
    billed = max([settings.heaviest_carton, *volumetric]) + (quote.weigh_step or 0)
    volume = max((outside_volume(carton, settings.units) for carton in kinds), default=Decimal(0))
    each = quote.per_carton + quote.per_weight * billed + quote.per_volume * volume
    each += max((step.price for step in quote.rate_card.steps), default=Decimal(0)) if quote.rate_card else 0
    most = quote.fixed_charge + quote.minimum_charge + cartons * each
    for row in quote.weight_breaks.rows if quote.weight_breaks else ():
        most += row.price_per_100 / 100 * (cartons * billed + row.from_weight)
    return (1 + quote.surcharge) * most + 1


def _billed(it: Slots, slot: Slot, index: int) -> Variable:
    """Billed weight of a slot on a trip: gross, or by volume where that is more, rounded up in the quote's steps."""
    quote, model, gross = it.trips[index].quote, it.model, slot.weight[index]
    volumes = [
        (weight, slot.kinds[carton.name, place])
        for carton, place in it.pairs
        if place == index and (weight := volumetric_weight(quote, carton, it.move.settings.units)) is not None
    ]
    if not volumes and quote.weigh_step is None:
        return gross
    most = max([gross.most, *(weight for weight, _ in volumes)]) + (quote.weigh_step or 0)
    billed = model.amount(most, it.weight_step)
    model.at_most([(1, gross), (-1, billed)], 0)
    model.at_most([*volumes, (-1, billed)], 0)
    if quote.weigh_step is not None:
        model.exactly([(quote.weigh_step, model.whole(int(most / quote.weigh_step))), (-1, billed)], 0)
    return billed


def _rate_card(it: Slots, card: RateCard, billed: Variable, on: Variable) -> list[Term]:
    """One step of the card where the slot is used; the billed weight is not above it."""
    chosen = [(step, it.model.yes()) for step in card.steps]
    it.model.exactly([*((1, x) for _, x in chosen), (-1, on)], 0)
    it.model.at_most([(1, billed), *((-step.weight_up_to, x) for step, x in chosen)], 0)
    return [(step.price, x) for step, x in chosen]


def _weight_breaks(it: Slots, breaks: WeightBreaks, billed: list[Variable], used: Variable) -> list[Term]:
    """One row where the trip is used; rated at its weight, or at the weight the row starts from."""
    model = it.model
    most = sum((weight.most for weight in billed), Decimal(0))
    chosen, parts, terms = [], [], []
    for row in breaks.rows:
        taken, part = model.yes(), model.amount(most, it.weight_step)
        rated = model.amount(most + row.from_weight, it.weight_step)
        model.at_most([(1, part), (-most, taken)], 0)
        model.at_most([(1, part), (-1, rated)], 0)
        model.at_most([(row.from_weight, taken), (-1, rated)], 0)
        chosen.append(taken)
        parts.append(part)
        terms.append((row.price_per_100 / Decimal(100), rated))
    model.exactly([*((1, x) for x in chosen), (-1, used)], 0)
    model.exactly([*((1, weight) for weight in billed), *((-1, part) for part in parts)], 0)
    return terms
