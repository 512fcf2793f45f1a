"""One peer on one move, in a process of its own: says when it starts, when it has ended, and what came of it.

Started by the module watching, which also stops it; lines of the standard output are ``ready``, ``ended SECONDS`` and
``result JSON``. Making the move, pricing and auditing are not counted in the seconds.
"""

import json
import resource
import sys
import time
from dataclasses import replace
from decimal import Decimal
from typing import Any

from benchmarks.moves import realistic
from benchmarks.peers import PEERS, Answer
from shipopt.move.move import Move
from shipopt.planning.audit import findings
from shipopt.pricing.total import price
from shipopt.risk.expected import expected_uninsured_loss_of_all


def result_of(move: Move, answer: Answer) -> dict[str, Any]:
    """What a table says of an answer; a plan that the audit faults is no plan."""
    if answer.plan is None:
        return {"found": False, "word": answer.word}
    faults = findings(answer.plan)
    if faults:
        return {"found": False, "word": f"breaks rules: {faults[0]} ({len(faults)} findings)"}
    shipments = answer.plan.shipments
    cost = price(move, shipments)
    loss = expected_uninsured_loss_of_all(move, shipments)
    counted = loss if move.settings.count_expected_loss else 0
    return {
        "found": True,
        "word": answer.word,
        "cost": float(cost.total),
        "objective": float(cost.total + counted),
        "floor": None if answer.floor is None else float(answer.floor),
        "carriage": float(cost.carriage),
        "cover": float(cost.cover),
        "loss": float(loss),
        "cartons": len(shipments),
        "quotes": len({shipment.quote.name for shipment in shipments}),
    }


def megabytes() -> float:
    """The most memory held so far, by this process and by its largest ended child (a solver's own program)."""
    own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    children = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    return (own + children) / 1024


def main(
    peer: str,
    seed: int,
    records: int,
    quotes: int,
    tight: bool | None,
    seconds: float,
    gigabytes: float,
    within: str | None = None,
) -> None:
    """Run, and print the three lines."""
    resource.setrlimit(resource.RLIMIT_AS, (int(gigabytes * 2**30),) * 2)
    move = realistic(seed, records, quotes, tight=tight)
    if within is not None:
        move = replace(move, settings=replace(move.settings, within=Decimal(within)))
    print("ready", flush=True)
    before = megabytes()
    began = time.perf_counter()
    try:
        answer = PEERS[peer](move, seconds)
    except MemoryError:
        answer = Answer(None, None, "out of memory")
    print("ended", time.perf_counter() - began, flush=True)
    peak = megabytes()
    print("result", json.dumps({**result_of(move, answer), "before_mb": before, "mb": peak}), flush=True)


if __name__ == "__main__":
    main(**json.loads(sys.argv[1]))
