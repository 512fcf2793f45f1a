"""The results sheets for packing day and the road, declared: cover, shelving, labels, diary, slips, handling.

As in the module declaration, each column is declared once; the sheets, the JSON file and the data frames follow.
"""

from shipopt.workbook.results.columns import Column, Kind, Sheet, Table
from shipopt.workbook.results.declaration import BIDDER, CARTON_NO, MEANS, QUOTE, RECORDS, TRIP

PLACES = Column("Places", Kind.TEXT, "Their places in the carton, as on the packing list.", 7, 9)
COPIES = Column("Copies", Kind.COUNT, "How many of it stand side by side.", 7, 7)

COVER_TO_BUY = Sheet(
    "Cover to buy",
    "Which insurance to take out, what to declare for which carton, and what a claim will need.",
    (
        Table(
            "Covers to take out",
            (
                Column("Cover", Kind.TEXT, "A cover of the input sheet Cover.", 16, 30),
                QUOTE,
                TRIP,
                Column("Cartons", Kind.COUNT, "How many cartons it is for.", 8, 8),
                Column("Value to declare", Kind.MONEY, "Sum of their values.", 11, 16),
                Column("Fee", Kind.MONEY, "What it costs.", 9, 13),
                Column("Excess a carton", Kind.MONEY, "What you bear yourself of each claim.", 9, 13),
                Column(
                    "Claim by",
                    Kind.DATE,
                    "Latest arrival + Claim within days, where both are told.",
                    10,
                    11,
                ),
                Column("It pays for", Kind.WORDS, "By the workbook; its own terms decide.", 16, 24),
                Column("It does not pay for", Kind.WORDS, "By the workbook; its own terms decide.", 20, 36),
                Column("Notes", Kind.WORDS, "The notes of its rows.", 12, 36),
            ),
        ),
        Table(
            "What to declare for which carton",
            (
                Column("Cover", Kind.TEXT, "The cover to take for it.", 16, 30),
                QUOTE,
                TRIP,
                CARTON_NO,
                Column("Value to declare", Kind.MONEY, "The carton's whole value.", 11, 16),
                Column("Fee", Kind.MONEY, "Its fee, or its share by value of the trip's fee.", 9, 13),
                Column("Excess a carton", Kind.MONEY, "What you bear yourself of each claim.", 9, 13),
            ),
        ),
        Table(
            "Without a cover",
            (
                QUOTE,
                BIDDER,
                TRIP,
                Column("Cartons", Kind.COUNT, "How many cartons travel without a cover.", 8, 8),
                Column("Value", Kind.MONEY, "Sum of their values.", 11, 16),
                Column("Carrier owes", Kind.MONEY, "At most, for the loss of all of them one by one.", 9, 13),
                Column("You bear", Kind.MONEY, "Of their whole loss: value − what the carrier owes.", 9, 13),
                Column(
                    "Claim by",
                    Kind.DATE,
                    "Latest arrival + Claim within days, where both are told.",
                    10,
                    11,
                ),
                Column("It pays for", Kind.WORDS, "What the carrier's liability is for.", 16, 24),
            ),
        ),
        Table(
            "Photograph these first",
            (
                Column("Artist", Kind.TEXT, "As in the input.", 10, 28),
                Column("Title", Kind.TEXT, "As in the input.", 10, 30),
                Column("Copy", Kind.COUNT, "Which copy, where a line stands for several.", 5, 6),
                CARTON_NO,
                Column("Value", Kind.MONEY, "Value of this copy.", 11, 16),
                Column("Grade", Kind.TEXT, "As in the input.", 7, 9),
                Column("Record ID", Kind.TEXT, "The record's ID in the input.", 9, 16),
                Column("Done", Kind.TEXT, "To tick: sleeve, labels, matrix numbers, flaws.", 5, 5),
            ),
        ),
    ),
    landscape=True,
)

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
                PLACES,
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

DIARY = Sheet(
    "Diary",
    "What to do by when, quote by quote and day by day.",
    (
        Table(
            "Dates by quote",
            (
                QUOTE,
                BIDDER,
                MEANS,
                Column("Decide by", Kind.DATE, "The last day the quote holds.", 10, 11),
                Column("Book by", Kind.DATE, "Before it ends, and before its cartons are ready to go.", 10, 11),
                Column("Pack by", Kind.DATE, "Its cartons must be closed: Ready on, or its first day.", 10, 11),
                Column("Collect from", Kind.DATE, "The day counted on: both are ready.", 10, 11),
                Column("Collect until", Kind.DATE, "The last day that it collects and still arrives in time.", 10, 11),
                Column("Arrives", Kind.DATE, "At the latest, if collected on the day counted on.", 10, 11),
                Column("Days of slack", Kind.COUNT, "From then to Needed by.", 7, 7),
                Column(
                    "Claim by",
                    Kind.DATE,
                    "First deadline of its own terms and its covers'.",
                    10,
                    11,
                ),
                Column("Notes", Kind.WORDS, "The quote's notes.", 12, 40),
            ),
        ),
        Table(
            "Day by day",
            (
                Column("What", Kind.TEXT, "What to do, or what happens.", 20, 34),
                Column("Quote", Kind.TEXT, "The quote it is about; blank for the whole move.", 10, 26),
                Column("Weekday", Kind.TEXT, "Of the date.", 12, 12),
                Column("Date", Kind.DATE, "The day.", 10, 11),
                Column("In words", Kind.WORDS, "Where the date comes from.", 10, 60),
            ),
        ),
    ),
    landscape=True,
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

KIND_OF_CARTON = (
    Column("Carton", Kind.TEXT, "A row of the input sheet Cartons.", 16, 30),
    Column("Cartons", Kind.COUNT, "How many of them the plan sends.", 8, 8),
    Column("Heaviest", Kind.WEIGHT, "Gross weight of the heaviest of them.", 8, 11),
)

HANDLING = Sheet(
    "Handling",
    "What the cartons weigh against the limits for lifting, and how high they may stand.",
    (
        Table(
            "Lifting",
            (
                *KIND_OF_CARTON,
                Column("Hands before ankles", Kind.LENGTH, "How far, at the farther end of the lift.", 8, 9),
                Column("Limit at the start", Kind.WEIGHT, "Recommended weight limit where it is picked up.", 8, 11),
                Column("Limit at the end", Kind.WEIGHT, "Recommended weight limit where it is put down.", 8, 11),
                Column("Lifting index", Kind.DENSITY, "Heaviest ÷ the lower limit; blank where that is 0.", 8, 8),
                Column("Over the limit", Kind.COUNT, "How many such cartons are heavier than the lower limit.", 8, 8),
                Column("In words", Kind.WORDS, "What that means.", 30, 44),
            ),
        ),
        Table(
            "Stacking",
            (
                *KIND_OF_CARTON,
                Column("Edge crush", Kind.DENSITY, "Of its board: lb/in or kN/m.", 8, 9),
                Column("Board thickness", Kind.DENSITY, "Of its board.", 8, 9),
                Column("Crushed by", Kind.WEIGHT, "The load that crushes a new, dry, empty one.", 8, 11),
                Column("Safe load", Kind.WEIGHT, "The load on the lowest one that is counted on.", 8, 11),
                Column("Cartons high", Kind.COUNT, "How many may stand on each other, the lowest counted.", 8, 8),
                Column("In words", Kind.WORDS, "What limits the stack.", 30, 44),
            ),
        ),
    ),
    landscape=True,
)
