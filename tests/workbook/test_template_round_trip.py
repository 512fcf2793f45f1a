"""The template read straight back, and a small filled workbook read into a move."""

from decimal import Decimal
from pathlib import Path

import pytest

from shipopt.workbook.reader import read
from shipopt.workbook.template import write_template, write_workbook


@pytest.mark.parametrize(("units", "currency"), [("lb / in", "USD"), ("kg / cm", "EUR"), ("kg / cm", "JPY")])
def test_an_empty_template_gives_no_error_but_no_records(tmp_path: Path, units: str, currency: str) -> None:
    path = tmp_path / "move.xlsx"
    write_template(path, units, currency)
    reading = read(path)
    assert [error.code for error in reading.errors] == ["no-records"]
    assert reading.notices == ()
    assert reading.move is None


def test_a_filled_workbook_becomes_a_move(tmp_path: Path) -> None:
    path = tmp_path / "move.xlsx"
    tables = {
        "Move": {"Title": "Invented move", "Fill at most %": 95},
        "Records": [{"Format": "LP", "Value each": 12.5, "Copies": 40, "Shelf": 7}],
        "Quotes": [{"Quote": "Van", "Means": "van", "Fixed charge": 120}],
    }
    write_workbook(path, "kg / cm", "EUR", tables)
    reading = read(path)
    assert reading.errors == ()
    assert reading.move is not None
    (record,) = reading.move.records
    assert (record.record_id, record.copies, record.value, record.shelf) == ("row-2", 40, Decimal("12.5"), "7")
    assert record.origin.cell("Value each") == "Records!F2"
    assert reading.move.quotes["Van"].fixed_charge == 120
    assert reading.move.settings.fill_most == Decimal("0.95")
