"""From typed rows to the domain: tariffs, assumptions for each means, quotes, covers.

Tariffs and covers are several rows of one name, in the order of the sheet. Only sound rows are turned; what is
wrong between rows is reported here. Called by the reader.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise
from typing import Any

from shipopt.move.cover import Band, Cover
from shipopt.move.quotes import MeansAssumption, Quote, RateCard, RateStep, WeightBreak, WeightBreaks
from shipopt.move.words import Consignment, Means
from shipopt.workbook import problems
from shipopt.workbook.declaration import MEANS
from shipopt.workbook.tables import Findings, Row, Table

CHANCES = ("loss_chance", "damage_chance", "whole_load_loss")


@dataclass(frozen=True, slots=True)
class Tariffs:
    """What quotes refer to: tariffs by name, assumptions by means, and the means that have a row, sound or not."""

    rate_cards: Mapping[str, RateCard]
    weight_breaks: Mapping[str, WeightBreaks]
    means: Mapping[Means, MeansAssumption]
    means_listed: frozenset[Means]


def groups_of(table: Table) -> dict[str, list[Row]]:
    """Rows of one name together (ignoring case), under the name as first written; a group with a faulty row is
    left out."""
    found: dict[str, list[Row]] = {}
    for row in table.rows:
        found.setdefault(str(row["name"]).casefold(), []).append(row)
    return {rows[0]["name"]: rows for rows in found.values() if all(row.sound for row in rows)}


def _rises(rows: list[Row], name: str, findings: Findings) -> bool:
    """Whether a column rises from row to row; each row where it does not is reported."""
    good = True
    for before, row in pairwise(rows):
        if before[name] is not None and row[name] is not None and row[name] <= before[name]:
            good = False
            row.faults.add(name)
            holes = {"other": f"{before[name]:f}", "of": f"'{rows[0]['name']}'"}
            findings.errors.append(
                row.problem(problems.STEPS_NOT_RISING, name, f"{row[name]:f}", f"above {before[name]:f}", **holes)
            )
    return good


def rate_cards_of(table: Table, findings: Findings) -> dict[str, RateCard]:
    """Rate cards by name."""
    return {
        name: RateCard(name, tuple(RateStep(row["weight_up_to"], row["price"], row.origin) for row in rows))
        for name, rows in groups_of(table).items()
        if _rises(rows, "weight_up_to", findings)
    }


def weight_breaks_of(table: Table, findings: Findings) -> dict[str, WeightBreaks]:
    """Weight breaks by name."""
    found: dict[str, WeightBreaks] = {}
    for name, rows in groups_of(table).items():
        from_zero = rows[0]["from_weight"] == 0
        if not from_zero:
            rows[0].faults.add("from_weight")
            findings.errors.append(
                rows[0].problem(
                    problems.FIRST_BREAK_NOT_ZERO, "from_weight", f"{rows[0]['from_weight']:f}", "0", of=f"'{name}'"
                )
            )
        if _rises(rows, "from_weight", findings) and from_zero:
            breaks = tuple(WeightBreak(row["from_weight"], row["price_per_100"], row.origin) for row in rows)
            found[name] = WeightBreaks(name, breaks)
    return found


def means_of(table: Table) -> dict[Means, MeansAssumption]:
    """Assumptions by means."""
    return {
        row["means"]: MeansAssumption(
            row["means"],
            row["loss_chance"],
            row["damage_chance"],
            row["whole_load_loss"],
            row["insure_rule_applies"],
            row.origin,
        )
        for row in table.rows
        if row.sound
    }


def means_listed(table: Table) -> frozenset[Means]:
    """Means that have a row; all of them where the sheet is not whole, so that one fault is told once."""
    return frozenset(row["means"] for row in table.rows if "means" in row.given) if table.whole else frozenset(Means)


def quotes_of(table: Table, tariffs: Tariffs, findings: Findings) -> dict[str, Quote]:
    """Quotes by name, with their tariffs and chances resolved."""
    found: dict[str, Quote] = {}
    for row in table.rows:
        if row.sound:
            quote = _quote(row, tariffs, findings)
            if quote is not None:
                found[row["name"]] = quote
    return found


def _quote(row: Row, tariffs: Tariffs, findings: Findings) -> Quote | None:
    by_carton = Consignment.CARTON if row["means"] is Means.POST else Consignment.LOAD
    consignment = row["consignment"] or by_carton
    chances = _chances(row, tariffs, findings)
    _check_consignment(row, consignment, findings)
    _check_dates(row, findings)
    if not row.sound or chances is None:
        return None
    same = {column.field: row[column.field] for column in row.sheet.columns}
    return Quote(
        **{
            **same,
            **chances,
            "consignment": consignment,
            "rate_card": tariffs.rate_cards.get(row["rate_card"]),
            "weight_breaks": tariffs.weight_breaks.get(row["weight_breaks"]),
        },
        origin=row.origin,
    )


def _chances(row: Row, tariffs: Tariffs, findings: Findings) -> dict[str, Any] | None:
    """The three chances, the quote's own or the means', and whether the insure rule applies."""
    assumed = tariffs.means.get(row["means"])
    if assumed is None:
        if row["means"] not in tariffs.means_listed:
            row.faults.add("means")
            holes = {"target": MEANS.name}
            accepted = ", ".join(sorted(tariffs.means_listed))
            findings.errors.append(
                row.problem(problems.MEANS_WITHOUT_ROW, "means", f"'{row['means']}'", accepted, **holes)
            )
        return None
    own = {name: row[name] for name in CHANCES}
    chances = {name: getattr(assumed, name) if own[name] is None else own[name] for name in CHANCES}
    total = sum(chances.values(), Decimal(0))
    if total > 1:
        given = [name for name in CHANCES if own[name] is not None] or ["name"]
        row.faults.add(given[0])
        findings.errors.append(
            row.problem(
                problems.CHANCES_OVER_ONE, given[0], f"{total * 100:f} %", "at most 100 % in all", of=f"'{row['name']}'"
            )
        )
    extra = {"chances_assumed": None in own.values(), "insure_rule_applies": assumed.insure_rule_applies}
    return {**chances, **extra}


def _check_consignment(row: Row, consignment: Consignment, findings: Findings) -> None:
    """What is given for a load where a carton is the consignment: a tariff is an error, a limit is told."""
    if consignment is Consignment.LOAD:
        return
    if row["weight_breaks"] is not None:
        row.faults.add("weight_breaks")
        findings.errors.append(
            row.problem(problems.WEIGHT_BREAKS_FOR_CARTON, "weight_breaks", f"'{row['weight_breaks']}'", "blank")
        )
    for column in row.sheet.columns:
        if column.without_loads and column.field in row.given and row[column.field] != column.default:
            found = f"{row[column.field]}"
            findings.notices.append(row.problem(problems.NO_MEANING, column.field, found, "blank"))


def _check_dates(row: Row, findings: Findings) -> None:
    first, last = row["collect_from"], row["collect_until"]
    if first and last and last < first:
        row.faults.add("collect_until")
        holes = {"other": f"{row.sheet.heading('collect_from')} ({first})"}
        findings.errors.append(
            row.problem(problems.DATES_OUT_OF_ORDER, "collect_until", f"{last}", f"{first} or later", **holes)
        )


SHARED_BY_BANDS = ("for_quotes", "covers", "basis", "excess", "claim_days", "notes")


def covers_of(table: Table, findings: Findings) -> dict[str, Cover]:
    """Covers by name. What rows of a cover share may stand in the first row only, but must not disagree."""
    found: dict[str, Cover] = {}
    for name, rows in groups_of(table).items():
        agree = [_agrees(rows, shared, findings) for shared in SHARED_BY_BANDS]
        rising = [_rises(rows, "value_up_to", findings), _only_last_is_open(rows, findings)]
        if all(agree) and all(rising):
            shared = {key: _shared(rows, key) for key in SHARED_BY_BANDS}
            found[name] = Cover(name=name, bands=tuple(_band(row) for row in rows), **shared, origin=rows[0].origin)
    return found


def _shared(rows: list[Row], name: str) -> Any:
    """The value that rows of one cover share: that of the first row that gives one, else the default."""
    return next((row[name] for row in rows if name in row.given), rows[0][name])


def _agrees(rows: list[Row], name: str, findings: Findings) -> bool:
    wanted = _shared(rows, name)
    good = True
    for row in rows:
        if name not in row.given or _same(row[name], wanted):
            continue
        good = False
        row.faults.add(name)
        texts = [f"{value}" if not isinstance(value, tuple) else "; ".join(value) for value in (row[name], wanted)]
        findings.errors.append(row.problem(problems.ROWS_DISAGREE, name, texts[0], texts[1], of=f"'{rows[0]['name']}'"))
    return good


def _same(one: Any, other: Any) -> bool:
    return set(one) == set(other) if isinstance(one, tuple) and isinstance(other, tuple) else bool(one == other)


def _only_last_is_open(rows: list[Row], findings: Findings) -> bool:
    open_rows = [row for row in rows[:-1] if row["value_up_to"] is None]
    for row in open_rows:
        row.faults.add("value_up_to")
        findings.errors.append(
            row.problem(problems.BAND_AFTER_LAST, "value_up_to", accepted="an amount", of=f"'{rows[0]['name']}'")
        )
    return not open_rows


def _band(row: Row) -> Band:
    return Band(row["value_up_to"], row["fee"], row["share_of_value"], row["least_fee"], row.origin)
