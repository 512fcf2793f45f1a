"""The sheets of the results workbook in their order: each with the function that writes it and the rows it shows.

A sheet is added by declaring it (module declaration), writing its module in the folder sheets, and naming it here; the
JSON file and the data frames then hold its tables too.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from shipopt.workbook.results import declaration, declaration_road
from shipopt.workbook.results.columns import Sheet
from shipopt.workbook.results.declaration_afterwards import CHANGES, CHECK_IN
from shipopt.workbook.results.declaration_caution import COST_OF_CAUTION
from shipopt.workbook.results.declaration_comparing import QUOTES_COMPARED, WHAT_BINDS
from shipopt.workbook.results.declaration_risk import RISK
from shipopt.workbook.results.gathered import Results
from shipopt.workbook.results.page import Page
from shipopt.workbook.results.sheets import (
    carton_list,
    changes,
    charges,
    check_in,
    content_slips,
    cost_of_caution,
    cover_to_buy,
    diary,
    handling,
    input_as_read,
    labels,
    packing_list,
    plan,
    plan_words,
    quotes_compared,
    risk,
    shelving,
    what_binds,
)

Rows = Sequence[Any]


@dataclass(frozen=True, slots=True)
class Entry:
    """One sheet: how it is written, the rows of each of its tables, in their order, and what stands outside them;
    ``is_shown`` says whether the workbook has it."""

    sheet: Sheet
    write: Callable[[Page, Results], None]
    rows: Callable[[Results], tuple[Rows, ...]]
    facts: Callable[[Results], Mapping[str, Any]] = lambda results: {}
    is_shown: Callable[[Results], bool] = lambda results: True


SHEETS: tuple[Entry, ...] = (
    Entry(
        declaration.PLAN,
        plan.write,
        lambda results: ((results.totals,), results.bookings, results.to_buy, results.gone),
        plan_words.facts,
    ),
    Entry(declaration.CARTON_LIST, carton_list.write, lambda results: (results.cartons,)),
    Entry(declaration.PACKING_LIST, packing_list.write, lambda results: (results.packing,)),
    Entry(QUOTES_COMPARED, quotes_compared.write, lambda results: (results.quotes, results.bidders)),
    Entry(
        COST_OF_CAUTION,
        cost_of_caution.write,
        lambda results: (results.caution_levels, results.other_chances),
        cost_of_caution.facts,
    ),
    Entry(WHAT_BINDS, what_binds.write, lambda results: (results.binding,), what_binds.facts),
    Entry(declaration.CHARGES, charges.write, lambda results: (results.charges, results.freight)),
    Entry(
        RISK,
        risk.write,
        lambda results: (
            results.risk_figures,
            results.risk_by_quote,
            results.risk_by_care,
            results.riskiest,
            results.likelihoods,
        ),
        risk.facts,
    ),
    Entry(
        declaration_road.COVER_TO_BUY,
        cover_to_buy.write,
        lambda results: (results.purchases, results.declared, results.bare, results.photographs),
    ),
    Entry(declaration_road.SHELVING, shelving.write, lambda results: (results.shelving,), shelving.facts),
    Entry(declaration_road.LABELS, labels.write, lambda results: (results.labels,)),
    Entry(declaration_road.DIARY, diary.write, lambda results: (results.dates, results.days), diary.facts),
    Entry(declaration_road.CONTENT_SLIPS, content_slips.write, lambda results: (results.slips,)),
    Entry(
        declaration_road.HANDLING,
        handling.write,
        lambda results: (results.lifting, results.stacking),
        handling.facts,
    ),
    Entry(CHECK_IN, check_in.write, lambda results: (results.check_in,)),
    Entry(
        CHANGES,
        changes.write,
        lambda results: (results.cost_changes, results.carton_changes),
        is_shown=changes.is_shown,
    ),
    Entry(
        declaration.INPUT_AS_READ,
        input_as_read.write,
        lambda results: (results.settings, results.rows_read, results.notices),
        input_as_read.facts,
    ),
)
"""Every sheet, in the order of the workbook."""
