"""Levels of caution: which plans of a pool are shown, and which plan serves each level. All figures are invented."""

from decimal import Decimal
from types import SimpleNamespace

import pytest
from planning.two_cartons import MOVE

from shipopt.comparing import levels
from shipopt.comparing.levels import ENOUGH, HARDLY_MORE, PROMISED, between, levels_of, points_of, well_bounded


def _plan(cost: str, loss: str) -> SimpleNamespace:
    return SimpleNamespace(cost=Decimal(cost), loss=Decimal(loss), move=MOVE)


@pytest.fixture(autouse=True)
def _figures_are_given(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(levels, "cost_of", lambda plan: plan.cost)
    monkeypatch.setattr(levels, "loss_of", lambda plan: plan.loss)


CHEAP, CAREFUL = _plan("100", "50"), _plan("300", "10")


def test_levels_are_what_plans_lose_in_whole_cents() -> None:
    between_them = _plan("150", "20.123")
    assert levels_of([CAREFUL, between_them, CHEAP]) == [Decimal("20.13"), Decimal("10.00")]
    assert levels_of([CHEAP]) == []


def test_of_plans_that_lose_hardly_more_than_the_least_the_cheapest_is_the_most_careful() -> None:
    nearly = _plan("200", str(10 * (1 + HARDLY_MORE)))
    assert levels_of([CHEAP, CAREFUL, nearly]) == [Decimal("10.01")]
    points = points_of([CHEAP, CAREFUL, nearly], [None, Decimal("10.01")], {})  # type: ignore[list-item]
    assert [point.cost for point in points] == [100, 200]
    more = _plan("200", "10.05")
    assert levels_of([CHEAP, CAREFUL, more]) == [Decimal("10.05"), Decimal("10.00")]


def test_the_limit_of_the_last_level_is_told_finely_so_that_no_plan_that_loses_more_serves_it() -> None:
    """Of 7.2702 it may be proved that no plan loses 1 % less, and of 7.28 not."""
    careful, cheaper = _plan("300", "7.270216"), _plan("290", "7.2800")
    levels = levels_of([CHEAP, careful, cheaper], Decimal("7.198175"))
    assert levels[-1] == Decimal("7.270216")
    points = points_of([CHEAP, careful, cheaper], [None, *levels], {})  # type: ignore[list-item]
    assert points[-1].cost == 300
    assert (points[-1].expected_loss - Decimal("7.198175")) / points[-1].expected_loss <= PROMISED


def test_the_most_careful_plan_is_the_cheapest_of_which_it_is_proved_that_none_loses_much_less() -> None:
    more = _plan("200", "10.05")
    for least, levels_then in (("9.94", ["10.05", "10.00"]), ("9.95", ["10.05"])):
        assert levels_of([CHEAP, CAREFUL, more], Decimal(least)) == [Decimal(level) for level in levels_then]
        gap = (Decimal("10.05") - Decimal(least)) / Decimal("10.05")
        assert (gap <= PROMISED) == (len(levels_then) == 1)


def test_levels_without_a_good_floor_are_left_out_where_enough_have_one() -> None:
    all_ = [Decimal(100 - place) for place in range(ENOUGH)]
    poor = {all_[3], all_[-1]}

    def gap_of(level: Decimal) -> Decimal:
        return PROMISED * 2 if level in poor else PROMISED

    assert well_bounded(all_, gap_of) == [level for level in all_ if level != all_[3]], "the last stays"
    poor.add(all_[4])
    assert well_bounded(all_, gap_of) == all_, "or too few would be left"
    assert well_bounded([], gap_of) == []


def test_levels_between_lie_half_way_where_these_are_farthest_apart() -> None:
    cent = Decimal("0.01")
    assert between([Decimal(50), Decimal(10)], 5, cent) == [30, 40, 20]
    assert between([Decimal(50)], 4, cent) == []


def test_each_plan_is_shown_once_at_the_hardest_level_that_it_serves() -> None:
    floors = {None: Decimal(90), Decimal(40): Decimal(95), Decimal(10): Decimal(400)}
    points = points_of([CHEAP, CAREFUL], [None, Decimal(40), Decimal(10)], floors)  # type: ignore[list-item]
    assert [(point.at_most, point.cost, point.floor) for point in points] == [(None, 100, 90), (10, 300, 300)]
    assert [point.gap for point in points] == [Decimal("0.1"), 0]
