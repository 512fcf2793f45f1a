"""Returned forms become rows of Quotes in a copy that is the same for the rest, or are refused with nothing written."""

import re
import zipfile
from pathlib import Path
from typing import Any
from zipfile import ZipFile

import openpyxl
import pytest
from asked import answers_of, form_of, move_of, place, returned
from spreadsheet_program import filled, need_spreadsheet_program, recalculated

import shipopt
from shipopt.bidding import form, untrusted
from shipopt.bidding.load import loads
from shipopt.bidding.returned import read_form
from shipopt.move.words import Means
from shipopt.workbook.reader import read


def parts_of(path: Path) -> dict[str, bytes]:
    with ZipFile(path) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def part_of_sheet(path: Path, sheet: str) -> str:
    names = openpyxl.load_workbook(path, read_only=True).sheetnames
    return f"xl/worksheets/sheet{names.index(sheet) + 1}.xml"


def codes_of(path: Path, move: Path) -> list[tuple[str, str]]:
    """What is wrong with a form, and that nothing is written for it."""
    new, before = move.with_name("new.xlsx"), move.read_bytes()
    with pytest.raises(shipopt.WrongForms) as wrong:
        shipopt.gather_bids(move, [path], new)
    assert not new.exists()
    assert move.read_bytes() == before
    return [(each.code, each.cell) for each in wrong.value.errors[path]]


def test_a_bid_becomes_a_quote_and_the_move_can_be_planned(tmp_path: Path) -> None:
    move, new = move_of(tmp_path), tmp_path / "new.xlsx"
    back = returned(form_of(tmp_path, move=move), answers_of(surcharge=5))
    found = shipopt.gather_bids(move, [back], new)
    assert found.changes == ("Invented Vans, van: added in row 2 of Quotes",)
    quote = shipopt.read_workbook(new).move.quotes["Invented Vans, van"]
    assert (str(quote.fixed_charge), str(quote.per_carton), str(quote.surcharge)) == ("320", "4.5", "0.05")
    assert quote.closed_body
    assert f"{quote.valid_until}" == "2026-04-30"
    plan = shipopt.optimise(shipopt.read_workbook(new).move, seconds=5)
    assert {shipment.quote.name for shipment in plan.shipments} == {"Invented Vans, van"}


def test_all_but_the_sheet_of_quotes_stays_byte_for_byte(tmp_path: Path) -> None:
    move, new = move_of(tmp_path), tmp_path / "new.xlsx"
    back = returned(form_of(tmp_path, move=move), answers_of())
    shipopt.gather_bids(move, [back], new)
    old_parts, new_parts = parts_of(move), parts_of(new)
    assert list(old_parts) == list(new_parts)
    quotes = part_of_sheet(move, "Quotes")
    assert [name for name in old_parts if old_parts[name] != new_parts[name]] == [quotes]
    without = [
        re.sub(rb'<row r="2"[ >].*?</row>|<row r="2"[^>]*/>', b"", part[quotes]) for part in (old_parts, new_parts)
    ]
    assert re.sub(rb"<dimension[^>]*>", b"", without[0]) == re.sub(rb"<dimension[^>]*>", b"", without[1])


def test_a_chart_a_formula_and_a_column_of_the_users_own_are_kept(tmp_path: Path) -> None:
    move, new = move_of(tmp_path, Quotes=[{"Quote": "Mine", "Means": "post", "Fixed charge": 9}]), tmp_path / "new.xlsx"
    book = openpyxl.load_workbook(move)
    book["Quotes"]["BA1"], book["Quotes"]["BA2"] = "My mark", "=G2*2"
    book["Quotes"]["A2"].comment = openpyxl.comments.Comment("a note of mine", "me")
    chart = openpyxl.chart.BarChart()
    chart.add_data(openpyxl.chart.Reference(book["Quotes"], min_col=7, min_row=1, max_row=2))
    book["Quotes"].add_chart(chart, "D20")
    book.save(move)
    back = returned(form_of(tmp_path, move=move), answers_of())
    shipopt.gather_bids(move, [back], new)
    old_parts, new_parts = parts_of(move), parts_of(new)
    assert [name for name in old_parts if old_parts[name] != new_parts.get(name)] == [part_of_sheet(move, "Quotes")]
    again = openpyxl.load_workbook(new)["Quotes"]
    assert again["BA2"].value == "=G2*2"
    assert again["A2"].comment.text == "a note of mine"
    assert again["A3"].value == "Invented Vans, van"


def test_a_second_answer_brings_the_quote_up_to_date_and_no_third_changes_it(tmp_path: Path) -> None:
    move, steps = move_of(tmp_path), [tmp_path / f"{n}.xlsx" for n in range(3)]
    blank = form_of(tmp_path, move=move)
    table = form.tables(Means.VAN)[0]
    card = {f"A{table.row + 1}": 10, f"B{table.row + 1}": 5, f"A{table.row + 2}": 23, f"B{table.row + 2}": 8}
    shipopt.gather_bids(move, [returned(blank, answers_of() | card)], steps[0])
    later = answers_of(fixed_charge=290) | {f"A{table.row + 1}": 23, f"B{table.row + 1}": 7}
    found = shipopt.gather_bids(steps[0], [returned(blank, later)], steps[1])
    assert found.changes == (
        "Invented Vans, van: Fixed charge: 320.00 EUR → 290.00 EUR",
        "Invented Vans, van: 1 rows in Rate cards",
    )
    quote = shipopt.read_workbook(steps[1]).move.quotes["Invented Vans, van"]
    assert quote.rate_card
    assert [(str(s.weight_up_to), str(s.price)) for s in quote.rate_card.steps] == [("23", "7")]
    assert shipopt.gather_bids(steps[1], [returned(blank, later)], steps[2]).changes == (
        "Invented Vans, van: nothing new",
    )
    assert steps[1].read_bytes() == steps[2].read_bytes()


def test_text_of_a_form_never_becomes_a_formula(tmp_path: Path) -> None:
    move, new = move_of(tmp_path), tmp_path / "new.xlsx"
    back = returned(form_of(tmp_path, move=move), answers_of())
    book = openpyxl.load_workbook(back)
    for at in (f"B{form.BIDDER_ROW}", place("notes")):
        book[form.TO_FILL][at] = "=HYPERLINK(1) & <c>"
        book[form.TO_FILL][at].data_type = "s"
    book.save(back)
    shipopt.gather_bids(move, [back], new)
    row = openpyxl.load_workbook(new)["Quotes"][2]
    assert [cell.value for cell in row if isinstance(cell.value, str) and cell.value.startswith("=")]
    assert not [cell for cell in row if cell.data_type == "f"]
    assert b"<f>" not in parts_of(new)[part_of_sheet(new, "Quotes")]


@pytest.mark.parametrize(
    ("given", "wanted"),
    [
        ({"fixed_charge": "about forty"}, [("not-a-number", "fixed_charge")]),
        ({"fixed_charge": "1.234,5"}, [("number-uncertain", "fixed_charge")]),
        ({"per_carton": -1, "tracked": "maybe"}, [("out-of-limits", "per_carton"), ("not-yes-or-no", "tracked")]),
        ({"fixed_charge": "$40"}, [("other-currency", "fixed_charge")]),
        ({"collect_from": "2026-05-02", "collect_until": "2026-05-01"}, [("dates-out-of-order", "collect_until")]),
    ],
)
def test_wrong_answers_are_refused_all_at_once(
    tmp_path: Path, given: dict[str, Any], wanted: list[tuple[str, str]]
) -> None:
    move = move_of(tmp_path)
    back = returned(form_of(tmp_path, move=move), answers_of(**given))
    assert codes_of(back, move) == [(code, place(name)) for code, name in wanted]


def test_a_form_with_a_formula_or_a_link_is_refused(tmp_path: Path) -> None:
    move = move_of(tmp_path)
    blank = form_of(tmp_path, move=move)
    formula = returned(blank, answers_of(fixed_charge="=2*160"))
    assert codes_of(formula, move) == [("form-with-formula", place("fixed_charge"))]
    book = openpyxl.load_workbook(returned(blank, answers_of(), "linked.xlsx"))
    book[form.TO_FILL][place("notes")].hyperlink = "https://example.invalid/"
    book.save(blank.with_name("linked.xlsx"))
    assert codes_of(blank.with_name("linked.xlsx"), move) == [("form-with-link", "")]


def test_a_form_of_another_move_or_with_a_wrong_reference_is_refused(tmp_path: Path) -> None:
    move = move_of(tmp_path)
    (tmp_path / "other").mkdir()
    other = form_of(tmp_path / "other", move=move_of(tmp_path / "other", Move={"To": "Elsewhere"}))
    assert codes_of(returned(other, answers_of()), move) == [("form-of-another", f"B{form.REFERENCE_ROW}")]
    back = returned(form_of(tmp_path, move=move), answers_of() | {f"B{form.REFERENCE_ROW}": "AAAA-BBBB-CCCC"})
    assert codes_of(back, move) == [("form-of-another", f"B{form.REFERENCE_ROW}")]
    assert codes_of(move, move) == [("form-not-ours", "")]


def test_a_form_whose_lines_were_moved_or_that_states_no_price_is_refused(tmp_path: Path) -> None:
    move = move_of(tmp_path)
    blank = form_of(tmp_path, move=move)
    label = place("tracked").replace("B", "A")
    assert codes_of(returned(blank, answers_of() | {label: "Sole use"}), move) == [("form-changed", label)]
    assert codes_of(returned(blank, {f"B{form.BIDDER_ROW}": "Nobody"}), move) == [
        ("form-without-bid", f"B{form.FIRST_ROW}")
    ]


def test_forms_larger_than_a_form_are_refused_before_they_are_unpacked(tmp_path: Path) -> None:
    move = move_of(tmp_path)
    back = returned(form_of(tmp_path, move=move), answers_of())
    bomb = tmp_path / "bomb.xlsx"
    with ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts_of(back).items():
            archive.writestr(name, content)
        archive.writestr("xl/media/image1.bin", bytes(untrusted.MOST_UNPACKED))
    assert bomb.stat().st_size < 100_000
    assert codes_of(bomb, move) == [("form-too-large", "")]


def test_a_form_with_a_million_rows_is_refused(tmp_path: Path) -> None:
    move = move_of(tmp_path)
    back, long = returned(form_of(tmp_path, move=move), answers_of()), tmp_path / "long.xlsx"
    rows = "".join(f"<row r='{n}'><c><v>1</v></c></row>" for n in range(200, 200 + untrusted.MOST_ROWS))
    with ZipFile(long, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts_of(back).items():
            if name == "xl/worksheets/sheet2.xml":
                content = content.replace(b"</sheetData>", rows.encode() + b"</sheetData>")
            archive.writestr(name, content)
    assert codes_of(long, move) == [("too-many-rows", "")]
    million = "<row><c><v>1</v></c></row>" * 1_000_000
    with ZipFile(long, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet3.xml", f"<worksheet><sheetData>{million}</sheetData></worksheet>")
    assert codes_of(long, move) == [("form-too-large", "")]


def test_two_forms_of_one_bidder_are_refused(tmp_path: Path) -> None:
    move, new = move_of(tmp_path), tmp_path / "new.xlsx"
    blank = form_of(tmp_path, move=move)
    forms = [returned(blank, answers_of(), "one.xlsx"), returned(blank, answers_of(fixed_charge=1), "two.xlsx")]
    with pytest.raises(shipopt.WrongForms, match="two forms"):
        shipopt.gather_bids(move, forms, new)
    assert not new.exists()


def test_a_bid_that_would_replace_a_formula_of_the_user_is_refused(tmp_path: Path) -> None:
    move = move_of(tmp_path, Quotes=[{"Quote": "Invented Vans, van", "Means": "van", "Fixed charge": 9}])
    back = returned(form_of(tmp_path, move=move), answers_of())
    book = openpyxl.load_workbook(move)
    (at,) = [cell.coordinate for cell in book["Quotes"][2] if cell.value == 9]
    book["Quotes"][at] = "=4+5"
    book.save(move)
    move.write_bytes(_with_value(move, at))
    with pytest.raises(shipopt.WrongForms) as wrong:
        shipopt.gather_bids(move, [back], tmp_path / "new.xlsx")
    assert [(each.code, each.place) for each in wrong.value.errors[move]] == [("cell-with-formula", f"Quotes!{at}")]


def _with_value(path: Path, at: str) -> bytes:
    """The workbook, the formula in a cell of Quotes given its stored value."""
    part, parts = part_of_sheet(path, "Quotes"), parts_of(path)
    with ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            new = re.sub(rb"<f>4\+5</f><v ?/>|<f>4\+5</f><v></v>", b"<f>4+5</f><v>9</v>", content)
            assert name != part or new != content, at
            archive.writestr(name, new)
    return path.read_bytes()


def test_odd_and_missing_answers_are_told(tmp_path: Path) -> None:
    others = [{"Quote": f"Other {n}", "Means": "van", "Fixed charge": 4000} for n in range(3)]
    move, new = move_of(tmp_path, Quotes=others), tmp_path / "new.xlsx"
    odd = answers_of(per_carton=None, carton_weight_limit=1, valid_until="2026-02-01")
    found = shipopt.gather_bids(move, [returned(form_of(tmp_path, move=move), odd)], new)
    told = " | ".join(found.odd)
    assert "expired" in told
    assert "weight limit 1" in told
    assert "320.00 EUR for the whole load" in told
    assert "4,000.00 EUR" in told
    assert "Transit days" in found.missing[0]
    assert "Closed body" not in found.missing[0]


def test_a_sound_bid_is_not_odd(tmp_path: Path) -> None:
    move, new = move_of(tmp_path, Quotes=[{"Quote": "Other", "Means": "van", "Fixed charge": 400}]), tmp_path / "n.xlsx"
    assert shipopt.gather_bids(move, [returned(form_of(tmp_path, move=move), answers_of())], new).odd == ()


@pytest.mark.spreadsheet
def test_a_form_filled_in_a_spreadsheet_program_is_gathered_and_planned(tmp_path: Path) -> None:
    need_spreadsheet_program()
    move, new = move_of(tmp_path), tmp_path / "new.xlsx"
    locked = {f"B{form.REFERENCE_ROW}": "AAAA-BBBB-CCCC"}
    back = filled(form_of(tmp_path, move=move), form.TO_FILL, answers_of() | locked, _folder(tmp_path, "back"))
    asked = read(move, quotes_to_come=True).move
    assert asked
    bids, errors = read_form(back, loads(asked))
    assert not errors
    assert str(bids[0].answers["per_carton"]) in ("4.5", "4.50")
    (saved,) = recalculated([move], _folder(tmp_path, "saved"))
    shipopt.gather_bids(saved, [back], new)
    plan = shipopt.optimise(shipopt.read_workbook(new).move, seconds=5)
    assert {shipment.quote.name for shipment in plan.shipments} == {"Invented Vans, van"}


def _folder(inside: Path, name: str) -> Path:
    (inside / name).mkdir()
    return inside / name
