"""The sheet Check-in: a list of all cartons with cells to fill in on arrival, drop-downs where words are closed."""

from shipopt.workbook.kinds import YesNo
from shipopt.workbook.results.declaration_afterwards import CHECK_IN
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Page, number_format
from shipopt.workbook.results.sheets.lists import write_list

CONDITIONS = ("sound", "damaged")
FILLED_IN = ("arrived", "condition", "weight_found", "damage_found", "remarks")
HOW = (
    "Before you sign for anything: count the cartons, look at each, weigh those that look opened, and write what you "
    "see on the delivery receipt. Photograph damage and packing before you unpack, and keep both. Then fill in this "
    "sheet and run: shipopt arrived WORKBOOK.xlsx RESULTS.xlsx -o CLAIMS.xlsx. How soon a claim must be made stands in "
    "the carrier's and the insurer's terms, and their word counts."
)


def write(page: Page, results: Results) -> None:
    """Fills the sheet."""
    table, rows = CHECK_IN.tables[0], results.check_in
    sums = {"records": sum(row.records for row in rows), "expected_weight": sum(row.expected_weight for row in rows)}
    write_list(page, rows, sums, label_at=1, note=HOW)
    for key in FILLED_IN:
        place, column = table.place(key), table.column(key)
        code = number_format(column.kind, page.book.settings)
        side = {"align": "left", "indent": 1, "text_wrap": True} if column.kind.is_text else {"align": "right"}
        for row in range(1, len(rows) + 1):
            page.put(row, place, None, page.look.input(num_format=code, **side))
        words = {"arrived": YesNo.words, "condition": CONDITIONS}.get(key)
        if words and rows:
            options = {"validate": "list", "source": list(words), "ignore_blank": True}
            page.worksheet.data_validation(1, place, len(rows), place, options)
