"""Modes of cover: their lines lie nowhere above what the owner bears, and meet it where no more is owed."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from planning.two_cartons import COVERS, QUOTES
from planning.two_cartons import MOVE as CAPPED

from shipopt.move.cover import Cover
from shipopt.move.quotes import Quote
from shipopt.move.words import Covers
from shipopt.planning.modes import Line, Mode, modes_of

MOVE = replace(CAPPED, settings=replace(CAPPED.settings, count_expected_loss=True))

amounts = st.integers(0, 40).map(lambda tens: Decimal(10 * tens))
covers = st.builds(
    lambda cover, excess: replace(cover, excess=excess, for_quotes=None),
    st.sampled_from(list(COVERS.values())),
    amounts,
)
quotes = st.builds(
    lambda quote, owed, both: replace(
        quote,
        liability_per_weight=Decimal(0),
        liability_per_carton=owed,
        liability_covers=Covers.LOSS_AND_DAMAGE if both else Covers.LOSS,
    ),
    st.sampled_from(list(QUOTES.values())),
    amounts,
    st.booleans(),
)


def _borne(quote: Quote, cover: Cover | None, value: Decimal, share: Decimal, owed: Decimal, *, damaged: bool) -> float:
    """What is left of the harm after the larger of cover and liability, straight from these two rules."""
    harm = value * share if damaged else value
    pays = cover is not None and (not damaged or cover.covers is Covers.LOSS_AND_DAMAGE)
    from_cover = max(Decimal(0), harm - cover.excess) if cover is not None and pays else Decimal(0)
    from_carrier = min(harm, owed) if not damaged or quote.liability_covers is Covers.LOSS_AND_DAMAGE else Decimal(0)
    return float(harm - max(from_cover, from_carrier))


def _at(line: Line, value: float) -> float:
    return line.flat + line.slope * value


@given(quotes, covers, st.floats(0, 1), st.integers(0, 4))
def test_lines_lie_nowhere_above_what_is_borne(quote: Quote, cover: Cover, part: float, quarters: int) -> None:
    move = replace(MOVE, quotes={quote.name: quote}, covers={cover.name: cover})
    share = move.settings.damage_share
    most = quote.liability_per_carton
    owed = most * quarters / 4
    for mode in modes_of(quote, move):
        value = mode.low + part * (max(mode.low, min(mode.high, float(move.worth))) - mode.low)
        for line, before, damaged in (
            (mode.lost, mode.lost_before, False),
            (mode.damaged, mode.damaged_before, True),
        ):
            pays = not damaged or quote.liability_covers is Covers.LOSS_AND_DAMAGE
            borne = _borne(quote, mode.cover, Decimal(value), share, owed, damaged=damaged)
            assert max(0.0, _at(line, value)) <= borne + 1e-6
            assert _at(before, value) - (float(owed) if pays else 0.0) <= borne + 1e-6
            nothing = _borne(quote, mode.cover, Decimal(value), share, Decimal(0), damaged=damaged)
            assert _at(before, value) == pytest.approx(nothing, abs=1e-6), "exact where nothing is owed"
            fully = _borne(quote, mode.cover, Decimal(value), share, most, damaged=damaged)
            assert max(0.0, _at(line, value)) == pytest.approx(fully, abs=1e-6), "exact where so much is owed"


def _of(cover: Cover, **settings: object) -> list[Mode]:
    quote = replace(QUOTES["closed van"], liability_per_carton=Decimal(0))
    given_ = replace(MOVE.settings, **settings)  # type: ignore[arg-type]
    move = replace(MOVE, settings=given_, quotes={quote.name: quote}, covers={cover.name: cover})
    return [mode for mode in modes_of(quote, move) if mode.cover is not None]


def test_what_the_excess_swallows_is_not_covered_unless_it_must_be() -> None:
    cover = replace(COVERS["carton cover"], for_quotes=None)
    assert min(mode.low for mode in _of(cover)) == 20, "its excess"
    assert min(mode.low for mode in _of(cover, insure_from=Decimal(5))) == pytest.approx(4.99)
    by_trip = replace(COVERS["trip cover"], for_quotes=None)
    assert min(mode.low for mode in _of(by_trip)) == 0, "its fee is that of all its cartons"
    capped = _of(by_trip, count_expected_loss=False)
    assert min(mode.low for mode in _of(cover, count_expected_loss=False)) == 0, "no part of the cost"
    assert len(capped) < len(_of(by_trip)), "the last turn is all that is told apart then"
