"""Standing cautions and the meaning of the figures, in plain words: what holds for every move.

They advise; local rules, the carrier's terms and licensed advice come first, and each text that could be taken for
advice says so. Shown on the sheet Plan.
"""

from shipopt.move.words import Units

# Load constant of the revised lifting equation: Waters, Putz-Anderson & Garg, "Applications Manual for the Revised
# NIOSH Lifting Equation", DHHS (NIOSH) Publication 94-110, 1994, revised 2021, section 1.1: 51 lb (23 kg), for an
# ideal lift; every departure from that lowers it.
IDEAL_LIFT = {Units.POUND_INCH: "51 lb", Units.KILOGRAM_CENTIMETRE: "23 kg"}


def cautions(units: Units) -> tuple[tuple[str, str], ...]:
    """A catchword and a text for each caution."""
    return (
        (
            "Lifting",
            f"{IDEAL_LIFT[units]} is the most that the revised NIOSH lifting equation (Publication 94-110) allows "
            "for an ideal lift; stairs, reach, twisting and many lifts a day lower it. Weigh cartons before you "
            "lift them, share or wheel the heavy ones, and stop when it hurts. Rules for work where you live may "
            "set lower limits.",
        ),
        (
            "Stacking and heat",
            "Records travel upright and snug, never lying flat under weight; cartons stand on their base and the "
            "heaviest at the bottom. Heat warps them: no parked vehicle in the sun, nothing beside a heater, and "
            "time to reach room temperature before they are played.",
        ),
        (
            "Driving",
            "Keep within the vehicle's permitted load and axle loads, tie the load down, and lay cartons where "
            "they cannot slide into the cab. Your licence, motor insurance and the hire contract must allow what "
            "you do. Do not leave a loaded vehicle unwatched.",
        ),
        (
            "Post",
            "Say truthfully what is in each parcel and what it is worth. Reduced rates for recordings allow "
            "nothing else inside, and the post may open the parcel to see. A false declaration can cost the "
            "price, the cover and more.",
        ),
        (
            "Insurance",
            "A cover pays by its own terms, not by this sheet: read its exclusions (packing by the owner, "
            "collectors' value, unwatched vehicles, wear), what proof of value it asks for, and until when a "
            "claim must be made. Ask your household insurer what it pays away from home. Photograph the dearest "
            "records and keep the lists.",
        ),
        (
            "Whose word counts",
            "These are cautions, not advice on law, tax, health or insurance. Local rules, the carrier's terms "
            "and a licensed adviser's word come before anything written here.",
        ),
    )


def meanings(floor_kind: str, counts_loss: bool) -> tuple[tuple[str, str], ...]:
    """A catchword and a text for each figure that needs one; ``floor_kind`` is what the lower bound bounds. No
    catchword is a label of the totals, so that each label stands once on the sheet."""
    compared = "Total cost + expected uninsured loss" if counts_loss else "Total cost"
    return (
        (
            "On carriage",
            "Worked out from the quotes as they stand in the workbook, to the minor unit. What the carrier bills "
            "depends on what it weighs and measures; the sheet Charges has each line to hold against the invoice.",
        ),
        (
            "On chances",
            "Chances of loss and damage are planning assumptions that you can change in the sheets Means and "
            "Quotes. They are no forecast; no carrier has promised them.",
        ),
        (
            "On the expected loss",
            "What insurance and the carrier's liability would leave to you, averaged over very many moves like "
            "this one. In a single move it is most likely nothing, and seldom far more. It is not part of Total "
            "cost.",
        ),
        (
            "On the worst 5%",
            "Of a hundred such moves take the five that go worst: this is what you would bear in those on "
            "average, by the same assumptions.",
        ),
        (
            "On bound and gap",
            f"Proven by the search: {floor_kind or 'no plan that obeys the rules costs less'}. Gap % = ({compared} "
            f"− Lower bound) ÷ ({compared}).",
        ),
    )
