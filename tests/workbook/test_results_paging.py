"""Printed pages: where they end, and how large they are."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from shipopt.move.words import Units
from shipopt.workbook import look
from shipopt.workbook.results.paging import (
    MOST_BREAKS,
    READABLE,
    Paper,
    blocks_of_sections,
    breaks,
    fewest_pages,
    heights_of,
    paper_for,
    with_long_ones_parted,
)

METRIC, INCH = Units.KILOGRAM_CENTIMETRE, Units.POUND_INCH
BLOCKS = st.lists(st.integers(1, 60), min_size=1, max_size=40)


@given(BLOCKS, st.integers(60, 200))
def test_no_block_is_parted_that_fits_on_a_page(rows: list[int], room: int) -> None:
    starts = [sum(rows[:at]) for at in range(len(rows))]
    found = breaks(starts, [float(each) for each in rows], float(room))
    bounds = [0, *found, sum(rows)]
    assert set(found) <= set(starts)
    assert all(after - before <= room for before, after in pairwise(bounds))


@given(BLOCKS, st.integers(60, 200))
def test_no_page_ends_where_the_next_block_still_fits(rows: list[int], room: int) -> None:
    starts = [sum(rows[:at]) for at in range(len(rows))]
    bounds = [0, *breaks(starts, [float(each) for each in rows], float(room))]
    for before, after in pairwise(bounds):
        assert after - before + rows[starts.index(after)] > room


def test_a_block_higher_than_a_page_begins_one_and_the_next_follows_it() -> None:
    assert breaks([0, 10, 260, 290], [10.0, 250.0, 30.0, 30.0], 100.0) == [10, 290]


def test_a_sheet_holds_no_more_breaks_than_it_may() -> None:
    assert len(breaks(list(range(3000)), [80.0] * 3000, 100.0)) == MOST_BREAKS


def test_heights_count_rows_of_their_own() -> None:
    assert heights_of([1, 3], 5, {2: 30.0}) == [look.ROW_HEIGHT + 30.0, 2 * look.ROW_HEIGHT]


def test_wide_sheets_print_smaller_and_landscape_larger() -> None:
    narrow, wide = paper_for([10.0], [], METRIC, False), paper_for([10.0] * 20, [], METRIC, False)
    assert narrow.scale == 100 > wide.scale
    assert paper_for([10.0] * 20, [], METRIC, True).scale > wide.scale
    assert narrow.room < wide.room
    assert paper_for([10.0], [], INCH, False).room < narrow.room


def test_a_page_shrinks_for_a_block_but_not_beyond_what_can_be_read() -> None:
    room = paper_for([10.0], [], METRIC, False).room
    little = paper_for([10.0], [room * 1.2, room * 9], METRIC, False)
    assert READABLE < little.scale < 100
    assert little.room >= room * 1.2
    assert paper_for([10.0], [room * 9], METRIC, False).scale == 100


def test_a_title_stays_with_the_first_section() -> None:
    assert blocks_of_sections([3, 20, 31], 0) == [0, 20, 31]
    assert blocks_of_sections([20], 1) == [1, 20]
    assert blocks_of_sections([3], 0) == blocks_of_sections([], 0) == [0]


@given(BLOCKS, st.integers(8, 50))
def test_sections_are_parted_only_where_they_are_longer_than_a_page_and_never_near_their_ends(
    rows: list[int], room: int
) -> None:
    starts, end = [sum(rows[:at]) for at in range(len(rows))], sum(rows)
    every = dict.fromkeys(range(end), 1.0)
    blocks = with_long_ones_parted(starts, end, [float(each) for each in rows], float(room))
    bounds = [0, *breaks(blocks, heights_of(blocks, end, every), float(room)), end]
    assert all(after - before <= room for before, after in pairwise(bounds))
    for bound in bounds[1:-1]:
        section = max(start for start in starts if start <= bound)
        after = section + rows[starts.index(section)]
        assert bound == section or (after - section > room and bound - section >= 4 and after - bound >= 4)


def test_sections_print_a_little_smaller_where_that_saves_a_page() -> None:
    paper = Paper(100, 100.0)
    tall = dict.fromkeys(range(22), 10.0)
    assert fewest_pages([0, 5], 11, tall, paper, 0.0) == ([], Paper(90, 100 * 100 / 90))
    ends, kept = fewest_pages([0, 11], 22, tall, paper, 0.0)
    assert (ends, kept.scale) == ([11], 90)
    assert fewest_pages([0, 10], 20, tall, paper, 0.0) == ([10], paper)
