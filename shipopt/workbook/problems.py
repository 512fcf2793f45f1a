"""What can be wrong with a workbook, as data: each kind has a stable code, a title and a sentence with holes.

A ``Problem`` is one finding in one cell. The reader makes them, the command line and the notebook show them,
the manual lists the kinds. Nothing here reads a file or knows a sheet.
"""

from dataclasses import dataclass

LONGEST_FOUND = 80


@dataclass(frozen=True, slots=True)
class ProblemKind:
    """A kind of finding. ``sentence`` may hold {column}, {found}, {accepted} and the kind's own holes."""

    code: str
    title: str
    sentence: str


@dataclass(frozen=True, slots=True)
class Problem:
    """One finding: what was found in which cell, what is accepted there, and a sentence that says so."""

    code: str
    sheet: str
    cell: str
    found: str
    accepted: str
    sentence: str

    @property
    def place(self) -> str:
        """``Records!D7``, the sheet alone, or "the workbook" where the file itself is meant."""
        if not self.sheet:
            return "the workbook"
        return f"{self.sheet}!{self.cell}" if self.cell else self.sheet

    def __str__(self) -> str:
        return f"{self.place}: {self.sentence}"


def problem(
    kind: ProblemKind, sheet: str = "", cell: str = "", found: str = "", accepted: str = "", **holes: object
) -> Problem:
    """A finding of this kind, its sentence filled in; long cell contents are cut."""
    if len(found) > LONGEST_FOUND:
        found = found[: LONGEST_FOUND - 1] + "…"
    sentence = kind.sentence.format(sheet=sheet, found=found or "nothing", accepted=accepted, **holes)
    return Problem(kind.code, sheet, cell, found or "nothing", accepted, sentence)


FILE_MISSING = ProblemKind("file-missing", "No such file", "There is no file {found}.")
FILE_NOT_OPENED = ProblemKind("file-not-opened", "The file cannot be opened", "{found} cannot be opened: {why}.")
FILE_NOT_A_WORKBOOK = ProblemKind("file-not-a-workbook", "Not a workbook", "The file is {found}. Accepted: {accepted}.")
FILE_TOO_LARGE = ProblemKind(
    "file-too-large", "Larger than any workbook of this kind", "The file is {found}. Accepted: {accepted}."
)
FILE_DAMAGED = ProblemKind(
    "file-damaged",
    "Damaged workbook",
    "The workbook is damaged ({found}). Open it in a spreadsheet program, repair it and save it again as .xlsx.",
)
FILE_NOT_COPIED = ProblemKind(
    "file-not-copied",
    "Workbook that cannot be copied",
    "The workbook can be read, but not copied with all that is in it ({found}). "
    "Open it in a spreadsheet program and save it again as .xlsx.",
)
FILE_UNSAFE = ProblemKind(
    "file-unsafe",
    "Holds what no workbook holds",
    "The workbook holds {found}, which no spreadsheet program writes; it is not read.",
)
SHEET_MISSING = ProblemKind("sheet-missing", "Sheet missing", "The sheet {sheet} is missing; it is required.")
SHEET_TWICE = ProblemKind(
    "sheet-twice", "Two sheets of one name", "Two sheets are called {sheet} ({found}); keep one of them."
)
SHEET_UNKNOWN = ProblemKind(
    "sheet-unknown", "Unknown sheet", "The sheet {found} is not one of the move's; it is not read."
)
COLUMN_MISSING = ProblemKind(
    "column-missing", "Column missing", "The column {column} is missing; it is required. Headings found: {found}."
)
COLUMN_TWICE = ProblemKind("column-twice", "Column twice", "The column {column} stands here and in {other}; keep one.")
COLUMN_UNKNOWN = ProblemKind(
    "column-unknown", "Unknown column", "The column {found} is not one of this sheet's; it is not read."
)
COLUMN_WITHOUT_HEADING = ProblemKind(
    "column-without-heading",
    "Column without a heading",
    "Below this cell stands {found}, but no heading; it is not read.",
)
CELLS_MERGED = ProblemKind(
    "cells-merged",
    "Merged cells",
    "This cell of {column} is merged with {other}, which alone holds what shows; it is read as blank. Part the cells "
    "and fill in each.",
)
TOO_MANY_ROWS = ProblemKind(
    "too-many-rows", "Too many rows", "The sheet has more rows than can be read. Accepted: {accepted}."
)
SETTING_TWICE = ProblemKind("setting-twice", "Setting twice", "{column} is set here and in {other}; keep one.")
SETTING_UNKNOWN = ProblemKind(
    "setting-unknown", "Unknown setting", "{found} is not a setting of a move; it is not read."
)
VALUE_MISSING = ProblemKind(
    "value-missing", "Value missing", "{column} is blank; it is required. Accepted: {accepted}."
)
ERROR_VALUE = ProblemKind("error-value", "Error value", "{column} shows the error {found}. Accepted: {accepted}.")
FORMULA_WITHOUT_VALUE = ProblemKind(
    "formula-without-value",
    "Formula without a stored value",
    "{column} holds a formula that was never calculated. Open the workbook in a spreadsheet program and save it, "
    "then try again.",
)
NOT_A_NUMBER = ProblemKind("not-a-number", "Not a number", "{column} is {found}. Accepted: {accepted}.")
NUMBER_UNCERTAIN = ProblemKind(
    "number-uncertain",
    "Number with an uncertain meaning",
    "{column} is the text {found}, which can be read in two ways. Accepted: {accepted}, with a point as decimal sign.",
)
NOT_WHOLE = ProblemKind("not-whole", "Not a whole number", "{column} is {found}. Accepted: {accepted}.")
OUT_OF_LIMITS = ProblemKind("out-of-limits", "Outside its limits", "{column} is {found}. Accepted: {accepted}.")
OTHER_CURRENCY = ProblemKind(
    "other-currency", "Another currency", "{column} is {found}, not in the move's currency. Accepted: {accepted}."
)
NOT_YES_OR_NO = ProblemKind("not-yes-or-no", "Neither yes nor no", "{column} is {found}. Accepted: {accepted}.")
NOT_A_DATE = ProblemKind("not-a-date", "Not a date", "{column} is {found}. Accepted: {accepted}.")
NOT_A_WORD = ProblemKind("not-a-word", "Not one of the words", "{column} is {found}. Accepted: {accepted}.")
NOT_TEXT = ProblemKind("not-text", "Not text", "{column} is {found}. Accepted: {accepted}.")
NOT_A_NAME = ProblemKind("not-a-name", "Not usable as a name", "{column} is {found}. Accepted: {accepted}.")
FRACTION_LIKELY = ProblemKind(
    "fraction-likely",
    "A percent below one",
    "{column} is {found} and is read as {found} %, which is less than one hundredth. For 98 % type 98.",
)
NAME_UNKNOWN = ProblemKind(
    "name-unknown",
    "Name not listed",
    "{column} is {found}, which the sheet {target} does not list.{hint} Accepted: {accepted}.",
)
NAME_TWICE = ProblemKind("name-twice", "Name twice", "{column} is {found}, as in {other}; each must be different.")
NO_RECORDS = ProblemKind("no-records", "No records", "There are no records to move: fill the sheet {sheet}.")
NO_QUOTES = ProblemKind("no-quotes", "No quotes", "There is no quote to choose from: fill the sheet {sheet}.")
NO_QUOTE_IN = ProblemKind(
    "no-quote-in", "No quote takes part", "Every quote is out (not considered, expired, or outside the move's dates)."
)
NO_CARTONS = ProblemKind("no-cartons", "No cartons", "There is no carton to pack into: fill the sheet {sheet}.")
QUOTE_OUT = ProblemKind("quote-out", "A quote is out", "The quote {found} takes no part: {why}.")
PINNED_TO_QUOTE_OUT = ProblemKind(
    "pinned-to-quote-out", "Must go by a quote that is out", "{column} is {found}, but that quote is out: {why}."
)
PINNED_TO_REFUSING_QUOTE = ProblemKind(
    "pinned-to-refusing-quote",
    "Must go by a quote that refuses it",
    "{column} is {found}, but that quote may not carry this record: {why}.",
)
CARE_WITHOUT_QUOTE = ProblemKind(
    "care-without-quote",
    "No quote may carry a care level",
    "No quote that takes part may carry care level {found}, which {records} records have (first: {first}). {why}",
)
RECORD_WITHOUT_QUOTE = ProblemKind(
    "record-without-quote",
    "No quote may carry a record",
    "Format {found} is no sound recording, and the quotes that its care level allows take sound recordings only.",
)
SLEEVE_WITHOUT_CARTON = ProblemKind(
    "sleeve-without-carton",
    "No carton takes a sleeve",
    "{column} is {found}, but no carton takes that sleeve. Accepted: {accepted}.",
)
RECORD_WITHOUT_CARTON = ProblemKind(
    "record-without-carton",
    "A record fits no carton",
    "One copy is {found}, more than any carton for its sleeve may hold ({accepted}).",
)
NO_VALUE = ProblemKind(
    "no-value", "A record without a value", "{column} is blank, and the format {found} has no value to fall back on."
)
STEPS_NOT_RISING = ProblemKind(
    "steps-not-rising", "Rows out of order", "{column} is {found}, not above {other} in the row before of {of}."
)
FIRST_BREAK_NOT_ZERO = ProblemKind(
    "first-break-not-zero",
    "Weight breaks do not start from 0",
    "{column} is {found} in the first row of {of}. Accepted: 0.",
)
BAND_AFTER_LAST = ProblemKind(
    "band-after-last",
    "A band below one without a limit",
    "{column} is blank for {of}, so that band has no upper limit; only the last row of a cover may be so.",
)
ROWS_DISAGREE = ProblemKind(
    "rows-disagree", "Rows of one cover disagree", "{column} is {found}, but the first row of {of} says {accepted}."
)
WEIGHT_BREAKS_FOR_CARTON = ProblemKind(
    "weight-breaks-for-carton",
    "Weight breaks where a carton is the consignment",
    "{column} prices a whole load, but the consignment of this quote is a carton; use a rate card.",
)
NO_MEANING = ProblemKind(
    "no-meaning",
    "A limit without meaning",
    "{column} has no meaning where a carton is the consignment; it is not used.",
)
CHANCES_OVER_ONE = ProblemKind(
    "chances-over-one",
    "Chances add to more than 100 %",
    "Loss, whole-load loss and damage of {of} add to {found}. Accepted: {accepted}.",
)
MEANS_WITHOUT_ROW = ProblemKind(
    "means-without-row", "No assumptions for a means", "{column} is {found}, for which the sheet {target} has no row."
)
GROSS_LIMIT_TOO_LOW = ProblemKind(
    "gross-limit-too-low",
    "Gross limit below the empty carton",
    "{column} is {found}, not above the empty weight {accepted}.",
)
DATES_OUT_OF_ORDER = ProblemKind("dates-out-of-order", "Dates out of order", "{column} is {found}, before {other}.")
FILL_LIMITS_CROSS = ProblemKind(
    "fill-limits-cross", "Fill limits cross", "{column} is {found}, above {other} ({accepted})."
)
PACKED_NOT_WEIGHED = ProblemKind(
    "packed-not-weighed",
    "A packed carton without a total",
    "{column} is blank and cannot be computed, because the rows that name this carton in {target} do not make up all "
    "of it. Accepted: {accepted}.",
)
PACKED_TOO_MANY = ProblemKind(
    "packed-too-many",
    "More records than the carton holds",
    "{column} is {found}, but {accepted} records name this carton.",
)
PACKED_TOO_HEAVY = ProblemKind(
    "packed-too-heavy",
    "A packed carton is too heavy",
    "{column} is {found}. Accepted: {accepted}. Repack it, or raise the limit.",
)
PACKED_PULLED_APART = ProblemKind(
    "packed-pulled-apart",
    "A packed carton must go two ways",
    "Its records must go by {found}; one carton goes one way.",
)
PACKED_GONE_HOW = ProblemKind(
    "packed-gone-how",
    "A carton that is gone without its quote",
    "{column} is blank, but the carton is {found}. Accepted: {accepted}.",
)
PACKED_VALUE_DIFFERS = ProblemKind(
    "packed-value-differs",
    "Value differs from its records",
    "{column} is {found}, but the records that name this carton come to {accepted}; the cell is used.",
)
PACKED_COVER_NOT_OFFERED = ProblemKind(
    "packed-cover-not-offered",
    "A cover that is not for the quote",
    "{column} is {found}, which is not for the quote that the carton went by. Accepted: {accepted}.",
)
RESULTS_OF_ANOTHER = ProblemKind(
    "results-of-another",
    "Results of another workbook",
    "These results were made from another workbook, or from this one before it was changed: they state the SHA-256 "
    "{found}. Accepted: {accepted}. Plan the workbook again, or give the one that was planned.",
)
NOT_OF_THIS_PLAN = ProblemKind(
    "not-of-this-plan", "Not part of this plan", "{column} is {found}. Accepted: {accepted}."
)
CARTON_NOT_LISTED = ProblemKind(
    "carton-not-listed", "A carton of the plan is not listed", "Carton {found} of the plan is not in the list."
)
NOT_PACKED = ProblemKind("not-packed", "A copy in no carton", "{found} is in no carton of the list.")

KINDS: tuple[ProblemKind, ...] = tuple(found for found in list(globals().values()) if isinstance(found, ProblemKind))
"""Every kind, in the order above."""
