"""Fuzzing of the reader: stored workbooks whose cells, XML or bytes are changed at random. Each reading must give a
move or findings, within its time, and leave the file as it was.

A long run: ``PYTHONPATH=.:tests python -m faults.fuzzing 20000 [first]``. Cases that fail are named by number, and the
same number makes the same case again. The tests run a share of it.
"""

import random
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from openpyxl.utils import get_column_letter
from workbook.books import written

from faults.cells import ErrorShown, Formula, Value, parts_of, with_cell, workbook_of
from shipopt.workbook.declaration import INPUT_SHEETS
from shipopt.workbook.reader import read

SECONDS = 20.0
"""CPU time after which a reading of so small a workbook counts as hung."""

ODD: tuple[Value, ...] = (
    None, "", " ", "\N{NO-BREAK SPACE}", 0, -1, 1, 0.1, 1e-300, 1e300, -1e300, 2**63, 46082, 46082.5, -46082, 3e6, True,
    False, "yes", "no", "Van", "Post", "LP", "LP carton", "P1", "Policy", "Parcel", "12; 7", ";;;", "1,250.00", "12 %",
    "0.98", "1.234,5", "2031-03-01", "31.12.2031", "van", "post", "carton", "load", "lb / in", "kg / cm", "JPY", "KWD",
    "XXX", "sent", "arrived", "to go", "guarded", "hand", "=1+1", "{found}", "%s", "\x7f", "x" * 32_767, "\N{ROCKET}",
    Formula("A1"), ErrorShown("#REF!"), ErrorShown("nothing known"), "9" * 5_000, "1e999999999", "-0", "NaN",
    "Infinity",
)  # fmt: skip
SPOILT = (b"<", b">", b"&", b'"', b"/", b"\0", b"\xff", b"&#0;", b"&#x110000;", b"-1", b"99999999999", b"r=", b"</row>")


class HungError(AssertionError):
    """A reading took longer than its time."""


def case(number: int, parts: dict[str, bytes]) -> bytes:
    """The spoilt workbook of that number."""
    chance = random.Random(number)
    match chance.randrange(4):
        case 0 | 1:
            return workbook_of(_cells_changed(chance, parts))
        case 2:
            return workbook_of(_xml_changed(chance, parts))
        case _:
            return _bytes_changed(chance, workbook_of(parts))


def _cells_changed(chance: random.Random, parts: dict[str, bytes]) -> dict[str, bytes]:
    for _ in range(chance.choice((1, 1, 2, 5, 20))):
        sheet = chance.choice(INPUT_SHEETS)
        if sheet.settings:
            cell = f"{chance.choice('AB')}{chance.randint(1, len(sheet.columns) + 1)}"
        else:
            cell = f"{get_column_letter(chance.randint(1, len(sheet.columns)))}{chance.choice((1, 2, 2, 3))}"
        try:
            parts = with_cell(parts, sheet.name, cell, chance.choice(ODD))
        except (AssertionError, KeyError):  # no such row, or no such sheet, in the sound workbook
            continue
    return parts


def _xml_changed(chance: random.Random, parts: dict[str, bytes]) -> dict[str, bytes]:
    name = chance.choice(sorted(parts))
    if chance.random() < 0.05:
        return {part: content for part, content in parts.items() if part != name}
    return {**parts, name: _bytes_changed(chance, parts[name])}


def _bytes_changed(chance: random.Random, content: bytes) -> bytes:
    for _ in range(chance.choice((1, 2, 8))):
        at = chance.randrange(len(content) + 1)
        match chance.randrange(5):
            case 0:
                content = content[:at] + chance.choice(SPOILT) + content[at:]
            case 1:
                content = content[:at] + bytes([chance.randrange(256)]) + content[at + 1 :]
            case 2:
                content = content[:at] + content[at + chance.randint(1, 200) :]
            case 3:
                content = content[:at] + content[max(0, at - chance.randint(1, 500)) :]
            case _:
                content = content[:at] if chance.random() < 0.2 else content[:at] + b"\x00" * 4 + content[at + 4 :]
    return content


def verdict(path: Path, content: bytes) -> str:
    """Reads a workbook: ``move`` or ``findings``. What the reader raises is raised; AssertionError for what it owes."""
    path.write_bytes(content)
    began = time.process_time()
    reading = read(path)
    if time.process_time() - began > SECONDS:
        raise HungError
    assert path.read_bytes() == content, "the input was changed"
    assert (reading.move is None) == bool(reading.errors), "neither a move nor a finding, or both"
    assert all(str(error) for error in reading.errors)
    return "findings" if reading.errors else "move"


def run(first: int, cases: int, folder: Path) -> tuple[Counter[str], list[str]]:
    """The verdicts of so many cases, and those that failed with the number that makes them again."""
    parts, counts, failed = parts_of(written(folder).read_bytes()), Counter[str](), []
    for number in range(first, first + cases):
        try:
            counts[verdict(folder / "spoilt.xlsx", case(number, parts))] += 1
        except Exception as fault:
            failed.append(f"case {number}: {type(fault).__name__}: {fault}")
    return counts, failed


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as place:
        told, faults = run(int(sys.argv[2]) if len(sys.argv) > 2 else 0, int(sys.argv[1]), Path(place))
    print(dict(told), f"{len(faults)} failed", *faults, sep="\n")
    sys.exit(bool(faults))
