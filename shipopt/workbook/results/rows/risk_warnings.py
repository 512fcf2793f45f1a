"""Warnings about risk that hide in a plan that obeys every rule: covers that do not pay for what is likely, cartons
just under the insure rule, too much value on one trip.

Thresholds that are choices of this program say so. Called by the module warnings.
"""

from collections.abc import Callable
from decimal import Decimal

from shipopt.move.money import ZERO
from shipopt.move.plan import Plan, Shipment
from shipopt.move.rules import liability
from shipopt.move.words import Covers

JUST_UNDER = Decimal("0.95")
"""A carton worth this share of the insure threshold, and less than it, is just under it: a choice of this program."""
MUCH = Decimal("0.5")
"""A trip that carries more than this share of all value is said to carry much: a choice of this program."""
NAMED = 6
"""How many cartons or quotes a warning names before it counts the rest."""


def loss_only_where_damage_is_likelier(plan: Plan) -> str:
    """Cartons whose cover pays for loss only, on quotes where damage is likelier than loss."""
    found = [
        shipment
        for shipment in plan.shipments
        if shipment.cover is not None
        and shipment.cover.covers is Covers.LOSS
        and shipment.quote.damage_chance > shipment.quote.loss_chance + shipment.quote.whole_load_loss
    ]
    if not found:
        return ""
    quotes = dict.fromkeys(shipment.quote.name for shipment in found)
    return (
        f"Damage is likelier than loss by {named(list(quotes))}, by the chances used, but the cover of "
        f"{_cartons(found)} pays for loss only."
    )


def excess_above_likely_damage(plan: Plan) -> str:
    """Cartons whose cover includes damage, with an excess that a usual damage does not exceed."""
    share = plan.move.settings.damage_share
    found = [
        shipment
        for shipment in plan.shipments
        if shipment.cover is not None
        and shipment.cover.covers is Covers.LOSS_AND_DAMAGE
        and shipment.quote.damage_chance
        and ZERO < shipment.filled.value * share <= shipment.cover.excess
    ]
    if not found:
        return ""
    return (
        f"The excess of the cover is not below what a damage usually costs ({(share * 100).normalize():f} % of the "
        f"value), so damage is yours to bear all the same: {_cartons(found)}."
    )


def just_under_the_insure_rule(plan: Plan) -> str:
    """Cartons without cover worth a little less than the value from which they would have to be insured."""
    threshold = plan.move.settings.insure_from
    if threshold is None:
        return ""
    found = [
        shipment
        for shipment in plan.shipments
        if shipment.cover is None
        and shipment.quote.insure_rule_applies
        and threshold * JUST_UNDER <= shipment.filled.value < threshold
        and liability(shipment.quote, shipment.filled.gross_weight) < shipment.filled.value
    ]
    if not found:
        return ""
    return (
        f"Worth just under {plan.move.settings.currency.show(threshold)}, from which cartons must be insured, and "
        f"travelling without a cover: {_cartons(found)}."
    )


def much_on_one_trip(plan: Plan) -> str:
    """Trips of several cartons that carry more than half of the value of the whole collection."""
    everything = [shipment.filled for shipment in plan.shipments] + [gone.filled for gone in plan.move.gone]
    whole = sum((filled.value for filled in everything), ZERO)
    found = []
    for (name, trip), carried in plan.trips.items():
        value = sum((shipment.filled.value for shipment in carried), ZERO)
        if carried[0].quote.by_load and len(carried) > 1 and value > MUCH * whole:
            found.append(f"{name}, trip {trip} ({value / whole * 100:.1f} %)")
    if not found:
        return ""
    return f"More than half of the collection's value is on one trip, to be lost together: {named(found)}."


def named(names: list[str]) -> str:
    """Names one after another, no more than a few; the rest are counted."""
    if len(names) <= NAMED:
        return ", ".join(names)
    return f"{', '.join(names[:NAMED])} and {len(names) - NAMED} more"


def _cartons(found: list[Shipment]) -> str:
    word = "carton" if len(found) == 1 else "cartons"
    return f"{word} {named([shipment.filled.number for shipment in found])}"


RISK_CHECKS: tuple[Callable[[Plan], str], ...] = (
    loss_only_where_damage_is_likelier,
    excess_above_likely_damage,
    just_under_the_insure_rule,
    much_on_one_trip,
)
"""Every warning about risk, in the order shown; each gives its text, or nothing."""
