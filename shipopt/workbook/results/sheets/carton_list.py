"""The sheet Carton list: every carton with its quote, trip, weight, value, care, cover and what it costs."""

from collections.abc import Sequence

from shipopt.workbook.results.declaration import CARTON_LIST
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Page
from shipopt.workbook.results.references import Block
from shipopt.workbook.results.rows.cartons import CartonRow
from shipopt.workbook.results.sheets.lists import Sums, block_of, write_list

SUMMED = ("records", "gross_weight", "billed_weight", "value", "cover_fee", "carton_price", "expected_uninsured_loss")


def write(page: Page, results: Results) -> None:
    """Fills the sheet."""
    write_list(page, results.cartons, _sums(results.cartons), label_at=1)


def carton_block(results: Results) -> Block:
    """Where the cartons stand, for sums on other sheets."""
    return block_of(CARTON_LIST, results.cartons)


def _sums(rows: Sequence[CartonRow]) -> Sums:
    return {key: sum(getattr(row, key) for row in rows) for key in SUMMED}
