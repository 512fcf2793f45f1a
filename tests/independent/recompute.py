"""Every total of a plan, worked out a second time, in fractions and whole minor units.

Written from the written rules and from nothing in the program's own pricing or risk. Whether the plan obeys the
rules is asked in ``broken``. Called by tests only.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from math import ceil, floor

from shipopt.move.cartons import CartonType, FilledCarton
from shipopt.move.cover import Cover
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.quotes import Quote
from shipopt.move.words import Consignment, CoverBasis, Covers, Status, Units

HALF = Fraction(1, 2)


class NoPriceError(Exception):
    """A rate card or a cover that does not reach as far as this carton or consignment."""


@dataclass(frozen=True)
class Totals:
    """Totals of a plan: money in exact decimals, the expected uninsured loss as an exact fraction.

    ``trips`` holds the carriage of each trip (trip 0 for a quote whose consignment is the carton).
    """

    carriage: Decimal
    cartons_bought: Decimal
    cover_fees: Decimal
    expected_uninsured_loss: Fraction
    objective: Fraction
    trips: dict[tuple[str, int], Decimal]

    @property
    def total_cost(self) -> Decimal:
        """Carriage, cartons and fees."""
        return self.carriage + self.cartons_bought + self.cover_fees


def totals(move: Move, shipments: Sequence[Shipment]) -> Totals:
    """All totals of these shipments and of what has gone; NoPriceError where something has no price."""
    trips = {place: carriage_of(move, place[0], load) for place, load in loads(move, shipments).items()}
    paid = sum(minor_units(move, Fraction(gone.paid)) for gone in move.gone)
    cartons = bought(move, [shipment.filled for shipment in shipments])
    cartons += sum(minor_units(move, Fraction(packed.carton_paid)) for packed in move.packed)
    fees = fees_of(move, shipments) + sum(minor_units(move, Fraction(gone.cover_fee)) for gone in move.gone)
    loss = expected_loss(move, shipments)
    cost = money(move, sum(trips.values()) + paid + cartons + fees)
    return Totals(
        carriage=money(move, sum(trips.values()) + paid),
        cartons_bought=money(move, cartons),
        cover_fees=money(move, fees),
        expected_uninsured_loss=loss,
        objective=Fraction(cost) + (loss if move.settings.count_expected_loss else 0),
        trips={place: money(move, amount) for place, amount in trips.items()},
    )


def minor_units(move: Move, amount: Fraction) -> int:
    """An amount as a whole number of minor units, half up."""
    return floor(amount * 10**move.settings.currency.places + HALF)


def money(move: Move, units: int) -> Decimal:
    """Whole minor units as an amount."""
    return Decimal(units).scaleb(-move.settings.currency.places)


def loads(move: Move, shipments: Sequence[Shipment]) -> dict[tuple[str, int], list[Shipment]]:
    """Shipments by quote and trip; all of a quote by the carton together, under trip 0."""
    found: dict[tuple[str, int], list[Shipment]] = defaultdict(list)
    for shipment in shipments:
        trip = shipment.trip if shipment.quote.consignment is Consignment.LOAD else 0
        found[shipment.quote.name, trip].append(shipment)
    return dict(found)


# Weights and volumes


def volume(move: Move, carton: CartonType) -> Fraction:
    """Outside volume in cu ft or m³, sizes as given."""
    cubic = Fraction(carton.length) * Fraction(carton.width) * Fraction(carton.height)
    return cubic / (1728 if move.settings.units is Units.POUND_INCH else 100**3)


def billed(move: Move, filled: FilledCarton, quote: Quote) -> Fraction:
    """Billed weight: gross or by volume, then up to the next step."""
    weight = Fraction(filled.gross_weight)
    if quote.volumetric_divisor is not None:
        cubic = Fraction(1)
        for side in (filled.carton.length, filled.carton.width, filled.carton.height):
            cubic *= floor(Fraction(side) + HALF)
        in_volume_units = cubic / (1728 if move.settings.units is Units.POUND_INCH else 100**3)
        if in_volume_units > Fraction(quote.volumetric_above):
            weight = max(weight, cubic / Fraction(quote.volumetric_divisor))
    if quote.weigh_step is None:
        return weight
    step = Fraction(quote.weigh_step)
    return ceil(weight / step) * step


# Carriage, in minor units


def card_price(quote: Quote, weight: Fraction) -> Fraction:
    """The rate card's price of one carton, nothing where the quote has no card."""
    if quote.rate_card is None:
        return Fraction(0)
    reaching = [step.price for step in quote.rate_card.steps if Fraction(step.weight_up_to) >= weight]
    if not reaching:
        raise NoPriceError(f"{quote.name}: the rate card ends below {float(weight):g}")
    return Fraction(reaching[0])


def break_price(quote: Quote, weight: Fraction) -> Fraction:
    """The cheapest of all weight breaks, shipping as a heavier weight where that is cheaper."""
    if quote.weight_breaks is None:
        return Fraction(0)
    return min(
        Fraction(row.price_per_100) / 100 * max(weight, Fraction(row.from_weight)) for row in quote.weight_breaks.rows
    )


def carriage_of(move: Move, quote_name: str, load: Sequence[Shipment]) -> int:
    """What the carrier charges for one trip of a load, or for all cartons of a quote by the carton."""
    quote = move.quotes[quote_name]
    if quote.consignment is Consignment.LOAD:
        return trip_charge(move, quote, [shipment.filled for shipment in load])
    full = [carton_charge(move, quote, shipment.filled, free=False) for shipment in load]
    free = [carton_charge(move, quote, shipment.filled, free=True) for shipment in load]
    savings = sorted((a - b for a, b in zip(full, free, strict=True)), reverse=True)
    once = minor_units(move, Fraction(quote.fixed_charge) * (1 + Fraction(quote.surcharge)))
    return once + sum(full) - sum(savings[: quote.included_cartons])


def trip_charge(move: Move, quote: Quote, cartons: Sequence[FilledCarton]) -> int:
    """One trip of a load."""
    weights = [billed(move, filled, quote) for filled in cartons]
    base = Fraction(quote.fixed_charge)
    base += Fraction(quote.per_carton) * max(0, len(cartons) - quote.included_cartons)
    base += Fraction(quote.per_weight) * sum(weights)
    base += Fraction(quote.per_volume) * sum(volume(move, filled.carton) for filled in cartons)
    base += sum(card_price(quote, weight) for weight in weights)
    base += break_price(quote, sum(weights, Fraction(0)))
    return minor_units(move, max(base, Fraction(quote.minimum_charge)) * (1 + Fraction(quote.surcharge)))


def carton_charge(move: Move, quote: Quote, filled: FilledCarton, *, free: bool) -> int:
    """One carton that is its own consignment; ``free`` of Per carton or not. Its weight is its consignment's."""
    weight = billed(move, filled, quote)
    base = Fraction(0) if free else Fraction(quote.per_carton)
    base += Fraction(quote.per_weight) * weight + Fraction(quote.per_volume) * volume(move, filled.carton)
    base += card_price(quote, weight) + break_price(quote, weight)
    return minor_units(move, max(base, Fraction(quote.minimum_charge)) * (1 + Fraction(quote.surcharge)))


# Cartons bought and cover fees, in minor units


def bought(move: Move, cartons: Iterable[FilledCarton]) -> int:
    """Cartons beyond those on hand; cartons closed by the user have theirs."""
    needed: dict[str, int] = defaultdict(int)
    for filled in cartons:
        if not filled.closed_by_user:
            needed[filled.carton.name] += 1
    return sum(
        minor_units(move, Fraction(move.cartons[name].price) * max(0, count - move.cartons[name].on_hand))
        for name, count in needed.items()
    )


def fee(move: Move, cover: Cover, value: Fraction) -> int:
    """The fee of one insured value: the first band that reaches it."""
    for band in cover.bands:
        if band.value_up_to is None or Fraction(band.value_up_to) >= value:
            plain = Fraction(band.fee) + Fraction(band.share_of_value) * value
            return minor_units(move, max(Fraction(band.least_fee), plain))
    raise NoPriceError(f"{cover.name}: {float(value):g} is above its last band")


def insured_values(shipments: Sequence[Shipment]) -> dict[tuple[object, ...], tuple[Cover, Fraction]]:
    """Each insured value on which one fee is due. A consignment by the carton is one carton."""
    values: dict[tuple[object, ...], tuple[Cover, Fraction]] = {}
    for place, shipment in enumerate(shipments):
        if shipment.cover is None:
            continue
        whole_trip = shipment.cover.basis is CoverBasis.CONSIGNMENT and shipment.quote.consignment is Consignment.LOAD
        of = (shipment.quote.name, shipment.trip) if whole_trip else ("carton", place)
        before = values.get((*of, shipment.cover.name), (shipment.cover, Fraction(0)))[1]
        values[(*of, shipment.cover.name)] = (shipment.cover, before + Fraction(shipment.filled.value))
    return values


def fees_of(move: Move, shipments: Sequence[Shipment]) -> int:
    """All cover fees."""
    return sum(fee(move, cover, value) for cover, value in insured_values(shipments).values())


# Expected uninsured loss


def owed_without_cover(quote: Quote, gross_weight: Decimal) -> Fraction:
    """The carrier's liability for one carton."""
    owed = max(Fraction(quote.liability_per_weight) * Fraction(gross_weight), Fraction(quote.liability_per_carton))
    return owed if quote.most_liability is None else min(owed, Fraction(quote.most_liability))


def carton_loss(move: Move, filled: FilledCarton, quote: Quote, cover: Cover | None) -> Fraction:
    """Expected uninsured loss of one carton; the larger of cover and liability counts, not both."""
    value, hurt = Fraction(filled.value), Fraction(filled.value) * Fraction(move.settings.damage_share)
    owed = owed_without_cover(quote, filled.gross_weight)
    back_lost = min(value, owed)
    back_hurt = min(hurt, owed) if quote.liability_covers is Covers.LOSS_AND_DAMAGE else Fraction(0)
    if cover is not None:
        back_lost = max(back_lost, value - Fraction(cover.excess))
        if cover.covers is Covers.LOSS_AND_DAMAGE:
            back_hurt = max(back_hurt, hurt - Fraction(cover.excess))
    lost = Fraction(quote.loss_chance) + Fraction(quote.whole_load_loss)
    damaged = Fraction(quote.damage_chance) * Fraction(filled.carton.damage_factor)
    return lost * (value - back_lost) + damaged * (hurt - back_hurt)


def loss_of_sent(move: Move) -> Fraction:
    """Cartons still on their way have the carrier's liability and their cover; arrived ones are past all risk."""
    return sum(
        (
            carton_loss(move, gone.filled, move.quotes[gone.gone_by], move.covers[gone.cover] if gone.cover else None)
            for gone in move.gone
            if gone.status is Status.SENT and gone.gone_by is not None
        ),
        Fraction(0),
    )


def expected_loss(move: Move, shipments: Sequence[Shipment]) -> Fraction:
    """Expected uninsured loss of a plan, exact."""
    return loss_of_sent(move) + sum(carton_loss(move, s.filled, s.quote, s.cover) for s in shipments)
