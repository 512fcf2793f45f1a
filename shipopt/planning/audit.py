"""The audit: judges a finished plan by the rules of the move, and never sees a programme.

Every rule of a move is asked of the plan itself, with exact decimals. A plan with a finding is never written. Called
on every plan before it leaves planning; it may be called on a plan from anywhere. Of the house it uses the rooms move
(whose ``rules`` the ways of the programme ask too), pricing and risk, and nothing of planning: no constraint, no
variable, no rounding. ``tests/independent`` asks every rule once more, without the rules, prices and chances of these
rooms.
"""

from collections import Counter
from collections.abc import Iterator
from decimal import Decimal

from shipopt.move.cartons import FilledCarton
from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Plan, Shipment
from shipopt.move.rules import filled_carton_refusal, most_value_of_consignment, must_be_covered, why_out
from shipopt.pricing.billing import outside_volume
from shipopt.pricing.cover import cover_fee
from shipopt.pricing.statement import Refused
from shipopt.pricing.total import price
from shipopt.risk.distribution import loss_distribution
from shipopt.risk.expected import expected_uninsured_loss_of_all


def findings(plan: Plan) -> list[str]:
    """What is wrong with a plan, in words; nothing if it obeys every rule."""
    found = [*_rows_are_the_moves(plan), *_every_copy_once(plan), *_cartons_hold_what_they_may(plan)]
    found += [
        *_ways_are_allowed(plan),
        *_consignments_keep_their_limits(plan),
        *_caps_are_kept(plan),
        *_cartons_suffice(plan),
    ]
    try:
        price(plan.move, plan.shipments)
    except (Refused, ValueError) as refusal:
        found.append(f"it has no price: {refusal}")
    return found


def _rows_are_the_moves(plan: Plan) -> Iterator[str]:
    """Quotes, covers, cartons and records are the move's own: a limit or a price altered on the way is seen."""
    move = plan.move
    loose = {record.place: record for record in move.loose}
    for shipment in plan.shipments:
        filled, quote, cover = shipment.filled, shipment.quote, shipment.cover
        if move.quotes.get(quote.name) != quote:
            yield f"carton {filled.number}: {quote.name} is no quote of the move"
        if cover is not None and move.covers.get(cover.name) != cover:
            yield f"carton {filled.number}: {cover.name} is no cover of the move"
        if filled.closed_by_user:
            if filled not in move.to_go:
                yield f"carton {filled.number}: not as the user closed it"
            continue
        if move.cartons.get(filled.carton.name) != filled.carton:
            yield f"carton {filled.number}: {filled.carton.name} is no carton of the move"
        if not filled.portions or any(portion.copies < 1 for portion in filled.portions):
            yield f"carton {filled.number}: it holds nothing, or a portion of nothing"
        for portion in filled.portions:
            if loose.get(portion.record.place) != portion.record:
                yield f"carton {filled.number}: {portion.record.record_id} is no loose record of the move"


def _every_copy_once(plan: Plan) -> Iterator[str]:
    packed: Counter[tuple[int, int]] = Counter()
    for shipment in plan.shipments:
        if not shipment.filled.closed_by_user:
            for portion in shipment.filled.portions:
                packed.update((portion.record.place, portion.first + n) for n in range(portion.copies))
    wanted = {(record.place, n + 1) for record in plan.move.loose for n in range(record.copies)}
    for place, copy in sorted(wanted ^ packed.keys()):
        yield f"record in row {place + 1} of the shelves, copy {copy}: not packed, or not to be packed"
    yield from (f"record at place {p + 1}, copy {c}: packed {n} times" for (p, c), n in packed.items() if n > 1)
    closed = sorted(s.filled.number for s in plan.shipments if s.filled.closed_by_user)
    if closed != sorted(filled.number for filled in plan.move.to_go):
        yield "the closed cartons that have to go are not those of the plan"
    numbers = Counter(s.filled.number for s in plan.shipments)
    yield from (f"carton number {number} stands for {n} cartons" for number, n in numbers.items() if n > 1)


def _cartons_hold_what_they_may(plan: Plan) -> Iterator[str]:
    for shipment in plan.shipments:
        filled = shipment.filled
        if filled.closed_by_user:
            continue
        yield from _sums_are_right(filled)
        room = filled.carton.room_in_each(plan.move.settings.fill_most)
        for inner in range(1, filled.carton.inner_cartons + 1):
            stack = sum((p.record.thickness * p.copies for p in filled.portions if p.inner == inner), ZERO)
            if stack > room:
                yield f"carton {filled.number}: stack of {stack} in room for {room}"
        for portion in filled.portions:
            if portion.record.format.sleeve not in filled.carton.sleeves:
                yield f"carton {filled.number}: takes no {portion.record.format.sleeve} sleeves"
            if not 1 <= portion.inner <= filled.carton.inner_cartons:
                yield f"carton {filled.number}: has no inner carton {portion.inner}"


def _sums_are_right(filled: FilledCarton) -> Iterator[str]:
    weight = filled.carton.empty_weight + sum((p.record.weight * p.copies for p in filled.portions), ZERO)
    value = sum((p.record.value * p.copies for p in filled.portions), ZERO)
    care = tuple(sorted({p.record.care for p in filled.portions}))
    sound = all(p.record.format.sound_recording for p in filled.portions)
    must = {p.record.must_go_by for p in filled.portions if p.record.must_go_by}
    count = sum(p.copies for p in filled.portions)
    said = (filled.gross_weight, filled.value, filled.care, filled.recordings_only, set(filled.must_go_by))
    if said != (weight, value, care, sound, must) or filled.records != count:
        yield f"carton {filled.number}: its totals are not those of its contents"


def _ways_are_allowed(plan: Plan) -> Iterator[str]:
    move = plan.move
    for shipment in plan.shipments:
        filled, quote, cover = shipment.filled, shipment.quote, shipment.cover
        out = why_out(quote, move.settings)
        refusal = out or filled_carton_refusal(filled, quote, move)
        if refusal:
            yield f"carton {filled.number} by {quote.name}: {refusal}"
        if not 1 <= shipment.trip <= (quote.trips_at_most if quote.by_load else 1):
            yield f"carton {filled.number}: {quote.name} makes no trip {shipment.trip}"
        if cover is None and must_be_covered(filled, quote, move.settings):
            yield f"carton {filled.number} by {quote.name}: has to be covered"
        if cover is not None:
            if not cover.offered_to(quote.name):
                yield f"carton {filled.number}: {cover.name} is not for {quote.name}"
            if cover_fee(cover, filled.value, move.settings.currency) is None:
                yield f"carton {filled.number}: {cover.name} does not reach its value"


def _consignments_keep_their_limits(plan: Plan) -> Iterator[str]:
    for (name, trip), shipments in plan.trips.items():
        quote = plan.move.quotes[name]
        if not quote.by_load:
            continue
        totals: tuple[tuple[str, Decimal | int, Decimal | int | None], ...] = (
            ("cartons", len(shipments), quote.most_cartons),
            ("weight", sum(s.filled.gross_weight for s in shipments), quote.most_weight),
            ("volume", _volume(plan.move, shipments), quote.most_volume),
            (
                "value",
                sum(s.filled.value for s in shipments),
                most_value_of_consignment(quote, plan.move.settings),
            ),
        )
        for measure, total, most in totals:
            if most is not None and total > most:
                yield f"{name}, trip {trip}: {measure} {total} above {most}"


def _volume(move: Move, shipments: tuple[Shipment, ...]) -> Decimal:
    return sum((outside_volume(s.filled.carton, move.settings.units) for s in shipments), ZERO)


def _caps_are_kept(plan: Plan) -> Iterator[str]:
    cap = plan.move.settings.most_expected_loss
    if cap is not None:
        loss = expected_uninsured_loss_of_all(plan.move, plan.shipments)
        if loss > cap:
            yield f"expected uninsured loss {loss} above {cap}"
    cap = plan.move.settings.most_tail_mean
    if cap is not None:
        losses = loss_distribution(plan.move, plan.shipments)
        if losses.tail_mean + losses.tail_mean_error > cap:
            yield f"mean of the worst 5 % of outcomes {losses.tail_mean}, with its error, above {cap}"


def _cartons_suffice(plan: Plan) -> Iterator[str]:
    used = Counter(s.filled.carton.name for s in plan.shipments if not s.filled.closed_by_user)
    for name, number in used.items():
        most = plan.move.cartons[name].most
        if most is not None and number > most:
            yield f"{number} cartons {name}, at most {most} may be used"
