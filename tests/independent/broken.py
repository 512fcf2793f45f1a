"""Every rule of a move, asked of a plan: a list of what it breaks, empty for a plan that obeys them all.

Written from the written rules; neither the program's audit nor its rules module is used. Room in inner cartons,
copies, care, dates, limits, duties to insure and caps are all asked. Called by tests only.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import timedelta
from fractions import Fraction

from independent.distribution import worst_mean_of
from independent.recompute import (
    NoPriceError,
    billed,
    card_price,
    expected_loss,
    fee,
    insured_values,
    loads,
    owed_without_cover,
    volume,
)
from shipopt.move.care import CareLevel
from shipopt.move.cartons import CartonType, FilledCarton
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.quotes import Quote
from shipopt.move.words import Consignment


def broken_rules(move: Move, shipments: Sequence[Shipment]) -> list[str]:
    """What these shipments break, in words; empty where they obey every rule.

    The average of the worst 5 % lists every outcome: with that cap, for small plans only.
    """
    found = [*_copies(move, shipments), *_closed_cartons(move, shipments)]
    found += [f"{number} is the number of {n} cartons" for number, n in _numbers(shipments).items() if n > 1]
    for shipment in shipments:
        found += [f"carton {shipment.filled.number}: {fault}" for fault in carton_faults(move, shipment)]
    for (quote_name, trip), load in loads(move, shipments).items():
        found += [f"{quote_name} trip {trip}: {fault}" for fault in trip_faults(move, move.quotes[quote_name], load)]
    return [*found, *_most_to_use(move, shipments), *_fees_to_be_had(move, shipments), *_loss_caps(move, shipments)]


def carton_faults(move: Move, shipment: Shipment) -> list[str]:
    """What one carton on its way breaks by itself."""
    filled, quote = shipment.filled, shipment.quote
    found = [] if filled.closed_by_user else list(packing_faults(move, filled))
    if move.quotes.get(quote.name) != quote:
        found.append(f"{quote.name} is no quote of the move")
    found += out_of_the_question(move, quote)
    found += carton_type_faults(filled.carton, quote)
    found += content_faults(move, filled, quote)
    found += weight_faults(move, filled, quote)
    return found + list(_cover_faults(move, shipment))


# What is in the cartons


def _numbers(shipments: Sequence[Shipment]) -> Counter[str]:
    return Counter(shipment.filled.number for shipment in shipments)


def _copies(move: Move, shipments: Sequence[Shipment]) -> Iterator[str]:
    """Each copy of each loose record exactly once, and nothing that is not a loose record."""
    seen: Counter[tuple[str, int]] = Counter()
    loose = {record.record_id: record for record in move.records if record.packed_in is None}
    for shipment in shipments:
        if shipment.filled.closed_by_user:
            continue
        for portion in shipment.filled.portions:
            if loose.get(portion.record.record_id) != portion.record:
                yield f"{portion.record.record_id} is no loose record"
            for copy in range(portion.first, portion.first + portion.copies):
                seen[portion.record.record_id, copy] += 1
    due = {(record.record_id, copy) for record in loose.values() for copy in range(1, record.copies + 1)}
    yield from (
        f"copy {copy} of {name} goes {seen[name, copy]} times" for name, copy in sorted(due) if seen[name, copy] != 1
    )
    yield from (f"copy {copy} of {name} does not exist" for name, copy in sorted(set(seen) - due))


def _closed_cartons(move: Move, shipments: Sequence[Shipment]) -> Iterator[str]:
    """Closed cartons that are to go, each once and as the user closed it; those gone, not again."""
    going = [shipment.filled for shipment in shipments if shipment.filled.closed_by_user]
    for filled in move.to_go:
        if going.count(filled) != 1:
            yield f"closed carton {filled.number} goes {going.count(filled)} times"
    yield from (f"closed carton {filled.number} is not to go" for filled in going if filled not in move.to_go)


def packing_faults(move: Move, filled: FilledCarton) -> Iterator[str]:
    """Sleeves, room in each inner carton, and whether the carton's sums are those of its records."""
    carton = filled.carton
    if move.cartons.get(carton.name) != carton:
        yield f"{carton.name} is no carton of the move"
    if not filled.portions or any(portion.copies < 1 for portion in filled.portions):
        yield "it holds nothing, or a portion of nothing"
    for portion in filled.portions:
        if portion.record.format.sleeve not in carton.sleeves:
            yield f"{carton.name} takes no {portion.record.format.sleeve} sleeves"
        if not 1 <= portion.inner <= carton.inner_cartons:
            yield f"there is no inner carton {portion.inner}"
    each = Fraction(carton.stack_length) * Fraction(move.settings.fill_most) / carton.inner_cartons
    for inner in range(1, carton.inner_cartons + 1):
        stack = sum(Fraction(p.record.thickness) * p.copies for p in filled.portions if p.inner == inner)
        if stack > each:
            yield f"inner carton {inner} is filled {float(stack):g}, over {float(each):g}"
    yield from _sums(filled)


def _sums(filled: FilledCarton) -> Iterator[str]:
    records = [(portion.record, portion.copies) for portion in filled.portions]
    stated = {
        "weight": (filled.gross_weight, sum(r.weight * n for r, n in records) + filled.carton.empty_weight),
        "value": (filled.value, sum(r.value * n for r, n in records)),
        "stack": (filled.stack, sum(r.thickness * n for r, n in records)),
        "number of records": (filled.records, sum(n for _, n in records)),
        "care": (set(filled.care), {r.care for r, _ in records}),
        "recordings only": (filled.recordings_only, all(r.format.sound_recording for r, _ in records)),
        "must go by": (set(filled.must_go_by), {r.must_go_by for r, _ in records if r.must_go_by}),
    }
    yield from (f"its {name} is stated {said}, not {is_}" for name, (said, is_) in stated.items() if said != is_)


def _most_to_use(move: Move, shipments: Sequence[Shipment]) -> Iterator[str]:
    used = Counter(shipment.filled.carton.name for shipment in shipments if not shipment.filled.closed_by_user)
    for name, count in used.items():
        most = move.cartons[name].most
        if most is not None and count > most:
            yield f"{count} of {name} are used, at most {most} may be"


# Whether a quote takes them


def out_of_the_question(move: Move, quote: Quote) -> list[str]:
    """Why the quote is out: not considered, expired, collects too early, arrives too late."""
    settings, found = move.settings, []
    if not quote.consider:
        found.append(f"{quote.name} is not considered")
    if settings.decide_on is not None and quote.valid_until is not None and quote.valid_until < settings.decide_on:
        found.append(f"{quote.name} has expired")
    if settings.ready_on is not None and quote.collect_until is not None and quote.collect_until < settings.ready_on:
        found.append(f"{quote.name} collects too early")
    starts = [day for day in (settings.ready_on, quote.collect_from) if day is not None]
    if starts and settings.needed_by is not None:
        latest = max(starts) + timedelta(days=quote.transit_days or 0)
        if latest > settings.needed_by:
            found.append(f"{quote.name} arrives too late")
    return found


def carton_type_faults(carton: CartonType, quote: Quote) -> list[str]:
    """Whether the quote takes this type of carton: by name, longest side, length plus girth."""
    found = []
    if quote.cartons_accepted is not None and carton.name not in quote.cartons_accepted:
        found.append(f"{quote.name} does not accept {carton.name}")
    low, middle, high = sorted([carton.length, carton.width, carton.height])
    if quote.carton_length_limit is not None and high > quote.carton_length_limit:
        found.append(f"{carton.name} is too long for {quote.name}")
    if quote.carton_girth_limit is not None and high + 2 * low + 2 * middle > quote.carton_girth_limit:
        found.append(f"{carton.name} is too large round for {quote.name}")
    return found


def content_faults(move: Move, filled: FilledCarton, quote: Quote) -> list[str]:
    """Care of everything inside, what is pinned, recordings only."""
    found = [f"{name} may not go by {quote.name}" for name in filled.care if not care_allows(move.care[name], quote)]
    found += [f"it must go by {name}" for name in filled.must_go_by if name != quote.name]
    if quote.recordings_only and not filled.recordings_only:
        found.append(f"{quote.name} takes recordings only")
    return found


def care_allows(level: CareLevel, quote: Quote) -> bool:
    """Whether a care level may travel by a quote: its means, its needs, its loss chance."""
    has_all = (
        (quote.closed_body or not level.needs_closed_body)
        and (quote.temperature_held or not level.needs_temperature_held)
        and (quote.tracked or not level.needs_tracking)
        and (quote.sole_use or not level.needs_sole_use)
    )
    chance = Fraction(quote.loss_chance) + Fraction(quote.whole_load_loss)
    safe = level.most_loss_chance is None or chance <= Fraction(level.most_loss_chance)
    return quote.means in level.means and has_all and safe


def weight_faults(move: Move, filled: FilledCarton, quote: Quote) -> list[str]:
    """The carton's weight against each of its three limits, and against the rate card's last step."""
    limits = {
        "its own gross limit": filled.carton.gross_limit,
        "the quote's limit": quote.carton_weight_limit,
        "the heaviest to lift": move.settings.heaviest_carton,
    }
    found = [f"over {what}" for what, most in limits.items() if most is not None and filled.gross_weight > most]
    try:
        card_price(quote, billed(move, filled, quote))
    except NoPriceError as refusal:
        found.append(str(refusal))
    return found


# Trips


def trip_faults(move: Move, quote: Quote, load: Sequence[Shipment]) -> list[str]:
    """What one consignment breaks: a trip of a load, or each carton of a quote by the carton."""
    values = [Fraction(shipment.filled.value) for shipment in load]
    if quote.consignment is Consignment.CARTON:
        return [fault for value in values for fault in _value_faults(move, quote, value)]
    found = _value_faults(move, quote, sum(values))
    if not 1 <= load[0].trip <= quote.trips_at_most:
        found.append("there is no such trip")
    if quote.most_cartons is not None and len(load) > quote.most_cartons:
        found.append("too many cartons")
    if quote.most_weight is not None and sum(s.filled.gross_weight for s in load) > quote.most_weight:
        found.append("too much weight")
    if quote.most_volume is not None and sum(volume(move, s.filled.carton) for s in load) > Fraction(quote.most_volume):
        found.append("too much volume")
    return found


def _value_faults(move: Move, quote: Quote, value: Fraction) -> list[str]:
    caps = (quote.most_value, move.settings.most_value_on_consignment)
    return [f"worth more than {cap}" for cap in caps if cap is not None and value > Fraction(cap)]


# Cover and loss


def _cover_faults(move: Move, shipment: Shipment) -> Iterator[str]:
    filled, quote, cover = shipment.filled, shipment.quote, shipment.cover
    if cover is not None and move.covers.get(cover.name) != cover:
        yield f"{cover.name} is no cover of the move"
    if cover is not None and cover.for_quotes is not None and quote.name not in cover.for_quotes:
        yield f"{cover.name} is not for {quote.name}"
    if cover is None and must_insure(move, filled, quote):
        yield "it must be insured"


def must_insure(move: Move, filled: FilledCarton, quote: Quote) -> bool:
    """Whether the insure rule asks for a cover."""
    threshold = move.settings.insure_from
    if threshold is None or not quote.insure_rule_applies or filled.value < threshold:
        return False
    return owed_without_cover(quote, filled.gross_weight) < Fraction(filled.value)


def _fees_to_be_had(move: Move, shipments: Iterable[Shipment]) -> Iterator[str]:
    for cover, value in insured_values(list(shipments)).values():
        try:
            fee(move, cover, value)
        except NoPriceError as refusal:
            yield str(refusal)


def _loss_caps(move: Move, shipments: Sequence[Shipment]) -> Iterator[str]:
    cap = move.settings.most_expected_loss
    loss = expected_loss(move, shipments)
    if cap is not None and loss > Fraction(cap):
        yield f"expected uninsured loss {float(loss):.4f} is over {cap}"
    most = move.settings.most_tail_mean
    if most is not None and worst_mean_of(move, shipments) > Fraction(most):
        yield f"the average of the worst 5 % is over {most}"
