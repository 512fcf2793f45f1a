"""Tariffs: what the contents of one carton cost by weight, for many weights at once, as floating numbers.

Billed weight rounded up, volumetric weight and rate cards are in it, so that a search for swaps sees a carton slip
under a step. Shared charges and rounding to the minor unit are not; the pricing module judges. Called by ``swapping``.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from shipopt.move.cartons import CartonType
from shipopt.move.move import Move
from shipopt.move.quotes import Quote
from shipopt.planning.opened import OpenCarton
from shipopt.pricing.billing import exact_volumetric_weight

NEARLY = 1e-9
REFUSED = 1e12
"""The charge beyond a rate card: so much that no swap leads there."""


@dataclass(frozen=True, slots=True)
class Tariff:
    """Charges of one type of carton by one quote. Weights are in the move's unit of weight, charges in its currency."""

    empty: float
    least: float
    step: float
    rate: float
    tops: NDArray[np.float64]
    prices: NDArray[np.float64]

    @property
    def varies(self) -> bool:
        """Whether anything depends on weight."""
        return self.rate > 0 or len(self.tops) > 1

    @property
    def by_steps(self) -> bool:
        """Whether each step of weight costs alike."""
        return self.step > 0 and self.rate > 0 and not len(self.tops)

    def charges(self, contents: Any) -> Any:
        """The charge for each weight of contents; REFUSED beyond the rate card."""
        billed = np.maximum(contents + self.empty, self.least)
        if self.step:
            billed = np.ceil(billed / self.step - NEARLY) * self.step
        charge = self.rate * billed
        if len(self.tops):
            charge = charge + self.prices[np.searchsorted(self.tops, billed - NEARLY)]
        return charge


def steps_to_stay_below(
    weights: NDArray[np.float64], tariffs: Sequence[Tariff], quotes: NDArray[np.int64], spare: int
) -> NDArray[np.float64] | None:
    """The weight of contents that each carton is to stay below, given what they weigh now, where its quote bills in
    steps: those that are little above a step are to lose that, so that all of a quote together have ``spare`` steps
    more than they weigh. Infinite for other cartons; None if that asks nothing of any."""
    aims, asked = np.full(len(weights), np.inf), False
    for quote in np.unique(quotes):
        stepped = [
            carton
            for carton in np.flatnonzero(quotes == quote).tolist()
            if tariffs[carton].by_steps and weights[carton] + tariffs[carton].empty > tariffs[carton].least
        ]
        gross = np.array([(weights[carton] + tariffs[carton].empty) / tariffs[carton].step for carton in stepped])
        steps = np.floor(gross + NEARLY)
        empty = np.array([tariffs[carton].empty / tariffs[carton].step for carton in stepped])
        bound_to_rise = steps <= empty + NEARLY  # below the step there is no room for any contents
        up = int(np.ceil(gross.sum() - NEARLY) - steps.sum()) + spare
        up = max(int(np.count_nonzero(bound_to_rise)), up)
        asked |= up < int(np.count_nonzero(gross > steps + NEARLY))
        steps[np.argsort(np.where(bound_to_rise, -np.inf, steps - gross), kind="stable")[:up]] += 1
        for carton, step in zip(stepped, steps.tolist(), strict=True):
            aims[carton] = step * tariffs[carton].step - tariffs[carton].empty
    return aims if asked else None


def tariffs_of(cartons: Sequence[OpenCarton], move: Move) -> tuple[list[Tariff], NDArray[np.int64]]:
    """The tariffs of these cartons, and which is whose."""
    places: dict[tuple[str, str], int] = {}
    tariffs: list[Tariff] = []
    of = []
    for carton in cartons:
        assert carton.quote is not None
        key = (carton.quote.name, carton.carton.name)
        if key not in places:
            places[key] = len(tariffs)
            tariffs.append(_tariff(carton.quote, carton.carton, move))
        of.append(places[key])
    return tariffs, np.array(of)


def _tariff(quote: Quote, carton: CartonType, move: Move) -> Tariff:
    rise = 1 + float(quote.surcharge)
    breaks = min(float(row.price_per_100) for row in quote.weight_breaks.rows) / 100 if quote.weight_breaks else 0.0
    steps = quote.rate_card.steps if quote.rate_card else ()
    return Tariff(
        empty=float(carton.empty_weight),
        least=float(exact_volumetric_weight(quote, carton, move.settings.units) or 0),
        step=float(quote.weigh_step or 0),
        rate=(float(quote.per_weight) + breaks) * rise,
        tops=np.array([float(step.weight_up_to) for step in steps]),
        prices=np.array([rise * float(step.price) for step in steps] + [REFUSED] if steps else []),
    )
