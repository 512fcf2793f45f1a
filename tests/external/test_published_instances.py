"""The carton programme against published optima of assignment and location problems (see benchmarks/published.py).

The instances are read from the folder that SHIPOPT_BENCH names, or from shared/bench beside the project; where there is
none these tests are skipped, because the files are not copied into the project. With SHIPOPT_BENCH_ALL set, the slower
ones run too. Optima are those of the folder's index.csv, each with its source there:

- generalised assignment: OR-Library (J. E. Beasley, J. Oper. Res. Soc. 41(11), 1990), gap1-12 and sets A-C, minimised
- uncapacitated and capacitated location: OR-Library, cap61 to cap101
- single-source capacitated location: Holmberg, Rönnqvist and Yuan, Eur. J. Oper. Res. 113(3), 1999
"""

import csv
import os
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

import pytest
from benchmarks.published import (
    SCALE,
    assignment_move,
    location_move,
    read_assignment,
    read_single_source,
    read_warehouses,
)

from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.planning.formulation import carton_programme, closed_cartons
from shipopt.planning.programme import Candidate
from shipopt.planning.search import optimise
from shipopt.planning.solving import Solver, Verdict, solve
from shipopt.pricing.total import price

NAMED = os.environ.get("SHIPOPT_BENCH")
FOLDER = Path(NAMED) if NAMED else Path(__file__).parents[3] / "shared" / "bench"
INDEX = FOLDER / "index.csv"
SLOWER = {"gap7-1", "gap8-0", "gap8-1", "b05100", "c05100", "c10100", "holmberg-p4", "holmberg-p8"}
"""Those that take more than about two seconds; all together they take a minute more."""

HALF_A_THOUSANDTH = Decimal("0.0005")
"""Published optima of the location problems are given to three places, not all rounded the same way."""

SINGLE_SOURCE = {"cap64": Decimal("1053197.44")}
"""Optima with each customer served by one facility, where the published one splits demand: the folder's README.md."""


@dataclass(frozen=True)
class Instance:
    family: str
    name: str
    path: Path
    optimum: Decimal


def instances(*families: str) -> list[Instance]:
    """The instances of some families that are to be run; one place-holder to be skipped where there are no files."""
    if not INDEX.exists():
        reason = f"no published instances: {INDEX} does not exist (SHIPOPT_BENCH names another folder)"
        return [pytest.param(None, marks=pytest.mark.skip(reason=reason))]
    with INDEX.open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["family"] in families]
    found = [Instance(r["family"], r["instance"], FOLDER / r["file"], Decimal(r["optimum"])) for r in rows]
    wanted = [it for it in found if it.name not in SLOWER or "SHIPOPT_BENCH_ALL" in os.environ]
    return [pytest.param(it, id=f"{it.family} {it.name}") for it in wanted]


def best_cost(move: Move, candidates: Sequence[Candidate], items: Sequence[int]) -> Decimal | None:
    """The price of the plan that the carton programme proves to be the best; None if it proves that there is none."""
    programme = carton_programme(move, candidates, items)
    outcome = solve(programme.problem, seconds=100, gap=1e-7, solver=Solver.HIGHS)
    if outcome.verdict is Verdict.IMPOSSIBLE:
        return None
    assert outcome.verdict is Verdict.PROVED
    shipments = [
        Shipment(programme.candidates[option.candidate].filled, option.way.quote, option.track.trip, option.way.cover)
        for option in programme.options
        if round(outcome.values[option.variable.name])
    ]
    cost = price(move, shipments).total
    assert outcome.bound <= float(cost) * (1 + 1e-6)
    return cost


def best_cost_of_location(move: Move) -> Decimal | None:
    candidates = closed_cartons(move)
    cost = best_cost(move, candidates, [1] * len(candidates))
    return None if cost is None else cost / SCALE


@pytest.mark.parametrize("instance", instances("GAP-min"))
def test_generalised_assignment_costs_the_published_optimum(instance):
    assert best_cost(*assignment_move(read_assignment(instance.path))) == instance.optimum


@pytest.mark.parametrize("instance", instances("UFLP"))
def test_location_without_capacities_costs_the_published_optimum(instance):
    cost = best_cost_of_location(location_move(read_warehouses(instance.path), with_capacities=False))
    assert abs(cost - instance.optimum) <= HALF_A_THOUSANDTH


@pytest.mark.parametrize("instance", instances("SSCFLP"))
def test_single_source_location_costs_the_published_optimum(instance):
    cost = best_cost_of_location(location_move(read_single_source(instance.path), with_capacities=True))
    assert cost == instance.optimum


@pytest.mark.parametrize("instance", instances("CFLP"))
def test_location_with_split_demand_is_a_floor_of_single_source(instance):
    """The published optimum lets a customer be served from several facilities, which a carton cannot be."""
    location = read_warehouses(instance.path)
    cost = best_cost_of_location(location_move(location, with_capacities=True))
    if max(location.demands) > max(location.capacities):
        assert cost is None, "a customer with more demand than any facility has room for cannot be served by one"
        return
    assert cost >= instance.optimum - HALF_A_THOUSANDTH
    if instance.name in SINGLE_SOURCE:
        assert abs(cost - SINGLE_SOURCE[instance.name]) <= 10 * HALF_A_THOUSANDTH


@pytest.mark.parametrize("instance", [each for each in instances("UFLP", "SSCFLP") if "cap10" not in str(each.id)][::5])
def test_the_whole_search_costs_the_published_optimum(instance):
    """From the move to the audited plan, floor and all: the customers as closed cartons."""
    single = instance.family == "SSCFLP"
    location = (read_single_source if single else read_warehouses)(instance.path)
    plan = optimise(location_move(location, with_capacities=single), seconds=100, within=0)
    cost = price(plan.move, plan.shipments).total
    assert abs(cost / SCALE - instance.optimum) <= HALF_A_THOUSANDTH
    assert plan.search.floor <= cost
    assert plan.search.floor >= cost * Decimal("0.99999")
