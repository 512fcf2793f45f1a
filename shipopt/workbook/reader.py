"""Reading a workbook: from the file to a move, or to everything that is wrong with it.

``read`` is the one way in. It goes file → raw cells → typed rows → domain, each step in its own module, and reports
all that is wrong in one go; a move is made only where nothing is. How plans are found is unknown here.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from os import PathLike
from pathlib import Path

from shipopt.move.move import Move
from shipopt.workbook import problems
from shipopt.workbook.cells import RawSheet, raw_sheets
from shipopt.workbook.crosschecks import check_move
from shipopt.workbook.declaration import (
    BY_NAME,
    CARE,
    CARTONS,
    COVER,
    FORMATS,
    INPUT_SHEETS,
    LAST_PLAN,
    MEANS,
    MOVE,
    PACKED,
    QUOTES,
    RATE_CARDS,
    RECORDS,
    START_HERE,
    WEIGHT_BREAKS,
)
from shipopt.workbook.declaration_terms import heading_key
from shipopt.workbook.files import NotReadable, open_file
from shipopt.workbook.problems import Problem, problem
from shipopt.workbook.references import check_names
from shipopt.workbook.settings_sheet import SettingRead, SettingsRead, read_settings
from shipopt.workbook.tables import Findings, Table, read_table
from shipopt.workbook.to_collection import care_of, cartons_of, formats_of, records_of
from shipopt.workbook.to_packed import last_plan_of, packed_of
from shipopt.workbook.to_quotes import (
    Tariffs,
    covers_of,
    means_listed,
    means_of,
    quotes_of,
    rate_cards_of,
    weight_breaks_of,
)


@dataclass(frozen=True)
class Reading:
    """What a workbook says. ``move`` is None exactly where there are errors.

    ``errors`` and ``notices`` are in the order of the workbook's sheets, rows and columns.
    ``settings`` are the facts of "Input as read"; ``sha256`` is the fingerprint of the file, "" if it was not read.
    """

    move: Move | None
    errors: tuple[Problem, ...] = ()
    notices: tuple[Problem, ...] = ()
    settings: tuple[SettingRead, ...] = ()
    sha256: str = ""


def read(path: str | PathLike[str], *, quotes_to_come: bool = False) -> Reading:
    """Reads a filled workbook; never raises for what is in it. The file is not changed. Where ``quotes_to_come``, it
    is no fault that there is none for some record yet."""
    try:
        file = open_file(Path(path))
        raw = raw_sheets(file, lambda name: heading_key(name) in BY_NAME)
    except NotReadable as reason:
        return Reading(None, (reason.problem,))
    return reading_of(raw, file.sha256, quotes_to_come=quotes_to_come)


def reading_of(raw: Sequence[RawSheet], sha256: str = "", *, quotes_to_come: bool = False) -> Reading:
    """What raw sheets say, wherever they come from."""
    findings = Findings()
    found = _match_sheets(raw, findings)
    settings = read_settings(found[MOVE.name], findings) if MOVE.name in found else SettingsRead()
    tables = {
        sheet.name: read_table(found[sheet.name], sheet, settings.terms, findings)
        if sheet.name in found
        else Table(sheet, whole=not sheet.required)
        for sheet in INPUT_SHEETS
        if sheet is not MOVE
    }
    check_names(tables, findings)
    move = _move(settings, tables, findings)
    if move is not None:
        check_move(move, findings, quotes_to_come=quotes_to_come)
    errors, notices = _in_order(findings.errors), _in_order(findings.notices)
    return Reading(None if errors else move, errors, notices, settings.facts(), sha256)


def _match_sheets(raw: Sequence[RawSheet], findings: Findings) -> dict[str, RawSheet]:
    """Worksheets by the declared name; missing, doubled and unknown ones are noted."""
    found: dict[str, RawSheet] = {}
    for sheet in raw:
        declared = BY_NAME.get(heading_key(sheet.name))
        if declared is None:
            if heading_key(sheet.name) != heading_key(START_HERE):
                findings.notices.append(problem(problems.SHEET_UNKNOWN, sheet.name, "", f"'{sheet.name}'"))
        elif declared.name in found:
            names = f"'{found[declared.name].name}' and '{sheet.name}'"
            findings.errors.append(problem(problems.SHEET_TWICE, declared.name, "A1", names, "one sheet"))
        else:
            found[declared.name] = sheet
    for declared in INPUT_SHEETS:
        if declared.required and declared.name not in found:
            findings.errors.append(problem(problems.SHEET_MISSING, declared.name, "A1", "no such sheet", "the sheet"))
    return found


def _move(settings: SettingsRead, tables: dict[str, Table], findings: Findings) -> Move | None:
    """The move, as far as its rows are sound; None where the settings are not."""
    formats = formats_of(tables[FORMATS.name])
    cartons = cartons_of(tables[CARTONS.name], tables[FORMATS.name], findings)
    means = tables[MEANS.name]
    tariffs = Tariffs(
        rate_cards_of(tables[RATE_CARDS.name], findings),
        weight_breaks_of(tables[WEIGHT_BREAKS.name], findings),
        means_of(means),
        means_listed(means),
    )
    quotes = quotes_of(tables[QUOTES.name], tariffs, findings)
    covers = covers_of(tables[COVER.name], findings)
    records = records_of(tables[RECORDS.name], formats, findings)
    heaviest = settings.used(MOVE.by_field["heaviest_carton"])
    packed = packed_of(tables[PACKED.name], cartons, records, heaviest, findings)
    if findings.errors:
        return None
    return Move(
        settings=settings.settings(),
        records=tuple(records),
        cartons=cartons,
        quotes=quotes,
        care=care_of(tables[CARE.name]),
        covers=covers,
        packed=tuple(packed),
        last_plan=last_plan_of(tables[LAST_PLAN.name]),
    )


def _in_order(found: Sequence[Problem]) -> tuple[Problem, ...]:
    """Findings by sheet in the workbook's order, then by row and column."""
    order = {sheet.name: place for place, sheet in enumerate(INPUT_SHEETS)}

    def place(each: Problem) -> tuple[int, int, int, str]:
        letters = each.cell.rstrip("0123456789")
        return order.get(each.sheet, len(order)), int(each.cell[len(letters) :] or 0), len(letters), letters

    return tuple(sorted(found, key=place))
