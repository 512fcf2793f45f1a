"""The distribution of a move's uninsured loss: mean, chance, 95 % point, mean of the worst 5 %, worst event.

By exact convolution on a money grid, once rounded down and once up: the truth lies between, and half the distance is
stated as the error. Called by planning (for the cap on the worst 5 %) and by the results writer.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from shipopt.move.money import Currency
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.risk.consignments import ConsignmentRisk, consignment_risks
from shipopt.risk.convolution import Grid, law_of_all
from shipopt.risk.tail import point_of, tail_mean_of

LEVEL = Decimal("0.95")
COARSE = 4096
FINE = 1 << 17
"""Most places of a grid; fewer where many carriers' caps have to be counted along."""
FINEST = 1 << 22
"""Most places of a grid that was asked for."""
WORK = 1_000_000_000
"""About how many additions one convolution may take."""
SHOWN_BEYOND = 4
"""Decimal places of the figures beyond those of the currency."""


@dataclass(frozen=True, slots=True)
class LossDistribution:
    """Figures of the uninsured loss, in money, each with the error that the true figure is within.

    ``point`` is the smallest loss that is not exceeded with a chance of ``level``; ``tail_mean`` the mean of the worst
    1 − ``level`` of outcomes; ``worst_event`` the most that one event of any chance leaves uninsured. Errors are 0
    where every amount lies on the grid; the rounding of chances themselves (about 1e-12) is not counted.
    """

    level: Decimal
    mean: Decimal
    chance_of_any: Decimal
    point: Decimal
    tail_mean: Decimal
    worst_event: Decimal
    step: Decimal
    mean_error: Decimal
    chance_error: Decimal
    point_error: Decimal
    tail_mean_error: Decimal


@dataclass(frozen=True, slots=True)
class _Figures:
    """Figures of one rounding, in exact or floating money."""

    mean: Fraction
    chance: float
    point: Fraction
    tail_mean: float


def loss_distribution(
    move: Move, shipments: Sequence[Shipment], grid: Decimal | None = None, level: Decimal = LEVEL
) -> LossDistribution:
    """The distribution over these shipments and the cartons still on their way.

    ``grid`` is the step of the money grid; without one, a round step so fine that the point lies some ten thousand
    steps up. Most liability caps what the carrier pays for a consignment, beyond what covers pay.
    """
    if not 0 <= level < 1:
        raise ValueError("the level of a loss point lies from 0 up to, but not including, 1")
    risks = [risk for risk in consignment_risks(move, shipments) if risk.most]
    reach = reach_of(risks, level)
    step = Fraction(grid) if grid else step_of(risks, reach, move.settings.currency)
    if reach / step > FINEST:
        raise ValueError(f"a grid of {grid} is too fine for losses of up to {float(reach):,.0f}")
    low = _figures(risks, step, reach, level, up=False)
    high = low if on_grid(risks, step) else _figures(risks, step, reach, level, up=True)
    worst = max((risk.worst_event for risk in risks), default=Fraction(0))
    return _between(low, high, level, worst, step, move.settings.currency)


def reach_of(risks: Sequence[ConsignmentRisk], level: Decimal) -> Fraction:
    """A loss that is not exceeded with a chance of the level, found on a coarse grid."""
    most = sum((risk.most for risk in risks), Fraction(0))
    if not most:
        return most
    step = most / COARSE
    masses = law_of_all(risks, Grid(step, COARSE + rounded_up(risks), up=True)).masses
    return point_of(masses, float(level)) * step


def rounded_up(risks: Sequence[ConsignmentRisk]) -> int:
    """How many steps rounding up may add to a loss, at most, and two more for its own place and the end."""
    return sum(len(risk.cartons) + 1 for risk in risks) + 2


def step_of(risks: Sequence[ConsignmentRisk], reach: Fraction, currency: Currency) -> Fraction:
    """A round step (1, 2 or 5 times a power of ten) with which the grid needs few enough places."""
    places = FINE
    cells = 3 * sum(len(risk.cartons) * (risk.levels.rows if risk.levels else 1) for risk in risks)
    while places > COARSE and places * cells > WORK:
        places //= 2
    step = Fraction(currency.minor_unit) / 10**2
    factors = (2, Fraction(5, 2), 2)
    turn = 0
    while reach / step > places:
        step *= factors[turn % 3]
        turn += 1
    return step


def on_grid(risks: Sequence[ConsignmentRisk], step: Fraction) -> bool:
    """Whether rounding down and up are the same for every amount."""
    amounts = [harm.uninsured for risk in risks for harms in risk.cartons for harm in harms]
    amounts += [risk.whole_loss for risk in risks]
    capped = any(risk.levels is not None for risk in risks)
    return not capped and all((amount / step).denominator == 1 for amount in amounts)


def _figures(risks: Sequence[ConsignmentRisk], step: Fraction, reach: Fraction, level: Decimal, up: bool) -> _Figures:
    law = law_of_all(risks, Grid(step, int(reach / step) + rounded_up(risks), up))
    point = point_of(law.masses, float(level))
    tail_mean = tail_mean_of(law.masses, law.mean, point, float(level))
    mean = sum((risk.mean_without_cap for risk in risks), Fraction(law.overrun))
    return _Figures(mean, 1 - law.none, point * step, tail_mean * float(step))


def _between(
    low: _Figures, high: _Figures, level: Decimal, worst: Fraction, step: Fraction, currency: Currency
) -> LossDistribution:
    places = currency.places + SHOWN_BEYOND

    def middle(one: Fraction | float, other: Fraction | float, digits: int = places) -> tuple[Decimal, Decimal]:
        half, error = (Fraction(one) + Fraction(other)) / 2, abs(Fraction(other) - Fraction(one)) / 2
        return _decimal(half, digits), _decimal(error, digits)

    mean, mean_error = middle(low.mean, high.mean)
    chance, chance_error = middle(low.chance, high.chance, 12)
    point, point_error = middle(low.point, high.point)
    tail_mean, tail_mean_error = middle(low.tail_mean, high.tail_mean)
    return LossDistribution(
        level=level,
        mean=mean,
        chance_of_any=chance,
        point=point,
        tail_mean=tail_mean,
        worst_event=_decimal(worst, places),
        step=_decimal(step, places),
        mean_error=mean_error,
        chance_error=chance_error,
        point_error=point_error,
        tail_mean_error=tail_mean_error,
    )


def _decimal(number: Fraction, places: int) -> Decimal:
    return Decimal(round(number * 10**places)).scaleb(-places)
