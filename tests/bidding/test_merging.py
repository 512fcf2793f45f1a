"""Bids in the workbook: which row they go to, what of it is theirs, what stays the user's. All invented."""

from pathlib import Path
from typing import Any

import openpyxl
import pytest
from asked import answers_of, form_of, move_of, place, returned

import shipopt
from shipopt.bidding import form
from shipopt.move.words import Means

OWN = {"Consider": "no", "Cartons accepted": "LP carton", "Loss chance %": 0.4, "Trips at most": 2}


def after(move: Path, cells: dict[str, Any], blank: Path | None = None) -> tuple[shipopt.Gathered, Path]:
    """What gathering one form told, and the new workbook."""
    new = move.with_name("new.xlsx")
    return shipopt.gather_bids(move, [returned(blank or form_of(move.parent, move=move), cells)], new), new


def rows(path: Path, sheet: str) -> list[dict[str, Any]]:
    """The rows of a sheet by heading, blanks left out."""
    heads, *values = openpyxl.load_workbook(path)[sheet].iter_rows(values_only=True)
    found = [{str(h): v for h, v in zip(heads, row, strict=True) if h and v is not None} for row in values]
    return [row for row in found if row]


def without(path: Path, sheet: str, column: str | None = None) -> None:
    """Takes a sheet, or a column of it, out of a workbook."""
    book = openpyxl.load_workbook(path)
    if column is None:
        del book[sheet]
    else:
        (at,) = [cell.column for cell in book[sheet][1] if cell.value == column]
        book[sheet].delete_cols(at)
    book.save(path)


def test_a_new_bid_stands_below_all_others_and_changes_none(tmp_path: Path) -> None:
    given = [{"Quote": "One", "Means": "van", "Fixed charge": 9}, {"Quote": "Two", "Means": "post", "Per carton": 4}]
    move = move_of(tmp_path, Quotes=given)
    found, new = after(move, answers_of())
    assert found.changes == ("Invented Vans, van: added in row 4 of Quotes",)
    assert rows(new, "Quotes")[:2] == rows(move, "Quotes")
    assert rows(new, "Quotes")[2] == {
        "Quote": "Invented Vans, van",
        "Bidder": "Invented Vans",
        "Means": "van",
        "Fixed charge": 320,
        "Per carton": 4.5,
        "Closed body": "yes",
        "Valid until": rows(new, "Quotes")[2]["Valid until"],
    }


def test_a_known_bidder_is_found_in_any_case_and_what_is_the_users_own_stays(tmp_path: Path) -> None:
    known = {"Quote": "INVENTED  vans, VAN".replace("  ", " "), "Means": "van", "Fixed charge": 1, **OWN}
    move = move_of(tmp_path, Quotes=[known])
    _, new = after(move, answers_of(trips_at_most=3))
    (row,) = rows(new, "Quotes")
    assert {name: row[name] for name in OWN if name != "Trips at most"} == {
        name: value for name, value in OWN.items() if name != "Trips at most"
    }
    assert (row["Fixed charge"], row["Trips at most"]) == (320, 3)


def test_an_answer_taken_back_leaves_a_blank(tmp_path: Path) -> None:
    known = {"Quote": "Invented Vans, van", "Means": "van", "Fixed charge": 320, "Most cartons": 40}
    found, new = after(move_of(tmp_path, Quotes=[known]), answers_of())
    assert "Most cartons" not in rows(new, "Quotes")[0]
    assert "Invented Vans, van: Most cartons: 40 → blank" in found.changes


def test_three_bids_of_one_form_are_three_quotes(tmp_path: Path) -> None:
    more = {place("fixed_charge", 1): 500, place("per_carton", 2): 9}
    found, new = after(move_of(tmp_path), answers_of() | more)
    assert [row["Quote"] for row in rows(new, "Quotes")] == [f"Invented Vans, van{n}" for n in ("", " 2", " 3")]
    assert len(found.changes) == 3


def test_a_column_that_the_workbook_lacks_is_made_to_the_right_and_only_where_it_is_needed(tmp_path: Path) -> None:
    move = move_of(tmp_path)
    for column in ("Valid until", "Most value"):
        without(move, "Quotes", column)
    _, new = after(move, answers_of())
    heads = [cell.value for cell in openpyxl.load_workbook(new)["Quotes"][1] if cell.value]
    assert heads[-1] == "Valid until"
    assert "Most value" not in heads
    assert f"{shipopt.read_workbook(new).move.quotes['Invented Vans, van'].valid_until}" == "2026-04-30"


@pytest.mark.parametrize(("sheet", "asks_for_it"), [("Quotes", True), ("Rate cards", True), ("Weight breaks", False)])
def test_a_sheet_that_a_bid_needs_is_asked_for_and_one_that_none_needs_is_not(
    sheet: str, asks_for_it: bool, tmp_path: Path
) -> None:
    move = move_of(tmp_path)
    blank = form_of(tmp_path, move=move)
    without(move, sheet)
    table = form.tables(Means.VAN)[0]
    card = {f"A{table.row + 1}": 25, f"B{table.row + 1}": 5}
    if not asks_for_it:
        assert after(move, answers_of() | card, blank)[1].exists()
        return
    before = move.read_bytes()
    with pytest.raises((shipopt.WrongForms, shipopt.WorkbookErrors)) as wrong:
        after(move, answers_of() | card, blank)
    assert sheet in str(wrong.value)
    assert move.read_bytes() == before
    assert not move.with_name("new.xlsx").exists()


def test_a_shorter_tariff_leaves_no_row_of_the_longer_one(tmp_path: Path) -> None:
    name = "Invented Vans, van"
    old = [{"Rate card": name, "Weight up to": top, "Price": top} for top in (5, 10, 15, 20)]
    others = [{"Rate card": "of somebody else", "Weight up to": 30, "Price": 12}]
    quote = [{"Quote": name, "Means": "van", "Rate card": name}]
    move = move_of(tmp_path, Quotes=quote, **{"Rate cards": [*old, *others]})
    table = form.tables(Means.VAN)[0]
    card = {f"{letter}{table.row + n}": value for n in (1, 2) for letter, value in (("A", 12 * n), ("B", 6 * n))}
    found, new = after(move, answers_of() | card)
    assert f"{name}: 2 rows in Rate cards" in found.changes
    left = [(row.get("Rate card"), row.get("Weight up to"), row.get("Price")) for row in rows(new, "Rate cards")]
    assert sorted(left, key=str) == sorted([(name, 12, 6), (name, 24, 12), ("of somebody else", 30, 12)], key=str)
    steps = shipopt.read_workbook(new).move.quotes[name].rate_card
    assert steps
    assert len(steps.steps) == 2
