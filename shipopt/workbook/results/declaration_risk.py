"""The sheet Risk, its tables and columns, declared once like those of the module declaration.

Chances are planning assumptions unless a quote gives its own, and each help that speaks of a chance says so.
"""

from shipopt.workbook.results.columns import Column, Kind, Sheet, Table
from shipopt.workbook.results.declaration import CARE, CARTON_NO, QUOTE, TOTALS

EXPECTED = Column(
    "Expected uninsured loss",
    Kind.MONEY,
    "What loss and damage would cost you after insurance and liability, on average, by the chances assumed.",
    10,
    13,
)

FIGURES = Table(
    "Risk in figures",
    (
        Column("Figure", Kind.TEXT, "What is told.", 24, 36),
        Column("Amount", Kind.MONEY, "What you would bear.", 11, 16),
        Column("Give or take", Kind.MONEY, "The true figure is within this of the amount: the grid's error.", 8, 12),
        Column("Chance %", Kind.PERCENT, "How many of a hundred such moves, by the chances assumed.", 8, 10),
        Column("In plain words", Kind.WORDS, "The same, said without figures of speech or of statistics.", 30, 60),
    ),
)

OF_A_PART = (
    Column("Cartons", Kind.COUNT, "Cartons that may still be lost.", 8, 8),
    Column("Value at risk", Kind.MONEY, "Sum of their values.", 11, 16),
    EXPECTED,
    Column("Chance of any %", Kind.PERCENT, "Chance, by those assumed, that any of them costs you anything.", 8, 10),
    Column("At most in 95 of 100", Kind.MONEY, "In 95 of 100 such moves they cost you this or less.", 10, 14),
    Column(TOTALS.column("average_of_worst_5_percent").heading, Kind.MONEY, "Mean of the worst 5 of 100.", 10, 14),
    Column("Worst event", Kind.MONEY, "The most that one event with them leaves to you.", 10, 14),
    Column("Give or take", Kind.MONEY, "The true figures are within this: the grid's error.", 8, 12),
    Column("Chances", Kind.TEXT, "Whether the chances are planning assumptions or the quote's own.", 9, 26),
)
BY_QUOTE = Table("Risk by quote", (QUOTE, *OF_A_PART))
BY_CARE = Table("Risk by care level", (CARE, *OF_A_PART))

RECORDS_AT_RISK = Table(
    "Records that carry most of the risk",
    (
        Column("Record ID", Kind.TEXT, "The record's ID in the input.", 9, 16),
        Column("Copies", Kind.COUNT, "Copies alike in this carton.", 7, 7),
        Column("Value", Kind.MONEY, "Value of one copy.", 9, 14),
        Column("Risk of one", Kind.MONEY, "Its part, by value, of the carton's expected uninsured loss.", 9, 12),
        Column("Part %", Kind.PERCENT, "Part of these copies in the expected loss of the whole plan.", 7, 8),
        CARTON_NO,
        CARE,
        QUOTE,
        Column("Artist", Kind.TEXT, "As in the input.", 10, 18),
        Column("Title", Kind.TEXT, "As in the input.", 10, 22),
        Column(
            "What would halve it",
            Kind.WORDS,
            "A change that the rules of the move allow and that leaves at most half of the risk.",
            30,
            46,
        ),
        Column(
            "Plan dearer by",
            Kind.MONEY,
            "What the plan costs more with the change to the carton, all else as it is; blank where a record leaves "
            "its carton, which depends on the room elsewhere.",
            9,
            12,
        ),
    ),
)

LIKELIHOOD = Table(
    "The curve in figures",
    (
        Column("Loss above", Kind.RATE, "An uninsured loss of more than this.", 11, 16),
        Column("Moves in 100", Kind.LIKELIHOOD, "Chance of it in percent, by the chances assumed.", 9, 10),
        Column("About", Kind.TEXT, "The same in words.", 20, 28),
    ),
)

RISK = Sheet(
    "Risk",
    "What could be lost uninsured, how likely that is, which records carry it, and what would halve it.",
    (FIGURES, BY_QUOTE, BY_CARE, RECORDS_AT_RISK, LIKELIHOOD),
    landscape=True,
)
