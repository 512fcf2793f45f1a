"""All plans found on the way that obey the rules of one move, whatever variant they were found for.

Each is filled and priced anew by the move's own rules and prices and judged by the audit, so that a plan found for a
question may answer the others too: what is asked of the pool never contradicts itself. Called by every question here.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from decimal import Decimal

from shipopt.move.cartons import FilledCarton
from shipopt.move.move import Move
from shipopt.move.plan import Plan, Shipment
from shipopt.planning.audit import findings
from shipopt.planning.known import cartons_again
from shipopt.planning.state import objective_of


class Pool:
    """Plans of a move, the first being the one that is compared with; ``plans`` in the order they were found."""

    def __init__(self, plan: Plan) -> None:
        self.move = plan.move
        self.plans = [plan]
        self.objectives = [objective_of(plan.move, plan.shipments)]

    def add(self, plan: Plan) -> Plan | None:
        """Takes a plan of a variant if it obeys the move's rules; it as the move has it, or None."""
        served = serving(plan, self.move)
        if served is not None:
            self.plans.append(served)
            self.objectives.append(objective_of(self.move, served.shipments))
        return served

    def cheapest(self, fits: Callable[[Plan], bool] = lambda plan: True) -> Plan | None:
        """The cheapest plan that fits, the first found of equals."""
        places = [place for place, plan in enumerate(self.plans) if fits(plan)]
        return self.plans[min(places, key=lambda place: self.objectives[place])] if places else None

    def least(self, fits: Callable[[Plan], bool] = lambda plan: True) -> Decimal | None:
        """The objective of the cheapest plan that fits."""
        plan = self.cheapest(fits)
        return None if plan is None else self.objective(plan)

    def objective(self, plan: Plan) -> Decimal:
        """The objective of a plan of the pool, money."""
        return self.objectives[next(place for place, known in enumerate(self.plans) if known is plan)]


def serving(plan: Plan, move: Move) -> Plan | None:
    """The plan of a variant as a plan of the move, if it obeys the move's rules; else None."""
    cartons = cartons_again(plan, move)
    if cartons is None:
        return None
    shipments = tuple(_again(plan, iter(cartons), move))
    if any(shipment is None for shipment in shipments):
        return None
    served = Plan(move, tuple(shipment for shipment in shipments if shipment), plan.search)
    return None if findings(served) else served


def _again(plan: Plan, cartons: Iterator[FilledCarton], move: Move) -> Iterator[Shipment | None]:
    closed = {filled.number: filled for filled in move.to_go}
    for shipment in plan.shipments:
        filled = closed.get(shipment.filled.number) if shipment.filled.closed_by_user else next(cartons)
        quote = move.quotes.get(shipment.quote.name)
        cover = move.covers.get(shipment.cover.name) if shipment.cover else None
        if filled is None or quote is None or (shipment.cover and cover is None):
            yield None
        else:
            yield replace(shipment, filled=filled, quote=quote, cover=cover)
