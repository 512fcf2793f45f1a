"""The sheet Diary: dates by quote, with the slack before Needed by as a live difference, then day by day."""

from datetime import date

from shipopt.workbook.results.columns import Table
from shipopt.workbook.results.declaration_road import DIARY
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Page
from shipopt.workbook.results.references import Formula, cell

LAST = len(DIARY.tables[0].columns) - 1
NEEDED_BY = "Needed by"
NO_DATES = "The workbook gives no dates: fill Decide on, Ready on, Needed by, and the dates of the quotes."
NOTE = (
    "Book early: a quote's last day is not a promise of a free vehicle. The latest day of arrival is what was quoted, "
    "not what happens. The same days can be written as a calendar file for other programs (option --calendar)."
)


def write(page: Page, results: Results) -> None:
    """Fills the sheet."""
    dates, days = DIARY.tables
    page.fit(dates, results.dates)
    page.fit(Table(days.name, days.columns[:-1]), results.days)
    page.title(0, LAST, DIARY.name)
    page.words(1, 0, NEEDED_BY, page.look(bold=True))
    needed = results.plan.move.settings.needed_by
    page.put(1, 1, needed or "not given", page.look(num_format="yyyy-mm-dd", align="left", indent=1))
    top = page.section(3, LAST, dates.name)
    arrives = dates.place("arrives")

    def slack(number: int) -> Formula | None:
        if results.dates[number].days_of_slack is None:
            return None
        return Formula(f"={cell(1, 1, fixed=True)}-{cell(top + 1 + number, arrives)}")

    below = page.table(dates, results.dates, top, {"days_of_slack": slack})
    top = page.section(below + 1, LAST, days.name)
    if results.days:
        top = _day_by_day(page, results, top)
    else:
        page.words(top, 0, NO_DATES, page.look())
    page.paragraph(top + 1, 0, LAST, NOTE, page.look.note())
    page.finish()


def _day_by_day(page: Page, results: Results, top: int) -> int:
    """The days, their words spread over the columns that the dates by quote take above; returns the row after them."""
    table = DIARY.tables[1]
    words = len(table.columns) - 1
    narrow = Table(table.name, table.columns[:words])
    below = page.table(narrow, results.days, top)
    page.paragraph(top, words, LAST, table.columns[words].heading, page.look.heading(align="left", indent=1))
    for row, day in enumerate(results.days, start=top + 1):
        page.paragraph(row, words, LAST, day.in_words, page.look.body(text_wrap=True, align="left", indent=1))
    return below


def facts(results: Results) -> dict[str, date | None]:
    """What the slack is counted to."""
    return {NEEDED_BY: results.plan.move.settings.needed_by}
