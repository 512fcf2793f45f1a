"""The whole job in a process of its own, each part timed: a large workbook is read, its move planned, results written.

Started by the module watching, like one_run. Writing the input workbook is shown too, but is no part of the job.
"""

import json
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from benchmarks.as_workbook import write_move
from benchmarks.moves import realistic
from benchmarks.one_run import megabytes
from shipopt import optimise, read_workbook, write_results
from shipopt.move.move import Move
from shipopt.planning.state import objective_of


def parts(move: Move, seconds: float, folder: Path) -> dict[str, Any]:
    """Seconds of each part, the sizes of both files in MB, and the plan's gap."""
    source, results = folder / "move.xlsx", folder / "move.results.xlsx"
    clock = [time.perf_counter()]
    write_move(source, move)
    clock.append(time.perf_counter())
    described = read_workbook(source)
    clock.append(time.perf_counter())
    plan = optimise(described.move, seconds=seconds)
    clock.append(time.perf_counter())
    write_results(results, plan, described.facts)
    clock.append(time.perf_counter())
    names = ("write_input", "read", "plan", "results")
    cost = float(objective_of(plan.move, plan.shipments))
    took = {name: after - before for name, before, after in zip(names, clock, clock[1:], strict=False)}
    sizes = {"input_mb": source.stat().st_size / 2**20, "results_mb": results.stat().st_size / 2**20}
    return {**took, **sizes, "gap": (cost - float(plan.search.floor)) / cost if cost else 0.0}


def main(seed: int, records: int, quotes: int, tight: bool | None, seconds: float) -> None:
    """Run, and print the three lines that are watched for."""
    move = realistic(seed, records, quotes, tight=tight)
    with tempfile.TemporaryDirectory() as folder:
        print("ready", flush=True)
        timed = parts(move, seconds, Path(folder))
    print("ended", sum(timed[name] for name in ("read", "plan", "results")), flush=True)
    print("result", json.dumps({"found": True, "word": "", **timed, "mb": megabytes()}), flush=True)


if __name__ == "__main__":
    main(**json.loads(sys.argv[1]))
