"""Random plans of a move: every copy goes once, in cartons that hold it, by a quote, trip and cover drawn at random.

Caps, care and limits may be broken: such plans are for comparing prices, not for sending. Same seed, same plan.
"""

from collections.abc import Iterator
from decimal import Decimal
from random import Random

from shipopt.move.cartons import CartonType, FilledCarton, Portion, filled
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.records import Record


def random_plan(move: Move, seed: int) -> list[Shipment]:
    """Shipments of all loose records and all closed cartons that are to go."""
    rng = Random(seed)
    cartons = [*move.to_go, *packed_at_random(move, rng)]
    return [_on_its_way(move, rng, carton) for carton in cartons]


def packed_at_random(move: Move, rng: Random) -> list[FilledCarton]:
    """Loose records in shelf order, each run of one sleeve filled into random cartons up to a random share."""
    found: list[FilledCarton] = []
    for sleeve in dict.fromkeys(record.format.sleeve for record in move.loose):
        copies = [(r, n) for r in move.loose if r.format.sleeve == sleeve for n in range(1, r.copies + 1)]
        types = [carton for carton in move.cartons.values() if sleeve in carton.sleeves]
        while copies:
            carton = rng.choice(types)
            taken = max(1, _how_many(carton, copies, Decimal(repr(rng.uniform(0.3, 1)))))
            found.append(filled(f"C{len(found) + 1}", carton, list(_portions(copies[:taken]))))
            copies = copies[taken:]
    return found


def _how_many(carton: CartonType, copies: list[tuple[Record, int]], share: Decimal) -> int:
    stack, count = Decimal(0), 0
    for record, _ in copies:
        stack += record.thickness
        if stack > carton.stack_length * share:
            break
        count += 1
    return count


def _portions(copies: list[tuple[Record, int]]) -> Iterator[Portion]:
    """One portion for each line, all in the first inner carton: room inside is not what these plans are for."""
    for record in dict.fromkeys(record.record_id for record, _ in copies):
        numbers = [number for of, number in copies if of.record_id == record]
        line = next(of for of, _ in copies if of.record_id == record)
        yield Portion(line, numbers[0], len(numbers))


def _on_its_way(move: Move, rng: Random, carton: FilledCarton) -> Shipment:
    quote = rng.choice(list(move.quotes.values()))
    trip = rng.randint(1, quote.trips_at_most) if quote.by_load else 1
    offered = [None, *(cover for cover in move.covers.values() if cover.offered_to(quote.name))]
    return Shipment(carton, quote, trip, rng.choice(offered))
