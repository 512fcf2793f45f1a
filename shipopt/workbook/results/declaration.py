"""Every results sheet, table and column, declared once.

Sheet names and the headings of the contract come first and in this order; columns of our own stand to the right of
them. The sheets, the JSON file and the data frames are all made from here. What stands in a column is worked out in
the modules of the folder rows.
"""

from shipopt.workbook.results.columns import Column, Kind, Sheet, Table

QUOTE = Column("Quote", Kind.TEXT, "The quote of the input sheet Quotes.", 12, 30)
BIDDER = Column("Bidder", Kind.TEXT, "Who made the quote.", 10, 26)
MEANS = Column("Means", Kind.TEXT, "carry-on, van, freight or post.", 9, 9)
TRIP = Column("Trip", Kind.COUNT, "Which trip of the quote; blank where each carton is a consignment.", 5, 5)
CARTON_NO = Column("Carton no.", Kind.TEXT, "The number to write on the carton.", 8, 14)
RECORDS = Column("Records", Kind.COUNT, "How many records, each copy counted.", 9, 10)
GROSS_WEIGHT = Column("Gross weight", Kind.WEIGHT, "Records and carton together.", 10, 13)
VALUE = Column("Value", Kind.MONEY, "Sum of the records' values.", 11, 16)
CARE = Column("Care", Kind.TEXT, "The strictest care level inside.", 9, 14)
CARRIAGE = Column("Carriage", Kind.MONEY, "What the carrier charges, by the sheet Charges.", 11, 15)
COVER_FEES = Column("Cover fees", Kind.MONEY, "Fees of the insurance bought.", 10, 14)

TOTALS = Table(
    "Totals",
    (
        Column("Total cost", Kind.MONEY, "Carriage + cartons bought + cover fees. Expected losses are not in it."),
        Column("Carriage", Kind.MONEY, "What all carriers charge, and what was paid for cartons already gone."),
        Column("Cartons bought", Kind.MONEY, "Cartons used beyond those on hand, and what closed ones have cost."),
        Column("Cover fees", Kind.MONEY, "Fees of all insurance bought."),
        Column(
            "Expected uninsured loss",
            Kind.MONEY,
            "What loss and damage would cost you after insurance and liability, averaged over very many such moves.",
        ),
        Column(
            "Average of worst 5%",
            Kind.MONEY,
            "What you would bear in the worst one move of twenty, on average.",
        ),
        Column("Value moved", Kind.MONEY, "Value of everything in all cartons."),
        Column("Value covered", Kind.MONEY, "Value of the cartons that travel under a cover."),
        Column("Records", Kind.COUNT, "Records in all cartons, each copy counted."),
        Column("Cartons", Kind.COUNT, "Cartons, those already sent or arrived among them."),
        Column("Lower bound", Kind.MONEY, "No plan that obeys the rules can cost less than this."),
        Column("Gap %", Kind.PERCENT, "(Cost − lower bound) ÷ cost: the most that a better plan could still save."),
        Column(
            "Chance of any uninsured loss %",
            Kind.PERCENT,
            "So many of 100 such moves cost you anything at all, by the chances assumed. See the sheet Risk.",
        ),
        Column(
            "Uninsured loss in 95 of 100 moves at most",
            Kind.MONEY,
            "Only 5 of 100 such moves cost you more than this, by the chances assumed.",
        ),
        Column("Worst single event", Kind.MONEY, "The most that one lost trip or carton would leave to you."),
    ),
    labelled=True,
)

BOOKINGS = Table(
    "Bookings to make",
    (
        QUOTE,
        BIDDER,
        MEANS,
        Column("Trips", Kind.COUNT, "Trips to book; blank where each carton is a consignment.", 6, 6),
        Column("Cartons", Kind.COUNT, "Cartons by this quote.", 8, 8),
        GROSS_WEIGHT,
        VALUE,
        CARRIAGE,
        COVER_FEES,
    ),
)

CARTONS_TO_BUY = Table(
    "Cartons to buy",
    (
        Column("Carton", Kind.TEXT, "A row of the input sheet Cartons.", 12, 30),
        Column("Used", Kind.COUNT, "How many the plan fills."),
        Column("To buy", Kind.COUNT, "Those beyond the ones on hand."),
        Column("Price each", Kind.RATE, "Price of one."),
        Column("Amount", Kind.MONEY, "To buy × price each."),
    ),
)

GONE = Table(
    "Already sent or arrived",
    (
        CARTON_NO,
        QUOTE,
        Column("Status", Kind.TEXT, "sent or arrived.", 8, 8),
        RECORDS,
        GROSS_WEIGHT,
        VALUE,
        Column("Paid", Kind.MONEY, "What its carriage has cost."),
        Column("Cover", Kind.TEXT, "The cover it was sent under.", 10, 22),
        Column("Cover fee", Kind.MONEY, "What that cover has cost."),
    ),
)

PLAN = Sheet(
    "Plan",
    "What to book, what it costs, and what the figures mean.",
    (TOTALS, BOOKINGS, CARTONS_TO_BUY, GONE),
)

CARTON_LIST = Sheet(
    "Carton list",
    "Every carton on its way.",
    (
        Table(
            "Carton list",
            (
                CARTON_NO,
                Column("Carton", Kind.TEXT, "The kind of carton to take.", 10, 22),
                QUOTE,
                TRIP,
                RECORDS,
                Column("Fill %", Kind.PERCENT, "Thickness of the records, as a percent of the stack length.", 6, 6),
                GROSS_WEIGHT,
                Column(
                    "Billed weight",
                    Kind.WEIGHT,
                    "The weight the carrier bills: by volume and in steps where it says so.",
                    8,
                    13,
                ),
                VALUE,
                CARE,
                Column("Cover", Kind.TEXT, "The insurance to buy for it; blank for none.", 8, 22),
                Column("Cover fee", Kind.MONEY, "Its fee, or its share by value of the trip's fee.", 9, 13),
                Column(
                    "Carton price",
                    Kind.MONEY,
                    "What the carton costs; 0 for one on hand, what it has cost for one closed already.",
                    8,
                    12,
                ),
                Column(
                    "Expected uninsured loss",
                    Kind.MONEY,
                    "Average cost to you of its loss or damage, after insurance and liability.",
                    10,
                    13,
                ),
                Column("First shelf", Kind.TEXT, "Where its first record stands now.", 8, 16),
                Column("Last shelf", Kind.TEXT, "Where its last record stands now.", 8, 16),
                Column(
                    "Filler",
                    Kind.LENGTH,
                    "Length of soft filler that makes it snug, where it (or an inner carton) is filled less than the "
                    "settings ask for: loose records slide and split their seams.",
                    7,
                    8,
                ),
                Column("Status", Kind.TEXT, "to go, sent or arrived.", 7, 8),
            ),
        ),
    ),
    landscape=True,
)

PACKING_LIST = Sheet(
    "Packing list",
    "What goes into which carton, in the order of the shelves.",
    (
        Table(
            "Packing list",
            (
                CARTON_NO,
                Column("Place", Kind.COUNT, "Place in the carton, 1 first, in the order of the shelves.", 6, 6),
                Column("Record ID", Kind.TEXT, "The record's ID in the input.", 9, 16),
                Column("Copy", Kind.COUNT, "Which copy, where a line stands for several.", 6, 6),
                Column("Artist", Kind.TEXT, "As in the input.", 10, 26),
                Column("Title", Kind.TEXT, "As in the input.", 10, 36),
                Column("Format", Kind.TEXT, "As in the input.", 8, 16),
                Column("Grade", Kind.TEXT, "As in the input.", 7, 9),
                Column("Value", Kind.MONEY, "Value of this copy.", 10, 14),
                Column("Care", Kind.TEXT, "The record's own care level.", 9, 14),
                Column("Shelf", Kind.TEXT, "Where it stands now.", 7, 16),
                Column("Done", Kind.TEXT, "To tick when it is in its place; ticked where the carton is closed.", 5, 5),
                Column(
                    "Pack order",
                    Kind.COUNT,
                    "Which carton to pack as which, one after another: one returns to a shelf as seldom as possible.",
                    6,
                    6,
                ),
                Column("Inner carton", Kind.TEXT, "Which inner carton, where there are several: 12a, 12b.", 6, 9, True),
                Column(
                    "Scale shows",
                    Kind.WEIGHT,
                    "What the closed carton should weigh, with its filler if that is light.",
                    8,
                    10,
                    sparse=True,
                ),
                Column(
                    "Give or take",
                    Kind.WEIGHT,
                    "If the scale is further off, count the records again and weigh a few: carriage, limits and "
                    "lifting hang on it.",
                    6,
                    8,
                    sparse=True,
                ),
                Column(
                    "Filler",
                    Kind.LENGTH,
                    "Length of soft filler that makes it snug, for each inner carton.",
                    6,
                    8,
                    True,
                ),
            ),
        ),
    ),
    landscape=True,
)

CHARGES = Sheet(
    "Charges",
    "Each booking's charge line by line, to hold against the carrier's invoice.",
    (
        Table(
            "Statement lines",
            (
                QUOTE,
                TRIP,
                Column("Charge", Kind.TEXT, "What is charged for.", 24, 44),
                Column("Quantity", Kind.QUANTITY, "How much of it.", 10, 14),
                Column("Unit", Kind.TEXT, "The unit of the quantity.", 8, 10),
                Column("Rate", Kind.RATE, "Money for one unit; of money, a share (0.12 is 12 %).", 10, 14),
                Column("Amount", Kind.RATE, "Quantity × rate, before the total is rounded.", 11, 16),
                Column("Charged", Kind.MONEY, "The statement's total: the figure to expect on the invoice.", 11, 16),
            ),
        ),
        Table(
            "Freight class, an indication only",
            (
                QUOTE,
                TRIP,
                Column("Basis", Kind.TEXT, "What the density is worked out from.", 24, 44),
                GROSS_WEIGHT,
                Column("Unit", Kind.TEXT, "The unit of the weight and the volume.", 8, 10),
                Column("Outside volume", Kind.VOLUME, "Sum of the cartons' outside volumes.", 10, 14),
                Column("Density, lb per cu ft", Kind.DENSITY, "Gross weight ÷ outside volume.", 10, 14),
                Column("Freight class", Kind.DENSITY, "The class of that density.", 10, 12),
            ),
        ),
    ),
)

INPUT_AS_READ = Sheet(
    "Input as read",
    "Every setting with the value used, and the file it came from.",
    (
        Table(
            "Settings",
            (
                Column("Setting", Kind.TEXT, "A setting of the input sheet Move.", 24, 40),
                Column("Value used", Kind.WORDS, "What the plan was made with.", 20, 34),
                Column("Where from", Kind.TEXT, "The cell it was read from, or the default.", 16, 36),
            ),
        ),
        Table(
            "Rows read",
            (
                Column("Sheet", Kind.TEXT, "A sheet of the input.", 12, 30),
                Column("Rows", Kind.COUNT, "Rows that were read from it."),
            ),
        ),
        Table("Notices of the reader", (Column("Notice", Kind.WORDS, "What the reader noticed and did.", 20, 90),)),
    ),
)
