"""What a move's loss is made of: consignments, each lost as a whole or carton by carton.

A trip of a load is one consignment; each carton of a quote by the carton is one. The cartons already sent by a quote
for a load are taken to be on one trip of their own, the cautious reading. Amounts are exact. Called by distribution.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from math import gcd, lcm

import numpy as np

from shipopt.move.move import Move
from shipopt.move.plan import Shipment, by_trip
from shipopt.risk.expected import Outcome, outcomes, still_on_their_way

MOST_LEVELS = 64
"""Steps in which what a carrier has paid of its cap is counted, where its amounts have no coarser common measure."""
NEVER = 1e-12
"""A chance of overrunning the carrier's cap below this is left out: as small as the rounding of the chances."""


@dataclass(frozen=True, slots=True)
class Harm:
    """A loss or damage of one carton: its chance, what it leaves uninsured, and what only the carrier pays of it."""

    chance: Fraction
    uninsured: Fraction
    from_carrier: Fraction

    @property
    def without_carrier(self) -> Fraction:
        """What is left where the carrier's cap for the consignment is used up."""
        return self.uninsured + self.from_carrier


@dataclass(frozen=True, slots=True)
class Levels:
    """Levels 0, unit … ``top`` × unit (the carrier's cap) in which what it has paid of a consignment is counted."""

    unit: Fraction
    top: int

    @property
    def rows(self) -> int:
        """One for each level, and one for "the cap is overrun"."""
        return self.top + 2


@dataclass(frozen=True, slots=True)
class ConsignmentRisk:
    """One consignment. With ``whole_chance`` all of it is lost, which leaves ``whole_loss`` uninsured; otherwise its
    cartons meet their harms independently, at most one each, at chances that are given no loss of the whole.

    ``levels`` count what the carrier pays, up to its cap for the consignment; None where the cap cannot matter.
    """

    whole_chance: Fraction
    whole_loss: Fraction
    cartons: tuple[tuple[Harm, ...], ...]
    levels: Levels | None = None

    @property
    def mean_without_cap(self) -> Fraction:
        """Expected uninsured loss, the cap for the consignment not counted where cartons are lost one by one."""
        alone = sum((harm.chance * harm.uninsured for carton in self.cartons for harm in carton), Fraction(0))
        return self.whole_chance * self.whole_loss + (1 - self.whole_chance) * alone

    @property
    def most(self) -> Fraction:
        """No outcome leaves more than this uninsured."""
        if self.levels is None:
            each = [max(harm.uninsured for harm in carton) for carton in self.cartons]
        else:
            each = [max(harm.without_carrier for harm in carton) for carton in self.cartons]
        return max(self.whole_loss if self.whole_chance else Fraction(0), sum(each, Fraction(0)))

    @property
    def worst_event(self) -> Fraction:
        """The most that one event leaves uninsured: the whole lost, or one carton lost or damaged."""
        alone = [harm.uninsured for carton in self.cartons for harm in carton]
        return max([*alone, self.whole_loss if self.whole_chance else Fraction(0)], default=Fraction(0))


def consignment_risks(move: Move, shipments: Sequence[Shipment]) -> tuple[ConsignmentRisk, ...]:
    """Every consignment of these shipments, and of the cartons that are sent but have not arrived.

    Consignments of one carton are put together as one that is never lost as a whole: their cartons are independent.
    """
    loads, single = [], []
    for carried in (*by_trip(move, shipments).values(), *by_trip(move, still_on_their_way(move)).values()):
        each = [outcomes(move, shipment) for shipment in carried]
        if carried[0].quote.by_load and len(carried) > 1:
            loads.append(_load(each, carried[0].quote.most_liability))
        else:
            single += [_single(outcome) for outcome in each]
    return (*loads, ConsignmentRisk(Fraction(0), Fraction(0), _risky(single)))


def _load(each: Sequence[Sequence[Outcome]], cap: Decimal | None) -> ConsignmentRisk:
    whole_chance = Fraction(each[0][0].chance)
    whole = [_harm(outcome[0], Fraction(1)) for outcome in each]
    whole_loss = sum((harm.uninsured for harm in whole), Fraction(0))
    cartons: tuple[tuple[Harm, ...], ...] = ()
    if whole_chance < 1:
        rest = 1 - whole_chance
        cartons = _risky([_possible(_harm(lost, rest), _harm(damaged, rest)) for _, lost, damaged, _ in each])
    if cap is None:
        return ConsignmentRisk(whole_chance, whole_loss, cartons)
    most = Fraction(cap)
    whole_loss += max(Fraction(0), sum((harm.from_carrier for harm in whole), Fraction(0)) - most)
    return ConsignmentRisk(whole_chance, whole_loss, cartons, _levels(cartons, most))


def _levels(cartons: Sequence[tuple[Harm, ...]], cap: Fraction) -> Levels | None:
    """Levels up to the carrier's cap, exact where the amounts have a common measure that is coarse enough; None where
    the cap is overrun next to never."""
    amounts = {harm.from_carrier for harms in cartons for harm in harms if harm.from_carrier}
    if sum((max(harm.from_carrier for harm in harms) for harms in cartons), Fraction(0)) <= cap:
        return None
    count = int(cap / _common_measure([cap, *amounts]))
    levels = Levels(cap / count, count) if count <= MOST_LEVELS else Levels(cap / MOST_LEVELS, MOST_LEVELS)
    return levels if _chance_of_overrun(cartons, levels) > NEVER else None


def _chance_of_overrun(cartons: Sequence[tuple[Harm, ...]], levels: Levels) -> float:
    """The chance that what the carrier owes exceeds its cap, amounts rounded up to levels."""
    chances = np.zeros(levels.rows)
    chances[0] = 1.0
    for harms in cartons:
        before = chances
        chances = before * float(1 - sum((harm.chance for harm in harms), Fraction(0)))
        for harm in harms:
            up = min(levels.rows - 1, -(-harm.from_carrier // levels.unit))
            moved = np.concatenate([np.zeros(up), before[: levels.rows - up]])
            moved[-1] += before[levels.rows - up :].sum()
            chances += float(harm.chance) * moved
    return float(chances[-1])


def _common_measure(amounts: Sequence[Fraction]) -> Fraction:
    """The largest amount of which each of these is a whole multiple."""
    below = lcm(*(amount.denominator for amount in amounts))
    return Fraction(gcd(*(int(amount * below) for amount in amounts)), below)


def _single(outcome: Sequence[Outcome]) -> tuple[Harm, ...]:
    """Harms of a carton that is a consignment by itself, where being lost with the load is being lost."""
    whole, lost, damaged, _ = outcome
    either = replace(_harm(lost, Fraction(1)), chance=Fraction(whole.chance) + Fraction(lost.chance))
    return _possible(either, _harm(damaged, Fraction(1)))


def _harm(outcome: Outcome, rest: Fraction) -> Harm:
    """An outcome as a harm, its chance given what is left of 1 where the load is not lost as a whole."""
    return Harm(Fraction(outcome.chance) / rest, Fraction(outcome.uninsured), Fraction(outcome.from_carrier))


def _possible(*harms: Harm) -> tuple[Harm, ...]:
    return tuple(harm for harm in harms if harm.chance and harm.without_carrier)


def _risky(cartons: Sequence[tuple[Harm, ...]]) -> tuple[tuple[Harm, ...], ...]:
    return tuple(harms for harms in cartons if harms)
