"""Corners of kinds: nothing that a plan adds up is lost or changed by counting copies as shares of other copies."""

from collections import Counter
from math import isclose

from hypothesis import given, settings
from hypothesis import strategies as st
from independent.random_moves import middling

from shipopt.move.records import Record
from shipopt.planning.corners import corners_of
from shipopt.planning.kinds import needs


def _sums(pairs: list[tuple[Record, float, tuple[float, float, float]]]) -> dict[object, list[float]]:
    """Number, weight, thickness and value of all copies, by what rules ask of them."""
    sums: dict[object, list[float]] = {}
    for record, count, size in pairs:
        of_rules = sums.setdefault(needs(record), [0.0] * 4)
        for place, each in enumerate((1.0, *size)):
            of_rules[place] += count * each
    return sums


@given(st.integers(0, 400), st.integers(1, 40))
@settings(max_examples=60, deadline=None)
def test_number_weight_thickness_and_value_of_all_copies_are_kept_by_what_rules_ask(seed: int, most: int) -> None:
    records = middling(seed).loose
    corners = corners_of(records, True, most)
    of_records = _sums(
        [(each, each.copies, (float(each.weight), float(each.thickness), float(each.value))) for each in records]
    )
    of_corners = _sums([(k.example, k.count, (k.weight.least, k.thickness.least, k.value.least)) for k in corners])
    assert of_records.keys() == of_corners.keys()
    for rules, sums in of_records.items():
        assert all(isclose(one, other, rel_tol=1e-9) for one, other in zip(sums, of_corners[rules], strict=True))


@given(st.integers(0, 400), st.integers(1, 40))
@settings(max_examples=60, deadline=None)
def test_copies_of_a_corner_are_all_alike_and_it_may_go_where_any_of_them_may(seed: int, most: int) -> None:
    for corner in corners_of(middling(seed).loose, True, most):
        assert corner.weight.uniform
        assert corner.thickness.uniform
        assert corner.value.uniform
        assert corner.count > 0
        assert corner.smallest.weight <= corner.weight.least
        assert corner.smallest.thickness <= corner.thickness.least
        assert corner.smallest.value <= corner.value.least


@given(st.integers(0, 400))
@settings(max_examples=30, deadline=None)
def test_with_every_size_and_value_told_apart_corners_are_the_copies_themselves(seed: int) -> None:
    records = middling(seed).loose
    corners = corners_of(records, True, 10_000)
    copies: Counter[object] = Counter()
    for each in records:
        copies[needs(each), float(each.weight), float(each.thickness), float(each.value)] += each.copies
    assert all(corner.whole for corner in corners)
    assert copies == {
        (needs(k.example), k.weight.least, k.thickness.least, k.value.least): round(k.count) for k in corners
    }
