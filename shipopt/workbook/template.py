"""Writes input workbooks: the empty template, and the same filled with rows for examples, tests and notebooks.

Every sheet, heading, note, drop-down and number format comes from the declaration. The file is the same byte for
byte each time. Nothing is read here.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from io import BytesIO
from os import PathLike
from pathlib import Path
from typing import Any

import xlsxwriter

from shipopt.move.money import currency as currency_of
from shipopt.move.words import Units
from shipopt.workbook.declaration import INPUT_SHEETS, MOVE, SETTING_ROWS, START_HERE, Sheet
from shipopt.workbook.declaration_terms import heading_key
from shipopt.workbook.kinds import Terms
from shipopt.workbook.look import Look, workbook_options
from shipopt.workbook.planning_defaults import planning_rows
from shipopt.workbook.template_sheets import write_rows_sheet, write_settings_sheet, write_start_here

CREATED = datetime(2025, 1, 1)
"""Stands in every template as its date, so that the same workbook is the same file."""

Tables = Mapping[str, Sequence[Mapping[str, Any]] | Mapping[str, Any]]
"""Rows by sheet, each row by heading; for the sheet of settings, values by setting."""


def write_template(path: str | PathLike[str], units: Units | str, currency: str) -> None:
    """Writes the empty workbook, with planning assumptions to change and no record, quote or cover in it.

    ``units`` is ``lb / in`` or ``kg / cm``, ``currency`` a code of ISO 4217; ValueError for any other.
    """
    write_workbook(path, units, currency, {})


def write_workbook(path: str | PathLike[str], units: Units | str, currency: str, tables: Tables) -> None:
    """Writes a workbook that looks like a filled template.

    ``tables`` holds rows by sheet and heading (``{"Records": [{"Format": "LP", "Value each": 12}]}``), settings as
    ``{"Move": {"Title": "…"}}``. A sheet that is left out is empty, or holds its planning assumptions. Values are
    text, numbers, decimals, dates, True or False; ValueError for a sheet or heading that is not declared or a text
    longer than a cell holds, OSError where the file cannot be written.
    """
    terms = Terms(Units(units), currency_of(currency.upper()))
    rows, settings = _checked(tables, terms)
    content = BytesIO()
    # A copy all through: the library writes into the options it is given.
    workbook = xlsxwriter.Workbook(content, workbook_options())
    workbook.set_properties({"title": settings[MOVE.heading("title")] or START_HERE, "created": CREATED})
    look = Look(workbook)
    write_start_here(workbook.add_worksheet(START_HERE), look, terms)
    for sheet in INPUT_SHEETS:
        if sheet.by_program and not rows[sheet.name]:
            continue
        worksheet = workbook.add_worksheet(sheet.name)
        if sheet.settings:
            write_settings_sheet(worksheet, sheet, settings, look, terms)
        else:
            write_rows_sheet(worksheet, sheet, rows[sheet.name], look, terms)
    workbook.close()
    Path(path).write_bytes(content.getvalue())


def _checked(tables: Tables, terms: Terms) -> tuple[dict[str, Sequence[Mapping[str, Any]]], dict[str, Any]]:
    """Rows by sheet, planning assumptions where none are given, and every setting; refuses undeclared names."""
    unknown = set(tables) - {sheet.name for sheet in INPUT_SHEETS}
    if unknown or terms.units is None or terms.currency is None:
        raise ValueError(f"no such sheet: {', '.join(sorted(unknown))}")
    rows: dict[str, Sequence[Mapping[str, Any]]] = {sheet.name: () for sheet in INPUT_SHEETS}
    rows |= planning_rows(terms.units)
    for name, given in tables.items():
        if name != MOVE.name:
            rows[name] = [given] if isinstance(given, Mapping) else given
    for sheet in INPUT_SHEETS:
        _check_headings(sheet, [heading for row in rows[sheet.name] for heading in row])
    settings: dict[str, Any] = {column.heading: None for column in MOVE.columns}
    settings |= {MOVE.heading("units"): terms.units.value, MOVE.heading("currency"): terms.currency.code}
    settings |= _settings(tables.get(MOVE.name, {}))
    _check_headings(MOVE, list(settings))
    return rows, settings


def _settings(given: Sequence[Mapping[str, Any]] | Mapping[str, Any]) -> dict[str, Any]:
    """Settings by name, from a mapping or from rows as the sheet has them."""
    if isinstance(given, Mapping):
        return dict(given)
    name, value = (column.heading for column in SETTING_ROWS.columns[:2])
    return {row[name]: row.get(value) for row in given}


def _check_headings(sheet: Sheet, headings: Sequence[str]) -> None:
    unknown = sorted({heading for heading in headings if heading_key(heading) not in sheet.by_heading})
    if unknown:
        raise ValueError(f"no such column in {sheet.name}: {', '.join(unknown)}")
