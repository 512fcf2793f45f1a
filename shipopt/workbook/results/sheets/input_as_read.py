"""The sheet Input as read: the file, its SHA-256, the program's version, every setting with its value and origin.

The settings are those of the input's declaration; each value is a number, date or text as its kind asks.
"""

from collections.abc import Sequence

from shipopt.version import __version__
from shipopt.workbook.results.columns import Table
from shipopt.workbook.results.declaration import INPUT_AS_READ
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.letters import lines_of
from shipopt.workbook.results.measures import MOST_LINES, height
from shipopt.workbook.results.page import Page, number_format
from shipopt.workbook.results.rows.settings import NoticeRow, SettingRow

FILE, DIGEST, VERSION = "Input file", "SHA-256", "Program version"
LAST = 2


def facts(results: Results) -> dict[str, str]:
    """The facts above the tables, by label."""
    return {
        FILE: results.reading.file_name,
        DIGEST: results.reading.sha256,
        VERSION: f"shipopt {__version__}",
    }


def write(page: Page, results: Results) -> None:
    """Fills the sheet."""
    settings, rows_read, notices = INPUT_AS_READ.tables
    for row, (label, text) in enumerate(facts(results).items(), start=2):
        page.words(row, 0, label, page.look(bold=True))
        page.words(row, 1, text, page.look(align="left", indent=1))
    top = _settings(page, settings, results.settings, page.section(6, LAST, settings.name))
    page.title(0, LAST, INPUT_AS_READ.name)
    if results.rows_read:
        top = page.table(rows_read, results.rows_read, page.section(top + 1, LAST, rows_read.name))
    if results.notices:
        _notices(page, results.notices, page.section(top + 1, LAST, notices.name))
    page.finish()


def _settings(page: Page, table: Table, rows: Sequence[SettingRow], top: int) -> int:
    for place, column in enumerate(table.columns):
        page.hold(place, column.most)
    page.headings(table, top)
    for at, row in enumerate(rows, start=top + 1):
        code = number_format(row.kind, page.book.settings, unit=True)
        page.words(at, 0, row.setting, page.look.body())
        aside = page.look.body(num_format=code, align="left", indent=1, text_wrap=True)
        page.put(at, 1, row.value_used, aside)
        page.words(at, 2, row.where_from, page.look.body(align="left", indent=1, text_wrap=True))
        shown = (row.value_used if isinstance(row.value_used, str) else "", row.where_from)
        lines = max(lines_of(text, page.span(place, place) - 1) for place, text in enumerate(shown, start=1))
        if lines > 1:
            page.tall(at, height(lines, MOST_LINES))
    return top + 1 + len(rows)


def _notices(page: Page, rows: Sequence[NoticeRow], top: int) -> None:
    for at, row in enumerate(rows, start=top):
        page.paragraph(at, 0, LAST, row.notice, page.look.body(text_wrap=True))
