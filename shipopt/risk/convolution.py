"""Convolution of the losses of consignments on a money grid, rounded to the grid all down or all up.

The two roundings bound the true distribution from both sides. Only losses below the grid's end are kept in place;
means and chances count what lies beyond too. Called by distribution; knows nothing of moves.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from shipopt.risk.consignments import ConsignmentRisk, Harm, Levels

DIRECT = 64
"""Arrays up to this length are convolved directly, longer ones by Fourier transform."""

Masses = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Grid:
    """Losses 0, step, 2 steps … of which the first ``size`` are kept; amounts are rounded ``up`` or down to it."""

    step: Fraction
    size: int
    up: bool

    def place(self, amount: Fraction) -> int:
        """The place of an amount on the grid."""
        return self.round(amount / self.step)

    def round(self, number: Fraction) -> int:
        """The whole number above or below, as the grid rounds."""
        return -(-number // 1) if self.up else number // 1


@dataclass(frozen=True, slots=True)
class Law:
    """A loss on a grid: chances by place as far as the grid goes, the mean in steps of the whole law, the chance of no
    loss at all, and the mean amount of money by which the caps for consignments are overrun."""

    masses: Masses
    mean: float
    none: float
    overrun: float


def law_of_all(risks: Sequence[ConsignmentRisk], grid: Grid) -> Law:
    """The law of the sum of all consignments, which are independent of each other."""
    laws = sorted((law_of(risk, grid) for risk in risks), key=lambda law: len(law.masses))
    masses: Masses = np.ones(1)
    for law in laws:
        masses = _convolved(masses, law.masses, grid.size)
    return Law(
        masses,
        sum(law.mean for law in laws),
        float(np.prod([law.none for law in laws])),
        sum(law.overrun for law in laws),
    )


def law_of(risk: ConsignmentRisk, grid: Grid) -> Law:
    """The law of one consignment: lost as a whole, or carton by carton."""
    rows = _Rows(risk.levels, grid)
    for harms in sorted(risk.cartons, key=lambda harms: max(grid.place(harm.uninsured) for harm in harms)):
        rows.add(harms)
    whole, rest = float(risk.whole_chance), float(1 - risk.whole_chance)
    place = grid.place(risk.whole_loss) if risk.whole_chance else 0
    masses = rest * rows.masses.sum(axis=0)
    if whole and place < grid.size:
        masses = np.pad(masses, (0, max(0, place + 1 - len(masses))))
        masses[place] += whole
    none = rest * float(rows.none.sum()) + (whole if risk.whole_loss == 0 else 0.0)
    return Law(masses, rest * float(rows.moments.sum()) + whole * place, none, rest * rows.overrun)


@dataclass(frozen=True, slots=True)
class _Move:
    """Rows ``first`` to ``last`` go ``up`` rows and some places on, with a chance; ``overrun`` is money beyond the cap,
    ``harmless`` true where nothing at all is lost."""

    first: int
    last: int
    up: int
    places: int
    chance: float
    overrun: float
    harmless: bool

    @property
    def source(self) -> slice:
        return slice(self.first, self.last + 1)

    @property
    def target(self) -> slice:
        return slice(self.first + self.up, self.last + 1 + self.up)


class _Rows:
    """Laws of the cartons added so far, one row for each level of what the carrier has paid, the last for "its cap is
    overrun". Without a cap there is one row."""

    def __init__(self, levels: Levels | None, grid: Grid) -> None:
        self.levels, self.grid = levels, grid
        rows = levels.rows if levels else 1
        self.masses: Masses = np.zeros((rows, 1))
        self.weights, self.moments, self.none = np.zeros(rows), np.zeros(rows), np.zeros(rows)
        self.masses[0, 0] = self.weights[0] = self.none[0] = 1.0
        self.overrun = 0.0

    def add(self, harms: Sequence[Harm]) -> None:
        """Adds one carton."""
        safe = float(1 - sum((harm.chance for harm in harms), Fraction(0)))
        moves = [move for harm in harms for move in self._moves(harm)]
        furthest = max((move.places for move in moves if move.places < self.grid.size), default=0)
        before = self.masses, self.weights, self.moments, self.none
        length = min(self.grid.size, self.masses.shape[1] + furthest)
        self.masses = np.zeros((len(self.weights), length))
        self.masses[:, : before[0].shape[1]] = safe * before[0]
        self.weights, self.moments, self.none = safe * self.weights, safe * self.moments, safe * self.none
        for move in moves:
            self._make(move, *before)

    def _make(self, move: _Move, masses: Masses, weights: Masses, moments: Masses, none: Masses) -> None:
        source, target = move.source, move.target
        self.weights[target] += move.chance * weights[source]
        self.moments[target] += move.chance * (moments[source] + move.places * weights[source])
        self.overrun += move.chance * move.overrun * float(weights[source].sum())
        if move.harmless:
            self.none[target] += move.chance * none[source]
        room = min(self.masses.shape[1] - move.places, masses.shape[1])
        if room > 0:
            self.masses[target, move.places : move.places + room] += move.chance * masses[source, :room]

    def _moves(self, harm: Harm) -> Iterator[_Move]:
        chance, place = float(harm.chance), self.grid.place
        if self.levels is None:
            yield _Move(0, 0, 0, place(harm.uninsured), chance, 0.0, not harm.uninsured)
            return
        unit, top = self.levels.unit, self.levels.top
        up = self.grid.round(harm.from_carrier / unit)
        if up <= top:
            yield _Move(0, top - up, up, place(harm.uninsured), chance, 0.0, not harm.uninsured)
        for level in range(max(0, top + 1 - up), top + 1):
            over = (level + up - top) * unit
            yield _Move(level, level, top + 1 - level, place(harm.uninsured + over), chance, float(over), False)
        yield _Move(top + 1, top + 1, 0, place(harm.without_carrier), chance, float(harm.from_carrier), False)


def _convolved(one: Masses, other: Masses, size: int) -> Masses:
    """Both together, as far as the grid goes."""
    if min(len(one), len(other)) <= DIRECT:
        return np.convolve(one, other)[:size]
    length = len(one) + len(other) - 1
    padded = 1 << (length - 1).bit_length()
    product = np.fft.irfft(np.fft.rfft(one, padded) * np.fft.rfft(other, padded), padded)
    return np.maximum(product[: min(size, length)], 0.0)
