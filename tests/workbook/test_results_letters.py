"""Widths of text and heights of rows: what wraps is given its lines, what fits is left on one."""

import pytest

from shipopt.workbook import look
from shipopt.workbook.results.columns import Column, Kind
from shipopt.workbook.results.letters import BOLD, LONGEST_BROKEN, fits, lines_of, text_width
from shipopt.workbook.results.measures import HIGHEST, column_width, height


def test_widths_are_counted_in_digits() -> None:
    assert text_width("0123456789") == pytest.approx(10)
    assert text_width("WWWW") > 1.6 * text_width("0000") > 4 * text_width("iiii") / 2
    assert text_width("short\nthe longest line") == text_width("the longest line")
    assert text_width("日本") == 4


def test_words_are_kept_whole_and_long_ones_broken() -> None:
    assert lines_of("0000 0000 0000", 11) == 2
    assert lines_of("0000 0000 0000", 11, BOLD) == 2
    assert lines_of("0000 0000", 8) == 2
    assert lines_of("0" * 40, 10.6) == 4
    assert lines_of("one\ntwo\n\nfour", 40) == 4
    assert lines_of("", 10) == 1


def test_a_very_long_text_is_counted_by_its_width() -> None:
    text = "0" * (LONGEST_BROKEN + 1)
    assert lines_of(text, 100 / 0.95) == 21


@pytest.mark.parametrize(("text", "chars", "whether"), [("0000", 4.3, True), ("0000", 4, False), ("a\nb", 20, False)])
def test_what_surely_fits(text: str, chars: float, whether: bool) -> None:
    assert fits(text, chars) == whether


def test_a_column_is_as_wide_as_its_contents_within_its_limits() -> None:
    column = Column("Quote", Kind.TEXT, "Help.", 8, 20)
    assert column_width(column, ["ab"], 2) == 8
    assert column_width(column, ["0" * 12], 2) == 14
    assert column_width(column, ["0" * 50], 2) == 20
    assert column_width(Column("Uninsurable", Kind.TEXT, "Help.", 4, 6), ["a"], 2) >= 11
    money = Column("Value", Kind.MONEY, "Help.", 4, 30)
    assert column_width(money, [1_234_567], 2) >= len("1,234,567.00")


def test_rows_grow_with_their_lines_but_not_for_ever() -> None:
    assert height(1) == look.ROW_HEIGHT < height(2) < height(3)
    assert height(500) == HIGHEST
    assert height(500, 6) == height(6)
