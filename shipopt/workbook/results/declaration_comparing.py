"""The sheets Quotes compared and What binds, their tables and columns, declared once like those of the module
declaration.
"""

from shipopt.workbook.results.columns import Column, Kind, Sheet, Table
from shipopt.workbook.results.declaration import (
    BIDDER,
    CARRIAGE,
    COVER_FEES,
    GROSS_WEIGHT,
    MEANS,
    QUOTE,
    RECORDS,
    VALUE,
)

BIDDERS = Table(
    "What each quote is worth",
    (
        QUOTE,
        Column("Keep in reserve", Kind.TEXT, "Who steps in if it drops out on the day.", 10, 26),
        Column("In the plan", Kind.TEXT, "yes or no.", 6, 6),
        Column("Cartons at most", Kind.COUNT, "Cartons by it if it carries as many as it can.", 6, 8),
        Column("Move with it", Kind.MONEY, "Cost of the whole move by the cheapest plan found that uses it.", 9, 14),
        Column("Move without it", Kind.MONEY, "Likewise by the cheapest plan found that does not.", 9, 14),
        Column(
            "Losing it costs",
            Kind.MONEY,
            "What the move costs more if a quote of the plan drops out: without it − with it.",
            9,
            13,
        ),
        Column("Fixed charge", Kind.MONEY, "What it asks now: for each trip, or once if it goes by the carton.", 9, 13),
        Column(
            "Walk-away price",
            Kind.MONEY,
            "The highest fixed charge, all else as quoted, at which it belongs in the cheapest plan.",
            9,
            13,
        ),
        Column("Room to ask", Kind.MONEY, "Walk-away price − fixed charge: below 0, what it must come down by.", 9, 13),
        Column("Room %", Kind.PERCENT, "Room to ask, in percent of the fixed charge.", 7, 9),
        Column(
            "All prices down by %",
            Kind.PERCENT,
            "Where not even a fixed charge of 0 brings it in: how far all its prices would have to fall.",
            8,
            9,
        ),
        Column("About", Kind.MONEY, "The same as money off its charge, in the plan that would then use it.", 8, 13),
        Column(
            "Give or take",
            Kind.MONEY,
            "The price may be off by this, as the searches stop near the cheapest plan and not at it; blank where "
            "only the cartons of plans found already were tried.",
            8,
            12,
        ),
        Column("Move then", Kind.MONEY, "Cost of the whole move then, the rest by the best others.", 9, 14),
        Column("Verdict", Kind.WORDS, "The same in a line; it runs on over the columns to the right.", 7, 9),
    ),
)

QUOTES_COMPARED = Sheet(
    "Quotes compared",
    "What each quote carries and costs, and why the others stay at home.",
    (
        Table(
            "Quotes compared",
            (
                QUOTE,
                BIDDER,
                MEANS,
                Column("In the plan", Kind.TEXT, "yes or no.", 6, 6),
                Column("Cartons", Kind.COUNT, "Cartons it carries in the plan.", 8, 8),
                RECORDS,
                GROSS_WEIGHT,
                VALUE,
                CARRIAGE,
                COVER_FEES,
                Column("Cartons bought", Kind.MONEY, "What the cartons it carries cost to buy.", 8, 13),
                Column("All-in cost", Kind.MONEY, "Carriage + cover fees + cartons bought.", 10, 14),
                Column("Cost a carton", Kind.MONEY, "All-in cost ÷ cartons.", 8, 12),
                Column("Cost a record", Kind.RATE, "All-in cost ÷ records.", 8, 12),
                Column("Cost per 1,000 of value", Kind.RATE, "All-in cost ÷ value × 1,000.", 9, 13),
                Column("Transit days", Kind.COUNT, "The longest quoted.", 7, 7),
                Column("Arrives", Kind.DATE, "At the latest, counted from Ready on or Collect from.", 10, 10),
                Column(
                    "Could carry",
                    Kind.COUNT,
                    "For a quote left out: cartons of this plan that it may carry, in number order.",
                    7,
                    7,
                ),
                Column(
                    "It would charge",
                    Kind.MONEY,
                    "For those: its carriage and the cover they would need with it.",
                    9,
                    13,
                ),
                Column(
                    "The plan saves",
                    Kind.MONEY,
                    "For those: carriage and cover fees that the plan would save elsewhere if they left it.",
                    9,
                    13,
                ),
                Column("In words", Kind.WORDS, "Why it is in, or why it is out.", 30, 44),
            ),
        ),
        BIDDERS,
    ),
    landscape=True,
)

WHAT_BINDS = Sheet(
    "What binds",
    "Each rule and limit one step looser: what that would save.",
    (
        Table(
            "What binds",
            (
                Column("Rule", Kind.TEXT, "A rule or limit of the move.", 16, 34),
                Column("Now", Kind.TEXT, "What it is.", 12, 30),
                Column("One step looser", Kind.TEXT, "What was tried instead.", 14, 30),
                Column("In the plan", Kind.TEXT, "How the plan stands to it.", 12, 28),
                Column("Binds", Kind.TEXT, "yes, no (proved), or not seen.", 8, 9),
                Column("Saves", Kind.MONEY, "What the cheapest plan found with the looser rule saves.", 9, 13),
                Column(
                    "Saves at most",
                    Kind.MONEY,
                    "No plan with the looser rule can save more than this: a proved bound, often far from reached.",
                    9,
                    13,
                ),
                Column(
                    "Expected uninsured loss then",
                    Kind.MONEY,
                    "Of the plan that saves: what you would bear on average, by the chances assumed.",
                    10,
                    13,
                ),
                Column("In words", Kind.WORDS, "What would change.", 30, 52),
            ),
        ),
    ),
    landscape=True,
)
