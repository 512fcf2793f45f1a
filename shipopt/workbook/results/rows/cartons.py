"""Rows of the carton list: every carton on its way, then those that are gone already.

Weights, fills and prices are those of the plan as priced; nothing is decided here. Called by the module gathered.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from shipopt.move.care import strictest
from shipopt.move.cartons import FilledCarton
from shipopt.move.money import ZERO
from shipopt.move.move import Move, PackedAlready
from shipopt.move.plan import Shipment
from shipopt.move.words import Status
from shipopt.pricing.billing import billed_weight
from shipopt.pricing.cover import share_by_value
from shipopt.pricing.total import Cost

HUNDRED = Decimal(100)


@dataclass(frozen=True, slots=True)
class CartonRow:
    """One carton. Trip is None where a carton is the consignment; fill and filler where its contents are not known."""

    carton_no: str
    carton: str
    quote: str
    trip: int | None
    records: int
    fill_percent: Decimal | None
    gross_weight: Decimal
    billed_weight: Decimal
    value: Decimal
    care: str
    cover: str
    cover_fee: Decimal
    carton_price: Decimal
    expected_uninsured_loss: Decimal
    first_shelf: str
    last_shelf: str
    filler: Decimal | None
    status: str


def carton_rows(
    move: Move, shipments: Sequence[Shipment], cost: Cost, expected: Mapping[str, Decimal]
) -> tuple[CartonRow, ...]:
    """A row for each shipment, in the order given; then one for each carton gone. ``expected`` holds the expected
    uninsured loss by carton number, of those gone for the ones still on their way."""
    prices = carton_prices(move, shipments, cost)
    going = [
        _going(move, shipment, fee, price, expected[shipment.filled.number])
        for shipment, fee, price in zip(shipments, cost.fee_shares, prices, strict=True)
    ]
    return (*going, *(_gone(move, gone, expected.get(gone.filled.number, ZERO)) for gone in move.gone))


def carton_prices(move: Move, shipments: Sequence[Shipment], cost: Cost) -> tuple[Decimal, ...]:
    """What each carton costs to buy: the first ones in number order are those on hand, and free. The prices of a
    carton type sum to its amount, to the minor unit."""
    paid = {packed.filled.number: move.settings.currency.round(packed.carton_paid) for packed in move.packed}
    prices = [paid.get(shipment.filled.number, ZERO) for shipment in shipments]
    for bought in cost.bought:
        places = [
            place
            for place, shipment in enumerate(shipments)
            if shipment.filled.carton.name == bought.carton.name and not shipment.filled.closed_by_user
        ]
        to_buy = places[len(places) - bought.bought :] if bought.bought else []
        shares = share_by_value(bought.amount, [ZERO] * len(to_buy), move.settings.currency) if to_buy else ()
        for place, share in zip(to_buy, shares, strict=True):
            prices[place] = share
    return tuple(prices)


def filler(move: Move, filled: FilledCarton) -> Decimal | None:
    """Length of filler that a carton takes, over its inner cartons; None if none."""
    if filled.closed_by_user or not filled.stack:
        return None
    lengths = inner_fillers(move, filled).values()
    return sum(lengths, ZERO) if lengths else None


def inner_fillers(move: Move, filled: FilledCarton) -> dict[int, Decimal]:
    """Length of filler that brings an inner carton (from 1) filled less than Fill at least % up to Fill at most %."""
    carton = filled.carton
    stacks = dict.fromkeys(range(1, carton.inner_cartons + 1), ZERO)
    for portion in filled.portions:
        stacks[portion.inner] += portion.record.thickness * portion.copies
    least = carton.room_in_each(move.settings.fill_least)
    most = carton.room_in_each(move.settings.fill_most)
    return {inner: most - stack for inner, stack in stacks.items() if stack < least}


def care_shown(move: Move, filled: FilledCarton) -> str:
    """The strictest care level inside, blank where none is known."""
    level = strictest(level for name, level in move.care.items() if name in filled.care)
    return level.name if level else ""


def shelves(filled: FilledCarton) -> tuple[str, str]:
    """Shelf labels of the first and the last record in shelf order, blank where the contents are not known."""
    if not filled.portions:
        return "", ""
    places = sorted(filled.portions, key=lambda portion: (portion.record.place, portion.first))
    return places[0].record.shelf, places[-1].record.shelf


def _going(move: Move, shipment: Shipment, fee: Decimal, price: Decimal, loss: Decimal) -> CartonRow:
    filled, quote = shipment.filled, shipment.quote
    first, last = shelves(filled)
    return CartonRow(
        carton_no=filled.number,
        carton=filled.carton.name,
        quote=quote.name,
        trip=shipment.trip if quote.by_load else None,
        records=filled.records,
        fill_percent=filled.fill * HUNDRED if filled.stack else None,
        gross_weight=filled.gross_weight,
        billed_weight=billed_weight(quote, filled.carton, filled.gross_weight, move.settings.units),
        value=filled.value,
        care=care_shown(move, filled),
        cover=shipment.cover.name if shipment.cover else "",
        cover_fee=fee,
        carton_price=price,
        expected_uninsured_loss=loss,
        first_shelf=first,
        last_shelf=last,
        filler=filler(move, filled),
        status=Status.TO_GO.value,
    )


def _gone(move: Move, gone: PackedAlready, loss: Decimal) -> CartonRow:
    filled = gone.filled
    quote = move.quotes.get(gone.gone_by or "")
    units, money = move.settings.units, move.settings.currency.round
    first, last = shelves(filled)
    return CartonRow(
        carton_no=filled.number,
        carton=filled.carton.name,
        quote=gone.gone_by or "",
        trip=None,
        records=filled.records,
        fill_percent=filled.fill * HUNDRED if filled.stack else None,
        gross_weight=filled.gross_weight,
        billed_weight=billed_weight(quote, filled.carton, filled.gross_weight, units) if quote else filled.gross_weight,
        value=filled.value,
        care=care_shown(move, filled),
        cover=gone.cover or "",
        cover_fee=money(gone.cover_fee),
        carton_price=money(gone.carton_paid),
        expected_uninsured_loss=loss,
        first_shelf=first,
        last_shelf=last,
        filler=None,
        status=gone.status.value,
    )
