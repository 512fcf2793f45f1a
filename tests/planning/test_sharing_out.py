"""Sharing out: every copy once, in the guide's cartons, within what these hold together."""

from collections import Counter

import pytest
from benchmarks.moves import realistic

from shipopt.planning.formulation import aggregate_programme
from shipopt.planning.guide import batches_of
from shipopt.planning.kinds import averaged, kinds_of
from shipopt.planning.packing import packings
from shipopt.planning.sharing_out import shared_out
from shipopt.planning.solving import BY_LOOKING_NEAR, Solver, solve


@pytest.fixture(scope="module", params=[1, 2])
def guide(request):
    move = realistic(request.param, 300, 6)
    kinds = averaged(kinds_of(move.loose, values_matter=True, most=15))
    programme = aggregate_programme(move, kinds, whole=True, use_of_room=0.99)
    return programme, solve(programme.problem, seconds=30, gap=0.01, options=BY_LOOKING_NEAR)


def _copies(batches):
    return Counter((record.place, number) for batch in batches for record, number in batch.copies)


def test_every_copy_is_dealt_once_into_the_cartons_of_the_guide(guide):
    programme, outcome = guide
    batches = shared_out(programme, outcome.values, Solver.HIGHS, 10)
    assert _copies(batches) == _copies(batches_of(programme, outcome.values))
    assert set(_copies(batches).values()) == {1}
    assert sum(_copies(batches).values()) == sum(record.copies for record in programme.move.loose)

    def cartons(each):
        types = [(batch.quote.name, carton.name, weight) for batch in each for carton, weight in batch.cartons]
        return Counter((quote, carton, round(weight, 6)) for quote, carton, weight in types)

    assert cartons(batches) == cartons(batches_of(programme, outcome.values))


def test_what_is_dealt_fits_all_cartons_of_a_batch_together(guide):
    programme, outcome = guide
    fill = float(programme.move.settings.fill_most)
    for batch in shared_out(programme, outcome.values, Solver.HIGHS, 10):
        room = sum(float(carton.stack_length) * fill for carton, _ in batch.cartons)
        thickest = max(float(record.thickness) for record, _, _ in batch.lines)
        heaviest = max(float(record.weight) for record, _, _ in batch.lines)
        # Shares of a copy are rounded, for a few copies of each batch.
        assert sum(float(record.thickness) for record, _ in batch.copies) <= room + 3 * thickest
        held = sum(weight for _, weight in batch.cartons)
        assert sum(float(record.weight) for record, _ in batch.copies) <= held + 3 * heaviest


def test_deals_are_packed_one_after_another_as_they_are_asked_for(guide):
    programme, outcome = guide
    asked = []

    def deals():
        for number in (1, 2):
            asked.append(number)
            yield shared_out(programme, outcome.values, Solver.HIGHS, 10)

    packed = packings(deals(), programme.move)
    first = next(packed)
    wanted = sum(round(outcome.values[slot.number.name]) for slot in programme.slots)
    assert (len(first.cartons) <= wanted) == (asked == [1])
    booked = programme.outline(outcome.values).quotes
    for each in [first, *packed]:
        assert len(each.quotes) == len(each.cartons)
        assert set(each.quotes) <= booked
        held = Counter((p.record.place, p.first + n) for c in each.cartons for p in c.portions for n in range(p.copies))
        assert set(held.values()) == {1}
        assert sum(held.values()) == sum(record.copies for record in programme.move.loose)
    assert asked == [1, 2]


def test_with_play_there_may_be_a_few_cartons_more_or_fewer_of_each_slot(guide):
    programme, outcome = guide
    numbers = {slot.key: round(outcome.values[slot.number.name]) for slot in programme.slots}
    wanted = {key: number for key, number in numbers.items() if number}
    for play in (0, 2):
        again = aggregate_programme(programme.move, programme.kinds, whole=True, numbers=wanted, play=play)
        bounds = {slot.key: (slot.number.lowBound, slot.number.upBound) for slot in again.slots}
        assert bounds == {key: (max(0, number - play), number + play) for key, number in wanted.items()}
