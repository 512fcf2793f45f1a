"""The sheet Changes: the steps from the last plan's cost to this one's, with a live sum, and every carton that changed.

Written only where there is a last plan.
"""

from decimal import Decimal

from shipopt.workbook.results.declaration_afterwards import CARTON_CHANGES, CHANGES, COST_CHANGES
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Page
from shipopt.workbook.results.references import Block, total

LAST = 1
SUM = "This plan comes to"
NOTHING = "Nothing: every carton goes as it was planned before."
HOW = (
    "Each step is worked out from the quotes, after the steps above it. Cartons that are sent stay as they are, at "
    "what was paid for them; closed cartons change their way only where that saves something."
)


def is_shown(results: Results) -> bool:
    """Whether there is a last plan to compare with."""
    return bool(results.plan.move.last_plan)


def write(page: Page, results: Results) -> None:
    """Fills the sheet."""
    for table, rows in ((COST_CHANGES, results.cost_changes), (CARTON_CHANGES, results.carton_changes)):
        page.fit(table, rows)
    page.title(0, LAST, CHANGES.name)
    page.paragraph(1, 0, LAST, HOW, page.look.note())
    top = page.section(3, LAST, COST_CHANGES.name)
    below = page.table(COST_CHANGES, results.cost_changes, top)
    block = Block(CHANGES, COST_CHANGES, top + 1, len(results.cost_changes))
    amount = sum((row.amount for row in results.cost_changes), Decimal(0))
    page.totals(COST_CHANGES, below, 0, {"amount": (total(block, "amount", elsewhere=False), amount)})
    page.words(below, 0, SUM, page.look.total())
    top = page.section(below + 2, LAST, CARTON_CHANGES.name)
    if results.carton_changes:
        page.table(CARTON_CHANGES, results.carton_changes, top)
    else:
        page.words(top, 0, NOTHING, page.look())
    page.finish()
