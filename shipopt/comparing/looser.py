"""Every rule and limit of a move one step looser, each as a move of its own, with how much of it the plan uses.

A step is one somebody can ask for: one carton more of room, a cap a tenth higher, three days more, a care level let by
one more means. Rules that a step would not change for this plan's records are left out. Nothing is solved here. Called
by the module binding.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from decimal import Decimal

from shipopt.comparing.prices import with_quote
from shipopt.move.care import CareLevel
from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Plan, Shipment
from shipopt.move.quotes import Quote
from shipopt.move.rules import care_refusal, most_value_of_consignment, quotes_in, why_out
from shipopt.move.settings import Settings
from shipopt.move.words import Means, Units
from shipopt.pricing.billing import outside_volume
from shipopt.risk.expected import expected_uninsured_loss_of_all

A_TENTH_MORE = Decimal("1.1")
MORE_TO_LIFT = {Units.POUND_INCH: Decimal(5), Units.KILOGRAM_CENTIMETRE: Decimal(2)}
FULLER = Decimal("0.01")
MORE_DAYS = 3


@dataclass(frozen=True, slots=True)
class Looser:
    """One rule a step looser: the rule's name, what it is now, what the step makes it, how the plan stands to it now
    (all in words), and the move with it."""

    rule: str
    now: str
    step: str
    stands: str
    move: Move


def looser_rules(plan: Plan) -> list[Looser]:
    """Every rule and limit of the plan's move one step looser, in a fixed order."""
    parts = (_caps, _settings, _quotes_out, _rooms, _carton_stocks, _care_by_means, _care_needs, _pins)
    return [each for part in parts for each in part(plan)]


def _caps(plan: Plan) -> Iterator[Looser]:
    settings = plan.move.settings
    show = settings.currency.show
    if settings.most_value_on_consignment is not None:
        most = max((sum((s.filled.value for s in trip), ZERO) for trip in _consignments(plan)), default=ZERO)
        yield _raised(plan, "Most value on one consignment", "most_value_on_consignment", f"the most is {show(most)}")
    if settings.most_expected_loss is not None:
        loss = expected_uninsured_loss_of_all(plan.move, plan.shipments)
        yield _raised(plan, "Expected uninsured loss at most", "most_expected_loss", f"it is {show(loss)}")
    if settings.most_tail_mean is not None:
        yield _raised(plan, "Average of worst 5% at most", "most_tail_mean", "")
    if settings.insure_from is not None:
        over = sum(s.filled.value >= settings.insure_from for s in plan.shipments)
        yield _raised(plan, "Insure cartons worth at least", "insure_from", f"{_cartons(over)} at or above it")


def _raised(plan: Plan, rule: str, field: str, stands: str) -> Looser:
    """A setting in money, a tenth higher."""
    settings = plan.move.settings
    now: Decimal = getattr(settings, field)
    more = settings.currency.round(now * A_TENTH_MORE)
    show = settings.currency.show
    return Looser(rule, show(now), f"a tenth more: {show(more)}", stands, _set(plan.move, **{field: more}))


def _settings(plan: Plan) -> Iterator[Looser]:
    settings = plan.move.settings
    unit = settings.units.weight
    heaviest = settings.heaviest_carton
    more = heaviest + MORE_TO_LIFT[settings.units]
    weight = max((s.filled.gross_weight for s in plan.shipments), default=ZERO)
    yield Looser(
        "Heaviest carton to lift",
        f"{heaviest:f} {unit}",
        f"{more:f} {unit}, if whoever lifts it can",
        f"the heaviest weighs {weight:.1f} {unit}",
        _set(plan.move, heaviest_carton=more),
    )
    fuller = min(Decimal(1), settings.fill_most + FULLER)
    if fuller > settings.fill_most:
        fill = max((s.filled.fill for s in plan.shipments if not s.filled.closed_by_user), default=ZERO)
        yield Looser(
            "Fill at most %",
            _percent(settings.fill_most),
            _percent(fuller),
            f"the fullest is at {_percent(round(fill, 4))}",
            _set(plan.move, fill_most=fuller),
        )
    if settings.needed_by is not None:
        later = settings.needed_by + timedelta(days=MORE_DAYS)
        move = _set(plan.move, needed_by=later)
        gained = [quote.name for quote in quotes_in(move) if why_out(quote, settings)]
        if gained:
            yield Looser("Needed by", f"{settings.needed_by}", f"{later}", f"lets in {', '.join(gained)}", move)


def _quotes_out(plan: Plan) -> Iterator[Looser]:
    """Quotes that are out for their dates, as if their dates were no matter."""
    for quote in plan.move.quotes.values():
        out = why_out(quote, plan.move.settings)
        if out and quote.consider:
            asked = replace(quote, valid_until=None, collect_from=None, collect_until=None, transit_days=None)
            if why_out(asked, plan.move.settings) is None:
                move = with_quote(plan.move, asked)
                yield Looser(f"Dates of {quote.name}", out, "dates that suit", "takes no part", move)


def _rooms(plan: Plan) -> Iterator[Looser]:
    """Room for one more carton on each trip, or where only its value is limited one more trip, by loads in the plan."""
    for name in dict.fromkeys(shipment.quote.name for shipment in plan.shipments):
        quote = plan.move.quotes[name]
        if quote.by_load:
            roomier = _roomier(plan, quote)
            if roomier != quote:
                stands = "; ".join(_used_of(plan, quote))
                move = with_quote(plan.move, roomier)
                yield Looser(f"Room with {name}", "its limits of a trip", "one carton more", stands, move)
            elif most_value_of_consignment(quote, plan.move.settings) is not None:
                trips = quote.trips_at_most
                used = len({shipment.trip for shipment in plan.shipments if shipment.quote.name == name})
                if used == trips:
                    move = with_quote(plan.move, replace(quote, trips_at_most=trips + 1))
                    yield Looser(f"Trips by {name}", f"{trips} at most", f"{trips + 1} at most", "all used", move)


def _roomier(plan: Plan, quote: Quote) -> Quote:
    """The quote with every limit of a trip raised by one carton like the largest it carries now."""
    carried = [shipment.filled for shipment in plan.shipments if shipment.quote.name == quote.name]
    weight = max(filled.gross_weight for filled in carried)
    volume = max(outside_volume(filled.carton, plan.move.settings.units) for filled in carried)
    return replace(
        quote,
        most_cartons=None if quote.most_cartons is None else quote.most_cartons + 1,
        most_weight=None if quote.most_weight is None else quote.most_weight + weight,
        most_volume=None if quote.most_volume is None else quote.most_volume + volume,
    )


def _used_of(plan: Plan, quote: Quote) -> Iterator[str]:
    """How far the fullest trip of a quote goes towards each of its limits."""
    units = plan.move.settings.units
    trips = [trip for (name, _), trip in plan.trips.items() if name == quote.name]
    if quote.most_cartons is not None:
        yield f"{max(map(len, trips))} of {_cartons(quote.most_cartons)}"
    if quote.most_weight is not None:
        weight = max(sum((s.filled.gross_weight for s in trip), ZERO) for trip in trips)
        yield f"{weight:.1f} of {quote.most_weight:f} {units.weight}"
    if quote.most_volume is not None:
        volume = max(sum((outside_volume(s.filled.carton, units) for s in trip), ZERO) for trip in trips)
        yield f"{volume:.2f} of {quote.most_volume:f} {units.volume}"


def _carton_stocks(plan: Plan) -> Iterator[Looser]:
    for carton in plan.move.cartons.values():
        used = sum(shipment.filled.carton.name == carton.name for shipment in plan.shipments)
        if carton.most is not None:
            move = replace(
                plan.move,
                cartons={
                    name: replace(each, most=carton.most + 1) if name == carton.name else each
                    for name, each in plan.move.cartons.items()
                },
            )
            now = f"{carton.most} at most"
            yield Looser(f"{carton.name} to use", now, f"{carton.most + 1} at most", f"{used} used", move)


def _care_by_means(plan: Plan) -> Iterator[Looser]:
    """Each care level in use let by one more means that some quote offers."""
    offered = {quote.means for quote in quotes_in(plan.move)}
    for level in _levels_in_use(plan):
        for means in Means:
            if means in offered and means not in level.means:
                wider = replace(level, means=level.means | {means})
                now = "not by " + means.value
                yield _with_care(plan, wider, f"Care {level.name}", now, f"let by {means.value} too")


def _care_needs(plan: Plan) -> Iterator[Looser]:
    """Each need of a care level waived, and its loss chance doubled, where that lets in a quote."""
    waived: Callable[..., CareLevel] = replace
    for level in _levels_in_use(plan):
        for field, words in (
            ("needs_closed_body", "a closed body"),
            ("needs_temperature_held", "temperature held"),
            ("needs_tracking", "tracking"),
            ("needs_sole_use", "sole use"),
        ):
            if getattr(level, field):
                wider = waived(level, **{field: False})
                if _lets_in(plan, level, wider):
                    yield _with_care(plan, wider, f"Care {level.name}", f"needs {words}", f"without {words}")
        if level.most_loss_chance is not None:
            wider = replace(level, most_loss_chance=level.most_loss_chance * 2)
            if _lets_in(plan, level, wider):
                now = f"loss chance at most {_percent(level.most_loss_chance)}"
                yield _with_care(plan, wider, f"Care {level.name}", now, "twice that")


def _levels_in_use(plan: Plan) -> list[CareLevel]:
    used = {name for shipment in plan.shipments for name in shipment.filled.care}
    return [level for level in plan.move.care.values() if level.name in used]


def _lets_in(plan: Plan, level: CareLevel, wider: CareLevel) -> bool:
    return any(care_refusal(level, quote) and not care_refusal(wider, quote) for quote in quotes_in(plan.move))


def _with_care(plan: Plan, level: CareLevel, rule: str, now: str, step: str) -> Looser:
    care = {name: level if name == level.name else old for name, old in plan.move.care.items()}
    holding = sum(level.name in shipment.filled.care for shipment in plan.shipments)
    return Looser(rule, now, step, f"in {_cartons(holding)}", replace(plan.move, care=care))


def _pins(plan: Plan) -> Iterator[Looser]:
    """Records that must go by a quote, free to go by any."""
    names = dict.fromkeys(r.must_go_by for r in plan.move.loose if r.must_go_by is not None)
    for name in names:
        records = tuple(replace(r, must_go_by=None) if r.must_go_by == name else r for r in plan.move.records)
        pinned = sum(record.copies for record in plan.move.loose if record.must_go_by == name)
        move = replace(plan.move, records=records)
        yield Looser("Must go by", f"{name}", "any quote", f"{pinned} records", move)


def _set(move: Move, **fields: Decimal | object) -> Move:
    changed: Callable[..., Settings] = replace
    return replace(move, settings=changed(move.settings, **fields))


def _consignments(plan: Plan) -> Iterator[tuple[Shipment, ...]]:
    for shipments in plan.trips.values():
        if shipments[0].quote.by_load:
            yield shipments
        else:
            yield from ((shipment,) for shipment in shipments)


def _percent(share: Decimal) -> str:
    return f"{(share * 100).normalize():f} %"


def _cartons(number: int) -> str:
    return "1 carton" if number == 1 else f"{number} cartons"
