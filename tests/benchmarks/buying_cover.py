"""Cover as people buy it: the cheapest where the insure rule asks, then, where expected uninsured loss is capped, what
saves most loss for its fee until the cap is kept.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal

from shipopt.move.cover import Cover
from shipopt.move.move import Move
from shipopt.move.plan import Shipment, by_trip
from shipopt.move.rules import must_be_covered
from shipopt.move.words import CoverBasis
from shipopt.pricing.cover import cover_fee
from shipopt.risk.expected import expected_uninsured_loss, expected_uninsured_loss_of_all


def with_cover(shipments: Sequence[Shipment], move: Move) -> list[Shipment] | None:
    """The shipments with the cover they need; None if some must have a cover and none is to be had."""
    covered = _as_the_rule_asks(list(shipments), move)
    if covered is None:
        return None
    cap = move.settings.most_expected_loss
    return covered if cap is None else _under_the_cap(covered, cap, move)


def _as_the_rule_asks(shipments: list[Shipment], move: Move) -> list[Shipment] | None:
    for (name, _), together in by_trip(move, shipments).items():
        needy = [s for s in together if must_be_covered(s.filled, s.quote, move.settings)]
        if not needy:
            continue
        singly = [_cheapest_alone(shipment, move) for shipment in needy]
        whole = _cheapest_for_all(name, needy, move) if needy[0].quote.by_load else None
        alone = sum((fee for fee, _ in singly if fee is not None), Decimal(0))
        possible = all(cover is not None for _, cover in singly)
        if whole is not None and (not possible or whole[0] < alone):
            chosen: list[Cover | None] = [whole[1]] * len(needy)
        elif possible:
            chosen = [cover for _, cover in singly]
        else:
            return None
        by_number = {s.filled.number: cover for s, cover in zip(needy, chosen, strict=True)}
        shipments = [replace(s, cover=by_number.get(s.filled.number, s.cover)) for s in shipments]
    return shipments


def _cheapest_alone(shipment: Shipment, move: Move) -> tuple[Decimal | None, Cover | None]:
    best: tuple[Decimal | None, Cover | None] = (None, None)
    for cover in move.covers.values():
        if cover.offered_to(shipment.quote.name) and not _by_trip(cover, shipment):
            fee = cover_fee(cover, shipment.filled.value, move.settings.currency)
            if fee is not None and (best[0] is None or fee < best[0]):
                best = (fee, cover)
    return best


def _cheapest_for_all(quote_name: str, needy: Sequence[Shipment], move: Move) -> tuple[Decimal, Cover] | None:
    value = sum((shipment.filled.value for shipment in needy), Decimal(0))
    fees = [
        (fee, cover.name)
        for cover in move.covers.values()
        if cover.basis is CoverBasis.CONSIGNMENT and cover.offered_to(quote_name)
        if (fee := cover_fee(cover, value, move.settings.currency)) is not None
    ]
    return (min(fees)[0], move.covers[min(fees)[1]]) if fees else None


def _by_trip(cover: Cover, shipment: Shipment) -> bool:
    return cover.basis is CoverBasis.CONSIGNMENT and shipment.quote.by_load


def _under_the_cap(shipments: list[Shipment], cap: Decimal, move: Move) -> list[Shipment] | None:
    loss = expected_uninsured_loss_of_all(move, shipments)
    place_of = {shipment.filled.number: place for place, shipment in enumerate(shipments)}
    for _, places, cover in sorted(_purchases(shipments, place_of, move), key=lambda p: (-p[0], p[1], p[2].name)):
        if loss <= cap:
            break
        for place in places:
            better = replace(shipments[place], cover=cover)
            saved = expected_uninsured_loss(move, shipments[place]) - expected_uninsured_loss(move, better)
            if saved > 0:
                shipments[place], loss = better, loss - saved
    return shipments if loss <= cap else None


def _purchases(
    shipments: Sequence[Shipment], place_of: dict[str, int], move: Move
) -> Iterator[tuple[Decimal, list[int], Cover]]:
    """(loss saved for each unit of fee, places of the shipments, cover), for cartons alone and for whole trips."""
    for (name, _), together in by_trip(move, shipments).items():
        places = [place_of[shipment.filled.number] for shipment in together]
        for cover in move.covers.values():
            if not cover.offered_to(name):
                continue
            groups = [places] if _by_trip(cover, together[0]) else [[place] for place in places]
            for group in groups:
                value = sum((shipments[place].filled.value for place in group), Decimal(0))
                fee = cover_fee(cover, value, move.settings.currency)
                saved = sum((_saved(shipments[place], cover, move) for place in group), Decimal(0))
                if fee is not None and saved > 0:
                    yield saved / max(fee, Decimal("0.01")), group, cover


def _saved(shipment: Shipment, cover: Cover, move: Move) -> Decimal:
    with_it = expected_uninsured_loss(move, replace(shipment, cover=cover))
    return expected_uninsured_loss(move, shipment) - with_it
