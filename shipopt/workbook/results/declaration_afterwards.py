"""Results sheets for what comes after the plan: what has changed against the last plan, and the check-in on arrival.

Declared as in the module declaration. The columns of the check-in that are filled in by hand are read back by the
room afterwards.
"""

from shipopt.workbook.results.columns import Column, Kind, Sheet, Table
from shipopt.workbook.results.declaration import CARTON_NO, QUOTE, RECORDS

COST_CHANGES = Table(
    "Why the cost differs",
    (
        Column("Reason", Kind.WORDS, "A step from the last plan's total to this plan's.", 66, 72),
        Column("Amount", Kind.MONEY, "What that step adds, or takes away.", 11, 15),
    ),
)

CARTON_CHANGES = Table(
    "What is different now",
    (
        Column("In words", Kind.WORDS, "What has changed for a carton since the last plan.", 66, 72),
        CARTON_NO,
    ),
)

CHANGES = Sheet(
    "Changes",
    "What is different from the last plan, carton by carton, and why the cost differs.",
    (COST_CHANGES, CARTON_CHANGES),
)

CHECK_IN = Sheet(
    "Check-in",
    "To be filled in on arrival, before anything is signed for: what has arrived, in which condition.",
    (
        Table(
            "Check-in",
            (
                CARTON_NO,
                QUOTE,
                RECORDS,
                Column("Expected weight", Kind.WEIGHT, "What it should weigh, packed.", 9, 13),
                Column("Arrived", Kind.TEXT, "yes or no. Blank: not looked at yet.", 8, 8),
                Column("Condition", Kind.TEXT, "sound or damaged. Look before you sign.", 10, 10),
                Column("Weight found", Kind.WEIGHT, "What it weighs now: a light carton is not complete.", 9, 13),
                Column("Damage found", Kind.MONEY, "What the damage comes to, when you know.", 10, 14),
                Column("Remarks", Kind.WORDS, "What you see: wet, torn, opened, which records.", 24, 34),
            ),
        ),
    ),
    landscape=True,
)
