"""What changes from one plan of some records to another, in words: which records go by whom instead, which covers are
taken more or less.

Called by the results writer, for plans that differ in what they cost and risk.
"""

from collections import Counter, defaultdict
from collections.abc import Iterator
from decimal import Decimal

from shipopt.move.money import ZERO
from shipopt.move.plan import Plan

MOST_MOVES, MOST_COVERS = 2, 2
"""How many changes of each kind are told, those of most value; the rest are counted."""

Piece = tuple[str, str, int]
"""A copy of a record by its ID, or a carton closed by the user by its number."""


def changes(before: Plan, after: Plan) -> str:
    """One or two sentences; that nothing changes, if so."""
    told = [*_moved(before, after), *_covered(before, after)]
    return "; ".join(told) + "." if told else "Nothing that shows: cartons are packed or shared out otherwise at most."


def _moved(before: Plan, after: Plan) -> Iterator[str]:
    """Records that go by another quote, by care level."""
    was, now = _quotes(before), _quotes(after)
    records: Counter[tuple[str, str, str]] = Counter()
    value: defaultdict[tuple[str, str, str], Decimal] = defaultdict(Decimal)
    for piece, (care, old, each, count) in was.items():
        new = now[piece][1] if piece in now else old
        if new != old:
            records[care, old, new] += count
            value[care, old, new] += each
    order = sorted(records, key=lambda key: (-value[key], key))
    for care, old, new in order[:MOST_MOVES]:
        number = records[care, old, new]
        level = f"{care} " if care else ""
        yield f"{number} {level}{'record' if number == 1 else 'records'} by {new} instead of {old}"
    rest = sum(records[key] for key in order[MOST_MOVES:])
    if rest:
        yield f"{rest} more by another quote"


def _quotes(plan: Plan) -> dict[Piece, tuple[str, str, Decimal, int]]:
    """Care level, quote, value and number of records of each piece."""
    found: dict[Piece, tuple[str, str, Decimal, int]] = {}
    for shipment in plan.shipments:
        filled, quote = shipment.filled, shipment.quote.name
        if filled.closed_by_user:
            found["carton", filled.number, 0] = ("", quote, filled.value, filled.records)
            continue
        for portion in filled.portions:
            record = portion.record
            for copy in range(portion.first, portion.first + portion.copies):
                found["record", record.record_id, copy] = (record.care, quote, record.value, 1)
    return found


def _covered(before: Plan, after: Plan) -> Iterator[str]:
    """Value under each cover, where it differs."""
    show = before.move.settings.currency.show
    was, now = _value_by_cover(before), _value_by_cover(after)
    differ = {name: now.get(name, ZERO) - was.get(name, ZERO) for name in {*was, *now}}
    order = sorted((name for name in differ if differ[name]), key=lambda name: (-abs(differ[name]), name))
    for name in order[:MOST_COVERS]:
        more = "more" if differ[name] > 0 else "less"
        yield f"{show(abs(differ[name]))} {more} of value under {name}"


def _value_by_cover(plan: Plan) -> dict[str, Decimal]:
    found: defaultdict[str, Decimal] = defaultdict(Decimal)
    for shipment in plan.shipments:
        if shipment.cover is not None:
            found[shipment.cover.name] += shipment.filled.value
    return dict(found)
