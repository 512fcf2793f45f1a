"""The results sheets for packing day and the road, declared: shelving, labels, content slips.

As in the module declaration, each column is declared once; the sheets, the JSON file and the data frames follow.
"""

from shipopt.workbook.results.columns import Column, Kind, Sheet, Table
from shipopt.workbook.results.declaration import CARTON_NO, RECORDS

SHELVING = Sheet(
    "Shelving",
    "At the new place: which cartons to open in which order, so that the shelves fill in their order.",
    (
        Table(
            "Shelving",
            (
                Column("Step", Kind.COUNT, "In this order.", 5, 6),
                Column("Shelf", Kind.TEXT, "The shelf label of the old place, in shelf order.", 7, 16),
                Column("Carton no.", Kind.TEXT, "The carton to take from.", 8, 14),
                Column("What to do", Kind.TEXT, "Whether to open it, and whether it is empty afterwards.", 16, 30),
                Column("Records", Kind.COUNT, "How many to take from it, each copy counted.", 8, 9),
                Column("From record", Kind.TEXT, "The first of them: ID, artist and title.", 16, 44),
                Column("To record", Kind.TEXT, "The last of them, where there are several.", 16, 44),
                Column("Stands after", Kind.TEXT, "For a record put back among others: the one before it.", 12, 44),
                Column("Cartons open", Kind.COUNT, "How many cartons are open meanwhile.", 7, 7),
                Column("Done", Kind.TEXT, "To tick.", 5, 5),
            ),
        ),
    ),
    landscape=True,
)

LABELS = Sheet(
    "Labels",
    "Labels for the outside of the cartons, to cut out. Nothing on them tells what is inside or what it is worth.",
    (
        Table(
            "Labels",
            (
                CARTON_NO,
                Column("Of", Kind.COUNT, "How many cartons the whole move has.", 5, 6),
                Column("From initials", Kind.TEXT, "Initials of the place it comes from.", 6, 12),
                Column("To initials", Kind.TEXT, "Initials of the place it goes to.", 6, 12),
                Column("Heavy", Kind.TEXT, "Whether it is heavy: from the weight in the settings on.", 6, 8),
                Column("Gross weight", Kind.WEIGHT, "Records and carton together; printed where it is heavy.", 8, 10),
            ),
        ),
    ),
)

CONTENT_SLIPS = Sheet(
    "Content slips",
    "Slips to put inside the cartons: what is in each, in its order, without values.",
    (
        Table(
            "Content slips",
            (
                Column("Slip", Kind.TEXT, "The carton or inner carton that it lies in.", 6, 14),
                CARTON_NO,
                RECORDS,
                Column("First shelf", Kind.TEXT, "Where its first record stands now.", 8, 16),
                Column("Last shelf", Kind.TEXT, "Where its last record stands now.", 8, 16),
            ),
        ),
    ),
)
