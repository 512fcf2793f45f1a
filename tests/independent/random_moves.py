"""Random moves from a seed, with every rule switched on in some of them. All of it is invented.

``tiny`` moves are for exact solvers: a few bulky copies, one to three carton types and quotes. ``middling`` moves are
for whole runs: hundreds of lines, 20–60 cartons. The same seed always gives the same move.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from random import Random
from typing import Any

from independent.random_quotes import Prices, random_covers, random_quotes
from shipopt.move.care import CareLevel
from shipopt.move.cartons import CartonType, FilledCarton, Portion, filled
from shipopt.move.cover import Cover
from shipopt.move.money import currency
from shipopt.move.move import Move, PackedAlready
from shipopt.move.quotes import Quote
from shipopt.move.records import Format, Record
from shipopt.move.settings import Settings
from shipopt.move.words import Means, Status, Units

ALL_MEANS = frozenset(Means)
READY = date(2031, 5, 1)


@dataclass(frozen=True)
class Scale:
    """How large a move is. Sizes are in inches and pounds; a metric move has the same numbers times 2.5 and ½."""

    lines: tuple[int, int]
    copies: int
    most_copies_of_a_line: int
    thickness: tuple[float, float]
    weight: tuple[float, float]
    value: tuple[float, float]
    stack: tuple[float, float]
    most_cartons: int
    most_trips: int
    packed: int


TINY = Scale((3, 6), 8, 4, (0.8, 2.5), (1.5, 7), (5, 120), (4, 9), 3, 2, 2)
MIDDLING = Scale((80, 240), 4000, 40, (0.12, 0.5), (0.3, 1.2), (2, 60), (9, 16), 4, 3, 4)


def tiny(seed: int, copies: int = 8, *, cartons: int = 3, quotes: int = 3, trips: int = 2, tail: bool = False) -> Move:
    """A move of at most this many loose copies, carton types, quotes and trips of a quote; with ``tail`` the average
    of the worst 5 % has a cap."""
    scale = replace(TINY, copies=copies, lines=(min(4, copies), min(7, copies)), most_cartons=cartons, most_trips=trips)
    maker = _Maker(seed, scale)
    move = maker.move(quotes)
    return maker.with_tail_cap(move) if tail else move


def middling(seed: int, cartons: int = 40) -> Move:
    """A move whose loose records fill about this many cartons."""
    return _Maker(seed, replace(MIDDLING, copies=cartons * 45)).move(4)


class _Maker:
    """Draws one move; every draw comes from the one seeded source, in a fixed order."""

    def __init__(self, seed: int, scale: Scale) -> None:
        self.rng = Random(seed)
        self.scale = scale
        self.units = self.rng.choice(list(Units))
        self.metric = self.units is Units.KILOGRAM_CENTIMETRE
        self.prices = Prices(self.rng, currency(self.rng.choice(["USD", "EUR", "JPY", "KWD"])))
        self.tiny = scale.copies <= 50

    def move(self, most_quotes: int) -> Move:
        care = self.care()
        records = self.records(care)
        cartons = self.cartons(records)
        packed_types = list(cartons.values())
        weight = sum(r.weight * r.copies for r in records)
        value = sum((r.value * r.copies for r in records), Decimal(0))
        heaviest = self.heaviest(records, cartons)
        quotes = random_quotes(
            self.prices,
            most_quotes=most_quotes,
            units=self.units,
            cartons=cartons,
            weight=weight,
            value=value,
            heaviest=heaviest,
            expected_cartons=self.expected_cartons(records, cartons),
            most_trips=self.scale.most_trips,
            ready=READY,
        )
        records = tuple(self.pinned(record, quotes) for record in records)
        covers = random_covers(self.prices, quotes, value, self.rng.choice([0, 1, 2, 2]))
        packed, records = self.packed(records, packed_types, quotes, care, heaviest)
        packed = tuple(as_paid(each, place, covers) for place, each in enumerate(packed))
        settings = self.settings(records, value, heaviest)
        return Move(settings, records, cartons, quotes, care, covers, packed)

    # Sizes

    def chance(self, share: float) -> bool:
        return self.rng.random() < share

    def length(self, low: float, high: float, step: str = "0.05") -> Decimal:
        """A length in the move's units, a multiple of the step (a centimetre is taken as 0.4 in)."""
        return self._stepped(low * (2.5 if self.metric else 1), high * (2.5 if self.metric else 1), step)

    def weight(self, low: float, high: float, step: str = "0.05") -> Decimal:
        """A weight in the move's units, a multiple of the step (a kilogram is taken as 2 lb)."""
        return self._stepped(low * (0.5 if self.metric else 1), high * (0.5 if self.metric else 1), step)

    def _stepped(self, low: float, high: float, step: str) -> Decimal:
        unit = Decimal(step)
        return max(1, round(self.rng.uniform(low, high) / float(unit))) * unit

    # Rows

    def care(self) -> dict[str, CareLevel]:
        hand = frozenset({Means.CARRY_ON, Means.VAN}) if self.chance(0.8) else frozenset({Means.CARRY_ON})
        guarded = ALL_MEANS - ({Means.POST} if self.chance(0.5) else {Means.FREIGHT})
        needs: dict[str, Any] = {
            need: True
            for need in ("needs_closed_body", "needs_temperature_held", "needs_tracking", "needs_sole_use")
            if self.chance(0.25)
        }
        limit = Decimal("0.02") if self.chance(0.4) else None
        return {
            "standard": CareLevel("standard", ALL_MEANS),
            "guarded": CareLevel("guarded", frozenset(guarded), most_loss_chance=limit, **needs),
            "hand": CareLevel("hand", hand),
        }

    def formats(self) -> list[Format]:
        names = [("twelve", "12"), ("double twelve", "12"), ("seven", "7"), ("box", "box set"), ("jacket", "12")]
        chosen = names[: self.rng.randint(1, 3)] + [n for n in names[3:] if self.chance(0.3)]
        found = []
        for name, sleeve in chosen:
            thick = self.length(*self.scale.thickness)
            found.append(
                Format(
                    name=name,
                    sleeve=sleeve,
                    weight=self.weight(*self.scale.weight),
                    thickness=thick,
                    thickness_disc_outside=thick * Decimal("1.5"),
                    value=self.prices.money(*self.scale.value),
                    sound_recording=name != "jacket",
                )
            )
        return found

    def records(self, care: dict[str, CareLevel]) -> tuple[Record, ...]:
        formats = self.formats()
        rare_care = self.chance(0.4)
        found: list[Record] = []
        left = self.rng.randint(max(1, self.scale.copies * 5 // 8), self.scale.copies)
        for place in range(self.rng.randint(*self.scale.lines)):
            copies = min(left, 1 if self.chance(0.5) else self.rng.randint(1, self.scale.most_copies_of_a_line))
            left -= copies
            if copies:
                found.append(self.record(place, copies, formats, list(care) if rare_care else ["standard"]))
        if not self.tiny:
            found += self.rest(left, len(found), formats)
        return tuple(found)

    def rest(self, left: int, place: int, formats: Sequence[Format]) -> list[Record]:
        """Lines that stand for many copies, so that a middling move has its size."""
        found = []
        while left > 0:
            copies = min(left, self.rng.randint(30, 300))
            found.append(self.record(place + len(found), copies, formats[:1], ["standard"]))
            left -= copies
        return found

    def record(self, place: int, copies: int, formats: Sequence[Format], care: Sequence[str]) -> Record:
        form = self.rng.choice(formats)
        outside = self.chance(0.1)
        thickness = form.thickness_disc_outside if outside else form.thickness
        dear = self.rng.choice([1, 1, 1, 3, 8])
        return Record(
            record_id=f"R{place + 1:04}",
            format=form,
            care=self.rng.choice(["standard", "standard", *care]),
            value=self.prices.money(*self.scale.value) * dear if self.chance(0.6) else form.value or Decimal(0),
            weight=self.weight(*self.scale.weight) if self.chance(0.3) else form.weight,
            thickness=self.length(*self.scale.thickness) if self.chance(0.3) else thickness,
            place=place,
            copies=copies,
            shelf=f"shelf {place // 4 + 1}",
            disc_outside=outside,
        )

    def pinned(self, record: Record, quotes: dict[str, Quote]) -> Record:
        if not self.chance(0.05 if self.tiny else 0.01):
            return record
        return replace(record, must_go_by=self.rng.choice(list(quotes)))

    def cartons(self, records: Sequence[Record]) -> dict[str, CartonType]:
        sleeves = list(dict.fromkeys(record.format.sleeve for record in records))
        thickest = max(record.thickness for record in records)
        found = {}
        for index in range(self.rng.choice([1, *range(2, self.scale.most_cartons + 1), self.scale.most_cartons])):
            takes = sleeves if index == 0 or self.chance(0.5) else self.rng.sample(sleeves, 1)
            carton = self.carton(f"carton {'ABCDE'[index]}", takes, thickest, index)
            found[carton.name] = carton
        return found

    def carton(self, name: str, takes: Sequence[str], thickest: Decimal, index: int) -> CartonType:
        inner = self.rng.choice([2, 3]) if index and self.chance(0.25) else 1
        stack = self.length(*self.scale.stack, step="0.5")
        if index == 0:
            stack = max(stack, thickest * Decimal("1.25"))
        size = stack if inner == 1 else stack / inner + 3
        return CartonType(
            name=name,
            sleeves=tuple(takes),
            stack_length=stack,
            length=(size + self.length(0.5, 3, "0.5")).quantize(Decimal("0.1")),
            width=self.length(8, 15, "0.5"),
            height=self.length(8, 15, "0.5"),
            empty_weight=self.weight(0.5, 3),
            inner_cartons=inner,
            gross_limit=self.weight(25, 45, "1") if self.chance(0.3) else None,
            price=self.prices.money(0.5, 6) if self.chance(0.85) else Decimal(0),
            on_hand=self.rng.randint(1, 3) if self.chance(0.3) else 0,
            most=self.rng.randint(1, 4) * (1 if self.tiny else 8) if index and self.chance(0.3) else None,
            damage_factor=self.rng.choice([Decimal(1), Decimal("0.5"), Decimal("1.5")]),
        )

    def heaviest(self, records: Sequence[Record], cartons: dict[str, CartonType]) -> Decimal:
        """The heaviest to lift: above the heaviest single record in its carton, sometimes not by much."""
        single = max(r.weight for r in records) + min(c.empty_weight for c in cartons.values())
        usual = self.weight(20, 55, "1") if self.tiny else self.weight(40, 55, "1")
        return max(usual, single if self.chance(0.5) else single + self.weight(2, 10, "1"))

    def expected_cartons(self, records: Sequence[Record], cartons: dict[str, CartonType]) -> int:
        stack = sum(r.thickness * r.copies for r in records)
        return int(stack / min(c.stack_length for c in cartons.values())) + 1

    def settings(self, records: Sequence[Record], value: Decimal, heaviest: Decimal) -> Settings:
        share = self.prices.share_of
        given: dict[str, Any] = {}
        if self.chance(0.5):
            given["insure_from"] = share(value, 0.05 if self.tiny else 0.005, 0.6 if self.tiny else 0.06)
        if self.chance(0.2):
            given["most_value_on_consignment"] = share(value, 0.5, 1.2)
        if self.chance(0.35):
            given["most_expected_loss"] = share(value, 0.002, 0.03)
        if self.chance(0.5):
            given["ready_on"] = READY
        if self.chance(0.5):
            given["needed_by"] = READY + timedelta(days=self.rng.randint(9, 30))
        if self.chance(0.5):
            given["decide_on"] = READY - timedelta(days=20)
        return Settings(
            units=self.units,
            currency=self.prices.currency,
            heaviest_carton=heaviest,
            fill_least=Decimal("0.9"),
            fill_most=self.rng.choice([Decimal("0.98"), Decimal("0.95"), Decimal(1)]),
            damage_share=self.rng.choice([Decimal("0.3"), Decimal("0.45")]),
            count_expected_loss=self.chance(0.4),
            seconds=Decimal(20),
            within=Decimal(0) if self.tiny else Decimal("0.005"),
            **given,
        )

    def with_tail_cap(self, move: Move) -> Move:
        """The move with a cap on the average of the worst 5 %: up to a third of what its records are worth."""
        value = sum((r.value * r.copies for r in move.records), Decimal(0))
        return replace(move, settings=replace(move.settings, most_tail_mean=self.prices.share_of(value, 0.01, 0.33)))

    # Cartons closed by the user

    def packed(
        self,
        records: tuple[Record, ...],
        types: Sequence[CartonType],
        quotes: dict[str, Quote],
        care: dict[str, CareLevel],
        heaviest: Decimal,
    ) -> tuple[tuple[PackedAlready, ...], tuple[Record, ...]]:
        """Closed cartons, and the records with those that name one of them marked so."""
        if not self.chance(0.35):
            return (), records
        found: list[PackedAlready] = []
        for number in range(1, self.rng.randint(1, self.scale.packed) + 1):
            status = self.rng.choice([Status.TO_GO, Status.TO_GO, Status.SENT, Status.ARRIVED])
            by = self.rng.choice(list(quotes)) if status is not Status.TO_GO else None
            name, carton = f"P{number}", self.rng.choice(types)
            inside: Record | None = None
            if self.chance(0.3) and sum(r.packed_in is None for r in records) > 1:
                inside = next(r for r in records if r.packed_in is None)
                records = tuple(replace(r, packed_in=name, must_go_by=None) if r == inside else r for r in records)
                inside = next(r for r in records if r.packed_in == name)
            closed = self.closed(name, carton, inside, heaviest)
            found.append(PackedAlready(closed, status, by, self.prices.money(1, 30) if by else Decimal(0)))
        return tuple(found), records

    def closed(self, number: str, carton: CartonType, inside: Record | None, heaviest: Decimal) -> FilledCarton:
        if inside is not None:
            return replace(filled(number, carton, [Portion(inside, 1, inside.copies)]), closed_by_user=True)
        weight = min(self.weight(5, 30), heaviest, carton.gross_limit or heaviest)
        return FilledCarton(
            number=number,
            carton=carton,
            portions=(),
            records=self.rng.randint(1, 40),
            gross_weight=weight,
            value=self.prices.money(10, 200),
            stack=Decimal(0),
            care=("standard",),
            recordings_only=self.chance(0.7),
            closed_by_user=True,
        )


def as_paid(packed: PackedAlready, place: int, covers: Mapping[str, Cover]) -> PackedAlready:
    """A closed carton with what its box has cost; every other one that is gone with the first cover it could take."""
    packed = replace(packed, carton_paid=packed.filled.carton.price)
    offered = [cover for cover in covers.values() if packed.gone_by and cover.offered_to(packed.gone_by)]
    if not offered or place % 2:
        return packed
    return replace(packed, cover=offered[0].name, cover_fee=packed.paid / 8)
