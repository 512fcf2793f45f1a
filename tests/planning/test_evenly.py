"""Copies dealt evenly: each once, and no carton far above or below its share."""

from decimal import Decimal
from random import Random

from hypothesis import given, settings
from hypothesis import strategies as st
from independent.random_moves import middling

from shipopt.planning.evenly import deal_evenly
from shipopt.planning.opened import OpenCarton


@given(st.integers(0, 400), st.integers(2, 6))
@settings(max_examples=60, deadline=None)
def test_every_copy_is_dealt_once_and_every_carton_holds_about_its_share(seed: int, number: int) -> None:
    move, rng = middling(seed), Random(seed)
    carton = rng.choice(list(move.cartons.values()))
    copies = [(record, copy) for record in move.loose for copy in range(1, record.copies + 1)]
    room = carton.room_in_each(move.settings.fill_most)
    most = Decimal(rng.randint(5, 30))
    cartons = [OpenCarton(None, carton, room, most, Decimal("Infinity")) for _ in range(number)]
    deal_evenly(cartons, copies)
    inside = [copy for each in cartons for inner in each.copies for copy in inner]
    assert sorted((record.place, n) for record, n in inside) == sorted((record.place, n) for record, n in copies)
    largest = max(float(r.thickness) / float(room) + float(r.weight) / float(most) for r, _ in copies)
    used = [
        sum(float(stack) for stack in each.stacks) / float(each.whole_room) + float(each.weight / most)
        for each in cartons
    ]
    assert max(used) - min(used) <= 2 * largest
