"""The benchmarks themselves: moves are what they say, peers keep the rules, what is slow or greedy is stopped."""

import csv
import os
import subprocess
import sys
from collections import Counter
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from statistics import median
from xml.etree import ElementTree

import pytest
from independent.exact import best_plan
from independent.random_moves import tiny
from independent.recompute import totals

from benchmarks.as_workbook import write_move
from benchmarks.modeller import WithCpSat, WithPulp
from benchmarks.moves import realistic
from benchmarks.peers import NOT_SAID
from benchmarks.slots import plan_slots
from benchmarks.slots_cover import covers
from benchmarks.slots_prices import prices
from benchmarks.thumb import rule_of_thumb
from benchmarks.watching import watched
from shipopt import read_workbook
from shipopt.move.plan import Plan
from shipopt.move.words import Units
from shipopt.planning.audit import findings
from shipopt.risk.expected import expected_uninsured_loss_of_all

TESTS = Path(__file__).parents[1]


def test_the_same_seed_gives_the_same_move():
    assert realistic(5, 300, 8) == realistic(5, 300, 8)
    assert realistic(5, 300, 8) != realistic(6, 300, 8)


@pytest.mark.parametrize("units", list(Units))
def test_a_move_has_the_copies_lines_and_care_it_should_have(units):
    move = realistic(3, 5000, 20, units=units)
    copies, care = Counter(), Counter()
    for record in move.records:
        copies[record.copies >= 5] += record.copies
        care[record.care] += record.copies
    assert sum(copies.values()) == 5000
    assert 0.29 < copies[True] / 5000 < 0.31
    assert (care["hand"], care["guarded"]) == (30, 75)
    assert len(move.quotes) == 20
    assert 6 <= median(record.value for record in move.records if record.copies == 1) <= 12
    assert max(record.value for record in move.records) > 300


@pytest.mark.parametrize("tight", [None, False, True])
@pytest.mark.parametrize(("records", "quotes"), [(100, 6), (300, 12), (1500, 20)])
def test_the_rule_of_thumb_keeps_every_rule(records, quotes, tight):
    move = realistic(1, records, quotes, tight=tight)
    shipments = rule_of_thumb(move, 60)
    assert shipments is not None
    assert findings(Plan(move, shipments, NOT_SAID)) == []


def test_a_tight_cap_binds_and_a_loose_one_does_not():
    for seed in range(1, 5):
        for tight in (True, False):
            move = realistic(seed, 600, 12, tight=tight)
            cap = move.settings.most_expected_loss
            uncapped = replace(move, settings=replace(move.settings, most_expected_loss=None))
            loss = expected_uninsured_loss_of_all(uncapped, rule_of_thumb(uncapped, 60))
            assert (loss > cap) == tight, f"seed {seed}, tight {tight}: {loss} against {cap}"


def what_peers_can_say(move):
    """The move without what the peers' formulation leaves out, or counts on the safe side only."""
    owes_nothing = {"liability_per_weight": Decimal(0), "liability_per_carton": Decimal(0)}
    return replace(
        move,
        settings=replace(move.settings, within=Decimal(0), most_tail_mean=None),
        records=tuple(replace(record, packed_in=None) for record in move.records),
        cartons={name: replace(carton, inner_cartons=1) for name, carton in move.cartons.items()},
        quotes={name: replace(quote, **owes_nothing) for name, quote in move.quotes.items()},
        packed=(),
    )


@pytest.mark.parametrize("modeller", [lambda s: WithPulp(s, "HiGHS"), WithCpSat], ids=["HiGHS", "CP-SAT"])
def test_the_straightforward_formulation_finds_the_best_plan_of_tiny_moves(modeller):
    """To within the rounding of each charge, which it leaves out."""
    compared = 0
    for seed in range(30):
        move = what_peers_can_say(tiny(seed, 6))
        best = best_plan(move)
        shipments, _ = plan_slots(move, modeller, 60, (prices, covers))
        assert (shipments is None) == (best.status == "INFEASIBLE"), f"seed {seed}"
        if shipments is None:
            continue
        compared += 1
        assert findings(Plan(move, shipments, NOT_SAID)) == [], f"seed {seed}"
        rounding = Fraction(move.settings.currency.minor_unit) * 2 * len(shipments)
        assert best.objective <= totals(move, shipments).objective <= best.objective + rounding, f"seed {seed}"
    assert compared > 10


def test_a_move_written_as_a_workbook_reads_back(tmp_path):
    move = realistic(2, 300, 20, tight=True)
    write_move(tmp_path / "move.xlsx", move)
    again = read_workbook(tmp_path / "move.xlsx").move
    bare = [[replace(r, format=None) for r in each.records] for each in (move, again)]
    assert bare[0] == bare[1]
    assert (again.cartons, again.care, again.covers) == (move.cartons, move.care, move.covers)
    for name, quote in move.quotes.items():
        plain = {"rate_card": None, "weight_breaks": None, "chances_assumed": False, "insure_rule_applies": True}
        assert replace(again.quotes[name], **plain) == replace(quote, **plain)
    assert replace(again.settings, cells={}) == move.settings


def test_a_run_writes_its_table_and_charts(tmp_path):
    arguments = ["--sizes", "100", "--seeds", "1", "2", "--seconds", "20", "--peers", "rule of thumb"]
    command = [sys.executable, "-m", "benchmarks.run", *arguments, "--quotes", "6", "--out", str(tmp_path)]
    told = subprocess.run(command, cwd=TESTS, capture_output=True, text=True, check=True, env={**os.environ})
    assert told.stdout.count("rule of thumb") == 2
    with (tmp_path / "results.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [row["seed"] for row in rows] == ["1", "2"]
    assert all(float(row["cost"]) > 0 and float(row["mb"]) > 10 for row in rows)
    for name in ("cost.svg", "seconds.svg", "memory.svg"):
        assert ElementTree.parse(tmp_path / name).getroot().tag.endswith("svg")


def test_a_peer_without_the_memory_has_found_nothing():
    argument = {"peer": "slots, HiGHS", "seed": 1, "records": 300, "quotes": 12, "tight": None}
    result = watched("benchmarks.one_run", {**argument, "seconds": 20, "gigabytes": 0.2}, 20)
    assert not result["found"]
    assert result["word"]


def test_a_peer_that_does_not_end_is_stopped():
    argument = {"peer": "shipopt", "seed": 1, "records": 1500, "quotes": 20, "tight": None}
    a_second = -8  # watching allows a tenth and ten seconds more
    result = watched("benchmarks.one_run", {**argument, "seconds": 300, "gigabytes": 8}, a_second)
    assert result == {"found": False, "word": "did not end in time", "seconds": pytest.approx(1.2, abs=1)}
