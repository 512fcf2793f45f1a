"""Files of every kind under a workbook's name, and workbooks with macros: each command reads them right or says what
they are, and writes nothing but under a name that spreadsheet programs open.
"""

import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from afterwards.books import planned
from bidding.asked import answers_of, form_of, move_of, returned
from spreadsheet_program import PROGRAM, need_spreadsheet_program
from typer.testing import CliRunner, Result
from workbook.books import written

import shipopt
from faults.cells import parts_of, workbook_of
from shipopt.cli import app
from shipopt.workbook.files import open_file
from shipopt.workbook.reader import read

PLAIN = b"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
MACROS = b"application/vnd.ms-excel.sheet.macroEnabled.main+xml"
"""Content types of workbooks: ECMA-376 Part 1, 12.3.23, and Microsoft's [MS-OFFMACRO2] (the latter from memory)."""
PROJECT = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"AutoOpen: invented, and never run" * 40
RUN = CliRunner()


def command(*words: str | Path) -> Result:
    """A command in this process, which must end in words."""
    done = RUN.invoke(app, [str(word) for word in words])
    assert "Traceback" not in done.output
    assert "fault of the program" not in done.stderr, done.stderr
    return done


def with_macros(path: Path, target: Path, kind: bytes = MACROS) -> Path:
    """A workbook saved with macros, as such programs do: another content type and one more part."""
    parts = parts_of(path.read_bytes())
    types = parts["[Content_Types].xml"]
    assert PLAIN in types
    extra = b'<Override PartName="/xl/vbaProject.bin" ContentType="application/vnd.ms-office.vbaProject"/></Types>'
    parts["[Content_Types].xml"] = types.replace(PLAIN, kind).replace(b"</Types>", extra)
    link = (
        b'<Relationship Id="rId9999" Target="vbaProject.bin"'
        b' Type="http://schemas.microsoft.com/office/2006/relationships/vbaProject"/></Relationships>'
    )
    links = parts["xl/_rels/workbook.xml.rels"]
    parts["xl/_rels/workbook.xml.rels"] = links.replace(b"</Relationships>", link)
    parts["xl/vbaProject.bin"] = PROJECT
    target.write_bytes(workbook_of(parts))
    return target


@pytest.fixture(scope="module")
def pair(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A workbook and its results."""
    return planned(tmp_path_factory.mktemp("planned"))


@pytest.mark.parametrize(
    "kind", [MACROS, MACROS.replace(b"sheet.macro", b"template.macro"), PLAIN.replace(b".sheet.", b".template.")]
)
def test_a_workbook_with_macros_or_a_template_is_the_same_move(tmp_path: Path, kind: bytes) -> None:
    plain = read(written(tmp_path))
    reading = read(with_macros(tmp_path / "move.xlsx", tmp_path / "move.xlsm", kind))
    assert reading.move is not None
    assert reading.move == plain.move


def test_a_workbook_with_macros_is_planned_and_carried_on_without_them(pair: tuple[Path, Path], tmp_path: Path) -> None:
    path = with_macros(pair[0], tmp_path / "move.xlsm")
    before = path.read_bytes()
    assert command("optimise", path, "--no-compare", "--no-caution", "--seconds", "5", "-q").exit_code == 0
    results, following = tmp_path / "move.results.xlsx", tmp_path / "next.xlsx"
    assert command("again", path, results, "-o", following).exit_code == 0
    for each in (results, following):
        parts = parts_of(each.read_bytes())
        assert not any("vba" in name.lower() for name in parts)
        assert PLAIN in parts["[Content_Types].xml"]
        assert b"macroEnabled" not in parts["[Content_Types].xml"]
        assert not open_file(each).with_macros
    assert path.read_bytes() == before
    assert sorted(each.name for each in tmp_path.iterdir()) == ["move.results.xlsx", "move.xlsm", "next.xlsx"]


@pytest.mark.parametrize("name", ["out.xlsm", "out.xls", "out.csv", "out.ods", "out", "out.xlsx.bak"])
def test_workbooks_are_written_under_no_other_name(pair: tuple[Path, Path], tmp_path: Path, name: str) -> None:
    """Spreadsheet programs refuse a workbook whose name says that it is something else."""
    out = tmp_path / name
    for words in (
        ("optimise", pair[0], "-o", out),
        ("again", *pair, "-o", out),
        ("arrived", *pair, "-o", out),
        ("template", out, "--units", "kg / cm", "--currency", "EUR"),
        *([] if name == "out.xlsm" else [("gather", *pair, "-o", out)]),
    ):
        done = command(*words)
        assert done.exit_code == 2, words
        assert ".xlsx" in done.stderr
        assert name in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_bids_go_into_a_workbook_with_macros_under_its_own_kind_of_name(tmp_path: Path) -> None:
    """The copy is the workbook byte for byte but for its bids, macros too; under .xlsx no program would open it."""
    plain = move_of(tmp_path)
    path = with_macros(plain, tmp_path / "move.xlsm")
    back = returned(form_of(tmp_path, move=plain), answers_of())
    for workbook, wrong, right in ((path, "new.xlsx", "new.xlsm"), (plain, "new.xlsm", "new.xlsx")):
        done = command("gather", workbook, back, "-o", tmp_path / wrong)
        assert (done.exit_code, right[-5:] in done.stderr) == (1, True)
        assert not (tmp_path / wrong).exists()
        assert command("gather", workbook, back, "-o", tmp_path / right).exit_code == 0
        (tmp_path / right).rename(tmp_path / f"done {right}")
    parts = parts_of((tmp_path / "done new.xlsm").read_bytes())
    assert parts["xl/vbaProject.bin"] == PROJECT
    moves = [shipopt.read_workbook(tmp_path / f"done {name}").move for name in ("new.xlsm", "new.xlsx")]
    assert moves[0] == moves[1]


def _text(path: Path) -> None:
    path.write_text("Record ID;Format;Copies\nA1;LP;3\n", encoding="utf-8")


def _empty(path: Path) -> None:
    path.touch()


def _folder(path: Path) -> None:
    path.mkdir()


def _half(path: Path) -> None:
    whole = written(path.parent)
    path.write_bytes(whole.read_bytes()[: whole.stat().st_size // 2])
    whole.unlink()


NO_WORKBOOKS: dict[str, tuple[Callable[[Path], None], str]] = {
    "text": (_text, "CSV"),
    "empty": (_empty, "empty"),
    "folder": (_folder, "a folder"),
    "half": (_half, "damaged"),
    "absent": (lambda path: None, "There is no file"),
}


@pytest.mark.parametrize("kind", NO_WORKBOOKS)
@pytest.mark.parametrize("name", ["other.xlsx", "other.csv", "other.xlsm"])
def test_every_command_says_what_is_no_workbook(pair: tuple[Path, Path], tmp_path: Path, kind: str, name: str) -> None:
    """As the workbook, as the results and as a form, whatever its name is."""
    (tmp_path / "in").mkdir()
    path, out = tmp_path / "in" / name, tmp_path / "out.xlsx"
    make, word = NO_WORKBOOKS[kind]
    make(path)
    for words in (
        ("check", path),
        ("optimise", path, "-o", out),
        ("again", path, pair[1], "-o", out),
        ("again", pair[0], path, "-o", out),
        ("arrived", path, pair[1], "-o", out),
        ("arrived", pair[0], path, "-o", out),
        ("ask", path, "-o", tmp_path / "forms"),
        ("gather", path, pair[1], "-o", out),
        ("gather", pair[0], path, "-o", out),
    ):
        done = command(*words)
        assert done.exit_code == 2, (words, done.output)
        assert word.casefold() in " ".join(done.stderr.split()).casefold(), (words, done.stderr)
    assert [each.name for each in tmp_path.iterdir()] == ["in"]


@pytest.mark.spreadsheet
@pytest.mark.parametrize(("kind", "word"), [("xls", ".xls"), ("ods", "OpenDocument"), ("csv", "CSV"), ("fods", "XML")])
def test_what_another_program_saved_as_another_kind_is_told(tmp_path: Path, kind: str, word: str) -> None:
    """Under its own name, and renamed to look like a workbook."""
    need_spreadsheet_program()
    path = written(tmp_path)
    profile = f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}"
    words = [str(PROGRAM), profile, "--headless", "--convert-to", kind, "--outdir", str(tmp_path / "saved"), str(path)]
    subprocess.run(words, capture_output=True, timeout=240, check=True)
    saved = tmp_path / "saved" / f"move.{kind}"
    renamed = saved.with_name("renamed.xlsx")
    renamed.write_bytes(saved.read_bytes())
    for each in (saved, renamed):
        (error,) = read(each).errors
        assert error.code == "file-not-a-workbook"
        assert word in error.sentence


@pytest.mark.parametrize("beneath", ["no folder", "no folder/nor this", "move.xlsx"])
def test_a_folder_that_is_not_there_is_told(pair: tuple[Path, Path], tmp_path: Path, beneath: str) -> None:
    (tmp_path / "move.xlsx").write_bytes(b"a file, not a folder")
    out = tmp_path / beneath / "out.xlsx"
    for words in (
        ("optimise", pair[0], "-o", out),
        ("optimise", pair[0], "-o", tmp_path / "out.xlsx", "--json", out.with_suffix(".json")),
        ("optimise", pair[0], "-o", tmp_path / "out.xlsx", "--calendar", out.with_suffix(".ics")),
        ("again", *pair, "-o", out),
        ("arrived", *pair, "-o", out),
        ("gather", *pair, "-o", out),
        ("template", out, "--units", "kg / cm", "--currency", "EUR"),
    ):
        done = command(*words)
        assert done.exit_code == 2, (words, done.output)
        assert "no folder" in done.stderr
    assert [each.name for each in tmp_path.iterdir()] == ["move.xlsx"]


def test_folders_for_forms_are_made(pair: tuple[Path, Path], tmp_path: Path) -> None:
    assert command("ask", pair[0], "-o", tmp_path / "a" / "b" / "c").exit_code == 0
    assert len(list((tmp_path / "a" / "b" / "c").iterdir())) > 1
    for place in ("file", "file/deeper"):
        (tmp_path / "file").write_bytes(b"a file")
        done = command("ask", pair[0], "-o", tmp_path / place)
        assert (done.exit_code, "is a file" in done.stderr) == (2, True)
    done = command("ask", pair[0], "-o", "/proc/forms")
    assert (done.exit_code, "cannot be made" in done.stderr) == (1, True)


def test_no_input_is_written_over(pair: tuple[Path, Path]) -> None:
    before = [each.read_bytes() for each in pair]
    for words in (
        ("optimise", pair[0], "-o", pair[0]),
        ("again", *pair, "-o", pair[1]),
        ("arrived", *pair, "-o", pair[1]),
        ("gather", *pair, "-o", pair[1]),
        ("template", pair[0], "--units", "kg / cm", "--currency", "EUR"),
    ):
        assert command(*words).exit_code == 2
    assert [each.read_bytes() for each in pair] == before
