"""The declaration of the settings on lifting and stacking: they price nothing, the sheet Handling is made with them.

Part of the sheet of settings, which the module declaration_move declares.
"""

from decimal import Decimal

from shipopt.move.words import Grip
from shipopt.workbook.declaration_terms import Column
from shipopt.workbook.kinds import Word
from shipopt.workbook.number_kinds import AMinute, Days, Degrees, Hours, Length, Percent, Weight

HANDLING_SETTINGS: tuple[Column, ...] = (
    Column(
        "Mark heavy from",
        "mark_heavy_from",
        Weight(above=True),
        "Labels of cartons of this weight or more say HEAVY. The default is common practice, no source.",
        default_words="40 lb or 18 kg",
    ),
    Column(
        "Lift from height",
        "lift_from",
        Length(most=Decimal(250)),
        "How high the hands are where a carton is picked up. For this and the next six settings the results work out "
        "the weight limit of the revised NIOSH lifting equation (Publication 94-110).",
        default_words="10 in or 25 cm: hands under a carton's edge, close to the floor",
    ),
    Column(
        "Lift to height",
        "lift_to",
        Length(most=Decimal(250)),
        "How high the hands are where it is put down.",
        default_words="40 in or 100 cm: the top of a stack of three",
    ),
    Column(
        "Hands before ankles",
        "lift_reach",
        Length(above=True, most=Decimal(100)),
        "How far before the ankles the hands hold it.",
        default_words="worked out from the carton's smaller side",
    ),
    Column(
        "Twist of the body",
        "lift_twist",
        Degrees(most=Decimal(180)),
        "How far the body turns while lifting, from straight ahead.",
        default=Decimal(30),
    ),
    Column("Lifts a minute", "lifts_a_minute", AMinute(most=Decimal(60)), "On average.", default=Decimal(1)),
    Column(
        "Hours of lifting a day",
        "lifting_hours",
        Hours(most=Decimal(8)),
        "How long it goes on. The equation knows up to 1, 2 and 8 hours.",
        default=Decimal(2),
    ),
    Column(
        "Grip",
        "grip",
        Word(Grip),
        "Good: handles or cut-outs that the whole hand fits. Fair: fingers bent under the carton's edge. Poor: bulky, "
        "sagging or slippery.",
        default=Grip.FAIR,
    ),
    Column(
        "Days in a stack",
        "stacked_days",
        Days(most=Decimal(180)),
        "How long cartons stand on each other: board gives way with time. For cartons with an Edge crush.",
        default=30,
    ),
    Column(
        "Damp of the air %",
        "stacked_humidity",
        Percent(),
        "Relative humidity where cartons stand on each other: damp board is weak.",
        default=Decimal("0.7"),
        seldom_below_one=True,
    ),
)
"""Settings by the domain's field names, behind those that decide the plan."""
