"""Files that are no workbook, or no safe one: each a finding that says what the file is, never a traceback."""

import os
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from workbook.books import told, written

from shipopt.workbook import files
from shipopt.workbook.reader import read

Make = Callable[[Path], None]


def _zip_of(parts: dict[str, bytes]) -> Make:
    def make(path: Path) -> None:
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, content in parts.items():
                archive.writestr(name, content)

    return make


def _bytes(content: bytes) -> Make:
    def make(path: Path) -> None:
        path.write_bytes(content)

    return make


@pytest.mark.parametrize(
    ("make", "code", "words"),
    [
        (lambda path: None, "file-missing", "no file"),
        (lambda path: path.mkdir(), "file-not-a-workbook", "a folder"),
        (_bytes(b""), "file-not-a-workbook", "empty"),
        (_bytes(b"Record ID,Format\n1,LP\n"), "file-not-a-workbook", "CSV"),
        (_bytes(b"\xef\xbb\xbfRecord ID;Format\n"), "file-not-a-workbook", "CSV"),
        (_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600), "file-not-a-workbook", ".xls"),
        (_bytes(b"<html><table></table></html>"), "file-not-a-workbook", "HTML"),
        (
            _zip_of({"mimetype": b"application/vnd.oasis.opendocument.spreadsheet"}),
            "file-not-a-workbook",
            "OpenDocument",
        ),
        (_zip_of({"xl/workbook.bin": b"x"}), "file-not-a-workbook", ".xlsb"),
        (_zip_of({"notes.txt": b"x"}), "file-not-a-workbook", "zip"),
        (_zip_of({"[Content_Types].xml": b"<x/>", "word/document.xml": b"<x/>"}), "file-not-a-workbook", "office file"),
        (_zip_of({"[Content_Types].xml": b"<x/>", "xl/workbook.xml": b"<x/>"}), "file-damaged", "damaged"),
        (_zip_of({"[Content_Types].xml": b"no marks", "xl/workbook.xml": b"<x/>"}), "file-damaged", "damaged"),
    ],
)
def test_what_is_no_workbook_is_told(tmp_path: Path, make: Make, code: str, words: str) -> None:
    path = tmp_path / "move.xlsx"
    make(path)
    reading = read(path)
    (error,) = reading.errors
    assert (error.code, reading.move, reading.sha256) == (code, None, "")
    assert words in error.sentence
    assert str(tmp_path) not in error.sentence


@pytest.mark.parametrize("kept", [4, 30, 1000, 0.5, 0.9, 0.999])
def test_a_workbook_cut_short_is_damaged(tmp_path: Path, kept: float) -> None:
    path = written(tmp_path)
    content = path.read_bytes()
    path.write_bytes(content[: int(kept * len(content)) if isinstance(kept, float) else kept])
    assert [error.code for error in read(path).errors] == ["file-damaged"]


@pytest.mark.parametrize("place", range(20))
def test_a_workbook_with_bytes_overwritten_gives_findings_or_a_move(tmp_path: Path, place: int) -> None:
    """No traceback wherever the damage lies."""
    path = written(tmp_path)
    content = bytearray(path.read_bytes())
    start = len(content) * place // 20
    content[start : start + 40] = b"\xff" * 40
    path.write_bytes(bytes(content))
    reading = read(path)
    assert (reading.move is None) == bool(reading.errors)


def test_a_part_that_is_no_xml_is_damage(tmp_path: Path) -> None:
    path = written(tmp_path)
    _replace_part(path, "xl/worksheets/sheet3.xml", lambda content: content[: len(content) // 2])
    assert [error.code for error in read(path).errors] == ["file-damaged"]


def _replace_part(path: Path, name: str, change: Callable[[bytes], bytes]) -> None:
    with zipfile.ZipFile(path) as archive:
        parts = {info.filename: archive.read(info) for info in archive.infolist()}
    assert name in parts
    parts[name] = change(parts[name])
    _zip_of(parts)(path)


@pytest.mark.parametrize("code", ["utf-8", "utf-16"])
def test_entities_are_refused_before_they_unfold(tmp_path: Path, code: str) -> None:
    """Nested entities unfold to a billion words; a document type declaration is refused whatever it says."""
    path = written(tmp_path)
    nested = "".join(f'<!ENTITY e{n} "{f"&e{n - 1};" * 10}">' for n in range(1, 10))
    attack = f'<?xml version="1.0"?><!DOCTYPE sst [<!ENTITY e0 "record">{nested}]><sst><si><t>&e9;</t></si></sst>'
    _replace_part(path, "xl/sharedStrings.xml", lambda _: attack.encode(code))
    assert [error.code for error in read(path).errors] == ["file-unsafe"]


def test_a_mark_cut_by_a_piece_boundary_is_found(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(files, "CHUNK", 70)
    path = written(tmp_path)
    assert read(path).errors == ()
    for space in range(60, 75):
        _replace_part(path, "xl/sharedStrings.xml", lambda _, s=space: b" " * s + b"<!DOCTYPE x><sst/>")
        assert [error.code for error in read(path).errors] == ["file-unsafe"]


def test_what_unpacks_too_large_is_refused_unread(tmp_path: Path) -> None:
    """A small file may unpack to any size; the sizes stated in it are added up before a part is unpacked."""
    path = tmp_path / "move.xlsx"
    block = b"\0" * 1024**2
    with (
        zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive,
        archive.open("xl/a.xml", "w", force_zip64=True) as part,
    ):
        for _ in range(files.MOST_UNPACKED_BYTES // len(block) + 1):
            part.write(block)
    assert path.stat().st_size < files.MOST_FILE_BYTES
    assert [error.code for error in read(path).errors] == ["file-too-large"]


def test_a_file_too_large_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "move.xlsx"
    with path.open("wb") as file:
        file.truncate(files.MOST_FILE_BYTES + 1)
    (error,) = read(path).errors
    assert error.code == "file-too-large"
    assert "64 MB" in error.accepted


def test_too_many_parts_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(files, "MOST_PARTS", 5)
    assert [error.code for error in read(written(tmp_path)).errors] == ["file-unsafe"]


def test_a_file_without_permission_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = written(tmp_path)

    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, os.strerror(13))

    monkeypatch.setattr(Path, "open", refuse)
    (error,) = read(path).errors
    assert error.code == "file-not-opened"
    assert os.strerror(13) in error.sentence


def test_a_name_no_file_can_have_is_told() -> None:
    (error,) = read("a\0b.xlsx").errors
    assert error.code == "file-not-opened"


def test_the_input_is_not_changed_and_its_fingerprint_is_told(tmp_path: Path) -> None:
    path = written(tmp_path)
    before = path.read_bytes()
    first, second = read(path), read(str(path))
    assert path.read_bytes() == before
    assert len(first.sha256) == 64
    assert first == second
    assert told(first.errors) == []
