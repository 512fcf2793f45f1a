"""The short note that goes with the bid forms, as plain text to paste into a letter. It tells no value and no name of
a record. Called by ``shipopt.bids``.
"""

from collections.abc import Sequence

from shipopt.bidding.form import TO_FILL, TO_READ
from shipopt.bidding.load import Load


def covering_note(asked: Sequence[Load]) -> str:
    """The note for the forms of one move."""
    if not asked:
        return "Nothing of this move may travel by van, freight or post.\n"
    own = asked[0].settings
    where = " ".join(
        words for words in (own.from_place and f"from {own.from_place}", own.to_place and f"to {own.to_place}") if words
    )
    forms = "\n".join(f"- by {load.means}: bid_form_{load.means}.xlsx (reference {load.reference})" for load in asked)
    by = f"Please answer by {own.decide_on.isoformat()}. " if own.decide_on else ""
    return (
        f"We ask for your bid to carry cartons of records{f' {where}' if where else ''}.\n\n"
        f"Please take the form for how you would carry them:\n{forms}\n\n"
        f"The sheet '{TO_READ}' says how many cartons there are, how large and how heavy (an estimate), and what they "
        f"need. Fill the tinted cells of the sheet '{TO_FILL}' in any spreadsheet program, save the file as .xlsx and "
        f"send it back. Leave blank what does not apply; you may bid for a part. {by}"
        "Your terms, and the rules that hold for lifting and transport where you work, apply.\n"
    )
