"""Published instances of assignment, location and bin packing as moves, so that published optima check the programme.

Each mapping is exact. Jobs, customers and items are cartons, closed already; agents, facilities and bins are quotes:
- location: a facility is a load with its fixed charge; a rate card prices each carton by its weight, which is the
  customer's number and nothing else; demand is the carton's outside volume, capacity the quote's most volume.
- assignment: what a job takes of an agent differs from agent to agent, so a job is offered once for each agent, in a
  carton type that only this quote accepts, with the resource as its weight and the cost as the price of the carton.
- bin packing: a bin is a trip with its fixed charge and most weight.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from shipopt.move.care import CareLevel
from shipopt.move.cartons import CartonType, FilledCarton
from shipopt.move.money import currency
from shipopt.move.move import Move, PackedAlready
from shipopt.move.quotes import Quote, RateCard, RateStep
from shipopt.move.settings import Settings
from shipopt.move.words import Consignment, Means, Status, Units
from shipopt.planning.programme import Candidate

TENS_OF_THOUSANDTHS = currency("CLF")
"""A currency of four decimal places, so that the costs of the instances need no rounding after the scale below."""

SCALE = 10
"""Costs of the location files have five decimal places; ten times as much has four."""


@dataclass(frozen=True, slots=True)
class Location:
    """Facilities with capacity and fixed cost; customers with demand; ``costs[i][j]`` of serving j wholly from i."""

    capacities: tuple[Decimal, ...]
    fixed: tuple[Decimal, ...]
    demands: tuple[Decimal, ...]
    costs: tuple[tuple[Decimal, ...], ...]


@dataclass(frozen=True, slots=True)
class Assignment:
    """``costs[i][j]`` and ``resources[i][j]`` of giving job j to agent i, and the agents' capacities."""

    costs: tuple[tuple[Decimal, ...], ...]
    resources: tuple[tuple[Decimal, ...], ...]
    capacities: tuple[Decimal, ...]


# Files


def _numbers(text: str) -> Iterator[Decimal]:
    return (Decimal(word.rstrip(".")) for word in text.split())


def _take(numbers: Iterator[Decimal], count: int) -> tuple[Decimal, ...]:
    return tuple(next(numbers) for _ in range(count))


def read_assignment(path: Path) -> Assignment:
    """Agents m and jobs n; m × n costs; m × n resources; m capacities (OR-Library's layout of one problem)."""
    numbers = _numbers(path.read_text())
    agents, jobs = (int(number) for number in _take(numbers, 2))
    costs = tuple(_take(numbers, jobs) for _ in range(agents))
    resources = tuple(_take(numbers, jobs) for _ in range(agents))
    return Assignment(costs, resources, _take(numbers, agents))


def read_warehouses(path: Path) -> Location:
    """OR-Library's layout of cap files: capacity and fixed cost of each facility; then each customer's demand and the
    costs of all of it from each facility. Some files of the collection write one word for a capacity to be chosen."""
    numbers = _numbers(path.read_text())
    facilities, customers = (int(number) for number in _take(numbers, 2))
    pairs = [_take(numbers, 2) for _ in range(facilities)]
    rows = [_take(numbers, 1 + facilities) for _ in range(customers)]
    return Location(
        capacities=tuple(capacity for capacity, _ in pairs),
        fixed=tuple(fixed for _, fixed in pairs),
        demands=tuple(row[0] for row in rows),
        costs=tuple(tuple(row[1 + i] for row in rows) for i in range(facilities)),
    )


def read_single_source(path: Path) -> Location:
    """Facilities m and customers n; m capacities; m fixed costs; n demands; a row of m costs for each customer."""
    numbers = _numbers(path.read_text())
    facilities, customers = (int(number) for number in _take(numbers, 2))
    capacities, fixed = _take(numbers, facilities), _take(numbers, facilities)
    demands = _take(numbers, customers)
    rows = [_take(numbers, facilities) for _ in range(customers)]
    return Location(capacities, fixed, demands, tuple(zip(*rows, strict=True)))


# Moves


def location_move(instance: Location, *, with_capacities: bool) -> Move:
    """The move whose best plan costs SCALE times the best of the instance, each customer served by one facility."""
    quotes = [
        Quote(
            name=f"facility {i}",
            means=Means.VAN,
            consignment=Consignment.LOAD,
            fixed_charge=fixed * SCALE,
            rate_card=RateCard("costs", _steps(instance.costs[i])),
            most_volume=capacity if with_capacities else None,
        )
        for i, (fixed, capacity) in enumerate(zip(instance.fixed, instance.capacities, strict=True))
    ]
    cartons = [
        _closed(f"customer {j}", weight=Decimal(j + 1), volume=demand) for j, demand in enumerate(instance.demands)
    ]
    return _move(quotes, cartons)


def _steps(costs: Sequence[Decimal]) -> tuple[RateStep, ...]:
    return tuple(RateStep(Decimal(j + 1), cost * SCALE) for j, cost in enumerate(costs))


def bin_move(sizes: Sequence[object], bins: Iterable[tuple[object, object, int]]) -> Move:
    """The move of items of these sizes into bins of kinds (capacity, cost, number there are)."""
    quotes = [
        Quote(
            name=f"bin {k}",
            means=Means.VAN,
            consignment=Consignment.LOAD,
            trips_at_most=number,
            fixed_charge=Decimal(str(cost)),
            most_weight=Decimal(str(capacity)),
        )
        for k, (capacity, cost, number) in enumerate(bins)
    ]
    cartons = [_closed(f"item {j}", Decimal(str(size)), Decimal(1)) for j, size in enumerate(sizes)]
    return _move(quotes, cartons)


def assignment_move(instance: Assignment) -> tuple[Move, list[Candidate], list[int]]:
    """The move, the cartons to choose from, and the items (jobs) that must each go once."""
    agents, jobs = len(instance.costs), len(instance.costs[0])
    types = [
        [_type(f"job {j} for agent {i}", Decimal(1), instance.costs[i][j]) for j in range(jobs)] for i in range(agents)
    ]
    quotes = [
        Quote(
            name=f"agent {i}",
            means=Means.VAN,
            consignment=Consignment.LOAD,
            cartons_accepted=tuple(carton.name for carton in types[i]),
            most_weight=capacity,
        )
        for i, capacity in enumerate(instance.capacities)
    ]
    candidates = [
        Candidate(_filled(f"{j} {i}", types[i][j], instance.resources[i][j]), {j: 1})
        for j in range(jobs)
        for i in range(agents)
    ]
    move = _move(quotes, [], [carton for row in types for carton in row])
    return move, candidates, [1] * jobs


def _move(quotes: Sequence[Quote], closed: Sequence[FilledCarton], types: Sequence[CartonType] = ()) -> Move:
    return Move(
        settings=Settings(
            units=Units.KILOGRAM_CENTIMETRE,
            currency=TENS_OF_THOUSANDTHS,
            heaviest_carton=Decimal(10**6),
            within=Decimal(0),
        ),
        records=(),
        cartons={carton.name: carton for carton in (*types, *(filled.carton for filled in closed))},
        quotes={quote.name: quote for quote in quotes},
        care={"standard": CareLevel("standard", frozenset(Means))},
        packed=tuple(PackedAlready(filled, Status.TO_GO) for filled in closed),
    )


def _type(name: str, volume: Decimal, price: Decimal = Decimal(0)) -> CartonType:
    """A carton type of so many m³."""
    side = Decimal(100)
    return CartonType(name, ("12",), Decimal(1), volume * side, side, side, Decimal(0), price=price)


def _closed(number: str, weight: Decimal, volume: Decimal) -> FilledCarton:
    return _filled(number, _type(number, volume), weight, closed_by_user=True)


def _filled(number: str, carton: CartonType, weight: Decimal, *, closed_by_user: bool = False) -> FilledCarton:
    return FilledCarton(
        number=number,
        carton=carton,
        portions=(),
        records=1,
        gross_weight=weight,
        value=Decimal(0),
        stack=Decimal(1),
        care=("standard",),
        recordings_only=True,
        closed_by_user=closed_by_user,
    )
