"""Every carton that a tiny move could send: what is in it, by which quote, under which cover.

A choice carries its own exact facts, worked out by ``recompute``, and is left out only where the carton by itself
breaks a rule. Copies of one line are alike, so contents are counts. Called by the exact solver and by the brute force.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import product

from independent.broken import carton_faults, trip_faults
from independent.recompute import NoPriceError, billed, carton_charge, carton_loss, fee, volume
from shipopt.move.cartons import CartonType, FilledCarton, Portion, filled
from shipopt.move.cover import Cover
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.quotes import Quote
from shipopt.move.words import Consignment, CoverBasis


@dataclass(frozen=True)
class Choice:
    """One carton by one quote under one cover or none, at most ``most`` times over.

    ``holds`` counts the copies of each loose line; ``closed`` is the place of a closed carton, else None. Money is in
    minor units: ``charge`` and ``saving`` (of an included carton) where the carton is the consignment, ``fee`` where
    it does not depend on the trip.
    """

    holds: tuple[int, ...]
    closed: int | None
    most: int
    filled: FilledCarton
    quote: Quote
    cover: Cover | None
    charge: int
    saving: int
    fee: int
    billed: Fraction
    volume: Fraction
    loss: Fraction

    @property
    def by_load(self) -> bool:
        """Whether the trip is the consignment."""
        return self.quote.consignment is Consignment.LOAD

    @property
    def fee_of_trip(self) -> bool:
        """Whether the fee is that of all cartons of the trip under this cover."""
        return self.by_load and self.cover is not None and self.cover.basis is CoverBasis.CONSIGNMENT


def all_choices(move: Move) -> list[Choice]:
    """Every choice of the move, closed cartons first."""
    found: list[Choice] = []
    nothing = (0,) * len(move.loose)
    for place, closed in enumerate(move.to_go):
        found += _by_each_quote(move, closed, nothing, place, 1)
    for holds in product(*(range(record.copies + 1) for record in move.loose)):
        if not any(holds):
            continue
        times = min(record.copies // n for record, n in zip(move.loose, holds, strict=True) if n)
        for carton in move.cartons.values():
            packed = packed_into(move, carton, holds)
            if packed is not None:
                found += _by_each_quote(move, packed, holds, None, times)
    return found


def _by_each_quote(
    move: Move, carton: FilledCarton, holds: tuple[int, ...], closed: int | None, most: int
) -> Iterator[Choice]:
    for quote in move.quotes.values():
        for cover in (None, *move.covers.values()):
            shipment = Shipment(carton, quote, 1, cover)
            if carton_faults(move, shipment) or trip_faults(move, quote, [shipment]):
                continue
            try:
                yield _choice(move, shipment, holds, closed, most)
            except NoPriceError:
                continue


def _choice(move: Move, shipment: Shipment, holds: tuple[int, ...], closed: int | None, most: int) -> Choice:
    carton, quote, cover = shipment.filled, shipment.quote, shipment.cover
    by_carton = quote.consignment is Consignment.CARTON
    charge = carton_charge(move, quote, carton, free=False) if by_carton else 0
    own_fee = fee(move, cover, Fraction(carton.value)) if cover else 0
    found = Choice(
        holds=holds,
        closed=closed,
        most=most,
        filled=carton,
        quote=quote,
        cover=cover,
        charge=charge,
        saving=charge - carton_charge(move, quote, carton, free=True) if by_carton else 0,
        fee=own_fee,
        billed=billed(move, carton, quote),
        volume=volume(move, carton.carton),
        loss=carton_loss(move, carton, quote, cover),
    )
    return replace(found, fee=0) if found.fee_of_trip else found


def packed_into(move: Move, carton: CartonType, holds: Sequence[int]) -> FilledCarton | None:
    """These copies in a carton of this type, each in an inner carton; None where no way of standing them fits."""
    lines = [(record, n) for record, n in zip(move.loose, holds, strict=True) if n]
    if any(record.format.sleeve not in carton.sleeves for record, _ in lines):
        return None
    room = Fraction(carton.stack_length) * Fraction(move.settings.fill_most) / carton.inner_cartons
    copies = [record for record, n in lines for _ in range(n)]
    places = _standing([Fraction(record.thickness) for record in copies], [room] * carton.inner_cartons)
    if places is None:
        return None
    portions = []
    for record, _ in lines:
        in_each = [inner for copy, inner in zip(copies, places, strict=True) if copy is record]
        for inner in sorted(set(in_each)):
            first = 1 + sum(p.copies for p in portions if p.record is record)
            portions.append(Portion(record, first, in_each.count(inner), inner + 1))
    return filled("?", carton, portions)


def _standing(thicknesses: Sequence[Fraction], rooms: list[Fraction]) -> list[int] | None:
    """Which inner carton each copy stands in, every way tried; None where none fits."""
    if not thicknesses:
        return []
    if sum(thicknesses) > sum(rooms):
        return None
    for inner, room in enumerate(rooms):
        if room in rooms[:inner] or thicknesses[0] > room:
            continue
        rest = _standing(thicknesses[1:], [*rooms[:inner], room - thicknesses[0], *rooms[inner + 1 :]])
        if rest is not None:
            return [inner, *rest]
    return None


def shipments_of(move: Move, chosen: Sequence[tuple[Choice, int]]) -> list[Shipment]:
    """Chosen cartons on their trips as shipments, each copy numbered once."""
    taken = {record.record_id: 0 for record in move.loose}
    found = []
    for place, (choice, trip) in enumerate(chosen, 1):
        carton = choice.filled
        if choice.closed is None:
            portions = []
            for portion in carton.portions:
                portions.append(replace(portion, first=taken[portion.record.record_id] + 1))
                taken[portion.record.record_id] += portion.copies
            carton = replace(carton, number=f"C{place}", portions=tuple(portions))
        found.append(Shipment(carton, choice.quote, trip if choice.by_load else 1, choice.cover))
    return found
