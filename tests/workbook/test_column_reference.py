"""The README's column reference is the one that the declaration prints."""

from pathlib import Path

from shipopt.workbook.column_reference import END, START, between_marks, column_reference

README = Path(__file__).parents[2] / "README.md"


def test_the_readme_holds_the_column_reference() -> None:
    assert between_marks(README.read_text(encoding="utf-8")) == column_reference(), (
        f"put the output of 'python -m shipopt.workbook.column_reference' between {START} and {END}"
    )


def test_a_page_without_marks_holds_no_reference() -> None:
    assert between_marks("a page") is None
    assert between_marks(f"a\n{START}\nb\n{END}\nc") == "b\n"
