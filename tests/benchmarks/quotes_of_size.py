"""The quotes and covers of an invented move, scaled to the collection so that a good plan uses a few of them.

Shapes of price: vans for the lot, by carton, by weight, by volume and in several trips; freight with weight breaks;
post with rate cards, for recordings only, and by volumetric weight; carry-on with room for all that must be carried.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from random import Random
from typing import Any

from benchmarks.boxes import BAG
from benchmarks.scale import Scale
from shipopt.move.cartons import CartonType
from shipopt.move.cover import Band, Cover
from shipopt.move.quotes import Quote, RateCard, RateStep, WeightBreak, WeightBreaks
from shipopt.move.words import Consignment, CoverBasis, Covers, Means


@dataclass(frozen=True, slots=True)
class Size:
    """What quotes are scaled to: totals of the whole collection in LP cartons, and of what must be carried by hand.

    Weights and stacks in the move's units, ``volume`` in cubic length units, values in money.
    """

    cartons: int
    weight: float
    volume: float
    value: float
    dearest: float
    hand_weight: float
    hand_stack: float
    hand_value: float


CHANCES: dict[Means, tuple[str, str, str]] = {
    Means.CARRY_ON: ("0.0005", "0.001", "0.0002"),
    Means.VAN: ("0.001", "0.008", "0.001"),
    Means.FREIGHT: ("0.003", "0.02", "0.001"),
    Means.POST: ("0.006", "0.015", "0"),
}
"""Loss of a carton, damage to it, loss of the whole load: invented planning assumptions."""

ALWAYS = ("carry_on", "van_by_carton", "freight", "post_tracked", "post_recordings", "van_for_the_lot")
"""The shapes that every move has, whatever the number of its quotes."""

THE_REST = (
    "van_in_trips",
    "post_volumetric",
    "van_by_weight",
    "van_by_volume",
    "freight",
    "van_for_the_lot",
    "post_tracked",
    "van_by_carton",
    "second_bag",
)


def quotes_of(rng: Random, number: int, size: Size, scale: Scale, cartons: dict[str, CartonType]) -> dict[str, Quote]:
    """So many quotes by name, in a shuffled order; of ten or more, one in ten is out (expired, or too late)."""
    maker = _Maker(rng, size, scale, cartons)
    shapes = [*ALWAYS, *(THE_REST[place % len(THE_REST)] for place in range(number - len(ALWAYS)))]
    out = {place for place in range(len(ALWAYS), number) if place % 10 == 9}
    found = [maker.quote(shape, place, out=place in out) for place, shape in enumerate(shapes)]
    rng.shuffle(found)
    return {quote.name: quote for quote in found}


def covers_of(rng: Random, quotes: dict[str, Quote]) -> dict[str, Cover]:
    """Cover by carton for loss alone (post), by carton for loss and damage, and by consignment with a least fee."""
    posts = tuple(quote.name for quote in quotes.values() if quote.means is Means.POST)
    loads = tuple(quote.name for quote in quotes.values() if quote.by_load)
    dear = rng.uniform(0.85, 1.2)
    steps = ((250, 2.5), (500, 4.2), (1000, 7.5), (2500, 17), (5000, 33))
    bands = tuple(Band(Decimal(top), Decimal(f"{fee * dear:.2f}")) for top, fee in steps)
    any_road = Band(None, Decimal(2), Decimal(f"{0.011 * dear:.4f}"), Decimal(5))
    whole = Band(None, Decimal(0), Decimal(f"{0.0045 * dear:.4f}"), Decimal(round(45 * dear)))
    found = (
        Cover("Parcel cover", Covers.LOSS, CoverBasis.CARTON, bands, posts),
        Cover("Every carton", Covers.LOSS_AND_DAMAGE, CoverBasis.CARTON, (any_road,), None, Decimal(75)),
        Cover("Whole load", Covers.LOSS_AND_DAMAGE, CoverBasis.CONSIGNMENT, (whole,), loads, Decimal(150)),
    )
    return {cover.name: cover for cover in found}


class _Maker:
    """Draws one quote after another; every price has a level of its own, near a common one."""

    def __init__(self, rng: Random, size: Size, scale: Scale, cartons: dict[str, CartonType]) -> None:
        self.rng, self.size, self.scale, self.cartons = rng, size, scale, cartons
        self.kilograms = size.weight / (1 if scale.metric else 2.2)
        self.cubic_metres = size.volume / (1e6 if scale.metric else 35 * 1728)
        self.parcels = tuple(name for name in cartons if name != BAG)

    def quote(self, shape: str, place: int, *, out: bool) -> Quote:
        makers: dict[str, Callable[[float], dict[str, Any]]] = {
            "carry_on": self._carry_on,
            "second_bag": self._second_bag,
            "van_for_the_lot": self._van_for_the_lot,
            "van_by_carton": self._van_by_carton,
            "van_by_weight": self._van_by_weight,
            "van_by_volume": self._van_by_volume,
            "van_in_trips": self._van_in_trips,
            "freight": self._freight,
            "post_tracked": self._post_tracked,
            "post_recordings": self._post_recordings,
            "post_volumetric": self._post_volumetric,
        }
        given = makers[shape](math.exp(self.rng.gauss(0, 0.18)))
        means: Means = given.pop("means")
        loss, damage, whole = (Decimal(chance) for chance in CHANCES[means])
        load = means is not Means.POST
        plain: dict[str, Any] = {
            "name": f"{shape.replace('_', ' ')} {place + 1}",
            "means": means,
            "consignment": Consignment.LOAD if load else Consignment.CARTON,
            "bidder": f"Invented carrier {place + 1}",
            "cartons_accepted": None if means is Means.CARRY_ON else self.parcels,
            "transit_days": self.rng.randint(1, 14),
            "valid_until": date(2031, 1, 15) if out else None,
            "loss_chance": loss,
            "damage_chance": damage,
            "whole_load_loss": whole,
            "insure_rule_applies": means is not Means.CARRY_ON,
        }
        return Quote(**plain | given)

    # Carried by the owner

    def _carry_on(self, level: float) -> dict[str, Any]:
        """Trips with a bag or two; where too many bags would be needed, drives with the owner's own car."""
        metric = 1 if self.scale.metric else 2.2
        by_car = self.size.hand_weight / metric > 60
        kilograms = 220.0 if by_car else self.rng.choice([8.0, 10.0, 12.0])
        bags = 18 if by_car else self.rng.choice([1, 2])
        trips = self._trips_to_carry(kilograms, bags)
        price = self.rng.uniform(120, 220) if by_car else self.rng.uniform(35, 90)
        return {
            "means": Means.CARRY_ON,
            "trips_at_most": trips,
            "fixed_charge": _money(price * level),
            "most_cartons": bags,
            "most_weight": self.scale.whole_weight(kilograms),
            "cartons_accepted": None if by_car else (BAG,),
        }

    def _trips_to_carry(self, kilograms: float, bags: int) -> int:
        """Trips for what must be carried, with room to spare: bags are part full, and a trip's value may be capped."""
        bag = self.cartons[BAG]
        contents = float(self.scale.whole_weight(kilograms)) - bags * float(bag.empty_weight)
        by_weight = self.size.hand_weight / contents
        by_room = self.size.hand_stack / (bags * float(bag.stack_length) * 0.9)
        return max(2, math.ceil(1.5 * max(by_weight, by_room)) + 1)

    def _second_bag(self, level: float) -> dict[str, Any]:
        return {
            "means": Means.CARRY_ON,
            "trips_at_most": self.rng.randint(1, 3),
            "fixed_charge": _money(self.rng.uniform(40, 110) * level),
            "most_cartons": 1,
            "most_weight": self.scale.whole_weight(self.rng.choice([8, 10])),
            "cartons_accepted": (BAG,),
        }

    # Vans

    def _van(self, **given: Any) -> dict[str, Any]:
        owed = self.rng.choice(["0", "0", "1.2", "3"])
        plain: dict[str, Any] = {
            "means": Means.VAN,
            "closed_body": True,
            "tracked": self.rng.random() < 0.7,
            "liability_per_weight": Decimal(owed),
        }
        return plain | given

    def _van_for_the_lot(self, level: float) -> dict[str, Any]:
        share = self.rng.uniform(0.25, 0.6)
        return self._van(
            fixed_charge=_money(level * (90 + 0.5 * share * self.kilograms)),
            most_weight=self.scale.whole_weight(share * self.kilograms),
            most_cartons=math.ceil(share * self.size.cartons * 1.1),
            most_value=self._most_value(0.5),
        )

    def _van_by_carton(self, level: float) -> dict[str, Any]:
        share = self.rng.uniform(0.3, 0.7)
        included = round(self.size.cartons * self.rng.uniform(0.02, 0.12))
        return self._van(
            fixed_charge=_money(level * (80 + 9 * included)),
            included_cartons=included,
            per_carton=_money(self.rng.uniform(10.5, 13) * level),
            most_cartons=math.ceil(share * self.size.cartons),
        )

    def _van_by_weight(self, level: float) -> dict[str, Any]:
        share = self.rng.uniform(0.3, 0.7)
        return self._van(
            fixed_charge=_money(60 * level),
            per_weight=self.scale.price_by_weight(self.rng.uniform(0.5, 0.62) * level),
            surcharge=Decimal(self.rng.choice(["0", "0.05", "0.085"])),
            most_weight=self.scale.whole_weight(share * self.kilograms),
        )

    def _van_by_volume(self, level: float) -> dict[str, Any]:
        share = self.rng.uniform(0.3, 0.8)
        price = self.rng.uniform(250, 310) * level
        return self._van(
            per_volume=self.scale.price_by_volume(price),
            minimum_charge=_money(price * share * self.cubic_metres * self.rng.uniform(0.2, 0.5)),
            most_volume=self.scale.volume(share * self.cubic_metres),
        )

    def _van_in_trips(self, level: float) -> dict[str, Any]:
        trips = self.rng.randint(2, 4)
        share = self.rng.uniform(0.12, 0.25)
        return self._van(
            trips_at_most=trips,
            fixed_charge=_money(level * (70 + 0.48 * share * self.kilograms)),
            per_carton=_money(1.2 * level),
            most_weight=self.scale.whole_weight(share * self.kilograms),
            most_value=self._most_value(0.25),
        )

    def _most_value(self, share: float) -> Decimal | None:
        if self.rng.random() < 0.5:
            return None
        return Decimal(math.ceil(max(1.5 * self.size.dearest, share * self.size.value) / 100) * 100)

    # Freight and post

    def _freight(self, level: float) -> dict[str, Any]:
        tops = (0, 100, 300, 1000, 3000)
        prices = (88, 70, 56, 47, 41)
        rows = tuple(
            WeightBreak(self.scale.whole_weight(top) if top else Decimal(0), self._per_100(price * level))
            for top, price in zip(tops, prices, strict=True)
        )
        most = self.scale.whole_weight(self.rng.uniform(0.4, 0.8) * self.kilograms)
        return {
            "means": Means.FREIGHT,
            "weight_breaks": WeightBreaks("freight", rows),
            "per_carton": _money(self.rng.uniform(0.8, 2)),
            "minimum_charge": _money(self.rng.uniform(80, 160)),
            "surcharge": Decimal(self.rng.choice(["0.06", "0.11", "0.165"])),
            "most_weight": None if self.rng.random() < 0.4 else most,
            "liability_per_weight": Decimal(self.rng.choice(["0", "1.5", "8"])),
        }

    def _per_100(self, price: float) -> Decimal:
        return Decimal(f"{price / (1 if self.scale.metric else 2.2):.2f}")

    def _rate_card(self, name: str, level: float) -> RateCard:
        steps = ((2, 5.2), (5, 7.4), (10, 10.9), (20, 16.5), (31.5, 22.5))
        return RateCard(name, tuple(RateStep(self.scale.weight(top), _money(cost * level)) for top, cost in steps))

    def _post_tracked(self, level: float) -> dict[str, Any]:
        return {
            "means": Means.POST,
            "rate_card": self._rate_card("tracked", level * 1.1),
            "tracked": True,
            "closed_body": True,
            "most_value": Decimal(5000),
            "carton_weight_limit": self.scale.weight(31.5),
            "liability_per_carton": Decimal(self.rng.choice([0, 50, 100])),
            "loss_chance": Decimal("0.004"),
        }

    def _post_recordings(self, level: float) -> dict[str, Any]:
        return {
            "means": Means.POST,
            "recordings_only": True,
            "per_carton": _money(3.2 * level),
            "per_weight": self.scale.price_by_weight(0.62 * level),
            "weigh_step": Decimal(1),
            "carton_weight_limit": self.scale.whole_weight(30),
            "carton_girth_limit": self.scale.length(300),
        }

    def _post_volumetric(self, level: float) -> dict[str, Any]:
        return {
            "means": Means.POST,
            "rate_card": self._rate_card("courier", level * 0.9),
            "surcharge": Decimal(self.rng.choice(["0", "0.12"])),
            "volumetric_divisor": Decimal(5000 if self.scale.metric else 139),
            "volumetric_above": self.scale.volume(0.03),
            "weigh_step": Decimal("0.5"),
            "carton_weight_limit": self.scale.whole_weight(31),
            "tracked": self.rng.random() < 0.5,
        }


def _money(amount: float) -> Decimal:
    """Money to five hundredths, as prices are quoted."""
    return Decimal(round(amount * 20)) / 20
