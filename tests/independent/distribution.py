"""The exact distribution of a small plan's uninsured loss, every outcome listed, in fractions.

Written from the written rules. A trip of a load is one consignment, lost as a whole or carton by carton; a carton that
is its own consignment meets its fate alone; cartons sent by a load are taken to be on one trip of their own. Most
liability caps what the carrier pays for one consignment beyond what covers pay. Called by tests only.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from fractions import Fraction

from independent.recompute import owed_without_cover
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.words import Consignment, Covers, Status

WORST = Fraction(1, 20)

Law = dict[Fraction, Fraction]
"""Chance of each loss."""
Harm = tuple[Fraction, Fraction]
"""What the owner bears if the carrier pays nothing, and what the carrier owes of that."""


def loss_law(move: Move, shipments: Sequence[Shipment]) -> Law:
    """Chance of each uninsured loss of these shipments and of the cartons still on their way."""
    law: Law = {Fraction(0): Fraction(1)}
    for consignment in [*_consignments(shipments), *_consignments(still_going(move))]:
        law = _sum_of(law, _consignment_law(move, consignment))
    return law


def mean(law: Law) -> Fraction:
    """The expectation."""
    return sum((loss * chance for loss, chance in law.items()), Fraction(0))


def worst_mean(law: Law, share: Fraction = WORST) -> Fraction:
    """The mean over the worst share of outcomes; the outcome at its edge counts in part."""
    left, total = share, Fraction(0)
    for loss in sorted(law, reverse=True):
        taken = min(left, law[loss])
        total, left = total + taken * loss, left - taken
    return total / share


def worst_mean_of(move: Move, shipments: Sequence[Shipment]) -> Fraction:
    """Average of the worst 5 % of outcomes of a plan."""
    return worst_mean(loss_law(move, shipments))


def chance_of_harm(move: Move, shipment: Shipment) -> Fraction:
    """Chance that the owner of one carton bears something if the carrier pays nothing."""
    quote = shipment.quote
    lost = Fraction(quote.loss_chance) + Fraction(quote.whole_load_loss)
    hurt = Fraction(quote.damage_chance) * Fraction(shipment.filled.carton.damage_factor)
    return (lost if _lost(shipment)[0] else Fraction(0)) + (hurt if _hurt(move, shipment)[0] else Fraction(0))


def still_going(move: Move) -> list[Shipment]:
    """Cartons that are sent and have not arrived."""
    return [
        Shipment(gone.filled, move.quotes[gone.gone_by], cover=move.covers[gone.cover] if gone.cover else None)
        for gone in move.gone
        if gone.status is Status.SENT and gone.gone_by is not None
    ]


def _consignments(shipments: Iterable[Shipment]) -> list[list[Shipment]]:
    loads: dict[tuple[str, int], list[Shipment]] = defaultdict(list)
    alone = []
    for shipment in shipments:
        if shipment.quote.consignment is Consignment.LOAD:
            loads[shipment.quote.name, shipment.trip].append(shipment)
        else:
            alone.append([shipment])
    return [*loads.values(), *alone]


def _consignment_law(move: Move, load: Sequence[Shipment]) -> Law:
    """Lost as a whole, or each carton lost, damaged or neither, with what chance is left."""
    quote = load[0].quote
    whole = Fraction(quote.whole_load_loss)
    fates: dict[Harm, Fraction] = {(Fraction(0), Fraction(0)): 1 - whole}
    for shipment in load:
        fates = _with_carton(move, fates, shipment, 1 - whole)
    all_lost = [_lost(shipment) for shipment in load]
    together = (sum(bare for bare, _ in all_lost), sum(owed for _, owed in all_lost))
    fates[together] = fates.get(together, Fraction(0)) + whole
    cap = quote.most_liability
    law: Law = defaultdict(Fraction)
    for (bare, owed), chance in fates.items():
        law[bare - (owed if cap is None else min(owed, Fraction(cap)))] += chance
    return law


def _with_carton(
    move: Move, fates: dict[Harm, Fraction], shipment: Shipment, not_whole: Fraction
) -> dict[Harm, Fraction]:
    quote = shipment.quote
    lost = Fraction(quote.loss_chance) / not_whole
    hurt = Fraction(quote.damage_chance) * Fraction(shipment.filled.carton.damage_factor) / not_whole
    own = [((Fraction(0), Fraction(0)), 1 - lost - hurt), (_lost(shipment), lost), (_hurt(move, shipment), hurt)]
    found: dict[Harm, Fraction] = defaultdict(Fraction)
    for (bare, owed), chance in fates.items():
        for (more_bare, more_owed), own_chance in own:
            found[bare + more_bare, owed + more_owed] += chance * own_chance
    return dict(found)


def _lost(shipment: Shipment) -> Harm:
    value = Fraction(shipment.filled.value)
    cover = shipment.cover
    paid = max(Fraction(0), value - Fraction(cover.excess)) if cover is not None else Fraction(0)
    return value - paid, max(Fraction(0), min(value, _owed(shipment)) - paid)


def _hurt(move: Move, shipment: Shipment) -> Harm:
    harm = Fraction(shipment.filled.value) * Fraction(move.settings.damage_share)
    cover, paid, owed = shipment.cover, Fraction(0), Fraction(0)
    if cover is not None and cover.covers is Covers.LOSS_AND_DAMAGE:
        paid = max(Fraction(0), harm - Fraction(cover.excess))
    if shipment.quote.liability_covers is Covers.LOSS_AND_DAMAGE:
        owed = max(Fraction(0), min(harm, _owed(shipment)) - paid)
    return harm - paid, owed


def _owed(shipment: Shipment) -> Fraction:
    return owed_without_cover(shipment.quote, shipment.filled.gross_weight)


def _sum_of(one: Law, other: Law) -> Law:
    found: Law = defaultdict(Fraction)
    for a, chance_a in one.items():
        for b, chance_b in other.items():
            found[a + b] += chance_a * chance_b
    return dict(found)
