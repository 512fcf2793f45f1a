"""Returned forms as hostile files: each is refused with its reason, and neither workbook nor form changes.

Sizes, formulas in answers, references and wrong answers stand in ``test_gathering``.
"""

import zipfile
from pathlib import Path

import pytest
from asked import answers_of, form_of, move_of, returned

import shipopt

LINK = b'<Relationship Id="rId9" Type="x" Target="https://example.invalid/" TargetMode="External"/></Relationships>'
WORKBOOK_RELS = "xl/_rels/workbook.xml.rels"


@pytest.fixture
def sound(tmp_path: Path) -> tuple[Path, Path]:
    """A workbook and a form that answers it."""
    move = move_of(tmp_path)
    return move, returned(form_of(tmp_path, move=move), answers_of())


def changed(form: Path, parts: dict[str, bytes]) -> Path:
    """The form with parts added or replaced."""
    new = form.with_name("changed.xlsx")
    with zipfile.ZipFile(form) as old, zipfile.ZipFile(new, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in old.namelist():
            if name not in parts:
                archive.writestr(name, old.read(name))
        for name, content in parts.items():
            archive.writestr(name, content)
    return new


def part_of(form: Path, name: str) -> bytes:
    with zipfile.ZipFile(form) as archive:
        return archive.read(name)


def refusals(move: Path, form: Path) -> list[str]:
    """The codes of what is wrong with a form; nothing is written for it, nothing changed."""
    before, new = [path.read_bytes() for path in (move, form)], move.with_name("new.xlsx")
    with pytest.raises(shipopt.WrongForms) as wrong:
        shipopt.gather_bids(move, [form], new)
    assert [path.read_bytes() for path in (move, form)] == before
    assert not new.exists()
    assert str(form) in str(wrong.value)
    return [each.code for each in wrong.value.errors[form]]


def test_the_form_is_sound_where_nothing_is_added(sound: tuple[Path, Path]) -> None:
    move, form = sound
    assert shipopt.gather_bids(move, [changed(form, {})], move.with_name("new.xlsx")).changes


@pytest.mark.parametrize(
    "part",
    [
        "xl/externalLinks/externalLink1.xml",
        "xl/vbaProject.bin",
        "xl/embeddings/oleObject1.bin",
        "xl/activeX/activeX1.xml",
        "xl/queryTables/queryTable1.xml",
        "xl/connections.xml",
        "xl/macrosheets/sheet1.xml",
        "XL/VBAPROJECT.BIN",
    ],
)
def test_links_programs_and_objects_are_refused(part: str, sound: tuple[Path, Path]) -> None:
    move, form = sound
    assert refusals(move, changed(form, {part: b"<x/>"})) == ["form-with-link"]


def test_a_target_outside_the_file_is_refused(sound: tuple[Path, Path]) -> None:
    move, form = sound
    rels = part_of(form, WORKBOOK_RELS).replace(b"</Relationships>", LINK)
    assert refusals(move, changed(form, {WORKBOOK_RELS: rels})) == ["form-with-link"]


def test_a_formula_on_any_sheet_is_refused(sound: tuple[Path, Path]) -> None:
    move, form = sound
    hidden = b"<worksheet><sheetData><row r='3'><c r='B3'><f>1+1</f><v>2</v></c></row></sheetData></worksheet>"
    assert refusals(move, changed(form, {"xl/worksheets/sheet9.xml": hidden})) == ["form-with-formula"]


def test_a_document_type_in_a_part_that_is_read_is_refused(sound: tuple[Path, Path]) -> None:
    move, form = sound
    sheet = part_of(form, "xl/worksheets/sheet2.xml")
    bomb = b'<!DOCTYPE worksheet [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>'
    start = sheet.index(b"<worksheet")
    found = refusals(move, changed(form, {"xl/worksheets/sheet2.xml": sheet[:start] + bomb + sheet[start:]}))
    assert len(found) == 1


@pytest.mark.parametrize("content", [b"", b"not a workbook", b"PK\x03\x04 cut short", b"\xd0\xcf\x11\xe0 older format"])
def test_what_is_no_workbook_is_refused(content: bytes, sound: tuple[Path, Path]) -> None:
    move, form = sound
    form.write_bytes(content)
    assert len(refusals(move, form)) == 1


def test_one_bad_form_keeps_the_good_ones_out_too(sound: tuple[Path, Path]) -> None:
    move, form = sound
    bad = changed(form, {"xl/vbaProject.bin": b"x"})
    with pytest.raises(shipopt.WrongForms) as wrong:
        shipopt.gather_bids(move, [form, bad], move.with_name("new.xlsx"))
    assert set(wrong.value.errors) >= {bad}
    assert not move.with_name("new.xlsx").exists()
