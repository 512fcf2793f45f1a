"""The sheet Cost of caution, its tables and columns, declared once like those of the module declaration."""

from shipopt.workbook.results.columns import Column, Kind, Sheet, Table

LEVELS = Table(
    "What each level of caution costs",
    (
        Column("Level", Kind.TEXT, "From the cheapest plan to the most careful one.", 12, 22),
        Column("Expected loss at most", Kind.MONEY, "The limit of this level; none for the cheapest plan.", 10, 13),
        Column(
            "Expected uninsured loss",
            Kind.MONEY,
            "What the plan loses on average after insurance and liability, by the chances assumed.",
            10,
            13,
        ),
        Column("Total cost", Kind.MONEY, "Of the cheapest plan found that keeps the limit.", 10, 14),
        Column("Dearer than the cheapest", Kind.MONEY, "Total cost less that of the first row.", 9, 13),
        Column("Cost + expected loss", Kind.MONEY, "What it costs and loses, on average, together.", 10, 14),
        Column("Lower bound", Kind.MONEY, "No plan that keeps the limit can cost less than this.", 10, 14),
        Column(
            "Lower bound of loss",
            Kind.MONEY,
            "No plan at all loses less on average; told of the most careful plan, whose goal that is.",
            10,
            13,
        ),
        Column(
            "Gap %",
            Kind.PERCENT,
            "(Total cost − lower bound) ÷ total cost: what a better plan could save; of the most careful plan "
            "(expected loss − lower bound of loss) ÷ expected loss.",
            6,
            7,
        ),
        Column("What changes", Kind.WORDS, "From the row above to this one.", 40, 60),
    ),
)

OTHER_CHANCES = Table(
    "If the chances are wrong",
    (
        Column("All chances", Kind.TEXT, "What the chances of loss and damage are multiplied by.", 12, 22),
        Column("This plan loses", Kind.MONEY, "Expected uninsured loss of the plan as written.", 10, 13),
        Column("Expected loss then", Kind.MONEY, "Of the plan that would then be chosen.", 10, 13),
        Column("Total cost then", Kind.MONEY, "Of the plan that would then be chosen, under the same rules.", 10, 14),
        Column("Dearer than this plan", Kind.MONEY, "Its total cost less that of the plan as written.", 9, 13),
        Column("How the plan changes", Kind.WORDS, "From the plan as written to that one.", 40, 60),
    ),
)

COST_OF_CAUTION = Sheet(
    "Cost of caution",
    "What it costs to lose less on average: the cheapest plan at each level.",
    (LEVELS, OTHER_CHANCES),
    landscape=True,
)
