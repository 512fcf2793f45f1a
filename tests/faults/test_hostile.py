"""Files made to harm: what they would do elsewhere they do not do here, and memory stays bounded.

A zip bomb, entities and too many parts are refused in ``test_input_files``; here links, macros, names of parts, and
text that would be a formula in the results.
"""

import resource
import subprocess
import sys
import zipfile
from pathlib import Path

import openpyxl
import pytest
from workbook.books import SOUND, sound, written

import shipopt
from faults.cells import parts_of, workbook_of
from shipopt.workbook.reader import read

FORMULAS = ("=1+1", "+1+1", "-1+1", "@SUM(1)", '=HYPERLINK("x")', "\t=1+1", "{=1+1}")


def spoilt(folder: Path, extra: dict[str, bytes]) -> Path:
    """A sound workbook with more parts."""
    path = written(folder)
    path.write_bytes(workbook_of({**parts_of(path.read_bytes()), **extra}))
    return path


@pytest.mark.parametrize(
    "extra",
    [
        {"../../outside.txt": b"x"},
        {"/outside.txt": b"x"},
        {"xl/../../outside.xml": b"<x/>"},
        {"xl/vbaProject.bin": b"\xd0\xcf\x11\xe0" * 99},
        {"xl/externalLinks/externalLink1.xml": b"<externalLink xmlns='x'><ddeLink/></externalLink>"},
        {"customXml/item1.xml": b"<x/>"},
    ],
    ids=lambda extra: next(iter(extra)),
)
def test_parts_that_are_not_asked_for_are_never_unpacked(tmp_path: Path, extra: dict[str, bytes]) -> None:
    folder = tmp_path / "deep" / "er"
    folder.mkdir(parents=True)
    reading = read(spoilt(folder, extra))
    assert reading.move is not None or reading.errors
    assert sorted(path.name for path in tmp_path.rglob("*") if path.is_file()) == ["move.xlsx"]


@pytest.mark.skipif(sys.platform != "linux", reason="asks Linux for the memory of a process")
def test_memory_is_bounded_where_a_file_unfolds(tmp_path: Path) -> None:
    """A sheet of 400 MB of blanks in 400 kB: within the limits for the file, read piece by piece in 1 GB of room."""
    path = written(tmp_path)
    parts = parts_of(path.read_bytes())
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, part in parts.items():
            archive.writestr(name, part)
        with archive.open("xl/blanks.xml", "w") as blanks:
            for _ in range(400):
                blanks.write(b" " * 1024**2)

    def little_memory() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (1024**3, 1024**3))

    words = [sys.executable, "-m", "shipopt", "check", str(path)]
    done = subprocess.run(words, capture_output=True, text=True, timeout=120, preexec_fn=little_memory, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_text_that_looks_like_a_formula_is_text_in_the_results(tmp_path: Path) -> None:
    records = [
        {
            **SOUND["Records"][0],
            "Record ID": f"{text} {n}",
            **dict.fromkeys(("Artist", "Title", "Grade", "Shelf"), text),
        }
        for n, text in enumerate(FORMULAS)
    ]
    quotes = [{"Quote": "=Van", "Bidder": "@Bidder", "Means": "van", "Fixed charge": 9, "Notes": "=1+1"}]
    rows = sound(Records=records, Quotes=quotes, Packed_already=[], Last_plan=[], Cover=[], Move={"Title": "=1+1"})
    path, results = written(tmp_path, rows), tmp_path / "out.xlsx"
    shipopt.plan_workbook(path, results, search=lambda move: shipopt.optimise(move, seconds=3))
    typed = {text for row in (*records, *quotes) for text in row.values() if isinstance(text, str)} | {"=1+1"}
    formulas = {
        cell.value
        for sheet in openpyxl.load_workbook(results).worksheets
        for row in sheet.iter_rows()
        for cell in row
        if cell.data_type == "f"
    }
    assert formulas, "the results have formulas of their own"
    assert not {str(formula) for formula in formulas} & {text.strip() for text in typed}
    assert not any("cmd" in str(formula) or 'HYPERLINK("x")' in str(formula) for formula in formulas)
