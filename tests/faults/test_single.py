"""Every single fault of the corpus is told in its own cell; none raises, none changes the file."""

from pathlib import Path

import pytest
from workbook.books import written

from faults.cells import parts_of, with_cell, workbook_of
from faults.single import Fault, faults
from shipopt.workbook.declaration import INPUT_SHEETS
from shipopt.workbook.reader import read

FAULTS = list(faults())


@pytest.fixture(scope="module")
def parts(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """The parts of a sound workbook."""
    return parts_of(written(tmp_path_factory.mktemp("sound")).read_bytes())


def test_the_workbook_without_a_fault_has_none(parts: dict[str, bytes], tmp_path: Path) -> None:
    path = tmp_path / "move.xlsx"
    path.write_bytes(workbook_of(parts))
    assert read(path).errors == ()


def test_the_corpus_reaches_every_column() -> None:
    every = {(sheet.name, column.heading) for sheet in INPUT_SHEETS for column in sheet.columns}
    reached = {(fault.sheet, fault.heading) for fault in FAULTS}
    anything = {
        (sheet.name, column.heading) for sheet in INPUT_SHEETS for column in sheet.columns if column.kind.takes_anything
    }
    assert reached == every - anything
    assert len(FAULTS) >= 150


@pytest.mark.parametrize("sheet", [sheet.name for sheet in INPUT_SHEETS])
def test_each_fault_is_told_in_its_cell(sheet: str, parts: dict[str, bytes], tmp_path: Path) -> None:
    wrong = [said for fault in FAULTS if fault.sheet == sheet if (said := _not_told(fault, parts, tmp_path))]
    assert not wrong


def _not_told(fault: Fault, parts: dict[str, bytes], folder: Path) -> str | None:
    """What is amiss with the reading of a workbook with this fault; None if all is well."""
    path = folder / "move.xlsx"
    content = workbook_of(with_cell(parts, fault.sheet, fault.cell, fault.value))
    path.write_bytes(content)
    reading = read(path)
    here = [error for error in reading.errors if error.place == f"{fault.sheet}!{fault.cell}"]
    if reading.move is not None or not {error.code for error in here} & set(fault.codes):
        return f"{fault.name}: {[str(error) for error in reading.errors]}"
    if any(len(str(error)) > 1_000 or "{" in error.sentence for error in here):
        return f"{fault.name}: the sentence is unfit to read"
    return None if path.read_bytes() == content else f"{fault.name}: the file was changed"
