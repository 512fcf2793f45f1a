"""A share of the fuzzing: spoilt workbooks give a move or findings; sound ones made at random give a plan or reasons.

Numbers at their ends are asked too: prices from nothing to 10⁹, weights to a milligram, currencies of no and of three
places, values all equal or all zero, one record. The long run is told of in ``fuzzing``.
"""

from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from independent.broken import broken_rules

import shipopt
from faults.fuzzing import run
from shipopt.workbook.template import write_workbook

CASES = 500


def test_spoilt_workbooks_give_a_move_or_findings(tmp_path: Path) -> None:
    counts, failed = run(0, CASES, tmp_path)
    assert not failed
    assert counts["move"] > CASES / 20, "the cases are too rough to reach the checks behind the first"
    assert counts["findings"] > CASES / 4


def planned(path: Path, currency: str, rows: dict[str, Any]) -> shipopt.Plan | shipopt.NoPlan:
    """The plan of a workbook, judged by the independent rules; or that there is none, with its reasons."""
    write_workbook(path, "kg / cm", currency, rows)
    before = path.read_bytes()
    try:
        results = shipopt.plan_workbook(
            path, path.with_suffix(".results.xlsx"), search=lambda move: shipopt.optimise(move, seconds=3)
        )
    except shipopt.NoPlan as none:
        return _with_reasons(none, path.with_suffix(".results.xlsx"))
    finally:
        assert path.read_bytes() == before
    assert broken_rules(results.plan.move, results.plan.shipments) == []
    assert results.totals.lower_bound <= results.totals.total_cost
    return results.plan


def _with_reasons(none: shipopt.NoPlan, results: Path) -> shipopt.NoPlan:
    assert none.reasons
    assert not results.exists()
    return none


MONEY = st.one_of(st.just(0), st.just(1_000_000_000), st.decimals(0, 5_000, places=2).map(float))
WEIGHT = st.one_of(st.just(0.000001), st.decimals("0.000001", "0.9", places=6).map(float))


def _records(value: st.SearchStrategy[Any]) -> st.SearchStrategy[list[dict[str, Any]]]:
    row = st.fixed_dictionaries(
        {"Format": st.sampled_from(["LP", "7-inch"]), "Value each": value},
        optional={
            "Copies": st.integers(1, 60),
            "Weight each": WEIGHT,
            "Care": st.sampled_from(["standard", "guarded"]),
            "Title": st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), max_size=20),
        },
    )
    return st.lists(row, min_size=1, max_size=6)


QUOTE = st.fixed_dictionaries(
    {"Means": st.sampled_from(["van", "freight", "post", "carry-on"])},
    optional={
        "Fixed charge": MONEY,
        "Per carton": MONEY,
        "Per weight unit": MONEY,
        "Minimum charge": MONEY,
        "Surcharge %": st.integers(0, 300),
        "Closed body": st.sampled_from(["yes", "no"]),
        "Tracked": st.sampled_from(["yes", "no"]),
        "Carton weight limit": st.sampled_from([2, 15, 30]),
        "Most value": MONEY,
    },
)


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(
    st.sampled_from(["EUR", "JPY", "KWD"]),
    st.one_of(_records(MONEY), _records(st.just(0)), _records(st.just(7))),
    st.lists(QUOTE, min_size=1, max_size=3),
)
def test_sound_workbooks_give_a_plan_or_reasons(
    tmp_path_factory: pytest.TempPathFactory, currency: str, records: list[dict[str, Any]], quotes: list[dict[str, Any]]
) -> None:
    named = [{"Quote": f"Invented {n}", **quote} for n, quote in enumerate(quotes, start=1)]
    if currency == "JPY":
        records, named = _whole(records), _whole(named)
    path = tmp_path_factory.mktemp("made") / "move.xlsx"
    try:
        planned(path, currency, {"Records": records, "Quotes": named})
    except shipopt.WorkbookErrors as wrong:
        _tells_cells(wrong)


def _tells_cells(wrong: shipopt.WorkbookErrors) -> None:
    assert wrong.errors
    assert all(error.place and error.sentence for error in wrong.errors)


def _whole(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The rows with money in whole units, for a currency without smaller ones."""
    return [
        {name: round(it) if isinstance(it, float) and name != "Weight each" else it for name, it in row.items()}
        for row in rows
    ]


VAN = {"Quote": "Van", "Means": "van", "Fixed charge": 10, "Closed body": "yes", "Tracked": "yes"}


@pytest.mark.parametrize(
    ("currency", "records", "quote"),
    [
        ("EUR", [{"Value each": 0}], {}),
        ("JPY", [{"Value each": 1_000_000_000}], {"Fixed charge": 1_000_000_000}),
        ("KWD", [{"Value each": 0.001, "Copies": 200}], {"Per carton": 0.001}),
        ("EUR", [{"Value each": 7, "Copies": 300}], {"Fixed charge": 0}),
        ("EUR", [{"Value each": 0, "Copies": 300}], {"Per weight unit": 1_000_000_000}),
        ("EUR", [{"Value each": 5, "Weight each": 0.000001, "Copies": 90}], {"Per weight unit": 0.5}),
        ("EUR", [{"Value each": 5, "Weight each": 0.312457, "Copies": 90}], {"Carton weight limit": 0.812457}),
    ],
    ids=["one record", "a thousand million", "three places", "all equal", "all zero", "milligrams", "tight weights"],
)
def test_numbers_at_their_ends_are_planned(
    tmp_path: Path, currency: str, records: list[dict[str, Any]], quote: dict[str, Any]
) -> None:
    rows = {"Records": [{"Format": "LP", **row} for row in records], "Quotes": [{**VAN, **quote}]}
    outcome = planned(tmp_path / "move.xlsx", currency, rows)
    assert isinstance(outcome, shipopt.NoPlan if "Carton weight limit" in quote else shipopt.Plan)
