"""The column reference of the manual, in Markdown, printed from the declaration.

Stands in the README between the two marks below; a test compares the two. ``python -m
shipopt.workbook.column_reference`` prints it.
"""

from shipopt.workbook.declaration import INPUT_SHEETS, Column, Sheet
from shipopt.workbook.kinds import NO_UNIT, Terms

START, END = "<!-- columns:start -->", "<!-- columns:end -->"

_ANY = Terms()


def column_reference() -> str:
    """Every input sheet with its columns: what each holds, in which unit, what a blank stands for, what it means."""
    return "\n\n".join(_sheet(sheet) for sheet in INPUT_SHEETS) + "\n"


def between_marks(text: str) -> str | None:
    """What a page holds between the two marks, None if it lacks them."""
    if START not in text or END not in text:
        return None
    return text.split(START, 1)[1].split(END, 1)[0].strip() + "\n"


def _sheet(sheet: Sheet) -> str:
    first = "Setting" if sheet.settings else "Column"
    kind = "" if sheet.required else " The sheet may be missing."
    lines = [f"### {sheet.name}", "", f"{sheet.help}{kind}", ""]
    lines += [f"| {first} | Unit | Blank stands for | What it is | Accepted |", "|---|---|---|---|---|"]
    return "\n".join(lines + [_column(column) for column in sheet.columns])


def _column(column: Column) -> str:
    blank = "**required**" if column.required else column.default_shown(_ANY)
    unit = column.unit(_ANY)
    cells = (column.heading, "none" if unit == NO_UNIT else unit, blank, column.help, column.kind.accepted(_ANY))
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


if __name__ == "__main__":
    print(column_reference(), end="")
