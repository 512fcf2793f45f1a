"""Measures the planner and its peers on the same moves under the same time limit: tables, a CSV file, charts.

From the folder tests: ``python -m benchmarks.run --sizes 300 1500 --seeds 1 2 --seconds 60 --peers shipopt "rule of
thumb"``. Each peer runs alone in a process of its own, whose memory is measured. ``--whole`` also times the reading of
the workbook and the writing of the results.
"""

import argparse
import csv
from collections.abc import Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from statistics import median
from typing import Any

from benchmarks.charts import bars
from benchmarks.peers import PEERS
from benchmarks.watching import watched

FIRST = "shipopt"
CAPS: dict[str, bool | None] = {"none": None, "loose": False, "tight": True}
COLUMNS = (
    *("records", "quotes_offered", "seed", "cap", "peer", "found", "cost", "objective", "floor", "gap", "seconds"),
    *("mb", "ratio", "loss", "carriage", "cover", "cartons", "quotes", "word"),
)
SHOWN = (("peer", 19), ("cost", 12), ("floor", 12), ("gap", 8), ("seconds", 8), ("mb", 7), ("ratio", 8), ("loss", 10))

Row = dict[str, Any]


def main() -> None:
    """Run what the arguments ask for."""
    given = _arguments()
    rows: list[Row] = []
    for size in given.sizes:
        for seed in given.seeds:
            rows += _measured(size, seed, given)
            _write(rows, given)
    if given.whole:
        _measure_whole(given)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, nargs="+", default=[300, 1500], help="copies in the collection")
    parser.add_argument("--seeds", type=int, nargs="+", default=[1, 2, 3])
    parser.add_argument("--seconds", type=float, default=60, help="for each peer")
    parser.add_argument("--peers", nargs="+", default=list(PEERS), choices=list(PEERS))
    parser.add_argument("--quotes", type=int, default=12, help="6 to 30")
    parser.add_argument("--cap", choices=list(CAPS), default="none", help="on expected uninsured loss")
    parser.add_argument("--within", type=Decimal, help="the gap asked of every peer; else the move's, 0.005")
    parser.add_argument("--gigabytes", type=float, default=12, help="memory that a peer may take")
    parser.add_argument("--out", type=Path, help="folder for results.csv and the charts")
    parser.add_argument("--whole", action="store_true", help="also time the whole job, workbook to workbook")
    return parser.parse_args()


def _measured(size: int, seed: int, given: argparse.Namespace) -> list[Row]:
    """A row for each peer on one move."""
    print(f"\n{size} records, {given.quotes} quotes, seed {seed}, cap {given.cap}, {given.seconds:g} s each")
    print("  ".join(name.rjust(width) for name, width in SHOWN) + "  cartons  quotes  word")
    argument = {"seed": seed, "records": size, "quotes": given.quotes, "tight": CAPS[given.cap]}
    argument |= {"seconds": given.seconds, "gigabytes": given.gigabytes}
    argument |= {} if given.within is None else {"within": str(given.within)}
    rows: list[Row] = []
    for peer in given.peers:
        result = watched("benchmarks.one_run", {"peer": peer, **argument}, given.seconds)
        row = {"records": size, "quotes_offered": given.quotes, "seed": seed, "cap": given.cap, "peer": peer, **result}
        best = next((r["objective"] for r in rows if r["peer"] == FIRST and r["found"]), row.get("objective"))
        if row["found"]:
            row["ratio"] = row["objective"] / best if best else 1.0
            if row.get("floor") is not None and row["objective"]:
                row["gap"] = (row["objective"] - row["floor"]) / row["objective"]
        rows.append(row)
        print(_line(row), flush=True)
    return rows


def _line(row: Mapping[str, Any]) -> str:
    texts = []
    for name, width in SHOWN:
        value = row.get(name)
        match name:
            case _ if value is None:
                text = "-"
            case "gap":
                text = f"{value:.2%}"
            case "ratio":
                text = f"{value:.4f}"
            case "mb":
                text = f"{value:.0f}"
            case "peer":
                text = str(value)
            case _:
                text = f"{value:,.2f}"
        texts.append(text.rjust(width))
    rest = f"  {row.get('cartons', '-'):>7}  {row.get('quotes', '-'):>6}  {row['word']}"
    return "  ".join(texts) + rest


def _write(rows: Sequence[Row], given: argparse.Namespace) -> None:
    if given.out is None:
        return
    given.out.mkdir(parents=True, exist_ok=True)
    with (given.out / "results.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, COLUMNS, extrasaction="ignore")
        writer.writeheader()
        writer.writerows(rows)
    charts = (
        ("cost.svg", "Cost relative to shipopt (mean over the seeds where both found a plan)", "ratio", 1.0),
        ("seconds.svg", "Seconds (mean over the seeds)", "seconds", None),
        ("memory.svg", "Most memory held, MB (mean over the seeds)", "mb", None),
    )
    sizes = sorted({row["records"] for row in rows})
    for file_name, title, column, level in charts:
        series = {peer: [_mean(rows, size, peer, column) for size in sizes] for peer in given.peers}
        groups = [f"{size:,} records" for size in sizes]
        (given.out / file_name).write_text(bars(title, column, groups, series, level), encoding="utf-8")


def _mean(rows: Sequence[Row], size: int, peer: str, column: str) -> float | None:
    """The mean over the seeds; None where the peer found a plan on none of them."""
    mine = [r for r in rows if r["records"] == size and r["peer"] == peer and r["found"] and r.get(column) is not None]
    return sum(row[column] for row in mine) / len(mine) if mine else None


def _measure_whole(given: argparse.Namespace) -> None:
    """The whole job, each part apart, on each move; and the medians of each size."""
    print("\nThe whole job: seconds for each part, and the most memory held")
    print("records  seed  write input  read  plan  price, risk, results  whole     gap      MB  input MB  results MB")
    for size in given.sizes:
        done = []
        for seed in given.seeds:
            argument = {"seed": seed, "records": size, "quotes": given.quotes, "tight": CAPS[given.cap]}
            result = watched("benchmarks.whole_job", {**argument, "seconds": given.seconds}, given.seconds + 600)
            if not result["found"]:
                print(f"{size:>7}  {seed:>4}  {result['word']}", flush=True)
                continue
            done.append(result)
            print(_whole_line(size, str(seed), result), flush=True)
        if len(done) > 1:
            names = [name for name, value in done[0].items() if isinstance(value, float)]
            middle = {name: median(result[name] for result in done) for name in names}
            print(_whole_line(size, "mid", middle), flush=True)


def _whole_line(size: int, seed: str, result: Mapping[str, Any]) -> str:
    return (
        f"{size:>7}  {seed:>4}  {result['write_input']:>11.1f}  {result['read']:>4.1f}  {result['plan']:>4.1f}  "
        f"{result['results']:>20.1f}  {result['seconds']:>5.1f}  {result['gap']:>6.2%}  {result['mb']:>6.0f}  "
        f"{result['input_mb']:>8.1f}  {result['results_mb']:>10.1f}"
    )


if __name__ == "__main__":
    main()
