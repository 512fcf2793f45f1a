"""What must hold between the rows of a move before it is planned: each record has a carton and a quote that may
take it.

These are faults that no plan could mend, told with the cell to change. Limits that depend on a plan are not looked
at here. Called by the reader on a move without other errors.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from shipopt.move.cartons import CartonType
from shipopt.move.move import Move
from shipopt.move.records import Format, Record
from shipopt.move.rules import care_refusal, cartons_for, most_gross_weight, quotes_in, why_out
from shipopt.workbook import problems
from shipopt.workbook.declaration import CARE, CARTONS, FORMATS, PACKED, QUOTES, RECORDS, Sheet
from shipopt.workbook.problems import Problem, ProblemKind, problem
from shipopt.workbook.tables import Findings


def check_move(move: Move, findings: Findings, *, quotes_to_come: bool = False) -> None:
    """Every check of this module, in the order of the sheets; none of whether quotes suffice where they are to come."""
    for quote in move.quotes.values():
        reason = why_out(quote, move.settings)
        if reason:
            findings.notices.append(_at(problems.QUOTE_OUT, QUOTES, quote, "name", f"'{quote.name}'", "", why=reason))
    if not move.records and not move.packed:
        findings.errors.append(problem(problems.NO_RECORDS, RECORDS.name, "A2"))
        return
    findings.errors.extend(_packed_cover_not_offered(move))
    unlisted = list(_packed_care_unlisted(move))
    findings.errors.extend(unlisted)
    if unlisted or not (move.loose or move.to_go):
        return
    if not quotes_to_come:
        _check_quotes(move, findings)
    if move.loose and not move.cartons:
        findings.errors.append(problem(problems.NO_CARTONS, CARTONS.name, "A2"))
    elif move.loose:
        findings.errors.extend(_sleeves_without_carton(move))
        findings.errors.extend(_records_without_carton(move))


def _at(
    kind: ProblemKind, sheet: Sheet, thing: object, name: str, found: str, accepted: str = "", **holes: object
) -> Problem:
    """A finding in the cell of a column, in the row that a thing of the domain came from."""
    origin = thing.origin  # type: ignore[attr-defined]
    cell = f"{origin.columns.get(name, 'A')}{origin.row}"
    return problem(kind, sheet.name, cell, found, accepted, column=sheet.heading(name), **holes)


def _check_quotes(move: Move, findings: Findings) -> None:
    if not move.quotes:
        findings.errors.append(problem(problems.NO_QUOTES, QUOTES.name, "A2"))
        return
    if not quotes_in(move):
        first = next(iter(move.quotes.values()))
        findings.errors.append(_at(problems.NO_QUOTE_IN, QUOTES, first, "name", "none", "a quote that takes part"))
        return
    findings.errors.extend(_pins_refused(move))
    findings.errors.extend(_care_without_quote(move))
    findings.errors.extend(_recordings_only_everywhere(move))
    findings.errors.extend(_damage_factors(move))


def _travelling(move: Move) -> Iterable[Record]:
    """Records that still have to travel, loose or in a closed carton."""
    gone = {packed.filled.number for packed in move.gone}
    return (record for record in move.records if record.packed_in not in gone)


def _pins_refused(move: Move) -> Iterable[Problem]:
    """Records that must go by a quote that is out, or that may not carry them."""
    for record in _travelling(move):
        if record.must_go_by is None:
            continue
        quote = move.quotes[record.must_go_by]
        out = why_out(quote, move.settings)
        refusal = care_refusal(move.care[record.care], quote)
        if refusal is None and quote.recordings_only and not record.format.sound_recording:
            refusal = f"{record.format.name} is no sound recording"
        if out:
            kind, why = problems.PINNED_TO_QUOTE_OUT, out
        elif refusal:
            kind, why = problems.PINNED_TO_REFUSING_QUOTE, refusal
        else:
            continue
        yield _at(kind, RECORDS, record, "must_go_by", f"'{quote.name}'", "a quote that may carry it", why=why)


def _care_without_quote(move: Move) -> Iterable[Problem]:
    """Care levels in use that no quote taking part may carry."""
    used: Counter[str] = Counter()
    first: dict[str, str] = {}
    for record in _travelling(move):
        used[record.care] += record.copies
        first.setdefault(record.care, record.origin.cell("care"))
    for filled in move.to_go:
        for name in filled.care:
            used[name] += 0 if filled.portions else filled.records
            first.setdefault(name, filled.origin.cell("care"))
    quotes = quotes_in(move)
    for name, level in move.care.items():
        refusals = [care_refusal(level, quote) for quote in quotes]
        if name in used and None not in refusals:
            why = "; ".join(f"{quote.name}: {why}" for quote, why in zip(quotes, refusals, strict=True))
            holes = {"records": f"{used[name]:,}", "first": first[name], "why": f"{why}."}
            accepted = "a level that a quote may carry"
            yield _at(problems.CARE_WITHOUT_QUOTE, CARE, level, "name", f"'{name}'", accepted, **holes)


def _recordings_only_everywhere(move: Move) -> Iterable[Problem]:
    """Formats that are no sound recordings, in a care level that only quotes for sound recordings may carry."""
    quotes = quotes_in(move)
    told: set[tuple[str, str]] = set()
    for record in _travelling(move):
        key = (record.format.name, record.care)
        if record.format.sound_recording or record.must_go_by or key in told:
            continue
        told.add(key)
        may = [quote for quote in quotes if care_refusal(move.care[record.care], quote) is None]
        if may and all(quote.recordings_only for quote in may):
            found = f"'{record.format.name}'"
            yield _at(problems.RECORD_WITHOUT_QUOTE, RECORDS, record, "format", found, "a sound recording")


def _packed_care_unlisted(move: Move) -> Iterable[Problem]:
    """Closed cartons whose care was left to the standard level where that is not listed."""
    for packed in move.packed:
        for name in packed.filled.care:
            if name not in move.care:
                holes = {"target": CARE.name, "hint": ""}
                accepted = f"a name in the sheet {CARE.name}"
                yield _at(problems.NAME_UNKNOWN, PACKED, packed.filled, "care", f"'{name}'", accepted, **holes)


def _packed_cover_not_offered(move: Move) -> Iterable[Problem]:
    """Cartons that are gone under a cover that is not for the quote they went by."""
    for packed in move.gone:
        if packed.cover and packed.gone_by and not move.covers[packed.cover].offered_to(packed.gone_by):
            accepted = f"a cover for '{packed.gone_by}'"
            found = f"'{packed.cover}'"
            yield _at(problems.PACKED_COVER_NOT_OFFERED, PACKED, packed.filled, "cover", found, accepted)


def _damage_factors(move: Move) -> Iterable[Problem]:
    """Cartons whose damage factor makes chances add to more than one on a quote that takes part."""
    for carton in move.cartons.values():
        for quote in quotes_in(move):
            total = quote.loss_chance + quote.whole_load_loss + quote.damage_chance * carton.damage_factor
            if total > 1:
                holes = {"of": f"'{carton.name}' by '{quote.name}'"}
                found, accepted = f"{total * 100:f} %", "at most 100 % in all"
                yield _at(problems.CHANCES_OVER_ONE, CARTONS, carton, "damage_factor", found, accepted, **holes)
                break


def _sleeves_without_carton(move: Move) -> Iterable[Problem]:
    """Formats of loose records whose sleeve no carton takes."""
    used = {record.format.name: record.format for record in move.loose}
    known = sorted({sleeve for carton in move.cartons.values() for sleeve in carton.sleeves})
    for kind in used.values():
        if not cartons_for(kind.sleeve, move):
            accepted = f"a sleeve of the sheet {CARTONS.name}: {', '.join(known)}"
            yield _at(problems.SLEEVE_WITHOUT_CARTON, FORMATS, kind, "sleeve", f"'{kind.sleeve}'", accepted)


def _records_without_carton(move: Move) -> Iterable[Problem]:
    """Loose records of which one copy is too thick or too heavy for every carton of its sleeve."""
    cartons: dict[str, Sequence[CartonType]] = {}
    told: set[tuple[str, object, object]] = set()
    for record in move.loose:
        sleeve = record.format.sleeve
        if sleeve not in cartons:
            cartons[sleeve] = [carton for carton in cartons_for(sleeve, move) if carton.most != 0]
        if not cartons[sleeve] or any(_fits(record, carton, move) for carton in cartons[sleeve]):
            continue
        key = (record.format.name, record.weight, record.thickness)
        if key not in told:
            told.add(key)
            yield _without_carton(record, cartons[sleeve], move)


def _fits(record: Record, carton: CartonType, move: Move) -> bool:
    light = carton.empty_weight + record.weight <= most_gross_weight(carton, None, move.settings)
    return light and record.thickness <= carton.room_in_each(move.settings.fill_most)


def _without_carton(record: Record, cartons: Sequence[CartonType], move: Move) -> Problem:
    room = max(carton.room_in_each(move.settings.fill_most) for carton in cartons)
    spare = max(most_gross_weight(carton, None, move.settings) - carton.empty_weight for carton in cartons)
    units = move.settings.units
    found = f"{record.thickness:f} {units.length} thick, {record.weight:f} {units.weight}"
    accepted = f"room {room:f} {units.length}, {spare:f} {units.weight}"
    own = "thickness" if record.thickness > room else "weight"
    usual = _usual(record.format, record.disc_outside)[own]
    name = own if getattr(record, own) != usual else "format"
    return _at(problems.RECORD_WITHOUT_CARTON, RECORDS, record, name, found, accepted)


def _usual(kind: Format, disc_outside: bool) -> Mapping[str, object]:
    return {"thickness": kind.thickness_disc_outside if disc_outside else kind.thickness, "weight": kind.weight}
