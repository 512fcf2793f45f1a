"""How likely each mishap of a plan is within the worst part of its outcomes, and so what any other way for a carton
would leave uninsured there on average.

With the chances of the worst part in place of the usual ones, the loss of every plan of the same cartons has a mean
that its own tail mean is never below: the tail mean is the largest mean over all changes of chances by a factor of at
most 1 ÷ (1 − level) (Rockafellar & Uryasev, "Conditional value-at-risk for general loss distributions", Journal of
Banking & Finance 26 (2002), and Artzner, Delbaen, Eber & Heath, "Coherent measures of risk", Mathematical Finance 9
(1999); both from memory). Called by planning, for cuts. Floats throughout: a grid for choosing, not for telling.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.risk.expected import Outcome, outcomes
from shipopt.risk.tail import TIE

PLACES = 1 << 14
"""Places of the grid on which the worst part is chosen; half of them for the largest loss there can be."""

Waves = NDArray[np.complex128]
Trip = tuple[str, int]


@dataclass(frozen=True, slots=True)
class Fate:
    """What may happen to one carton besides the loss of its trip. ``lost`` and ``damaged`` are the usual chances where
    its trip arrives; ``lost_within`` and ``damaged_within`` the chances of that together with the trip's arrival,
    within the worst part."""

    trip: Trip | None
    lost: float
    damaged: float
    lost_within: float
    damaged_within: float


@dataclass(frozen=True)
class WorstPart:
    """The worst part of a plan's outcomes: by trip of a load the chance that it is lost whole, and each carton's fate,
    in the order of the shipments. ``factor`` is by how much a chance can grow at the most."""

    factor: float
    whole: dict[Trip, float]
    fates: tuple[Fate, ...]

    def mean_of(self, move: Move, place: int | None, other: Shipment) -> float:
        """At least so much does ``other`` leave uninsured on average within the worst part; ``place`` is the shipment
        whose contents it carries, None if no single one does.

        A carton's luck is one number between 0 and 1 whatever it goes by: the worst of it is a loss, the next a damage.
        """
        on_whole, on_loss, on_damage, _ = outcomes(move, other)
        trip = _trip(other)
        whole, lost, damaged = _apart(on_whole, on_loss, on_damage, trip)
        whole_within = self.whole.get(trip, whole) if trip else 0.0
        fate = None if place is None else self.fates[place]
        if fate is None:
            rest = 1.0 - whole_within
            lost_within, damaged_within = lost * rest, damaged * rest
        elif trip == fate.trip:
            lost_within = self._luck(fate, 0.0, lost, 1.0 - whole_within)
            damaged_within = self._luck(fate, lost, lost + damaged, 1.0 - whole_within)
        else:
            lost_within = self._elsewhere(fate, 0.0, lost, whole, whole_within)
            damaged_within = self._elsewhere(fate, lost, lost + damaged, whole, whole_within)
        return (whole_within + lost_within) * float(on_loss.uninsured) + damaged_within * float(on_damage.uninsured)

    def _luck(self, fate: Fate, low: float, high: float, arrives: float) -> float:
        """The chance that the carton's luck is in this range and its own trip arrives, within the worst part."""
        safe = max(0.0, arrives - fate.lost_within - fate.damaged_within)
        edges = (0.0, fate.lost, fate.lost + fate.damaged, 1.0)
        parts = (fate.lost_within, fate.damaged_within, safe)
        total = 0.0
        for left, right, part in zip(edges, edges[1:], parts, strict=False):
            if right > left:
                total += part * max(0.0, min(high, right) - max(low, left)) / (right - left)
        return total

    def _elsewhere(self, fate: Fate, low: float, high: float, whole: float, whole_within: float) -> float:
        """At least the chance of luck in this range while another trip arrives. Both mishaps at once are as likely as
        either at the most, and as their usual chance times the factor."""
        own_lost = self.whole.get(fate.trip, 0.0) if fate.trip else 0.0
        luck = self._luck(fate, low, high, 1.0 - own_lost) + own_lost * (high - low)
        both = min(luck, whole_within, self.factor * whole * (high - low))
        return luck - both


def worst_part(move: Move, shipments: Sequence[Shipment], level: Decimal) -> WorstPart:
    """The worst 1 − level of outcomes of these shipments, each carrier paying what it owes for each carton.

    Losses are placed on a grid to choose the outcomes; whatever the grid, the chances that come of it are those of a
    change by the allowed factor at the most.
    """
    factor = 1.0 / (1.0 - float(level))
    loads = _loads(move, shipments)
    most = sum(load.most for load in loads)
    step = most / (PLACES // 2 - len(shipments) - 1) if most else 1.0
    waves = [load.waves(step) for load in loads]
    without = _products_without_each(waves)
    weights = _weights(np.fft.irfft(_product(waves), PLACES), factor)
    whole: dict[Trip, float] = {}
    fates: dict[int, Fate] = {}
    for load, others in zip(loads, without, strict=True):
        if load.trip is not None:
            whole[load.trip] = load.whole * _weighed(others, weights, round(load.loss / step))
        fates.update(load.fates(others, weights, step))
    return WorstPart(factor, whole, tuple(fates[place] for place in range(len(shipments))))


@dataclass(frozen=True)
class _Carton:
    place: int
    lost: float
    damaged: float
    loss: float
    damage: float

    def waves(self, step: float) -> Waves:
        """The transform of its loss, given that its trip arrives."""
        safe = 1.0 - self.lost - self.damaged
        return safe + self.lost * _shift(round(self.loss / step)) + self.damaged * _shift(round(self.damage / step))


@dataclass(frozen=True)
class _Load:
    """The cartons of a trip; or, with no trip, cartons that are consignments by themselves."""

    trip: Trip | None
    whole: float
    cartons: tuple[_Carton, ...]

    @property
    def loss(self) -> float:
        return sum(carton.loss for carton in self.cartons)

    @property
    def most(self) -> float:
        return sum(max(carton.loss, carton.damage) for carton in self.cartons)

    def waves(self, step: float) -> Waves:
        arrives = _product([carton.waves(step) for carton in self.cartons])
        return self.whole * _shift(round(self.loss / step)) + (1.0 - self.whole) * arrives

    def fates(self, others: Waves, weights: NDArray[np.float64], step: float) -> dict[int, Fate]:
        """Fates by place of the shipment."""
        found = {}
        apart = _products_without_each([carton.waves(step) for carton in self.cartons])
        for carton, rest in zip(self.cartons, apart, strict=True):
            around = others * rest * (1.0 - self.whole)
            found[carton.place] = Fate(
                self.trip,
                carton.lost,
                carton.damaged,
                carton.lost * _weighed(around, weights, round(carton.loss / step)),
                carton.damaged * _weighed(around, weights, round(carton.damage / step)),
            )
        return found


def _loads(move: Move, shipments: Sequence[Shipment]) -> list[_Load]:
    trips: dict[Trip | None, list[_Carton]] = {}
    chance: dict[Trip | None, float] = {}
    for place, shipment in enumerate(shipments):
        on_whole, on_loss, on_damage, _ = outcomes(move, shipment)
        trip = _trip(shipment)
        whole, lost, damaged = _apart(on_whole, on_loss, on_damage, trip)
        chance[trip] = whole
        carton = _Carton(place, lost, damaged, float(on_loss.uninsured), float(on_damage.uninsured))
        trips.setdefault(trip, []).append(carton)
    return [_Load(trip, chance[trip], tuple(cartons)) for trip, cartons in trips.items()]


def _trip(shipment: Shipment) -> Trip | None:
    return (shipment.quote.name, shipment.trip) if shipment.quote.by_load else None


def _apart(on_whole: Outcome, on_loss: Outcome, on_damage: Outcome, trip: Trip | None) -> tuple[float, float, float]:
    """Chance that the trip is lost; chances of loss and damage where it arrives. A carton that is a consignment by
    itself has no trip."""
    whole, lost, damaged = (float(each.chance) for each in (on_whole, on_loss, on_damage))
    if trip is None:
        return 0.0, whole + lost, damaged
    return whole, *((lost / (1 - whole), damaged / (1 - whole)) if whole < 1 else (0.0, 0.0))


def _shift(places: int) -> Waves:
    waves: Waves = np.exp(-2j * np.pi * places / PLACES * np.arange(PLACES // 2 + 1))
    return waves


def _product(waves: Sequence[Waves]) -> Waves:
    product: Waves = np.ones(PLACES // 2 + 1, dtype=np.complex128)
    for each in waves:
        product = product * each
    return product


def _products_without_each(waves: Sequence[Waves]) -> list[Waves]:
    """For each, the product of all others: no division, so that nothing small is divided by."""
    after = [_product([])]
    for each in reversed(waves[1:]):
        after.append(after[-1] * each)
    found, before = [], _product([])
    for each, rest in zip(waves, reversed(after), strict=False):
        found.append(before * rest)
        before = before * each
    return found


def _weights(masses: NDArray[np.float64], factor: float) -> NDArray[np.float64]:
    """By how much each place of the grid is likelier within the worst part: the factor beyond the edge, part of it at
    the edge, nothing below."""
    reached = np.cumsum(np.maximum(masses, 0.0))
    edge = int(np.argmax(reached >= reached[-1] * (1.0 - 1.0 / factor) - TIE))
    weights = np.zeros(PLACES)
    weights[edge + 1 :] = factor
    beyond = float(np.maximum(masses[edge + 1 :], 0.0).sum())
    at_edge = max(float(masses[edge]), TIE)
    weights[edge] = min(factor, max(0.0, (1.0 - factor * beyond) / at_edge))
    return weights


def _weighed(waves: Waves, weights: NDArray[np.float64], places: int) -> float:
    """Σ weight × mass, all masses moved so many places up."""
    masses = np.fft.irfft(waves, PLACES)
    return max(0.0, float(np.dot(weights[places:], masses[: PLACES - places])))
