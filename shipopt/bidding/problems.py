"""What can be wrong with a bid form that comes back, and with putting it into the workbook, beside what can be wrong
with any workbook. Findings as data; nothing is read here.
"""

from pathlib import Path

from shipopt.workbook.problems import Problem, ProblemKind

FORM_NOT_OURS = ProblemKind("form-not-ours", "Not a bid form", "This is no bid form: it has no sheet {accepted}.")
FORM_CHANGED = ProblemKind(
    "form-changed", "The form was changed", "Here stands {found}, where the form says {accepted}; use the form as sent."
)
FORM_OF_ANOTHER = ProblemKind(
    "form-of-another",
    "A form of another move",
    "The reply reference is {found}. Accepted: {accepted}. The form is of another move, or of this one before its "
    "load, dates or places were changed: send new forms (shipopt ask).",
)
FORM_WITH_FORMULA = ProblemKind(
    "form-with-formula", "A formula in a form", "This cell holds a formula. Accepted: plain text, numbers and dates."
)
FORM_WITH_LINK = ProblemKind(
    "form-with-link",
    "A link or program in a form",
    "The form holds {found}; nothing of it is read. Accepted: the form as sent, filled in.",
)
FORM_TOO_LARGE = ProblemKind(
    "form-too-large", "Larger than a form", "The file is larger than a form ({found}). Accepted: {accepted}."
)
FORM_WITHOUT_BID = ProblemKind(
    "form-without-bid", "No bid in a form", "The form states no price. Accepted: {accepted}."
)
FORM_TWICE = ProblemKind(
    "form-twice", "Two forms of one bidder", "{found} has sent two forms for the same means; give one of them."
)
PRICE_WITHOUT_WEIGHT = ProblemKind(
    "price-without-weight", "A price without its weight", "{column} is blank, but a price stands beside it."
)
SHEET_TO_ADD = ProblemKind(
    "sheet-to-add",
    "The workbook lacks a sheet",
    "The bids need the sheet {sheet}, which the workbook lacks: add it as in an empty template, with its headings.",
)
CELL_WITH_FORMULA = ProblemKind(
    "cell-with-formula",
    "A formula where a bid would stand",
    "This cell of your workbook holds a formula; the bid would say {found}. Put a plain value there first.",
)
NOT_STORED_PLAINLY = ProblemKind("not-stored-plainly", "The workbook cannot be added to", "{found}.")


class WrongForms(Exception):  # noqa: N818 - it names what was found
    """Forms, or the workbook, that bids cannot be gathered from; ``errors`` are all findings by file."""

    def __init__(self, errors: dict[Path, list[Problem]]) -> None:
        super().__init__("\n".join(f"{path}: {each}" for path, found in errors.items() for each in found))
        self.errors = errors
