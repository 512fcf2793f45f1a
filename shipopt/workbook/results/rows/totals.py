"""The totals of a plan, each under its label of the sheet Plan.

Every total is a sum over priced rows; the floor is the search's own. Called by the module gathered.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from shipopt.move.money import ZERO
from shipopt.move.plan import Plan
from shipopt.pricing.total import Cost
from shipopt.risk.distribution import LossDistribution
from shipopt.workbook.results.rows.cartons import CartonRow


@dataclass(frozen=True, slots=True)
class Totals:
    """Money in the move's currency; the gap in percent of the cost, which counts the expected loss where the
    settings do."""

    total_cost: Decimal
    carriage: Decimal
    cartons_bought: Decimal
    cover_fees: Decimal
    expected_uninsured_loss: Decimal
    average_of_worst_5_percent: Decimal
    value_moved: Decimal
    value_covered: Decimal
    records: int
    cartons: int
    lower_bound: Decimal
    gap_percent: Decimal
    chance_of_any_uninsured_loss_percent: Decimal
    uninsured_loss_in_95_of_100_moves_at_most: Decimal
    worst_single_event: Decimal


def totals(plan: Plan, cost: Cost, cartons: Sequence[CartonRow], losses: LossDistribution) -> Totals:
    """The totals of the plan; ``cartons`` are all rows of the carton list."""
    expected = sum((row.expected_uninsured_loss for row in cartons), ZERO)
    compared = cost.total + (expected if plan.move.settings.count_expected_loss else ZERO)
    return Totals(
        total_cost=cost.total,
        carriage=cost.carriage,
        cartons_bought=cost.cartons,
        cover_fees=cost.cover,
        expected_uninsured_loss=expected,
        average_of_worst_5_percent=losses.tail_mean,
        value_moved=sum((row.value for row in cartons), ZERO),
        value_covered=sum((row.value for row in cartons if row.cover), ZERO),
        records=sum(row.records for row in cartons),
        cartons=len(cartons),
        lower_bound=plan.search.floor,
        gap_percent=(compared - plan.search.floor) / compared * 100 if compared else ZERO,
        chance_of_any_uninsured_loss_percent=losses.chance_of_any * 100,
        uninsured_loss_in_95_of_100_moves_at_most=losses.point,
        worst_single_event=losses.worst_event,
    )
