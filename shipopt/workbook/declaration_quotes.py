"""The declaration of cartons, quotes, their tariffs, the assumptions for each means, and cover."""

from decimal import Decimal

from shipopt.move.money import ZERO
from shipopt.move.words import Consignment, CoverBasis, Covers, Means
from shipopt.workbook.declaration_terms import Column, Sheet
from shipopt.workbook.kinds import Day, Name, NameList, Reference, References, Text, Word, YesNo
from shipopt.workbook.number_kinds import (
    Days,
    Divisor,
    EdgeCrush,
    Length,
    Money,
    MoneyPer100,
    MoneyPerVolume,
    MoneyPerWeight,
    Number,
    Percent,
    Volume,
    Weight,
    Whole,
)

NO_LIMIT = "no limit"

CARTONS = Sheet(
    name="Cartons",
    help="Kinds of carton, carry-on bags and totes. The figures filled in are planning assumptions: measure yours.",
    columns=(
        Column("Carton", "name", Name(), "A name for the kind of carton.", required=True, unique=True),
        Column(
            "Takes sleeves",
            "sleeves",
            NameList(),
            "The sleeve words of the formats that stand in it, parted by ;.",
            required=True,
        ),
        Column(
            "Stack length",
            "stack_length",
            Length(above=True),
            "Usable length along which records stand upright; for several rows, the sum over the rows.",
            required=True,
        ),
        Column(
            "Inner cartons",
            "inner_cartons",
            Whole(least=Decimal(1), most=Decimal(100)),
            "How many cartons stand inside this one (double boxing); each takes its part of the stack length.",
            default=1,
        ),
        Column("Outside length", "length", Length(above=True), "Outside, as it travels.", required=True),
        Column("Outside width", "width", Length(above=True), "Outside, as it travels.", required=True),
        Column("Outside height", "height", Length(above=True), "Outside, as it travels.", required=True),
        Column("Empty weight", "empty_weight", Weight(), "With its inner cartons and filler.", required=True),
        Column(
            "Gross limit",
            "gross_limit",
            Weight(above=True),
            "What the box maker's certificate allows, records and carton together.",
            default_words=NO_LIMIT,
        ),
        Column("Price each", "price", Money(), "What one more costs.", default=ZERO),
        Column("On hand", "on_hand", Whole(), "How many you own already; they are free.", default=0),
        Column("Most to use", "most", Whole(), "How many may be used at most.", default_words=NO_LIMIT),
        Column(
            "Damage factor",
            "damage_factor",
            Number(most=Decimal(100)),
            "Multiplies the damage chance: less than 1 for a carton that protects better.",
            default=Decimal(1),
        ),
        Column(
            "Edge crush",
            "edge_crush",
            EdgeCrush(),
            "Edge crush of its board, printed on the box maker's certificate (ECT). With the next column, the results "
            "say how high such cartons may stand.",
            default_words="not known: no stacking height is worked out",
        ),
        Column(
            "Board thickness",
            "board_thickness",
            Length(above=True, most=Decimal(10)),
            "Thickness of its board, measured at a cut edge that is not crushed.",
            default_words="not known: no stacking height is worked out",
        ),
    ),
)

RATE_CARDS = Sheet(
    name="Rate cards",
    help="Prices of one carton by its billed weight: the first row of the card that is not below the weight counts. "
    "One row for each step, lightest first; a carton above the last step is not accepted.",
    required=False,
    columns=(
        Column("Rate card", "name", Name(), "The card this step belongs to.", required=True),
        Column("Weight up to", "weight_up_to", Weight(above=True), "The heaviest weight at this price.", required=True),
        Column("Price", "price", Money(), "The price of a carton.", required=True),
    ),
)

WEIGHT_BREAKS = Sheet(
    name="Weight breaks",
    help="Prices of a whole load by its billed weight, for each 100 weight units. Where it is cheaper, the load is "
    "priced as if it had the weight of a later row. The first row of each is from 0.",
    required=False,
    columns=(
        Column("Weight breaks", "name", Name(), "The tariff this row belongs to.", required=True),
        Column("From weight", "from_weight", Weight(), "The least weight at this price.", required=True),
        Column("Price per 100", "price_per_100", MoneyPer100(), "The price of 100 weight units.", required=True),
    ),
)

MEANS = Sheet(
    name="Means",
    help="What to assume for each means of travel where a quote gives no chances of its own. Planning assumptions, no "
    "source: change them to what you know.",
    columns=(
        Column("Means", "means", Word(Means), "The means of travel.", required=True, unique=True),
        Column("Loss chance %", "loss_chance", Percent(), "Chance that one carton is lost.", required=True),
        Column("Damage chance %", "damage_chance", Percent(), "Chance that one carton is damaged.", required=True),
        Column("Whole-load loss %", "whole_load_loss", Percent(), "Chance that a whole trip is lost.", required=True),
        Column(
            "Insure rule applies",
            "insure_rule_applies",
            YesNo(),
            "Whether cartons worth much must be insured on this means.",
            default=True,
        ),
    ),
)

MEANS_COLUMNS = tuple(
    Column(
        means.value.capitalize(),
        means.name.lower(),
        YesNo(),
        f"Whether it may travel by {means.value}.",
        default=False,
    )
    for means in Means
)
"""The columns of the sheet of care levels that say which means a level may travel by, in the order of the means."""

QUOTES = Sheet(
    name="Quotes",
    help="One row for each bid or service, as the bidder gave it.",
    columns=(
        Column("Quote", "name", Name(), "A name for this bid or service.", required=True, unique=True),
        Column("Bidder", "bidder", Text(), "Who made it.", default=""),
        Column("Means", "means", Word(Means), "How it travels.", required=True),
        Column("Consider", "consider", YesNo(), "No leaves the quote out.", default=True),
        Column(
            "Consignment",
            "consignment",
            Word(Consignment),
            "What is priced: load is all that goes on one trip, carton is each carton by itself.",
            default_words=f"{Consignment.CARTON} for {Means.POST}, {Consignment.LOAD} for the rest",
        ),
        Column(
            "Trips at most",
            "trips_at_most",
            Whole(least=Decimal(1), most=Decimal(1_000)),
            "How many times it may go.",
            default=1,
            without_loads=True,
        ),
        Column(
            "Fixed charge",
            "fixed_charge",
            Money(),
            "For each trip; once in all if a carton is the consignment.",
            default=ZERO,
        ),
        Column(
            "Included cartons", "included_cartons", Whole(), "Cartons a trip that Per carton leaves free.", default=0
        ),
        Column("Per carton", "per_carton", Money(), "For each carton over the included ones.", default=ZERO),
        Column("Per weight unit", "per_weight", MoneyPerWeight(), "For each unit of billed weight.", default=ZERO),
        Column("Per volume unit", "per_volume", MoneyPerVolume(), "For each unit of outside volume.", default=ZERO),
        Column(
            "Rate card",
            "rate_card",
            Reference(RATE_CARDS),
            "A card with prices of one carton by weight.",
            default_words="none",
        ),
        Column(
            "Weight breaks",
            "weight_breaks",
            Reference(WEIGHT_BREAKS),
            "A tariff with prices of a whole load by weight.",
            default_words="none",
        ),
        Column("Minimum charge", "minimum_charge", Money(), "For a trip of a load, or for a carton.", default=ZERO),
        Column(
            "Surcharge %", "surcharge", Percent(), "On carriage, after the minimum: fuel and the like.", default=ZERO
        ),
        Column(
            "Cartons accepted",
            "cartons_accepted",
            References(CARTONS),
            "The kinds of carton it takes, parted by ;.",
            default_words="all",
        ),
        Column(
            "Most cartons",
            "most_cartons",
            Whole(),
            "On one trip of a load.",
            default_words=NO_LIMIT,
            without_loads=True,
        ),
        Column(
            "Most weight",
            "most_weight",
            Weight(),
            "On one trip of a load.",
            default_words=NO_LIMIT,
            without_loads=True,
        ),
        Column(
            "Most volume",
            "most_volume",
            Volume(),
            "On one trip of a load.",
            default_words=NO_LIMIT,
            without_loads=True,
        ),
        Column(
            "Most value",
            "most_value",
            Money(),
            "On one trip of a load, or in one carton if a carton is the consignment.",
            default_words=NO_LIMIT,
        ),
        Column(
            "Carton weight limit",
            "carton_weight_limit",
            Weight(above=True),
            "The heaviest carton it takes.",
            default_words=NO_LIMIT,
        ),
        Column(
            "Carton length limit",
            "carton_length_limit",
            Length(above=True),
            "The longest side it takes.",
            default_words=NO_LIMIT,
        ),
        Column(
            "Carton length plus girth limit",
            "carton_girth_limit",
            Length(above=True),
            "The longest side plus girth; the girth is twice the sum of the other two sides.",
            default_words=NO_LIMIT,
        ),
        Column(
            "Volumetric divisor",
            "volumetric_divisor",
            Divisor(),
            "Outside volume divided by this is a weight; the larger of it and the gross weight is billed.",
            default_words="no volumetric weight",
        ),
        Column(
            "Volumetric above",
            "volumetric_above",
            Volume(),
            "Only larger cartons are billed by volume.",
            default=ZERO,
        ),
        Column(
            "Weigh in steps of",
            "weigh_step",
            Weight(above=True),
            "The billed weight of a carton is rounded up to a multiple of this.",
            default_words="exact",
        ),
        Column(
            "Recordings only",
            "recordings_only",
            YesNo(),
            "Every item in the carton must be a sound recording.",
            default=False,
        ),
        Column("Closed body", "closed_body", YesNo(), "The vehicle has a closed body.", default=False),
        Column("Temperature held", "temperature_held", YesNo(), "The temperature is held on the way.", default=False),
        Column("Tracked", "tracked", YesNo(), "You can follow it on the way.", default=False),
        Column("Sole use", "sole_use", YesNo(), "Nobody else's goods travel with yours.", default=False),
        Column("Collect from", "collect_from", Day(), "The first day it collects.", default_words="no check"),
        Column("Collect until", "collect_until", Day(), "The last day it collects.", default_words="no check"),
        Column("Transit days", "transit_days", Days(), "The longest quoted.", default_words="none counted"),
        Column("Valid until", "valid_until", Day(), "The last day the quote holds.", default_words="does not expire"),
        Column("Loss chance %", "loss_chance", Percent(), "For each carton.", default_words="the means'"),
        Column("Damage chance %", "damage_chance", Percent(), "For each carton.", default_words="the means'"),
        Column("Whole-load loss %", "whole_load_loss", Percent(), "For each trip.", default_words="the means'"),
        Column(
            "Liability per weight unit",
            "liability_per_weight",
            MoneyPerWeight(),
            "What the carrier owes without cover, by gross weight. The larger of this and the next counts.",
            default=ZERO,
        ),
        Column(
            "Liability per carton",
            "liability_per_carton",
            Money(),
            "What the carrier owes without cover, by carton.",
            default=ZERO,
        ),
        Column("Most liability", "most_liability", Money(), "Caps what the carrier owes.", default_words=NO_LIMIT),
        Column(
            "Liability covers",
            "liability_covers",
            Word(Covers),
            "What the carrier's liability pays for.",
            default=Covers.LOSS,
        ),
        Column("Notes", "notes", Text(keeps_lines=True), "For yourself; shown in the diary.", default=""),
        Column(
            "Claim within days",
            "claim_days",
            Days(),
            "Days after delivery within which its terms want a claim for loss or damage.",
            default_words="not known: the results name published periods, as cautions",
        ),
    ),
)

COVER = Sheet(
    name="Cover",
    help="Insurance you can buy. Rows of one name are its bands by value, lowest first: the fee of an insured value is "
    "the larger of Least fee and Fee plus the percent of the value, from the first band that reaches the value.",
    required=False,
    columns=(
        Column("Cover", "name", Name(), "The cover this band belongs to.", required=True),
        Column("For quotes", "for_quotes", References(QUOTES), "The quotes it can be bought for.", default_words="all"),
        Column(
            "Covers",
            "covers",
            Word(Covers),
            "What it pays for.",
            default=Covers.LOSS,
            default_words="as the first row of this cover, or loss",
        ),
        Column(
            "Basis",
            "basis",
            Word(CoverBasis),
            "Whose value is insured: one carton's, or that of all cartons of a trip that take this cover.",
            default=CoverBasis.CARTON,
            default_words="as the first row of this cover, or carton",
        ),
        Column(
            "Value up to", "value_up_to", Money(above=True), "The highest value in this band.", default_words=NO_LIMIT
        ),
        Column("Fee", "fee", Money(), "What this band costs.", default=ZERO),
        Column("Plus % of value", "share_of_value", Percent(), "And this share of the insured value.", default=ZERO),
        Column("Least fee", "least_fee", Money(), "What this band costs at least.", default=ZERO),
        Column(
            "Excess",
            "excess",
            Money(),
            "What you bear yourself of each claim (a carton).",
            default=ZERO,
            default_words="as the first row of this cover, or 0",
        ),
        Column(
            "Claim within days",
            "claim_days",
            Days(),
            "Days after delivery within which its terms want a claim.",
            default_words="as the first row of this cover, or not known",
        ),
        Column(
            "Notes",
            "notes",
            Text(keeps_lines=True),
            "What it does not pay for, what proof it asks for: shown on the sheet of covers to buy.",
            default="",
            default_words="as the first row of this cover, or nothing",
        ),
    ),
)
