"""Answers that look odd or are missing, each told in words; merely dear or cheap bids are not. All invented."""

from pathlib import Path
from typing import Any

import pytest
from asked import answers_of, form_of, move_of, place, returned

import shipopt
from shipopt.bidding import form
from shipopt.bidding.load import loads
from shipopt.bidding.oddities import FAR_FROM_OTHERS, price
from shipopt.move.words import Means
from shipopt.workbook.reader import read

OTHERS = [{"Quote": f"Other {number}", "Means": "van", "Fixed charge": 1000 * number} for number in (1, 2, 3)]


def gathered(tmp_path: Path, cells: dict[str, Any], **tables: Any) -> shipopt.Gathered:
    """What is told of one returned form."""
    move = move_of(tmp_path, **{"Quotes": OTHERS, **tables})
    return shipopt.gather_bids(move, [returned(form_of(tmp_path, move=move), cells)], tmp_path / "new.xlsx")


def priced(amount: object, **given: Any) -> dict[str, Any]:
    """A whole bid at a fixed charge and nothing else to pay."""
    return answers_of(fixed_charge=amount, per_carton=None, tracked="yes", **given)


@pytest.mark.parametrize(
    ("amount", "told"), [(200, True), (201, False), (2000, False), (19_999, False), (20_000, True)]
)
def test_a_price_is_odd_from_a_tenth_and_from_ten_times_the_middle_one(amount: int, told: bool, tmp_path: Path) -> None:
    assert FAR_FROM_OTHERS == 10
    odd = gathered(tmp_path, priced(amount)).odd
    assert any(f"some {amount:,}.00 EUR" in words and "2,000.00 EUR" in words for words in odd) == told
    assert len(odd) == told


def test_a_price_is_not_compared_where_there_is_no_other(tmp_path: Path) -> None:
    assert gathered(tmp_path, priced(1), Quotes=[]).odd == ()


def test_a_bid_that_costs_nothing_is_told(tmp_path: Path) -> None:
    assert gathered(tmp_path, priced(0)).odd == ("Invented Vans, van: costs nothing",)


@pytest.mark.parametrize("limit", ["carton_weight_limit", "most_weight"])
def test_a_weight_limit_under_one_carton_is_told(limit: str, tmp_path: Path) -> None:
    odd = gathered(tmp_path, priced(2000, **{limit: 2})).odd
    assert any("its weight limit 2 is under that of one carton" in words for words in odd)


def test_a_weight_limit_that_carries_every_carton_is_not_told(tmp_path: Path) -> None:
    assert gathered(tmp_path, priced(2000, carton_weight_limit=23, most_weight=900)).odd == ()


@pytest.mark.parametrize(
    ("dates", "words"),
    [
        ({"collect_from": "2026-05-30", "transit_days": 5}, "too late: arrives 2026-06-04, needed by 2026-06-01"),
        ({"valid_until": "2026-02-28"}, "expired: valid until 2026-02-28, the decision is on 2026-03-01"),
    ],
)
def test_dates_that_miss_the_deadline_are_told(dates: dict[str, Any], words: str, tmp_path: Path) -> None:
    assert gathered(tmp_path, priced(2000, **dates)).odd == (f"Invented Vans, van: takes no part: {words}",)


def test_a_kind_that_it_may_not_carry_and_a_size_that_it_does_not_take_are_told(tmp_path: Path) -> None:
    anyhow = {"Carry-on": "yes", "Van": "yes", "Freight": "yes", "Post": "yes"}
    care = [{"Care": "guarded", **anyhow, "Needs closed body": "yes"}, {"Care": "standard", **anyhow}]
    told = " | ".join(gathered(tmp_path, priced(2000, closed_body="no", carton_length_limit=10), Care=care).odd)
    assert "may not carry guarded" in told
    assert "does not take cartons of size A" in told


def test_a_rate_card_that_ends_below_the_cartons_has_no_price(tmp_path: Path) -> None:
    table = form.tables(Means.VAN)[0]
    card = {f"A{table.row + 1}": 1, f"B{table.row + 1}": 5}
    odd = gathered(tmp_path, priced(None) | card).odd
    assert odd == ("Invented Vans, van: has no price for cartons as heavy as those estimated",)


def test_missing_answers_are_told_for_each_bid_and_answered_ones_are_not(tmp_path: Path) -> None:
    second = {place("fixed_charge", 1): 900, place("transit_days", 1): 3, place("closed_body", 1): "no"}
    first, other = gathered(tmp_path, priced(2000) | second).missing
    assert first.startswith("Invented Vans, van: no answer to Transit days, ")
    assert "Valid until" not in first
    assert other.startswith("Invented Vans, van 2: ")
    assert "Valid until" in other
    assert "Transit days" not in other
    assert "Closed body" not in other


def test_a_form_in_which_all_that_matters_is_answered_lacks_nothing(tmp_path: Path) -> None:
    all_of_it = dict.fromkeys(("transit_days", "liability_per_weight", "liability_per_carton"), 1)
    assert gathered(tmp_path, priced(2000, **all_of_it)).missing == ()


def test_a_bid_is_priced_for_the_load_as_estimated(tmp_path: Path) -> None:
    quotes = [
        {"Quote": "By the carton", "Means": "van", "Fixed charge": 100, "Per carton": 7},
        {"Quote": "Each by itself", "Means": "post", "Per carton": 7, "Fixed charge": 100},
    ]
    asked = read(move_of(tmp_path, Quotes=quotes), quotes_to_come=True).move
    assert asked
    cartons = loads(asked)[0].cartons()
    assert len(cartons) > 2
    wanted = 100 + 7 * len(cartons)
    assert [price(quote, cartons, asked) for quote in asked.quotes.values()] == [wanted, wanted]
