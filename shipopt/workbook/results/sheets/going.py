"""Conditions under which a carton of the carton list is one that a quote still has to carry.

Used by the live formulas of the sheets Plan and Quotes compared.
"""

from shipopt.move.words import Status
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.references import quoted


def going(results: Results, quote_cell: str) -> dict[str, str]:
    """Its quote is that of the cell; and, where some cartons are gone already, it is not one of these."""
    conditions = {"quote": quote_cell}
    if results.gone:
        conditions["status"] = quoted(Status.TO_GO.value)
    return conditions
