"""The sheet Handling: the move's settings reach the formulas, and the words follow the figures."""

from dataclasses import replace

import pytest
from small_moves import SEARCH, d, larger_plan, settings

from shipopt.move.plan import Plan
from shipopt.move.words import Grip, Units
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.rows.handling import (
    ABOVE,
    FAR_ABOVE,
    NO_BOARD,
    NOT_AT_ALL,
    WITHIN,
    LiftingRow,
    StackingRow,
)

EASY = {
    "lift_from": d(75),
    "lift_to": d(75),
    "lift_reach": d(25),
    "lift_twist": d(0),
    "lifts_a_minute": d("0.2"),
    "lifting_hours": d(1),
    "grip": Grip.GOOD,
}
"""The ideal lift: 23 kg."""


def crate(**changed: object) -> LiftingRow:
    """The row of the crate, of 21.96 kg at most, for a lift of these settings."""
    rows = Results(larger_plan(400, settings(**{**EASY, **changed}))).lifting
    return next(row for row in rows if row.carton == "crate 12")


def test_the_ideal_lift_is_within_the_limit() -> None:
    row = crate()
    assert (row.limit_at_the_start, row.limit_at_the_end, row.heaviest) == (23, 23, d("21.96"))
    assert row.lifting_index == d("21.96") / 23
    assert (row.over_the_limit, row.in_words) == (0, WITHIN)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"lift_twist": d(90)}, ABOVE),
        ({"lift_from": d(0)}, ABOVE),
        ({"lift_to": d(150)}, ABOVE),
        ({"lift_reach": d(40)}, ABOVE),
        ({"lifts_a_minute": d(9)}, ABOVE),
        ({"lifts_a_minute": d(9), "lifting_hours": d(2)}, FAR_ABOVE),
        ({"lift_reach": d(64)}, NOT_AT_ALL),
    ],
)
def test_each_setting_of_the_lift_reaches_the_limit(changed: dict[str, object], words: str) -> None:
    row = crate(**changed)
    assert row.in_words == words
    assert min(row.limit_at_the_start, row.limit_at_the_end) < 23
    assert row.over_the_limit > 0
    assert (row.lifting_index is None) is (words == NOT_AT_ALL)


def test_the_grip_counts_where_hands_are_low() -> None:
    low = {"lift_from": d(70), "lift_to": d(70)}
    good, fair, poor = (crate(**low, grip=grip).limit_at_the_start for grip in Grip)
    assert fair == good * d("0.95")
    assert poor == good * d("0.90")


def test_the_default_reach_is_the_cartons_own() -> None:
    """A crate 34 cm wide, its lift from 25 cm up: 20 + 17 = 37 cm."""
    assert crate(lift_reach=None, lift_from=d(25), lift_to=d(100)).hands_before_ankles == 37


def stacked(**changed: object) -> StackingRow:
    """The row of the crate with a board of 32 lb/in and 4 mm."""
    plan = larger_plan(400, settings(**changed))
    board = replace(plan.move.cartons["crate 12"], edge_crush=d("5.6"), board_thickness=d("0.4"))
    shipments = tuple(
        replace(each, filled=replace(each.filled, carton=board)) if each.filled.carton.name == board.name else each
        for each in plan.shipments
    )
    move = replace(plan.move, cartons=plan.move.cartons | {board.name: board})
    return next(row for row in Results(Plan(move, shipments, SEARCH)).stacking if row.carton == board.name)


def test_stacks_by_hand() -> None:
    """5.87 × 5.6 kN/m × √(0.004 m × 1.36 m) = 2.4246 kN = 247.24 kg; × 0.60 × 0.80 × 0.85 × 0.75 = 75.65 kg: three
    crates of 21.96 kg above the lowest, and four of 34 cm are 136 cm high."""
    row = stacked()
    assert row.crushed_by == pytest.approx(d("247.24"), abs=d("0.01"))
    assert row.safe_load == pytest.approx(d("75.65"), abs=d("0.01"))
    assert row.cartons_high == 4


def test_damp_and_time_lower_the_stack() -> None:
    assert stacked(stacked_humidity=d("0.9")).cartons_high == 3
    assert stacked(stacked_humidity=d("0.95")).cartons_high == 1
    assert "do not stack" in stacked(stacked_humidity=d("0.95")).in_words
    assert stacked(stacked_days=180).safe_load < stacked(stacked_days=10).safe_load  # type: ignore[operator]


def test_a_board_that_is_not_known_is_said_to_be() -> None:
    results = Results(larger_plan(400))
    assert {(row.crushed_by, row.safe_load, row.in_words) for row in results.stacking} == {(None, None, NO_BOARD)}


def test_pounds_and_inches_have_their_own_constants() -> None:
    rows = Results(larger_plan(400, settings(units=Units.POUND_INCH, heaviest_carton=d(50)))).lifting
    easy = {**EASY, "lift_from": d(30), "lift_to": d(30), "lift_reach": d(10)}
    ideal = Results(larger_plan(400, settings(units=Units.POUND_INCH, heaviest_carton=d(50), **easy))).lifting
    assert {row.limit_at_the_start for row in ideal} == {51}
    assert all(row.limit_at_the_start < 51 for row in rows)
