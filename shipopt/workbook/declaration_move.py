"""The declaration of the sheet of settings: the move as a whole."""

from decimal import Decimal

from shipopt.move.words import Units
from shipopt.workbook.declaration_handling import HANDLING_SETTINGS
from shipopt.workbook.declaration_terms import ByUnits, Column, Sheet
from shipopt.workbook.kinds import AsStored, CurrencyCode, Day, Text, Word, YesNo
from shipopt.workbook.number_kinds import Money, Percent, Seconds, Weight

NO_CAP = "no cap"

MOVE = Sheet(
    name="Move",
    help="The move as a whole: one setting on each row. A blank value stands for the default in the note.",
    settings=True,
    columns=(
        Column("Title", "title", Text(), "A name for this move; it heads the results.", default="Untitled move"),
        Column(
            "Units", "units", Word(Units), "Units of every weight, length and volume in the workbook.", required=True
        ),
        Column("Currency", "currency", CurrencyCode(), "Currency of every amount in the workbook.", required=True),
        Column("From", "from_place", Text(), "Where the records stand now.", default="", default_words="not told"),
        Column("To", "to_place", Text(), "Where they go.", default="", default_words="not told"),
        Column(
            "Decide on",
            "decide_on",
            Day(),
            "The day you book. Quotes that are valid only until an earlier day are left out.",
            default_words="quotes do not expire",
        ),
        Column(
            "Ready on",
            "ready_on",
            Day(),
            "The day the cartons are packed. Quotes that collect only before it are left out.",
            default_words="no check",
        ),
        Column(
            "Needed by",
            "needed_by",
            Day(),
            "The day everything must have arrived. Quotes that take longer are left out.",
            default_words="no check",
        ),
        Column(
            "Insure cartons worth at least",
            "insure_from",
            Money(),
            "A carton of this value or more must have a cover, unless the carrier's liability reaches its whole value. "
            "It applies to the means for which the insure rule applies.",
            default_words="cover is chosen only where it pays or a cap asks for it",
        ),
        Column(
            "Most value on one consignment",
            "most_value_on_consignment",
            Money(),
            "No trip of a load, and no posted carton, may hold more value than this.",
            default_words=NO_CAP,
        ),
        Column(
            "Expected uninsured loss at most",
            "most_expected_loss",
            Money(),
            "A cap on the loss to expect on average that nobody pays back.",
            default_words=NO_CAP,
        ),
        Column(
            "Average of worst 5% at most",
            "most_tail_mean",
            Money(),
            "A cap on the mean uninsured loss over the worst 5 % of outcomes.",
            default_words=NO_CAP,
        ),
        Column(
            "Heaviest carton to lift",
            "heaviest_carton",
            Weight(above=True, most=Decimal(1_000)),
            "No carton may weigh more, packed, by whatever means it goes: somebody lifts it at both ends. The default "
            "is a round figure close to the 51 lb / 23 kg load constant of the revised NIOSH lifting equation "
            "(Publication 94-110), which is for an ideal lift; for real lifts, and for you, less may be right.",
            default=ByUnits(Decimal(50), Decimal(23)),
        ),
        Column(
            "Fill at least %",
            "fill_least",
            Percent(),
            "Below this share of its stack length a carton needs filler: loose records slide and split seams.",
            default=Decimal("0.90"),
            seldom_below_one=True,
        ),
        Column(
            "Fill at most %",
            "fill_most",
            Percent(above=True),
            "A carton is filled to no more than this share of its stack length.",
            default=Decimal("0.98"),
            seldom_below_one=True,
        ),
        Column(
            "Damage costs this share of value %",
            "damage_share",
            Percent(),
            "What damage takes from a carton's value when it happens. A planning assumption.",
            default=Decimal("0.30"),
            seldom_below_one=True,
        ),
        Column(
            "Count expected loss as a cost",
            "count_expected_loss",
            YesNo(),
            "With yes, the plan also weighs the uninsured loss to expect against the money it saves.",
            default=False,
        ),
        Column(
            "Seconds to search",
            "seconds",
            Seconds(),
            "How long to look for a better plan.",
            default=Decimal(60),
        ),
        Column(
            "Stop within %",
            "within",
            Percent(),
            "Stop when no plan can be cheaper by more than this share.",
            default=Decimal("0.005"),
        ),
        *HANDLING_SETTINGS,
    ),
)

SETTING_ROWS = Sheet(
    name=MOVE.name,
    help=MOVE.help,
    columns=(
        Column("Setting", "setting", Text(), "Which setting the row gives.", required=True),
        Column("Value", "value", AsStored(), "Its value; blank for the default.", required=False),
        Column("Note", "note", AsStored(), "What it means, and what a blank stands for. Not read."),
    ),
)
"""The sheet of settings as rows: each names a setting and gives its value."""
