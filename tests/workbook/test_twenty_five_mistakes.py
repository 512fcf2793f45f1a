"""One workbook with 25 different mistakes: 25 findings, each in its own cell, each saying what is accepted."""

from pathlib import Path

import pytest
from workbook.books import Rows, sound, told, with_cells, written

from shipopt.workbook.reader import Reading, read

MISTAKES: dict[str, tuple[object, str]] = {
    "Move!B3": ("stone / ell", "not-a-word"),
    "Move!B7": ("next week", "not-a-date"),
    "Move!B14": (-5, "out-of-limits"),
    "Move!B15": ("90,5", "number-uncertain"),
    "Records!A3": ("A1", "name-twice"),
    "Records!D2": ("LPP", "name-unknown"),
    "Records!E3": (2.5, "not-whole"),
    "Records!E4": (0, "out-of-limits"),
    "Records!F2": (-20, "out-of-limits"),
    "Records!F3": ("1.234,5", "number-uncertain"),
    "Records!F4": ("a lot", "not-a-number"),
    "Records!H4": ("gentle", "name-unknown"),
    "Records!J2": ("perhaps", "not-yes-or-no"),
    "Records!M4": ("Airship", "name-unknown"),
    "Records!N2": ("P9", "name-unknown"),
    "Formats!C2": (None, "value-missing"),
    "Cartons!C2": (0, "out-of-limits"),
    "Cartons!I3": ("#REF!", "error-value"),
    "Quotes!C2": ("rocket", "not-a-word"),
    "Quotes!G2": ("=100+20", "formula-without-value"),
    "Quotes!L3": ("Parcels", "name-unknown"),
    "Quotes!P4": ("LP carton; Crate", "name-unknown"),
    "Quotes!AI4": (46082, "not-a-date"),
    "Means!B2": (120, "out-of-limits"),
    "Cover!B3": ("Van; Balloon", "name-unknown"),
}
"""For each cell: the mistake put there, and the code of the finding."""


@pytest.fixture(name="reading", scope="module")
def _reading(tmp_path_factory: pytest.TempPathFactory) -> Reading:
    path = written(tmp_path_factory.mktemp("mistakes"), _rows())
    return read(with_cells(path, {cell: value for cell, (value, _) in MISTAKES.items()}))


def _rows() -> Rows:
    return sound()


def test_each_mistake_is_told_once_in_its_cell(reading: Reading) -> None:
    assert len(MISTAKES) == 25
    assert sorted(told(reading.errors)) == sorted((code, cell) for cell, (_, code) in MISTAKES.items())
    assert reading.move is None


def test_each_message_shows_what_stands_in_the_cell_and_what_is_accepted(reading: Reading) -> None:
    for error in reading.errors:
        value = MISTAKES[error.place][0]
        if isinstance(value, str) and not value.startswith("="):
            assert value.split("; ")[-1] in error.found
        assert error.accepted, error
        assert error.found, error
        assert str(error).startswith(f"{error.place}: ")
        assert "{" not in error.sentence


def test_findings_follow_the_workbook_from_the_first_sheet_to_the_last(reading: Reading) -> None:
    sheets = list(dict.fromkeys(error.sheet for error in reading.errors))
    assert sheets == ["Move", "Records", "Formats", "Cartons", "Quotes", "Means", "Cover"]


def test_a_near_miss_is_named(reading: Reading) -> None:
    (hint,) = [error.sentence for error in reading.errors if error.place == "Quotes!L3"]
    assert "Is 'Parcel' meant?" in hint
    (care,) = [error.accepted for error in reading.errors if error.place == "Records!H4"]
    assert care == "a name in the sheet Care (hand, guarded, standard)"


@pytest.mark.parametrize("cell", list(MISTAKES))
def test_each_mistake_alone_is_the_only_finding(tmp_path: Path, cell: str) -> None:
    """No mistake draws errors elsewhere that are not there."""
    value, code = MISTAKES[cell]
    reading = read(with_cells(written(tmp_path), {cell: value}))
    assert told(reading.errors) == [(code, cell)]
