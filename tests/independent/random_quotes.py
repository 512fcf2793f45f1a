"""Random quotes, tariffs and covers for random moves, from the move's one seeded source. All of it is invented."""

from collections.abc import Mapping
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from random import Random
from typing import Any

from shipopt.move.cartons import CartonType
from shipopt.move.cover import Band, Cover
from shipopt.move.money import Currency
from shipopt.move.quotes import Quote, RateCard, RateStep, WeightBreak, WeightBreaks
from shipopt.move.words import Consignment, CoverBasis, Covers, Means, Units

CHANCES = {
    Means.CARRY_ON: ("0.001", "0.004", "0"),
    Means.VAN: ("0.002", "0.02", "0.003"),
    Means.FREIGHT: ("0.008", "0.04", "0.004"),
    Means.POST: ("0.015", "0.05", "0"),
}
"""Loss, damage and whole-load loss by means: invented."""


class Prices:
    """Draws money in one currency; a currency without minor unit has prices a hundred times as large."""

    def __init__(self, rng: Random, in_currency: Currency) -> None:
        self.rng = rng
        self.currency = in_currency
        self.factor = 100 if in_currency.places == 0 else 1

    def money(self, low: float, high: float) -> Decimal:
        """An amount that the currency has coins for."""
        return self._drawn(low, high, self.currency.places)

    def rate(self, low: float, high: float) -> Decimal:
        """A price for each unit, with one place more than the currency has, so that charges have to be rounded."""
        return self._drawn(low, high, self.currency.places + 1)

    def _drawn(self, low: float, high: float, places: int) -> Decimal:
        amount = self.rng.uniform(low, high) * self.factor
        return Decimal(round(amount * 10**places)).scaleb(-places)

    def share_of(self, value: Decimal, low: float, high: float) -> Decimal:
        """Part of an amount, in whole minor units."""
        part = value * Decimal(repr(self.rng.uniform(low, high)))
        return part.quantize(self.currency.minor_unit, rounding=ROUND_HALF_UP)

    def chance(self, share: float) -> bool:
        return self.rng.random() < share


def random_quotes(prices: Prices, *, most_quotes: int, ready: date, **about: Any) -> dict[str, Quote]:
    """One to ``most_quotes`` quotes; the first is a roomy one in most moves, so that most moves have a plan."""
    found = {}
    for index in range(prices.rng.choice([1, *range(2, most_quotes + 1), most_quotes])):
        roomy = index == 0 and prices.chance(0.8)
        quote = _Drawn(prices, roomy, ready=ready, **about).quote(f"quote {index + 1}")
        found[quote.name] = quote
    return found


class _Drawn:
    """Draws one quote. ``weight`` and ``value`` are the whole move's."""

    def __init__(
        self,
        prices: Prices,
        roomy: bool,
        *,
        units: Units,
        cartons: Mapping[str, CartonType],
        weight: Decimal,
        value: Decimal,
        heaviest: Decimal,
        expected_cartons: int,
        most_trips: int,
        ready: date,
    ) -> None:
        self.prices, self.rng, self.roomy = prices, prices.rng, roomy
        self.units, self.cartons = units, cartons
        self.weight, self.value, self.heaviest = weight, value, heaviest
        self.expected_cartons, self.most_trips, self.ready = expected_cartons, most_trips, ready

    def quote(self, name: str) -> Quote:
        means = self.rng.choice([Means.VAN, Means.FREIGHT, Means.VAN] if self.roomy else list(Means))
        by_carton = (means is Means.POST) != self.prices.chance(0.1)
        loss, damage, whole = (Decimal(chance) for chance in CHANCES[means])
        return Quote(
            name=name,
            means=means,
            consignment=Consignment.CARTON if by_carton else Consignment.LOAD,
            loss_chance=loss,
            damage_chance=damage,
            whole_load_loss=whole,
            insure_rule_applies=means is not Means.CARRY_ON,
            **self.charges(by_carton),
            **self.limits(by_carton),
            **self.weighing(),
            **self.features(means),
            **self.liability(),
            **self.dates(),
        )

    def some(self, share: float) -> bool:
        return self.prices.chance(share)

    def charges(self, by_carton: bool) -> dict[str, Any]:
        given: dict[str, Any] = {}
        money, rate = self.prices.money, self.prices.rate
        if self.some(0.6):
            given["fixed_charge"] = money(5, 60)
        if self.some(0.6):
            given["per_carton"] = money(1, 12)
            given["included_cartons"] = self.rng.choice([0, 0, 1, 2])
        if self.some(0.5):
            given["per_weight"] = rate(0.05, 0.6)
        if self.some(0.3):
            given["per_volume"] = rate(0.5, 6) * (20 if self.units is Units.KILOGRAM_CENTIMETRE else 1)
        if self.some(0.5 if by_carton else 0.15):
            given["rate_card"] = self.card()
        if self.some(0.1 if by_carton else 0.35):
            given["weight_breaks"] = self.breaks()
        if self.some(0.35):
            given["minimum_charge"] = money(3, 12) if by_carton else money(20, 90)
        if self.some(0.35):
            given["surcharge"] = self.rng.choice([Decimal("0.05"), Decimal("0.125"), Decimal("0.2")])
        return given

    def card(self) -> RateCard:
        """A card in two to five steps; the last reaches the heaviest to lift, or not quite."""
        steps = self.rng.randint(2, 5)
        top = self.heaviest * (2 if self.some(0.7) else 1)
        if not self.roomy and self.some(0.3):
            top *= Decimal("0.8")
        price, found = self.prices.money(2, 8), []
        for step in range(1, steps + 1):
            found.append(RateStep((top * step / steps).quantize(Decimal("0.1")), price))
            price += self.prices.money(0.5, 6)
        return RateCard("card", tuple(found))

    def breaks(self) -> WeightBreaks:
        """Rates that fall with weight, breaking where this move's weight may reach or nearly reach."""
        rate = self.prices.rate(20, 90)
        found = [WeightBreak(Decimal(0), rate)]
        place = Decimal(0)
        for _ in range(self.rng.randint(1, 3)):
            place += (self.weight * Decimal(repr(self.rng.uniform(0.15, 0.5)))).quantize(Decimal(1)) + 1
            rate = (rate * Decimal(repr(self.rng.uniform(0.5, 0.9)))).quantize(self.prices.currency.minor_unit)
            found.append(WeightBreak(place, rate))
        return WeightBreaks("breaks", tuple(found))

    def limits(self, by_carton: bool) -> dict[str, Any]:
        given: dict[str, Any] = {}
        if not by_carton:
            given["trips_at_most"] = self.rng.randint(1, self.most_trips)
        if self.roomy:
            return given
        volume = max(c.small_volume for c in self.cartons.values()) / self.units.small_volumes_in_a_volume
        if self.some(0.3):
            given["most_cartons"] = max(1, round(self.expected_cartons * self.rng.uniform(0.3, 1.2)))
        if self.some(0.2):
            given["most_weight"] = (self.weight * Decimal(repr(self.rng.uniform(0.4, 1.2)))).quantize(Decimal(1))
        if self.some(0.15):
            share = Decimal(repr(self.expected_cartons * self.rng.uniform(0.4, 1.3)))
            given["most_volume"] = (volume * share).quantize(Decimal("0.01"))
        if self.some(0.2):
            given["most_value"] = self.prices.share_of(self.value, 0.2, 1.0)
        return {**given, **self.carton_limits()}

    def carton_limits(self) -> dict[str, Any]:
        given: dict[str, Any] = {}
        if self.some(0.2):
            given["carton_weight_limit"] = (self.heaviest * Decimal("0.85")).quantize(Decimal(1))
        sides = sorted(max(c.length, c.width, c.height) for c in self.cartons.values())
        if self.some(0.12):
            given["carton_length_limit"] = self.rng.choice(sides)
        if self.some(0.12):
            given["carton_girth_limit"] = self.rng.choice([c.length_plus_girth for c in self.cartons.values()])
        if self.some(0.12):
            given["cartons_accepted"] = tuple(self.rng.sample(list(self.cartons), 1))
        return given

    def weighing(self) -> dict[str, Any]:
        given: dict[str, Any] = {}
        if self.some(0.35):
            pounds = self.units is Units.POUND_INCH
            given["volumetric_divisor"] = Decimal(self.rng.choice([139, 166, 194] if pounds else [4000, 5000, 6000]))
            if self.some(0.5):
                given["volumetric_above"] = Decimal("0.9") if pounds else Decimal("0.025")
        if self.some(0.4):
            given["weigh_step"] = self.rng.choice([Decimal(1), Decimal("0.5")])
        return given

    def features(self, means: Means) -> dict[str, Any]:
        share = 0.9 if self.roomy else 0.6
        offered = ("closed_body", "temperature_held", "tracked", "sole_use")
        given: dict[str, Any] = {feature: self.some(share) for feature in offered}
        given["recordings_only"] = not self.roomy and self.some(0.2)
        given["consider"] = self.roomy or self.some(0.95)
        return given

    def liability(self) -> dict[str, Any]:
        given: dict[str, Any] = {}
        if self.some(0.4):
            given["liability_per_weight"] = self.prices.rate(0.3, 4)
        if self.some(0.3):
            given["liability_per_carton"] = self.prices.money(5, 60)
        if self.some(0.3):
            given["most_liability"] = self.prices.money(20, 100)
        if self.some(0.4):
            given["liability_covers"] = Covers.LOSS_AND_DAMAGE
        return given

    def dates(self) -> dict[str, Any]:
        if self.roomy:
            return {"transit_days": self.rng.randint(1, 8)} if self.some(0.5) else {}
        given: dict[str, Any] = {}
        if self.some(0.6):
            given["transit_days"] = self.rng.randint(1, 25)
        if self.some(0.3):
            given["collect_from"] = self.ready + timedelta(days=self.rng.randint(-3, 5))
        if self.some(0.2):
            given["collect_until"] = self.ready + timedelta(days=self.rng.randint(-2, 20))
        if self.some(0.2):
            given["valid_until"] = self.ready - timedelta(days=self.rng.randint(15, 22))
        return given


def random_covers(prices: Prices, quotes: Mapping[str, Quote], value: Decimal, number: int) -> dict[str, Cover]:
    """Covers with one to three bands, on either basis, for all quotes or some."""
    found = {}
    for index in range(number):
        chosen = None if prices.chance(0.75) else tuple(prices.rng.sample(list(quotes), 1))
        name = f"cover {index + 1}"
        found[name] = Cover(
            name=name,
            covers=prices.rng.choice(list(Covers)),
            basis=prices.rng.choice(list(CoverBasis)),
            bands=_bands(prices, value),
            for_quotes=chosen,
            excess=prices.money(0, 25) if prices.chance(0.4) else Decimal(0),
        )
    return found


def _bands(prices: Prices, value: Decimal) -> tuple[Band, ...]:
    tops: list[Decimal | None] = sorted({prices.share_of(value, 0.05, 1.0) for _ in range(prices.rng.randint(0, 2))})
    if not tops or prices.chance(0.6):
        tops.append(None)
    fee, found = Decimal(0), []
    for top in tops:
        fee += prices.money(0, 3)
        share = prices.rng.choice([Decimal(0), Decimal("0.005"), Decimal("0.0125"), Decimal("0.02")])
        least = prices.money(0.5, 3) if prices.chance(0.3) else Decimal(0)
        found.append(Band(top, fee, share, least))
    return tuple(found)
