"""Floors set by set: what each set of bidders costs at the least, and what all others do."""

from dataclasses import replace
from decimal import Decimal
from functools import partial
from threading import Event

import pytest
from planning.two_cartons import MOVE

from shipopt.planning import optimise
from shipopt.planning.beside import Beside
from shipopt.planning.bidder_sets import NAMED_AT_ONCE, PLANS_COST, Bidders
from shipopt.planning.corners import corners_of
from shipopt.planning.formulation import aggregate_programme
from shipopt.planning.least_loss import least_loss
from shipopt.planning.solving import Outcome, Verdict, solve
from shipopt.planning.state import objective_of


def _run(programme, at_most, share, stop):
    return solve(programme.problem, seconds=20, gap=1e-6, at_most=at_most, stop=stop)


def _bidders(cores=1):
    return Bidders(MOVE, _run, cores=cores)


@pytest.fixture(scope="module")
def best():
    return float(objective_of(MOVE, optimise(MOVE, within=0.0).shipments))


def test_the_first_sight_bounds_every_plan_and_names_quotes(best):
    bidders = _bidders()
    first = bidders.first_set()
    assert first
    assert first <= set(MOVE.quotes)
    assert 0 < bidders.bound <= best + 1e-6


def test_a_set_without_cheaper_plans_is_bounded_by_the_price_asked(best):
    bidders = _bidders()
    first = bidders.first_set()
    assert bidders.look_at(first, bidders.bound / 2)
    assert bidders.bound <= best + 1e-6
    assert bidders.not_proved(bidders.bound / 2, set()) is None


def test_every_set_is_named_once_and_the_floor_never_passes_the_best_plan(best):
    bidders = _bidders()
    seen = set()
    chosen = bidders.first_set()
    for _ in range(2 ** len(MOVE.quotes)):
        if chosen is None:
            break
        assert all(not chosen <= other for other in seen)
        seen.add(chosen)
        assert not bidders.look_at(chosen, best + 1) or bidders._bounds[chosen] >= best + 1
        chosen = bidders.next_set(best + 1)
    assert chosen is None
    assert bidders.bound <= best + 1e-6


def test_a_bound_of_a_set_is_one_of_every_set_of_fewer_of_its_quotes(best):
    bidders = _bidders()
    small = bidders.first_set()
    large = small | set(MOVE.quotes)
    bidders._bounds[large] = bidders.bound
    assert bidders.not_proved(best, set()) == large
    bidders.look_at(large, best / 2)
    assert bidders._bounds[small] >= best / 2
    assert bidders.not_proved(best / 2, set()) is None


def test_sets_that_may_do_better_are_looked_at_as_one(best):
    bidders = _bidders()
    first = bidders.first_set()
    other = frozenset(list(MOVE.quotes)[:1]) | frozenset(list(MOVE.quotes)[-1:])
    bidders._bounds[other] = bidders.bound
    together = bidders.not_proved(best, set())
    assert together == first | other
    assert bidders.bound <= best
    assert bidders.not_proved(best, {together}) is None
    bidders.look_at(together, best / 2)
    assert bidders._bounds[first] >= best / 2
    assert bidders._bounds[other] >= best / 2


def test_sets_that_lack_a_quote_may_serve_instead():
    bidders = _bidders()
    first = bidders.first_set()
    dear, cheap = first | {"dear"}, frozenset({"cheap"})
    bidders._bounds |= {dear: 1.0, cheap: 2.0, frozenset({"late"}): 9.0}
    assert bidders.instead_of(first, 9.0) == [cheap]
    assert bidders.instead_of(dear, 9.0)[0] == cheap


def test_sets_are_named_beforehand_while_plans_near_first_sight_may_book_others():
    bidders = _bidders()
    bidders.name_sets(Event())
    assert not bidders._bounds
    bidders.first_set()
    bidders.name_sets(Event())
    near = bidders.best_at_first_sight * PLANS_COST
    assert len(bidders._bounds) == 1 + NAMED_AT_ONCE or bidders.next_set(near) is None


def test_where_nothing_is_seen_in_time_the_next_set_is_any():
    late = Outcome(Verdict.NOTHING, "late", 1.0, bound=1.0)
    bidders = Bidders(MOVE, lambda programme, at_most, share, stop: late)
    assert bidders.first_set() is None
    assert bidders.next_set(bidders.best_at_first_sight) is None
    assert bidders.bound == 1.0


def test_with_nothing_cheaper_asked_for_no_set_is_named(best):
    bidders = _bidders()
    bidders.first_set()
    assert bidders.next_set(0.01) is None
    assert not bidders.none_exists()


@pytest.mark.parametrize("cores", [1, 2])
def test_work_beside_is_done_when_waited_for_and_raises_what_it_raised(cores):
    done = []
    Beside(partial(done.append, 1), cores).wait()
    assert done == [1]
    with pytest.raises(IndexError):
        Beside(lambda: done[5], cores).wait()


def test_a_half_without_plans_does_not_say_how_many_kinds_are_enough():
    def run(programme, at_most, share, stop):
        verdict = Verdict.FOUND if "books_the_quote" in programme.problem.constraints else Verdict.IMPOSSIBLE
        return Outcome(verdict, "half", 1.0, bound=0.0, objective=1.0)

    bidders = Bidders(MOVE, run, cores=2)
    bidders._enough = 0
    chosen = frozenset(sorted(MOVE.quotes)[:2])
    bidders._bounds[chosen] = 0.0
    assert not bidders.look_at(chosen, 2.0)
    assert bidders._enough == 0
    assert chosen in bidders.solutions


def test_two_halves_bound_a_set_as_one_programme_does(best):
    everything = set(MOVE.quotes)
    bounds = []
    for cores in (1, 2):
        bidders = _bidders(cores)
        chosen = bidders.first_set() | {min(everything - bidders.first_set())}
        bidders._bounds[chosen] = bidders.bound
        bidders.look_at(chosen, best + 1)
        bounds.append(bidders._bounds[chosen])
        assert bidders._bounds[chosen] <= best + 1e-6
    assert bounds[0] == pytest.approx(bounds[1], rel=1e-5)


@pytest.mark.parametrize("asked", [0.5, 0.9, 1.01])
@pytest.mark.parametrize("cores", [1, 2])
def test_a_proof_about_all_quotes_bounds_every_plan_whoever_ends_first(best, cores, asked):
    bidders = _bidders(cores)
    bidders.first_set()
    everyone = frozenset(MOVE.quotes)
    bidders._bounds[everyone] = bidders.bound
    assert bidders.look_at(everyone, best * asked) == (asked < 1)
    assert bidders.bound <= best + 1e-6
    assert (everyone in bidders.solutions) == (asked > 1)


@pytest.mark.parametrize(("cap", "binds"), [("10000", False), ("0.01", True), (None, True)])
def test_a_cap_on_loss_is_heeded_once_a_solution_shows_that_it_binds(cap, binds):
    settings = replace(MOVE.settings, most_tail_mean=None, most_expected_loss=cap and Decimal(cap))
    move = replace(MOVE, settings=settings)
    bidders = Bidders(move, lambda programme, at_most, share, stop: solve(programme.problem, seconds=20, gap=1e-6))
    assert bidders.move.settings.most_expected_loss is None
    bidders.first_set()
    assert (bidders.move is move) == binds
    assert bidders.bound > 0
    bidders.heed_caps()
    assert bidders.move is move


def test_a_set_dearer_than_any_looked_for_before_is_named_all_the_same(best):
    bidders = _bidders()
    bidders._bounds[frozenset()] = 0.0  # so that any set is another one
    bidders.best_at_first_sight = 1.0
    assert bidders.next_set(1.0) is None
    assert bidders.bound <= best
    assert bidders.next_set(best + 1) is not None
    assert not bidders.none_exists()


@pytest.mark.parametrize("counted", [False, True])
def test_a_solution_loses_at_least_what_its_programme_counts_for_it(counted):
    settings = replace(MOVE.settings, most_tail_mean=None, most_expected_loss=None, count_expected_loss=counted)
    move = replace(MOVE, settings=settings)
    programme = aggregate_programme(move, corners_of(move.loose, True, 20), whole=True)
    outcome = solve(programme.problem, seconds=20, gap=1e-6)
    loss = least_loss(programme, outcome.values)
    capped = replace(move, settings=replace(settings, most_expected_loss=Decimal(repr(loss + 1e-6))))
    within = aggregate_programme(capped, corners_of(move.loose, True, 20), whole=True)
    least = solve(within.problem, seconds=20, gap=1e-6)
    assert loss > 0
    assert least.objective >= outcome.objective - 1e-4
    if counted:
        counts = sum(outcome.values[each.name] * times for each, times in programme.expected_loss.items())
        assert loss == pytest.approx(counts + programme.expected_loss.constant)
    else:
        assert not any(each.name.startswith("risk_") for each in programme.problem.variables())


def test_a_proof_about_all_quotes_bounds_every_plan(best):
    bidders = _bidders()
    bidders.first_set()
    everyone = frozenset(MOVE.quotes)
    bidders._bounds[everyone] = bidders.bound
    assert bidders.look_at(everyone, best * 0.9)
    assert best * 0.9 <= bidders.bound <= best + 1e-6
    assert bidders.next_set(best * 0.9) is None


def test_of_many_copies_all_quotes_are_proved_at_once():
    everyone, some = frozenset(MOVE.quotes), frozenset([min(MOVE.quotes)])
    for copies, expected in ((10, some), (20_000, everyone)):
        records = (replace(MOVE.records[0], copies=copies), *MOVE.records[1:])
        bidders = Bidders(replace(MOVE, records=records), lambda programme, at_most, share, stop: None)
        bidders._bounds[some] = 1.0
        assert bidders.not_proved(2.0, set()) == expected
        assert bidders.not_proved(2.0, {expected}) is None
