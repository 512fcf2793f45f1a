"""The declaration: every column says what it needs to say, once, and fits what spreadsheet programs take."""

from dataclasses import fields

from shipopt.move.cartons import CartonType
from shipopt.move.quotes import Quote
from shipopt.move.settings import Settings
from shipopt.move.words import Units
from shipopt.workbook.column_reference import column_reference
from shipopt.workbook.declaration import CARTONS, INPUT_SHEETS, MOVE, QUOTES, START_HERE, Sheet
from shipopt.workbook.declaration_terms import LONGEST_SHEET_NAME, heading_key
from shipopt.workbook.kinds import NO_UNIT, Reference, References, Terms

COLUMNS = [(sheet, column) for sheet in INPUT_SHEETS for column in sheet.columns]


def test_every_column_has_help_and_says_its_unit() -> None:
    for sheet, column in COLUMNS:
        assert column.help.endswith((".", ":")), f"{sheet.name}: {column.heading}"
        assert column.kind.unit, f"{sheet.name}: {column.heading} gives its unit or says it has none"
        assert column.kind.what or column.kind.takes_anything
        assert "{" not in column.unit(Terms())


def test_every_optional_column_says_what_a_blank_stands_for() -> None:
    for sheet, column in COLUMNS:
        if not column.required:
            said = column.default_words or column.default is not None
            assert said, f"{sheet.name}: {column.heading}"
        else:
            assert column.default is None


def test_names_of_sheets_fit_and_differ() -> None:
    names = [START_HERE, *(sheet.name for sheet in INPUT_SHEETS)]
    assert all(0 < len(name) <= LONGEST_SHEET_NAME for name in names)
    assert not any(set(name) & set("[]:*?/\\'") for name in names)
    assert len({heading_key(name) for name in names}) == len(names)


def test_headings_and_fields_of_a_sheet_differ() -> None:
    for sheet in INPUT_SHEETS:
        assert len(sheet.by_heading) == len(sheet.by_field) == len(sheet.columns), sheet.name


def test_references_lead_to_a_sheet_whose_first_column_is_required() -> None:
    by_name: dict[str, Sheet] = {sheet.name: sheet for sheet in INPUT_SHEETS}
    found = [column.kind for _, column in COLUMNS if isinstance(column.kind, Reference | References)]
    assert len(found) > 8
    for kind in found:
        assert by_name[kind.to.name].columns[0].required


def test_settings_cartons_and_quotes_feed_the_domain_field_by_field() -> None:
    """The columns of these three are the fields of their dataclass, but for what is worked out or only varied."""
    assert {column.field for column in MOVE.columns} == {f.name for f in fields(Settings)} - {"cells", "weight_of_loss"}
    assert {column.field for column in CARTONS.columns} == {f.name for f in fields(CartonType)} - {"origin"}
    worked_out = {"chances_assumed", "insure_rule_applies", "origin"}
    assert {column.field for column in QUOTES.columns} == {f.name for f in fields(Quote)} - worked_out


def test_defaults_of_settings_are_those_of_the_domain() -> None:
    for field in fields(Settings):
        column = MOVE.by_field.get(field.name)
        if column is None or column.required or field.name == "heaviest_carton":
            continue
        assert column.default_of(Units.POUND_INCH) == field.default, column.heading


def test_the_reference_names_every_column_and_no_program_variable() -> None:
    text = column_reference()
    for sheet, column in COLUMNS:
        assert f"| {column.heading} | {'none' if column.kind.unit == NO_UNIT else ''}" in text, sheet.name
    assert "{" not in text
    assert "None" not in text
