"""Limits that many cartons share: what the loads of a plan may still carry, and what is over of one."""

from dataclasses import replace
from decimal import Decimal
from math import inf

import numpy as np
import pytest
from benchmarks.moves import realistic

from shipopt.move.rules import cartons_for, most_gross_weight, quotes_in, record_may_go
from shipopt.planning import packing
from shipopt.planning.guide import Batch
from shipopt.planning.modes import modes_of
from shipopt.planning.opened import OpenCarton
from shipopt.planning.packing import _use_room_left, packings
from shipopt.planning.pools import Pool, weight_to_spare
from shipopt.planning.swaps import Packing

MOVE = realistic(1, 300, 6)
RECORD = next(record for record in MOVE.loose if record.care == "standard")
QUOTE = next(quote for quote in quotes_in(MOVE) if quote.by_load and record_may_go(RECORD, quote, MOVE))
LIMITED = replace(QUOTE, most_weight=Decimal(100))


def _opened(number):
    carton = cartons_for(RECORD.format.sleeve, MOVE)[0]
    most = most_gross_weight(carton, LIMITED, MOVE.settings) - carton.empty_weight
    room = carton.room_in_each(MOVE.settings.fill_most)
    return [OpenCarton(LIMITED, carton, room, most, Decimal("Infinity")) for _ in range(number)]


def _batch(trips=1):
    return Batch(LIMITED, modes_of(LIMITED, MOVE)[0], trips=trips)


def test_a_load_may_carry_what_its_cartons_do_not_weigh_yet():
    opened = _opened(2)
    opened[0].put((RECORD, 1), 0)
    weighs = 2 * opened[0].carton.empty_weight + RECORD.weight
    assert weight_to_spare([_batch(), _batch(3)], opened) == {QUOTE.name: 300 - weighs}
    unlimited = replace(_batch(), quote=replace(QUOTE, most_weight=None))
    assert weight_to_spare([unlimited], opened) == {}


def test_copies_left_over_make_no_load_too_heavy():
    move = replace(MOVE, quotes={**MOVE.quotes, QUOTE.name: LIMITED})
    copies = [(RECORD, number) for number in range(1, 6)]
    opened, spare = _opened(2), {QUOTE.name: 3 * RECORD.weight}
    remaining = _use_room_left(list(copies), opened, move, spare)
    put = [copy for carton in opened for inner in carton.copies for copy in inner]
    assert (len(put), len(remaining)) == (3, 2)
    assert sorted(number for _, number in put + remaining) == [1, 2, 3, 4, 5]
    assert spare == {QUOTE.name: 0}


def test_more_cartons_of_a_load_count_before_others_are_filled_up():
    opened = _opened(1)
    full = replace(QUOTE, most_weight=2 * opened[0].carton.empty_weight + 3 * RECORD.weight)
    move = replace(MOVE, quotes={**MOVE.quotes, QUOTE.name: full})
    first = replace(_batch(), quote=full, cartons=[(opened[0].carton, float(opened[0].most_weight))])
    second = replace(_batch(), quote=full)
    opened[0].quote = full
    opened[0].put((RECORD, 1), 0)
    thick = replace(RECORD, thickness=opened[0].room, weight=2 * RECORD.weight)
    cartons = packing._with_more_cartons([first, second], opened, [[(thick, 2)], [(RECORD, 3)]], move)
    assert opened[0].copies[0] == [(RECORD, 1)]
    assert sorted(number for carton in cartons for inner in carton.copies for _, number in inner) == [1, 2, 3]


def test_what_is_over_of_a_load_counts_like_as_much_of_a_carton():
    opened = _opened(4)
    for number, carton in enumerate(opened[:3], start=1):
        carton.put((RECORD, number), 0)
    packed = Packing([opened], [[]], MOVE)
    packed.add_pools([Pool((1.0, 1.0, 1.0, 0.0), float(RECORD.weight) * 2, by_value=False)])
    assert packed._over() == pytest.approx(3 * 0.5)
    assert packed.pools[0].counts == 3
    assert np.count_nonzero(packed.pools[0].rates) == 3


def test_of_two_tries_with_copies_left_over_the_better_one_is_kept(monkeypatch):
    kept = []

    def tried(batches, move, luck, until, enough):
        return [_opened(1)], [[(RECORD, number) for number in range(1, 3 + luck)]]

    def with_more_cartons(batches, opened, left, move):
        kept.extend(left[0])
        return opened

    monkeypatch.setattr(packing, "_pack_by_swaps", tried)
    monkeypatch.setattr(packing, "_with_more_cartons", with_more_cartons)
    assert len(list(packings([[_batch()]], MOVE, inf))) == 1
    assert len(kept) == 2
