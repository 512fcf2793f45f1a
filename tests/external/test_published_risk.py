"""The mean of the worst part of a loss against its publications: cases by hand, and their linear programme.

Sources: Rockafellar & Uryasev, "Optimization of conditional value-at-risk", Journal of Risk 2(3), 2000, 21–41 (the
linear programme, section 3); "Conditional value-at-risk for general loss distributions", Journal of Banking & Finance
26(7), 2002, 1443–1471 (an atom at the edge is split, sections 3 and 4). Sections from memory; cases worked by hand.
"""

from decimal import Decimal

import invented
import numpy as np
import pytest
from scipy.optimize import linprog

from shipopt.move.plan import Shipment
from shipopt.risk.distribution import loss_distribution
from shipopt.risk.tail import point_of, tail_mean_of

HUNDREDS = np.zeros(11)
HUNDREDS[[0, 1, 5, 10]] = 0.50, 0.30, 0.15, 0.05
"""Losses of 0, 100, 500 and 1,000 with chances 50, 30, 15 and 5 %, on a grid of 100. The mean is 155."""


@pytest.mark.parametrize(
    ("level", "point", "tail_mean"),
    [(0.80, 100, 625.0), (0.90, 500, 750.0), (0.95, 500, 1000.0), (0.0, 0, 155.0), (0.999, 1000, 1000.0)],
)
def test_an_atom_at_the_edge_is_split(level: float, point: int, tail_mean: float) -> None:
    """At 90 % the atom of 500 is split: neither the mean from 500 on (625) nor the mean above 500 (1,000)."""
    place = point_of(HUNDREDS, level)
    assert place == point / 100
    assert tail_mean_of(HUNDREDS, 1.55, place, level) * 100 == pytest.approx(tail_mean, abs=1e-9)


@pytest.mark.parametrize(("level", "apart", "together"), [("0.95", 480, 480), ("0.99", 624, 1200)])
def test_putting_all_on_one_trip_shows_at_high_levels_only(level: str, apart: int, together: int) -> None:
    """Two cartons of 600, trips lost with 2 %: 20 × (0.0392 × 600 + 0.0004 × 1,200) is 20 × 0.02 × 1,200 is 480."""
    quote = invented.quote(whole_load_loss="0.02", trips_at_most=2)
    boxes = [invented.filled(number, 9, 600) for number in "12"]
    for trips, tail_mean in (((1, 2), apart), ((1, 1), together)):
        shipments = [Shipment(box, quote, trip) for box, trip in zip(boxes, trips, strict=True)]
        found = loss_distribution(invented.move([quote]), shipments, level=Decimal(level))
        assert (found.tail_mean, found.tail_mean_error) == (tail_mean, 0)


@pytest.mark.parametrize("seed", range(40))
def test_it_is_the_least_value_of_the_published_linear_programme(seed: int) -> None:
    """min z + Σ p u ÷ (1 − level), u ≥ loss − z, u ≥ 0: its least value is the tail mean, its least z the point."""
    rng = np.random.default_rng(seed)
    places = int(rng.integers(2, 40))
    masses = rng.dirichlet(np.full(places, rng.choice([0.1, 1.0, 5.0])))
    level = float(rng.choice([0.0, 0.5, 0.8, 0.9, 0.95, 0.99]))
    losses = np.arange(places)
    point = point_of(masses, level)
    found = tail_mean_of(masses, float(masses @ losses), point, level)
    costs = np.concatenate([[1.0], masses / (1.0 - level)])
    above = np.hstack([-np.ones((places, 1)), -np.eye(places)])
    bounds = [(0.0, None)] * (places + 1)
    programme = linprog(costs, A_ub=above, b_ub=-losses, bounds=bounds, method="highs")
    assert programme.status == 0
    assert found == pytest.approx(programme.fun, abs=1e-7)
    assert point + float(masses @ np.maximum(losses - point, 0.0)) / (1.0 - level) == pytest.approx(found, abs=1e-9)


def test_a_grid_that_ends_too_soon_has_no_point() -> None:
    """Half of the chance is kept: the 95 % point lies beyond."""
    with pytest.raises(ValueError, match="grid ends before"):
        point_of(np.array([0.3, 0.2]), 0.95)
    assert point_of(np.array([0.3, 0.2]), 0.5) == 1
