"""The sheet Handling: what the cartons weigh against the limits for a lift, and how high they may stand."""

from shipopt.handling.stacking import NOT_QUITE_IN_LINE, ROUGH_HANDLING, share_left
from shipopt.move.settings import Settings
from shipopt.workbook.results.declaration_road import HANDLING
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Page
from shipopt.workbook.results.rows.handling import lift_in_words
from shipopt.workbook.results.sheets.words import make_room_for_catchwords, write_texts

LIFT = "The lift"
LEFT = "Strength left %"


def facts(results: Results) -> dict[str, object]:
    """What the two tables assume."""
    settings = results.plan.move.settings
    return {LIFT: lift_in_words(settings), LEFT: _left(settings)}


def write(page: Page, results: Results) -> None:
    """Fills the sheet."""
    lifting, stacking = HANDLING.tables
    last = max(len(table.columns) for table in HANDLING.tables) - 1
    page.fit(lifting, results.lifting)
    page.fit(stacking, results.stacking)
    page.title(0, last, HANDLING.name)
    settings = results.plan.move.settings
    top = page.section(2, last, lifting.name)
    page.paragraph(top, 0, last, lift_in_words(settings), page.look.note())
    top = page.table(lifting, results.lifting, top + 1)
    top = page.section(top + 1, last, stacking.name)
    page.paragraph(top, 0, last, _stacking_words(settings), page.look.note())
    top = page.table(stacking, results.stacking, top + 1)
    make_room_for_catchwords(page, CAUTIONS)
    write_texts(page, "Cautions", CAUTIONS, top + 1, last)
    page.finish()


def _left(settings: Settings) -> object:
    share = share_left(settings.stacked_days, settings.stacked_humidity)
    return share * NOT_QUITE_IN_LINE * ROUGH_HANDLING * 100


def _stacking_words(settings: Settings) -> str:
    return (
        f"For plain slotted cartons on their base, {settings.stacked_days} days in air of "
        f"{(settings.stacked_humidity * 100).normalize():f} % humidity, columns not quite in line, some handling: "
        f"{_left(settings):.0f} % of the new carton's strength is counted on."
    )


CAUTIONS = (
    (
        "Lifting",
        "The limits are those of the revised NIOSH lifting equation (Publication 94-110, 1994, revised 2021), for "
        "two hands, firm dry ground, room to stand and a healthy adult. It does not hold on stairs, for one hand, "
        "kneeling, in heat or cold, or for carrying; pregnancy, age or an old injury call for less. Up to an index of "
        "1 nearly all healthy adults can do it.",
    ),
    (
        "Make it lighter",
        "Lower the setting Heaviest carton to lift and plan again; raise where cartons stand, turn with the feet, hold "
        "them close; use a hand truck, a lift, a second pair of hands. Stop when it hurts.",
    ),
    (
        "Stacking",
        "Strength by the formula of McKee, Gander and Wachuta (1963), which knows no hand holes, bulging, wet or used "
        "board, vibration or overhang: each takes much of it. Heaviest at the bottom, columns straight and tied, never "
        "above head height, and nothing on a carton that has begun to give way.",
    ),
    (
        "Certificates",
        "A box maker's certificate tells what the board holds when new; it does not tell what a person should lift, "
        "nor what a carrier takes.",
    ),
    (
        "Whose word counts",
        "These are cautions. Rules for work where you live, the carrier's terms and a qualified adviser come first; "
        "whoever pays others to lift owes them an assessment of their own.",
    ),
)
