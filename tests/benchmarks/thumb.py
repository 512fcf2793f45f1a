"""The rule of thumb: the dearest by hand until full, the guarded by the best guarded quote, the rest in shelf order.

What has to be carried goes first and the dearest others fill the trips up; every bid for a load is tried as the main
one for the rest, with all its trips or fewer; what it leaves goes by post, carton by carton; cover is the cheapest that
the rules ask for. The cheapest of these plans that obeys every rule is the answer.
"""

import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from decimal import Decimal

from benchmarks.buying_cover import with_cover
from benchmarks.shelf_packing import DoesNotFit, box_for, lines_of, pack_in_order
from shipopt.move.cartons import CartonType, FilledCarton
from shipopt.move.move import Move
from shipopt.move.plan import Plan, Search, Shipment
from shipopt.move.quotes import Quote
from shipopt.move.records import Record
from shipopt.move.rules import (
    carton_refusal,
    cartons_for,
    filled_carton_refusal,
    most_value_of_consignment,
    must_be_covered,
    quotes_in,
    record_may_go,
)
from shipopt.move.words import Means
from shipopt.planning.audit import findings
from shipopt.pricing.billing import outside_volume
from shipopt.pricing.carriage import carton_charge
from shipopt.pricing.cover import cover_fee
from shipopt.pricing.statement import Refused
from shipopt.pricing.total import price
from shipopt.risk.expected import expected_uninsured_loss_of_all


def rule_of_thumb(move: Move, seconds: float) -> tuple[Shipment, ...] | None:
    """The best plan by the rule of thumb that the audit lets pass, or None."""
    ends = time.perf_counter() + seconds
    carried, others = _carried(move)
    if carried is None:
        return None
    guarded = [record for record in others if _is_guarded(record, move)]
    rest = [record for record in others if not _is_guarded(record, move)]
    apart = _guarded_by_the_best(guarded, move)
    if apart is None:
        return None
    found = []
    for sent in _rest_by_each(rest, move):
        whole = _priced([*carried, *apart, *sent], move)
        if whole is not None:
            found.append(whole)
        if time.perf_counter() > ends:
            break
    for _, shipments in sorted(found, key=lambda each: each[0]):
        if not findings(Plan(move, shipments, Search("", 0, Decimal(0), ""))):
            return shipments
    return None


def _priced(shipments: Sequence[Shipment], move: Move) -> tuple[Decimal, tuple[Shipment, ...]] | None:
    """The objective of the shipments, numbered and covered; None where something has no price."""
    numbered = [
        replace(each, filled=replace(each.filled, number=str(place))) for place, each in enumerate(shipments, start=1)
    ]
    covered = with_cover(numbered, move)
    if covered is None:
        return None
    try:
        total = price(move, covered).total
    except (Refused, ValueError):
        return None
    if move.settings.count_expected_loss:
        total += expected_uninsured_loss_of_all(move, covered)
    return total, tuple(covered)


# By hand


def _by_hand_only(record: Record, move: Move) -> bool:
    return move.care[record.care].means == {Means.CARRY_ON}


def _is_guarded(record: Record, move: Move) -> bool:
    level = move.care[record.care]
    return bool(level.needs) or level.means != set(Means) or level.most_loss_chance is not None


def _carried(move: Move) -> tuple[list[Shipment] | None, list[Record]]:
    """Shipments by hand, and the records that are left; None if what must be carried does not all fit."""
    hand = [record for record in move.loose if _by_hand_only(record, move)]
    others = [record for record in move.loose if not _by_hand_only(record, move)]
    if not hand:
        return [], others
    best: tuple[Decimal, list[Shipment], int] | None = None
    dearest = sorted((r for r in others if r.copies == 1), key=lambda r: (-r.value, r.place))
    for quote in quotes_in(move):
        if quote.means is not Means.CARRY_ON:
            continue
        sent = _fits_by(hand, quote, move)
        if sent is None:
            continue
        extra = _most_that_fit(hand, dearest, quote, len(by_trips(sent)), move)
        sent = _fits_by([*hand, *dearest[:extra]], quote, move)
        priced = _priced(sent or [], move)
        if sent and priced and (best is None or priced[0] < best[0]):
            best = (priced[0], sent, extra)
    if best is None:
        return _carried_by_several(hand, move), others
    chosen = {record.place for record in dearest[: best[2]]}
    return best[1], [record for record in others if record.place not in chosen]


def by_trips(shipments: Iterable[Shipment]) -> set[tuple[str, int]]:
    """The trips that are used."""
    return {(shipment.quote.name, shipment.trip) for shipment in shipments}


def _most_that_fit(hand: list[Record], dearest: list[Record], quote: Quote, trips: int, move: Move) -> int:
    """How many of the dearest others the trips hold that are made anyway."""
    low, high = 0, len(dearest)
    while low < high:
        middle = (low + high + 1) // 2
        sent = _fits_by([*hand, *dearest[:middle]], quote, move)
        fits = sent is not None and len(by_trips(sent)) <= trips
        low, high = (middle, high) if fits else (low, middle - 1)
    return low


def _fits_by(records: Sequence[Record], quote: Quote, move: Move) -> list[Shipment] | None:
    """All the records by one carry-on quote, in shelf order, or None."""
    cartons = _in_bags(records, quote, move)
    if cartons is None:
        return None
    sent, left = load_in_order(cartons, quote, quote.trips_at_most, move)
    return None if left else sent


def _in_bags(records: Sequence[Record], quote: Quote, move: Move) -> list[FilledCarton] | None:
    sleeves = {record.format.sleeve for record in records}
    boxes = [c for c in move.cartons.values() if sleeves <= set(c.sleeves) and carton_refusal(c, quote) is None]
    if not boxes:
        return None
    bag = min(boxes, key=lambda carton: (carton.price / carton.stack_length, carton.name))
    box = box_for(bag, quote, move, most_value_of_consignment(quote, move.settings))
    if quote.most_weight is not None:
        each = quote.most_weight / (quote.most_cartons or 1) - bag.empty_weight
        box = replace(box, most_weight=min(box.most_weight, each))
    try:
        return pack_in_order(lines_of(sorted(records, key=lambda record: record.place)), box)
    except DoesNotFit:
        return None


def _carried_by_several(hand: list[Record], move: Move) -> list[Shipment] | None:
    """What must be carried, by one carry-on quote after another until nothing is left."""
    sent: list[Shipment] = []
    for quote in quotes_in(move):
        if quote.means is Means.CARRY_ON and hand:
            bags = _in_bags(hand, quote, move) or []
            loaded, _ = load_in_order(bags, quote, quote.trips_at_most, move)
            sent += loaded
            gone = {portion.record.place for shipment in loaded for portion in shipment.filled.portions}
            hand = [record for record in hand if record.place not in gone]
    return None if hand else sent


# Loads and post


def load_in_order(
    cartons: Sequence[FilledCarton], quote: Quote, trips: int, move: Move
) -> tuple[list[Shipment], list[FilledCarton]]:
    """Cartons on the first trip that has room, in order; and those that no trip takes."""
    most = (quote.most_cartons, quote.most_weight, quote.most_volume, most_value_of_consignment(quote, move.settings))
    loads = [[Decimal(0)] * 4 for _ in range(trips)]
    sent, left = [], []
    for carton in cartons:
        adds = (Decimal(1), carton.gross_weight, outside_volume(carton.carton, move.settings.units), carton.value)
        allowed = filled_carton_refusal(carton, quote, move) is None
        for trip, load in enumerate(loads, start=1) if allowed else ():
            after = [have + more for have, more in zip(load, adds, strict=True)]
            if all(limit is None or total <= limit for total, limit in zip(after, most, strict=True)):
                load[:] = after
                sent.append(Shipment(carton, quote, trip))
                break
        else:
            left.append(carton)
    return sent, left


def _by_post(cartons: Sequence[FilledCarton], move: Move) -> list[Shipment] | None:
    """Each carton by the quote by the carton that is cheapest for it, with cover if it must have one."""
    sent = []
    for carton in cartons:
        bids = []
        for place, quote in enumerate(quotes_in(move)):
            if quote.by_load or filled_carton_refusal(carton, quote, move) is not None:
                continue
            charge, fee = carton_charge(quote, carton, move.settings), _least_fee(carton, quote, move)
            if charge is not None and fee is not None:
                bids.append((charge + fee, place, quote))
        if not bids:
            return None
        sent.append(Shipment(carton, min(bids, key=lambda bid: bid[:2])[2]))
    return sent


def _least_fee(carton: FilledCarton, quote: Quote, move: Move) -> Decimal | None:
    if not must_be_covered(carton, quote, move.settings):
        return Decimal(0)
    offered = [cover for cover in move.covers.values() if cover.offered_to(quote.name)]
    fees = [cover_fee(cover, carton.value, move.settings.currency) for cover in offered]
    return min((fee for fee in fees if fee is not None), default=None)


def _guarded_by_the_best(guarded: list[Record], move: Move) -> list[Shipment] | None:
    """All the guarded records by the one quote that is cheapest for them by themselves."""
    best: tuple[Decimal, list[Shipment]] | None = (Decimal(0), []) if not guarded else None
    for quote in quotes_in(move):
        if quote.means is Means.CARRY_ON or not all(record_may_go(record, quote, move) for record in guarded):
            continue
        cartons = _in_usual_cartons(guarded, quote, move, most_value_of_consignment(quote, move.settings))
        if quote.by_load:
            sent, left = load_in_order(cartons, quote, quote.trips_at_most, move)
        else:
            sent, left = [Shipment(carton, quote) for carton in cartons], []
        priced = None if left or not sent else _priced(sent, move)
        if priced and (best is None or priced[0] < best[0]):
            best = (priced[0], sent)
    return None if best is None else best[1]


def _rest_by_each(rest: list[Record], move: Move) -> Iterator[list[Shipment]]:
    """The rest with each quote for a load as the main one, with more and more of its trips, and by post alone."""
    posts = [quote for quote in quotes_in(move) if not quote.by_load]
    posted = [most for q in posts if (most := most_value_of_consignment(q, move.settings)) is not None]
    mains = [q for q in quotes_in(move) if q.by_load and q.means is not Means.CARRY_ON]
    for quote in mains:
        cap = most_value_of_consignment(quote, move.settings)
        cartons = _in_usual_cartons(rest, quote, move, min([*posted, *([] if cap is None else [cap])], default=None))
        for trips in range(1, min(quote.trips_at_most, 6) + 1):
            sent, left = load_in_order(cartons, quote, trips, move)
            by_post = _by_post(left, move)
            if by_post is not None:
                yield sent + by_post
            if not left:
                break
    if posts:
        by_post = _by_post(_in_usual_cartons(rest, posts[0], move, min(posted, default=None)), move)
        if by_post is not None:
            yield by_post


# Usual cartons


def _in_usual_cartons(
    records: Sequence[Record], quote: Quote, move: Move, most_value: Decimal | None
) -> list[FilledCarton]:
    """Records in shelf order, each sleeve in the carton that is cheapest for it, recordings apart from the rest; small
    remainders of several sleeves together where a carton takes them all."""
    groups: dict[tuple[str, bool], list[Record]] = {}
    for record in records:
        groups.setdefault((record.format.sleeve, record.format.sound_recording), []).append(record)
    cartons: list[FilledCarton] = []
    small: dict[bool, list[Record]] = {}
    for (_, sound), members in groups.items():
        packed = _packed(members, quote, move, most_value)
        if len(packed) == 1 and packed[0].fill < Decimal("0.6"):
            small.setdefault(sound, []).extend(members)
        else:
            cartons += packed
    for members in small.values():
        cartons += _packed(members, quote, move, most_value)
    return cartons


def _packed(members: Sequence[Record], quote: Quote, move: Move, most_value: Decimal | None) -> list[FilledCarton]:
    lines = lines_of(members)
    for carton in _usual_types(members, quote, move):
        try:
            return pack_in_order(lines, box_for(carton, quote, move, most_value))
        except DoesNotFit:
            continue
    by_sleeve: dict[str, list[Record]] = {}
    for record in members:
        by_sleeve.setdefault(record.format.sleeve, []).append(record)
    if len(by_sleeve) == 1:
        return []  # fits nothing that this quote takes; the audit will say that it is missing
    return [carton for each in by_sleeve.values() for carton in _packed(each, quote, move, most_value)]


def _usual_types(members: Sequence[Record], quote: Quote, move: Move) -> list[CartonType]:
    """Carton types that take all these sleeves, the one with the least price for what it holds of them first."""
    stack = sum((r.thickness * r.copies for r in members), Decimal(0))
    weight = sum((r.weight * r.copies for r in members), Decimal(0))
    sleeves = {record.format.sleeve for record in members}

    def price_for_room(carton: CartonType) -> tuple[Decimal, str]:
        box = box_for(carton, quote, move)
        holds = min(box.room * carton.inner_cartons, box.most_weight * stack / weight, stack)
        return carton.price / holds, carton.name

    types = [c for c in cartons_for(next(iter(sorted(sleeves))), move) if sleeves <= set(c.sleeves)]
    return sorted((c for c in types if carton_refusal(c, quote) is None), key=price_for_room)
