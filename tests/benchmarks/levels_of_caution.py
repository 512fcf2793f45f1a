"""The cost of caution, measured: how near each level's plan is to its floor, on realistic moves without caps.

    cd tests; python -m benchmarks.levels_of_caution --records 1500 --seeds 1 2 3 --seconds 1000

``--seconds`` is the move's setting Seconds to search; the levels take a share of it, as in the whole command. All moves
are invented.
"""

import argparse
import sys
import time
from dataclasses import replace
from decimal import Decimal

from benchmarks.moves import realistic
from shipopt.comparing.caution import Caution, cost_of_caution, without_caps
from shipopt.comparing.shares_of_time import OF_SEARCH
from shipopt.planning import optimise

PLANNED_IN = 60.0
"""Seconds for the plan that the levels start from."""


def measured(seed: int, records: int, quotes: int, seconds: Decimal) -> tuple[Caution, float]:
    """The levels of one move, and the seconds that they took."""
    move = without_caps(realistic(seed, records, quotes))
    move = replace(move, settings=replace(move.settings, seconds=seconds))
    plan = optimise(move, seconds=PLANNED_IN)
    began = time.perf_counter()
    return cost_of_caution(plan), time.perf_counter() - began


def main() -> None:
    """Prints a line for each level of each move, and the widest gap of all."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--records", type=int, default=1500)
    parser.add_argument("--quotes", type=int, default=12)
    parser.add_argument("--seeds", type=int, nargs="+", default=[1])
    parser.add_argument("--seconds", type=Decimal, default=Decimal(1000))
    asked = parser.parse_args()
    print(f"{asked.records} records, {asked.quotes} quotes, {OF_SEARCH:.0%} of {asked.seconds} s")
    for seed in asked.seeds:
        caution, took = measured(seed, asked.records, asked.quotes, asked.seconds)
        print(f"\nseed {seed}, {took:.0f} s; no plan loses less than {caution.least_loss:.4f}")
        print(f"{'loses':>10} {'costs':>10} {'floor':>10} {'gap':>7}")
        gaps = [caution.gap_of(place) for place in range(len(caution.points))]
        for point, gap in zip(caution.points, gaps, strict=True):
            print(f"{point.expected_loss:10.4f} {point.cost:10.2f} {point.floor:10.2f} {gap:7.2%}")
        print(f"widest gap: {max(gaps):.2%} (of the last row in what is lost; in cost {caution.points[-1].gap:.2%})")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
