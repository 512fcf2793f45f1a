"""The sheet What binds: the three changes that would save most, and every rule one step looser."""

from typing import Any

from shipopt.workbook.results.declaration_comparing import WHAT_BINDS
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Page
from shipopt.workbook.results.rows.binding import best_changes

TABLE = WHAT_BINDS.tables[0]
LAST = len(TABLE.columns) - 1
NOT_ASKED = "The comparison was not asked for (leave out --no-compare to have it), or interrupted."
NOTHING_SAVES = "No step was found that saves anything."
WHAT_IT_IS = (
    "Each rule and limit one step looser, one at a time, and the whole move planned again. A looser rule takes "
    "something on in exchange: risk to the records, weight to lift, a later day. Weigh that first; lifting limits, the "
    "carrier's terms and an insurer's conditions are not for saving on."
)
CUT_SHORT = "The time allowed cut some searches short: more seconds may find more."


def facts(results: Results) -> dict[str, Any]:
    """The words above the table, by label."""
    return {"Changes that would save most": _best(results)}


def _best(results: Results) -> tuple[str, ...]:
    if results.comparison is None:
        return (NOT_ASKED,)
    found = best_changes(results.binding, results.plan) or (NOTHING_SAVES,)
    return found if results.comparison.in_time else (*found, CUT_SHORT)


def near_the_cheapest(results: Results) -> str:
    """How far the plan itself may be from the cheapest, which blurs small differences."""
    totals = results.totals
    if totals.gap_percent <= 0:
        return "The plan compared is proven to be the cheapest there is."
    return (
        f"The plan compared may itself be up to {totals.gap_percent:.2f} % above the cheapest: differences smaller "
        "than that may come from the search and not from the rule or the quote."
    )


def write(page: Page, results: Results) -> None:
    """Fills the sheet."""
    rows = results.binding
    page.fit(TABLE, rows)
    page.title(0, LAST, WHAT_BINDS.name)
    page.paragraph(1, 0, LAST, WHAT_IT_IS, page.look.note())
    top = page.section(3, LAST, "The changes that would save most")
    for text in _best(results):
        page.paragraph(top, 0, LAST, text, page.look(text_wrap=True))
        top += 1
    if results.comparison is not None:
        top = page.table(TABLE, rows, page.section(top + 1, LAST, "Every rule and limit"))
        page.paragraph(top, 0, LAST, near_the_cheapest(results), page.look.note())
    page.finish()
