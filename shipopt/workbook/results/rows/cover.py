"""Rows of the sheet Cover to buy: covers to take out, values to declare, what travels bare, what to photograph.

Fees are those of the pricing room, shares of them by carton. Called by the module gathered.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from shipopt.move.cover import Cover
from shipopt.move.money import ZERO
from shipopt.move.plan import Plan, Shipment
from shipopt.move.quotes import Quote
from shipopt.move.rules import arrival, liability
from shipopt.move.settings import Settings
from shipopt.move.words import CoverBasis, Covers
from shipopt.pricing.total import Cost
from shipopt.workbook.results.rows.packing import OPEN, PackingRow

MOST_PHOTOGRAPHS, DEAR = 30, 2
"""Copies on the list of those to photograph first, and how many times the mean value they are worth more than: a choice
of this program."""
PAYS_FOR = {Covers.LOSS: "loss of the carton", Covers.LOSS_AND_DAMAGE: "loss and damage"}


@dataclass(frozen=True, slots=True)
class PurchaseRow:
    """One cover for one trip of a quote, or for all its cartons where each is insured by itself."""

    cover: str
    quote: str
    trip: int | None
    cartons: int
    value_to_declare: Decimal
    fee: Decimal
    excess_a_carton: Decimal
    claim_by: date | None
    it_pays_for: str
    it_does_not_pay_for: str
    notes: str


@dataclass(frozen=True, slots=True)
class DeclareRow:
    """One carton that travels under a cover. ``purchase`` is the place of its row among the covers to take out."""

    cover: str
    quote: str
    trip: int | None
    carton_no: str
    value_to_declare: Decimal
    fee: Decimal
    excess_a_carton: Decimal
    purchase: int


@dataclass(frozen=True, slots=True)
class BareRow:
    """The cartons of one quote (and trip) that travel without a cover."""

    quote: str
    bidder: str
    trip: int | None
    cartons: int
    value: Decimal
    carrier_owes: Decimal
    you_bear: Decimal
    claim_by: date | None
    it_pays_for: str


@dataclass(frozen=True, slots=True)
class PhotographRow:
    """One of the dearest copies."""

    artist: str
    title: str
    copy: int
    carton_no: str
    value: Decimal
    grade: str
    record_id: str
    done: str = OPEN


def declare_rows(plan: Plan, cost: Cost) -> tuple[DeclareRow, ...]:
    """A row for each carton under a cover, by cover, quote and trip in the workbook's order, then as numbered."""
    shipped = [(each, fee) for each, fee in zip(plan.shipments, cost.fee_shares, strict=True) if each.cover]
    order = {key: place for place, key in enumerate(_purchases(plan, (each for each, _ in shipped)))}
    rows = [
        DeclareRow(
            cover=each.cover.name,
            quote=each.quote.name,
            trip=_trip(each),
            carton_no=each.filled.number,
            value_to_declare=each.filled.value,
            fee=fee,
            excess_a_carton=each.cover.excess,
            purchase=order[each.cover.name, each.quote.name, _trip(each)],
        )
        for each, fee in shipped
        if each.cover
    ]
    return tuple(sorted(rows, key=lambda row: row.purchase))


def purchase_rows(plan: Plan, declared: Sequence[DeclareRow]) -> tuple[PurchaseRow, ...]:
    """A row for each cover to take out, its cartons those of ``declared`` that belong to it."""
    groups: dict[int, list[DeclareRow]] = {}
    for row in declared:
        groups.setdefault(row.purchase, []).append(row)
    return tuple(_purchase(plan, rows) for rows in groups.values())


def _purchase(plan: Plan, rows: Sequence[DeclareRow]) -> PurchaseRow:
    cover, quote = plan.move.covers[rows[0].cover], plan.move.quotes[rows[0].quote]
    return PurchaseRow(
        cover=cover.name,
        quote=quote.name,
        trip=rows[0].trip,
        cartons=len(rows),
        value_to_declare=sum((row.value_to_declare for row in rows), ZERO),
        fee=sum((row.fee for row in rows), ZERO),
        excess_a_carton=cover.excess,
        claim_by=claim_by(cover, quote, plan.move.settings),
        it_pays_for=PAYS_FOR[cover.covers],
        it_does_not_pay_for=_gaps(cover, plan.move.settings),
        notes=cover.notes,
    )


def _gaps(cover: Cover, settings: Settings) -> str:
    gaps = ["damage on the way"] if cover.covers is Covers.LOSS else []
    if cover.excess:
        gaps.append(f"the first {settings.currency.show(cover.excess)} of each carton")
    return "; ".join([*gaps, "what its terms exclude"])


def claim_by(terms: Cover | Quote, quote: Quote, settings: Settings) -> date | None:
    """The last day to claim by the terms of a cover or of the quote itself, counted from the latest arrival."""
    arrives = arrival(quote, settings)
    if terms.claim_days is None or arrives is None:
        return None
    return arrives + timedelta(days=terms.claim_days)


def bare_rows(plan: Plan) -> tuple[BareRow, ...]:
    """A row for each quote, and trip of a load, with cartons that travel without a cover."""
    groups: dict[tuple[str, int | None], list[Shipment]] = {}
    for shipments in plan.trips.values():
        for each in shipments:
            if each.cover is None:
                groups.setdefault((each.quote.name, _trip(each)), []).append(each)
    return tuple(_bare(plan, trip, shipments) for (_, trip), shipments in groups.items())


def _bare(plan: Plan, trip: int | None, shipments: Sequence[Shipment]) -> BareRow:
    quote = shipments[0].quote
    value = sum((each.filled.value for each in shipments), ZERO)
    money = plan.move.settings.currency
    owed = sum((min(each.filled.value, liability(quote, each.filled.gross_weight)) for each in shipments), ZERO)
    return BareRow(
        quote=quote.name,
        bidder=quote.bidder,
        trip=trip,
        cartons=len(shipments),
        value=value,
        carrier_owes=money.round(owed),
        you_bear=value - money.round(owed),
        claim_by=claim_by(quote, quote, plan.move.settings),
        it_pays_for=PAYS_FOR[quote.liability_covers] if owed else "nothing",
    )


def photograph_rows(packing: Iterable[PackingRow]) -> tuple[PhotographRow, ...]:
    """The dearest copies that are still to be packed, the dearest first, those alike in the order to pack."""
    to_pack = [row for row in packing if row.pack_order is not None]
    common = DEAR * sum((row.value for row in to_pack), ZERO) / max(1, len(to_pack))
    dearest = sorted((row for row in to_pack if row.value > common), key=lambda row: -row.value)[:MOST_PHOTOGRAPHS]
    return tuple(
        PhotographRow(row.artist, row.title, row.copy, row.carton_no, row.value, row.grade, row.record_id)
        for row in dearest
    )


def _trip(shipment: Shipment) -> int | None:
    """The trip that a cover or a liability counts by; None where each carton is a consignment or insured by itself."""
    by_carton = shipment.cover is not None and shipment.cover.basis is CoverBasis.CARTON
    return shipment.trip if shipment.quote.by_load and not by_carton else None


def _purchases(plan: Plan, shipments: Iterable[Shipment]) -> list[tuple[str, str, int | None]]:
    """Cover, quote and trip of all purchases, in the workbook's order."""
    covers, quotes = list(plan.move.covers), list(plan.move.quotes)
    found = {(each.cover.name, each.quote.name, _trip(each)) for each in shipments if each.cover}
    return sorted(found, key=lambda key: (covers.index(key[0]), quotes.index(key[1]), key[2] or 0))
