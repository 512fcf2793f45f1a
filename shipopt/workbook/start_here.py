"""The words of the sheet Start here: how to fill the workbook, in order, and the cautions.

Plain text by section; the template lays it out on one printed page. Names of sheets and settings come from the
declaration.
"""

from shipopt.workbook.declaration import (
    CARE,
    CARTONS,
    COVER,
    FORMATS,
    MEANS,
    MOVE,
    PACKED,
    QUOTES,
    RATE_CARDS,
    RECORDS,
    WEIGHT_BREAKS,
)

HEADING = "A record collection moves"

OPENING = (
    "Fill the sheets in the order below, save the workbook, and run: shipopt optimise NAME.xlsx. Your plan comes back "
    "as a workbook of its own, NAME.results.xlsx; this one is never changed. If something is not right, every such "
    "cell is listed in one go."
)

LEGEND = (
    "Tinted cells are yours to fill. A heading under a heavy rule, underlined, must be filled; the others may stay "
    "blank. Point at a heading to read its note: what it means, what a blank stands for, what is accepted, its unit. "
    "Zero is a value; blank means not given."
)

STEPS: tuple[tuple[str, str], ...] = (
    (MOVE.name, "Say what must hold for the whole move: dates, caps, the heaviest carton you will lift."),
    (FORMATS.name, "Check weights and thicknesses: they are planning assumptions. Weigh and measure ten of your own."),
    (RECORDS.name, "One line for each record, in shelf order, or one for many alike with the number of copies."),
    (CARTONS.name, "The boxes and bags you have or can buy, with your prices. The rows there are assumptions."),
    (
        f"{QUOTES.name}, {RATE_CARDS.name}, {WEIGHT_BREAKS.name}",
        "One row for each bid or service, as it was given to you; price tables on the two other sheets.",
    ),
    (COVER.name, "Insurance you can buy, with its bands of value."),
    (
        f"{MEANS.name}, {CARE.name}",
        "Chances of loss and damage, and who may carry what: planning assumptions, yours to change.",
    ),
    (PACKED.name, "Cartons you have closed already. Leave it empty if there are none."),
)

CAUTIONS: tuple[str, ...] = (
    "Lifting: records are heavy. Lift with help, keep the load close, do not twist; set "
    f"'{MOVE.heading('heaviest_carton')}' to what everyone who lifts can lift.",
    "Stacking: stand records upright, snug but not tight. Put no carton where the one below may give way.",
    "Heat: never leave records in a parked vehicle or in the sun; vinyl warps.",
    "Driving: load low and forward, tie it down, keep within the vehicle's payload, and rest.",
    "Declaring: say truly what is in each carton and its worth; a wrong declaration may void cover and carriage.",
    "Insurance: read the terms. Many covers pay for loss only, ask for certain packing, and set days for claims.",
    "The plan is arithmetic on what you type in. Local rules, the carrier's and the insurer's own terms and the advice "
    "of licensed people come before anything it says.",
)
