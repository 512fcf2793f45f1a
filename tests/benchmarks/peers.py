"""Who plans the moves: the planner itself and its peers, each as one function from a move to shipments.

A peer gets a time in seconds and says None where it found nothing; whoever calls prices and audits what it found. The
planner also says its floor. Imports of a peer's own libraries happen when it is called.
"""

import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal

from shipopt.move.move import Move
from shipopt.move.plan import Plan, Search, Shipment
from shipopt.risk.expected import expected_uninsured_loss_of_all

NOT_SAID = Search("", 0.0, Decimal(0), "")


@dataclass(frozen=True, slots=True)
class Answer:
    """A plan, or None with a word on why; ``floor`` where the peer proves one for every plan."""

    plan: Plan | None
    floor: Decimal | None = None
    word: str = ""


def _shipopt(move: Move, seconds: float) -> Answer:
    from shipopt.planning import NoPlan, NoPlanInTime, optimise

    try:
        plan = optimise(move, seconds=seconds)
    except NoPlanInTime:
        return Answer(None, None, "nothing found")
    except NoPlan as no_plan:
        return Answer(None, None, f"no plan can be: {no_plan}")
    return Answer(plan, plan.search.floor, plan.search.stopped)


def _thumb(move: Move, seconds: float) -> Answer:
    from benchmarks.thumb import rule_of_thumb

    return _found(move, rule_of_thumb(move, seconds))


def _no_riskier(move: Move, seconds: float) -> Answer:
    """The planner, which must not lose more on average than the rule of thumb's plan does: for the price of that alone.
    Its floor is one of plans that lose no more, so no floor is told."""
    from benchmarks.thumb import rule_of_thumb

    began = time.perf_counter()
    shipments = rule_of_thumb(move, seconds)
    if shipments is None:
        return Answer(None, None, "the rule of thumb found nothing")
    most = expected_uninsured_loss_of_all(move, shipments)
    capped = replace(move, settings=replace(move.settings, most_expected_loss=most))
    answer = _shipopt(capped, seconds - (time.perf_counter() - began))
    return _found(move, answer.plan and answer.plan.shipments, answer.word)


def _found(move: Move, shipments: tuple[Shipment, ...] | None, word: str = "") -> Answer:
    if shipments is None:
        return Answer(None, None, word or "nothing found")
    return Answer(Plan(move, shipments, NOT_SAID), None, word)


def _slots(solver: str) -> Callable[[Move, float], Answer]:
    def plan(move: Move, seconds: float) -> Answer:
        from benchmarks.modeller import Modeller, WithCpSat, WithPulp
        from benchmarks.slots import plan_slots
        from benchmarks.slots_cover import covers
        from benchmarks.slots_prices import prices

        def modeller(left: float) -> Modeller:
            return WithCpSat(left) if solver == "CP-SAT" else WithPulp(left, solver)

        return _found(move, *plan_slots(move, modeller, seconds, (prices, covers)))

    return plan


PEERS: dict[str, Callable[[Move, float], Answer]] = {
    "shipopt": _shipopt,
    "shipopt, no riskier": _no_riskier,
    "rule of thumb": _thumb,
    "slots, HiGHS": _slots("HiGHS"),
    "slots, CBC": _slots("CBC"),
    "slots, CP-SAT": _slots("CP-SAT"),
}
"""By the name that tables show."""
