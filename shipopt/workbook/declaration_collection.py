"""The declaration of what is moved and what it is packed in: formats, cartons, care, packed already, records."""

from decimal import Decimal

from shipopt.move.money import ZERO
from shipopt.move.words import Status
from shipopt.workbook.declaration_quotes import CARTONS, COVER, MEANS_COLUMNS, QUOTES
from shipopt.workbook.declaration_terms import Column, Sheet
from shipopt.workbook.kinds import Name, Reference, References, Text, Word, YesNo
from shipopt.workbook.number_kinds import Length, Money, Percent, Weight, Whole

STANDARD_CARE = "standard"
"""The care level of a record that names none."""

FORMATS = Sheet(
    name="Formats",
    help="Kinds of record, with the weight and thickness of one copy as it travels. The figures filled in are "
    "planning assumptions: weigh and measure a few of your own.",
    columns=(
        Column("Format", "name", Name(), "A name for the format, such as LP.", required=True, unique=True),
        Column(
            "Sleeve",
            "sleeve",
            Name(),
            "A size word that cartons accept: 12, 10, 7, or a word of your own.",
            required=True,
        ),
        Column("Weight each", "weight", Weight(above=True), "One copy with its jacket.", required=True),
        Column(
            "Thickness each",
            "thickness",
            Length(above=True),
            "What one copy takes of the stack length, with its jacket and outer sleeve.",
            required=True,
        ),
        Column(
            "Thickness with disc outside",
            "thickness_disc_outside",
            Length(above=True),
            "The same with the disc in its own sleeve behind the jacket.",
            default_words="twice Thickness each (common practice, no source)",
        ),
        Column(
            "Value if blank",
            "value",
            Money(),
            "The value of one copy for records that give none.",
            default_words="none: each record must give its own",
        ),
        Column(
            "Sound recording",
            "sound_recording",
            YesNo(),
            "No for empty jackets, books, players, shelves: some services take sound recordings only.",
            default=True,
        ),
    ),
)

CARE = Sheet(
    name="Care",
    help="How carefully records must travel: by which means, and what the carrier must offer. The rows filled in are "
    "planning assumptions; change them or add your own.",
    columns=(
        Column("Care", "name", Name(), "A name for the care level.", required=True, unique=True),
        *MEANS_COLUMNS,
        Column(
            "Needs closed body",
            "needs_closed_body",
            YesNo(),
            "Only by a quote whose vehicle has a closed body.",
            default=False,
        ),
        Column(
            "Needs temperature held",
            "needs_temperature_held",
            YesNo(),
            "Only by a quote that holds the temperature.",
            default=False,
        ),
        Column("Needs tracking", "needs_tracking", YesNo(), "Only by a quote that is tracked.", default=False),
        Column(
            "Needs sole use",
            "needs_sole_use",
            YesNo(),
            "Only by a quote whose vehicle carries nobody else's goods.",
            default=False,
        ),
        Column(
            "Loss chance at most %",
            "most_loss_chance",
            Percent(),
            "Only by a quote whose loss chance and whole-load loss together are no more than this.",
            default_words="no limit",
        ),
    ),
)

PACKED = Sheet(
    name="Packed already",
    help="Cartons that you have closed. Leave it empty if you have not begun to pack.",
    required=False,
    columns=(
        Column("Carton no.", "number", Name(), "The number written on the carton.", required=True, unique=True),
        Column("Carton", "carton", Reference(CARTONS), "Which kind of carton it is.", required=True),
        Column(
            "Gross weight",
            "gross_weight",
            Weight(above=True),
            "What it weighs, packed.",
            default_words="computed from the records that name this carton",
        ),
        Column(
            "Value",
            "value",
            Money(),
            "What is in it, in all.",
            default_words="computed from the records that name this carton",
        ),
        Column(
            "Records",
            "records",
            Whole(),
            "How many records are in it.",
            default_words="the copies of the records that name this carton",
        ),
        Column(
            "Care",
            "care",
            References(CARE),
            "The care levels inside it.",
            default_words=f"those of the records that name this carton, or {STANDARD_CARE}",
        ),
        Column(
            "Status",
            "status",
            Word(Status),
            "A carton to go is assigned to a quote; sent and arrived ones count in caps and totals only.",
            default=Status.TO_GO,
        ),
        Column(
            "Gone by",
            "gone_by",
            Reference(QUOTES),
            "The quote it went by, if it is sent or has arrived.",
            default_words="not gone",
        ),
        Column("Paid", "paid", Money(), "What was paid for sending it.", default=ZERO),
        Column(
            "Cover",
            "cover",
            Reference(COVER),
            "The cover it was sent under, if it is sent or has arrived.",
            default_words="no cover",
        ),
        Column("Cover fee paid", "cover_fee", Money(), "What was paid for that cover.", default=ZERO),
        Column("Carton paid", "carton_paid", Money(), "What the box itself cost.", default=ZERO),
    ),
)

LAST_PLAN = Sheet(
    name="Last plan",
    help="How each carton was to go by the plan before this one. The program fills it where it carries a plan on, and "
    "tells in the results what has changed since. You need not touch it.",
    required=False,
    by_program=True,
    columns=(
        Column("Carton no.", "number", Name(), "The number of the carton.", required=True, unique=True),
        Column("Quote", "quote", Name(), "The quote it was to go by, offered still or not.", required=True),
        Column("Trip", "trip", Whole(least=Decimal(1)), "Which trip of the quote.", default=1),
        Column("Cover", "cover", Name(), "The cover it was to have.", default_words="no cover"),
        Column("Carriage", "carriage", Money(), "Its share of what the carriage was to cost.", default=ZERO),
        Column("Cover fee", "cover_fee", Money(), "Its share of what the cover was to cost.", default=ZERO),
        Column("Carton price", "carton_price", Money(), "What the box was to cost.", default=ZERO),
    ),
)

RECORDS = Sheet(
    name="Records",
    help="The collection in shelf order, one line for each record or for many alike.",
    rows=100_000,
    columns=(
        Column(
            "Record ID",
            "record_id",
            Name(),
            "Your own number for the record.",
            unique=True,
            default_words="made from the row number",
            width=12,
        ),
        Column("Artist", "artist", Text(), "Printed on lists.", default="", width=22),
        Column("Title", "title", Text(), "Printed on lists.", default="", width=36),
        Column("Format", "format", Reference(FORMATS), "Which kind of record it is.", required=True, width=13),
        Column(
            "Copies",
            "copies",
            Whole(least=Decimal(1)),
            "A line may stand for many records alike: 600 assorted, shelf A to M.",
            default=1,
            width=8,
        ),
        Column(
            "Value each",
            "value",
            Money(),
            "What one copy is worth: what it would cost to buy again.",
            default_words="the format's Value if blank",
            width=10,
        ),
        Column("Grade", "grade", Text(), "The condition, in your own words.", default="", width=9),
        Column("Care", "care", Reference(CARE), "How carefully it must travel.", default=STANDARD_CARE, width=11),
        Column(
            "Shelf",
            "shelf",
            Text(),
            "Where it stands now, as printed on lists. The order of the rows is the shelf order.",
            default="",
            default_words="row order",
            width=10,
        ),
        Column(
            "Disc outside jacket",
            "disc_outside",
            YesNo(),
            "The disc travels in its own sleeve behind the jacket, which takes more room.",
            default=False,
            width=9,
        ),
        Column(
            "Weight each",
            "weight",
            Weight(above=True),
            "One copy, if not as its format.",
            default_words="the format's",
            width=9,
        ),
        Column(
            "Thickness each",
            "thickness",
            Length(above=True),
            "One copy as it travels, if not as its format; it then holds also with the disc outside.",
            default_words="the format's",
            width=10,
        ),
        Column(
            "Must go by",
            "must_go_by",
            Reference(QUOTES),
            "The one quote it may go by.",
            default_words="any quote",
            width=14,
        ),
        Column(
            "Packed in",
            "packed_in",
            Reference(PACKED),
            "The carton you have packed it in.",
            default_words="the program packs it",
            width=10,
        ),
        Column("Notes", "notes", Text(keeps_lines=True), "For yourself.", default="", width=18),
    ),
)
