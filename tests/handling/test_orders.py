"""The orders to pack and to open cartons in, against every order there is, on small cases."""

from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import pairwise, permutations, product

from hypothesis import given, settings
from hypothesis import strategies as st
from invented import carton_type
from small_moves import record

from shipopt.handling.packing_order import order_to_pack, returns
from shipopt.handling.shelving_order import most_open, steps_to_shelve
from shipopt.handling.stacking import share_left, stack
from shipopt.handling.stops import stops_of
from shipopt.move.words import Units

VISITS = st.lists(st.sets(st.integers(0, 4), min_size=1, max_size=4).map(sorted), min_size=1, max_size=6)


def returns_counted_anew(visits: Sequence[Sequence[int]], order: Sequence[int]) -> int:
    """Walks the way, writing down where one stands; counts arrivals at places written down before."""
    walked: list[int] = []
    count = 0
    for stop in (stop for carton in order for stop in visits[carton]):
        if walked and walked[-1] == stop:
            continue
        count += stop in walked
        walked.append(stop)
    return count


@given(VISITS)
@settings(max_examples=150, deadline=None)
def test_no_order_of_the_cartons_returns_to_shelves_less_often(visits: list[list[int]]) -> None:
    order = order_to_pack(visits)
    assert sorted(order) == list(range(len(visits)))
    assert returns(visits, order) == returns_counted_anew(visits, order)
    assert returns(visits, order) == min(returns_counted_anew(visits, other) for other in permutations(order))


def every_way_to_shelve(visits: Sequence[Sequence[int]]) -> Iterator[list[tuple[int, int]]]:
    """Every order of (stop, carton) that fills the stops in turn."""
    stops = sorted({stop for each in visits for stop in each})
    needed = [[carton for carton, each in enumerate(visits) if stop in each] for stop in stops]
    for orders in product(*(permutations(cartons) for cartons in needed)):
        yield [(stop, carton) for stop, order in zip(stops, orders, strict=True) for carton in order]


def open_at_once(way: Sequence[tuple[int, int]]) -> int:
    """The most cartons open at any moment, each from its first appearance to its last."""
    spans = {
        carton: [at for at, (_, other) in enumerate(way) if other == carton] for carton in {each for _, each in way}
    }
    return max(sum(span[0] <= at <= span[-1] for span in spans.values()) for at in range(len(way)))


@given(st.lists(st.sets(st.integers(0, 2), min_size=1).map(sorted), min_size=1, max_size=4))
@settings(max_examples=120, deadline=None)
def test_no_way_to_fill_the_shelves_in_turn_has_fewer_cartons_open(visits: list[list[int]]) -> None:
    steps = steps_to_shelve(visits)
    way = [(step.stop, step.carton) for step in steps]
    assert sorted(way) == sorted((stop, carton) for carton, stops in enumerate(visits) for stop in stops)
    assert [stop for stop, _ in way] == sorted(stop for stop, _ in way)
    assert most_open(steps) == open_at_once(way)
    assert most_open(steps) == min(map(open_at_once, every_way_to_shelve(visits)))


@given(VISITS)
def test_each_carton_is_opened_and_emptied_once(visits: list[list[int]]) -> None:
    steps = steps_to_shelve(visits)
    for carton in range(len(visits)):
        own = [step for step in steps if step.carton == carton]
        assert [step.opens for step in own] == [True] + [False] * (len(own) - 1)
        assert [step.empties for step in own] == [False] * (len(own) - 1) + [True]


def test_cartons_of_unknown_contents_come_last_and_are_not_opened() -> None:
    assert order_to_pack([[], [2, 3], [0, 2]]) == [2, 1, 0]
    assert [step.carton for step in steps_to_shelve([[], [1], []])] == [1]
    assert most_open([]) == 0


def test_neighbours_of_one_label_are_one_stop_and_a_blank_label_is_its_own() -> None:
    labels = ["A", "A", "B", "", "", "B", "A"]
    records = [record(place, shelf=label) for place, label in enumerate(labels)]
    assert list(stops_of(records).values()) == [0, 0, 1, 2, 3, 4, 5]


def test_stacks_are_lower_with_weaker_board_and_end_where_hands_end() -> None:
    it = carton_type((13, 13, 13), edge_crush="32", board_thickness="0.156")
    shares = [share_left(days, Decimal(damp)) for days, damp in ((10, "0.5"), (30, "0.7"), (180, "0.9"), (181, "0.5"))]
    found = [stack(it, Decimal(45), share, Units.POUND_INCH) for share in shares]
    assert [each.high for each in found] == [4, 4, 2, 1]
    assert all(one.safe_load >= other.safe_load for one, other in pairwise(found) if one.safe_load and other.safe_load)
    unknown = stack(carton_type((13, 13, 13)), Decimal(45), shares[0], Units.POUND_INCH)
    assert (unknown.strength, unknown.safe_load, unknown.high) == (None, None, 4)
