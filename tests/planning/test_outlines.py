"""Floors outline by outline: what plans of each outline cost at the least, and what all others do."""

from contextlib import ExitStack
from dataclasses import replace
from decimal import Decimal
from functools import partial
from math import inf
from threading import Event

import pytest
from planning.two_cartons import MOVE

from shipopt.comparing.free_of_charge import free_of_charge
from shipopt.planning import optimise
from shipopt.planning.beside import Beside, sooner
from shipopt.planning.corners import corners_of
from shipopt.planning.formulation import aggregate_programme
from shipopt.planning.least_loss import least_loss
from shipopt.planning.naming import FINELY_WHERE_LOSSES_COST, FOR_NAMING, OF_MANY_COPIES, Naming
from shipopt.planning.outline import Outline, free_to_book
from shipopt.planning.outlines import MANY_COPIES_COST, PLANS_COST, TOO_HIGH, Outlines, Proof
from shipopt.planning.solving import BY_SUMS, Outcome, Verdict, solve
from shipopt.planning.state import objective_of
from shipopt.planning.ways import without_loss_caps


def _run(programme, at_most, share, stop):
    options = BY_SUMS if programme.groups else None
    return solve(programme.problem, seconds=20, gap=1e-6, at_most=at_most, stop=stop, options=options)


def _outlines(move=MOVE, run=_run):
    return Outlines(move, run)


@pytest.fixture(scope="module")
def best():
    return float(objective_of(MOVE, optimise(MOVE, within=0.0).shipments))


def _work_out(outlines, target):
    while outlines.work(target):
        pass


def test_an_outline_is_within_one_of_more_quotes_and_charges():
    small, large = Outline(frozenset("a"), frozenset("x")), Outline(frozenset("ab"), frozenset("xy"))
    anything = Outline(frozenset("ab"))
    assert small.within(large)
    assert small.within(anything)
    assert not large.within(small)
    assert not anything.within(large)
    assert anything.within(anything)
    assert small.with_quotes({"b"}).within(large)
    assert anything.takes("z")
    assert not large.takes("z")


def test_only_quotes_that_cost_nothing_by_themselves_are_free_to_book():
    quote = next(iter(MOVE.quotes.values()))
    plain = replace(quote, fixed_charge=Decimal(0), minimum_charge=Decimal(0), included_cartons=0, weight_breaks=None)
    assert free_to_book(plain)
    assert not free_to_book(replace(plain, fixed_charge=Decimal(1)))
    assert not free_to_book(replace(plain, minimum_charge=Decimal(1)))
    assert not free_to_book(replace(plain, included_cartons=1))


def test_the_first_sight_bounds_every_plan_and_names_an_outline(best):
    outlines = _outlines()
    first = outlines.first()
    assert first.quotes
    assert first.quotes <= set(MOVE.quotes)
    assert 0 < outlines.bound <= best + 1e-6
    assert outlines.plans_may_cost == pytest.approx(outlines.best_at_first_sight * PLANS_COST)


def test_where_a_plan_is_known_the_first_outline_costs_no_more(best):
    outlines = _outlines()
    assert outlines.first(best / 2) is None
    assert outlines.bound == pytest.approx(best / 2)
    assert outlines.first(best + 1) is not None
    assert outlines.bound <= best + 1e-6


@pytest.mark.parametrize("asked", [0.5, 0.9, 1.01])
@pytest.mark.parametrize("cores", [1, 2])
def test_work_for_a_target_proves_it_or_meets_what_costs_less(best, cores, asked):
    outlines = _outlines()
    outlines.first()
    target, told = best * asked, []
    beside = Beside(lambda: outlines.keep_at_it(lambda: target, told.append), cores) if cores > 1 else None
    while outlines.work(target) or not outlines.at_rest:
        outlines.wait_for_news()
    outlines.end()
    if beside:
        beside.wait()
    assert outlines.bound <= best + 1e-6
    assert all(bound <= outlines.bound for bound in told)
    assert (outlines.bound >= target) == (asked < 1)
    met = outlines.met(target, lambda each: True)
    assert (met is not None) == (asked > 1)
    if met:
        assert met.outcome.objective <= target
        assert met.programme.outline(met.outcome.values).within(met.outline)


def test_every_outline_is_named_once_until_none_is_left(best):
    naming = Naming(MOVE, _run)
    seen = []
    while (found := naming.next(best + 50, Event())) is not None:
        programme, outcome = found
        outline = programme.outline(outcome.values).with_quotes(naming.free)
        assert outcome.objective >= naming.bound - 1e-3
        assert not any(outline.within(other) for other in seen)
        seen.append(outline)
        naming.leave_out(outline)
        assert len(seen) < 200
    assert len(seen) > 1
    assert naming.bound >= best + 50


def test_with_every_outline_left_out_there_is_none_at_any_price():
    naming = Naming(MOVE, _run)
    naming.leave_out(Outline(frozenset(MOVE.quotes)))
    assert naming.next(None, Event()) is None
    assert naming.bound == inf


def test_what_a_price_left_out_is_not_taken_for_what_does_not_exist(best):
    naming = Naming(MOVE, _run)
    under = aggregate_programme(MOVE, corners_of(MOVE.loose, True, 20), at_large=True, at_most=best / 4)
    beyond = aggregate_programme(MOVE, corners_of(MOVE.loose, True, 20), at_large=True)
    assert set(under.charged_by_itself) < set(beyond.charged_by_itself)
    naming.leave_out(Outline(frozenset(MOVE.quotes), frozenset(under.charged_by_itself)))
    assert naming.next(best / 4, Event()) is None
    assert naming.bound <= best / 4


@pytest.mark.parametrize("weight", ["0.5", "20"])
def test_where_losses_are_part_of_the_cost_floors_rise_to_the_best_plan(weight):
    settings = replace(MOVE.settings, count_expected_loss=True, weight_of_loss=Decimal(weight))
    counted = without_loss_caps(replace(MOVE, settings=settings))
    best = float(objective_of(counted, optimise(counted, within=0.0).shipments))
    naming = Naming(counted, _run)
    (first, seen), (closer, named) = naming.at_first_sight(best + 1), naming.next(best + 1, Event())
    assert (bool(first.groups), bool(closer.groups)) == (True, True), "carton types and covers told apart"
    assert seen.objective <= named.objective + 1e-3 <= best + 2e-3
    outlines = _outlines(counted)
    outlines.first()
    first = outlines.bound
    _work_out(outlines, best)
    assert seen.objective * (1 - 1e-6) <= first <= outlines.bound <= best + 1e-6
    assert named.objective * (1 - 1e-6) <= outlines.bound


@pytest.mark.parametrize(("weight", "named"), [("7.9", False), ("8", True)])
def test_where_a_loss_counts_for_much_outlines_are_named_at_first_sight(weight, named):
    settings = replace(MOVE.settings, count_expected_loss=True, weight_of_loss=Decimal(weight))
    outlines = _outlines(without_loss_caps(replace(MOVE, settings=settings)))
    first = outlines.first()
    assert [outline.quotes >= first.quotes for outline in outlines._bounds] == [True] * named
    assert outlines.bound > 0


def _counted(weight="20", move=MOVE):
    settings = replace(move.settings, count_expected_loss=True, weight_of_loss=Decimal(weight))
    return without_loss_caps(replace(move, settings=settings))


def test_outlines_are_named_more_finely_where_losses_are_part_of_the_cost():
    shares = []

    def run(programme, at_most, share, stop):
        shares.append(share)
        return _run(programme, at_most, share, stop)

    for move, share in ((_counted(), FINELY_WHERE_LOSSES_COST), (without_loss_caps(MOVE), 1.0)):
        shares.clear()
        assert Naming(move, run).next(None, Event()) is not None
        assert shares == [share]


def test_where_every_quote_is_free_to_book_the_first_outline_is_the_only_one():
    outlines = _outlines(free_of_charge(without_loss_caps(MOVE)))
    outlines.first()
    assert len(outlines._bounds) == 1
    assert outlines._naming.bound == inf
    assert outlines.bound == min(outlines._bounds.values()) < inf


@pytest.mark.parametrize(("bounded", "what"), [(1.0, "proof"), (3.0, "name")])
def test_where_losses_are_part_of_the_cost_what_is_bounded_least_comes_first(monkeypatch, bounded, what):
    outlines, done = _outlines(_counted()), []
    monkeypatch.setattr(outlines, "name", lambda target: done.append("name") or True)
    monkeypatch.setattr(outlines, "_prove", lambda proof: done.append("proof"))
    outlines._naming.bound = 2.0
    outlines._bounds = {Outline(frozenset(MOVE.quotes), frozenset()): bounded}
    assert outlines.work(4.0)
    assert done == [what]


def test_what_costs_by_itself_is_all_that_is_whole_at_large():
    programme = aggregate_programme(MOVE, corners_of(MOVE.loose, True, 20), at_large=True)
    whole = {variable.name for variable in programme.problem.variables() if variable.cat == "Integer"}
    booked = {load.used.name for load in programme.loads}
    assert whole == booked | {times.name for times in programme.charged_by_itself.values()}


def test_a_cover_that_costs_nothing_by_itself_is_in_every_outline():
    def bands_of(**changes):
        covers = {
            name: replace(cover, bands=tuple(replace(band, **changes) for band in cover.bands))
            for name, cover in MOVE.covers.items()
        }
        programme = aggregate_programme(replace(MOVE, covers=covers), corners_of(MOVE.loose, True, 20), at_large=True)
        return {name for name in programme.charged_by_itself if name.endswith("band 1")}

    assert bands_of(least_fee=Decimal(10))
    assert not bands_of(fee=Decimal(0), least_fee=Decimal(0))


def test_a_programme_of_an_outline_has_its_solutions_only(best):
    everything = aggregate_programme(MOVE, corners_of(MOVE.loose, True, 20), whole=True)
    free = _run(everything, None, 1, None)
    outline = everything.outline(free.values)
    same = aggregate_programme(MOVE, corners_of(MOVE.loose, True, 20), whole=True, only=outline)
    again = _run(same, None, 1, None)
    assert again.objective == pytest.approx(free.objective, rel=1e-5)
    assert same.outline(again.values).within(outline)
    others = everything.outside(outline)
    assert all(free.values[variable.name] < 0.5 for variable in others)
    nothing = Outline(frozenset(MOVE.quotes), frozenset())
    without = aggregate_programme(MOVE, corners_of(MOVE.loose, True, 20), whole=True, only=nothing)
    outcome = _run(without, None, 1, None)
    assert not outcome.found or not without.outline(outcome.values).charges


def test_a_bound_of_an_outline_is_one_of_every_outline_within_it(best):
    outlines = _outlines()
    first = outlines.first()
    small, large = first.with_quotes(outlines.free), Outline(frozenset(MOVE.quotes))
    outlines._bounds = {small: 0.0, large: 0.0}
    outlines._prove(Proof(large, 40, best / 2))
    assert outlines._bounds[small] >= best / 2
    assert outlines._bounds[large] >= best / 2


def test_proofs_begin_with_what_no_plan_was_looked_for_with():
    outlines = _outlines()
    first = outlines.first()
    other = Outline(frozenset(MOVE.quotes), frozenset())
    outlines._bounds = {first.with_quotes(outlines.free): 1.0, other: 2.0}
    outlines.planned = [first]
    assert outlines.is_planned(first.with_quotes(outlines.free))
    assert outlines._next_proof(9.0).outline == other
    assert outlines._next_proof(1.5).outline == first.with_quotes(outlines.free)
    assert outlines._next_proof(0.5) is None


def test_a_second_proof_of_an_outline_takes_more_kinds_and_one_told_to_stop_is_begun_anew():
    outlines = _outlines()
    outlines.first()
    proof = outlines._next_proof(1e9)
    outlines._at_work.append(proof)
    beside = outlines._next_proof(1e9)
    assert beside is None or beside.number > proof.number
    outlines.aim_at(1e9)
    assert not proof.stop.is_set()
    outlines.aim_at(9e8)
    assert proof.stop.is_set()
    proof.stop.clear()
    outlines.aim_at(2e9)
    assert proof.stop.is_set()
    assert outlines._next_proof(9e8).number == proof.number


def test_a_proof_of_a_little_more_than_need_be_goes_on_and_one_of_less_is_begun_beside_it():
    outlines = _outlines()
    outlines.first()
    proof = outlines._next_proof(1e9)
    outlines._at_work.append(proof)
    outlines.aim_at(1e9 / (1 + TOO_HIGH / 2))
    assert not proof.stop.is_set()
    assert outlines._next_proof(1e9 / (1 + TOO_HIGH / 2)).number == proof.number
    outlines.aim_at(1e9 * (1 + TOO_HIGH / 2))
    assert proof.stop.is_set(), "it says less than is asked for"


def test_a_second_thread_tells_of_the_bound_after_each_step(best):
    outlines = _outlines()
    outlines.first()
    told = []

    def tell(bound):
        told.append(bound)
        outlines.end()

    outlines.keep_at_it(lambda: best * 0.9, tell)
    assert told == [outlines.bound]


def test_only_one_thread_names_at_a_time_and_nobody_beyond_the_target(best):
    outlines = _outlines()
    outlines.first()
    assert not outlines.name(outlines.bound)
    outlines.is_naming = True
    assert not outlines.name(best + 50)
    outlines.is_naming = False
    assert outlines.name(best + 50)
    assert outlines.at_rest


def test_quotes_that_are_free_to_book_are_in_every_outline_that_is_bounded(best):
    nothing = {"fixed_charge": Decimal(0), "minimum_charge": Decimal(0), "included_cartons": 0, "weight_breaks": None}
    last = max(MOVE.quotes)
    quotes = MOVE.quotes | {last: replace(MOVE.quotes[last], **nothing)}
    outlines = _outlines(replace(MOVE, quotes=quotes))
    outlines.first()
    assert outlines.name(best + 50)
    assert last in outlines.free
    assert all(outlines.free <= outline.quotes for outline in outlines._bounds)


def test_a_proof_of_what_is_known_by_now_is_stopped(best):
    outlines = _outlines()
    first = outlines.first().with_quotes(outlines.free)
    known, open_ = Proof(first, 160, best / 2), Proof(first, 160, best + 1)
    outlines._at_work = [known, open_]
    outlines._prove(Proof(first, 40, best / 2))
    assert known.stop.is_set()
    assert not open_.stop.is_set()


def test_of_what_was_seen_the_cheapest_not_planned_by_is_promising():
    outlines = _outlines()
    first = outlines.first()
    seen = outlines.best_at_first_sight
    assert outlines.promising(seen + 1) == first
    assert outlines.promising(seen) is None
    outlines.planned.append(first)
    assert outlines.promising(seen + 1) is None


def test_the_weakest_outline_has_the_least_bound():
    outlines = _outlines()
    first, other = Outline(frozenset({"a"}), frozenset()), Outline(frozenset({"b"}), frozenset())
    outlines._bounds = {first: 1.0, other: 2.0, Outline(frozenset({"a", "b"})): 0.5}
    assert outlines.weakest() == Outline(frozenset({"a", "b"}))


def test_where_nothing_is_seen_in_time_naming_is_given_up():
    late = Outcome(Verdict.NOTHING, "late", 1.0, bound=1.0)
    outlines = _outlines(run=lambda programme, at_most, share, stop: late)
    assert outlines.first() is None
    assert outlines.bound == 1.0
    assert outlines.plans_may_cost == -inf
    assert outlines.work(2.0)
    assert not outlines.work(2.0)


def test_nothing_is_begun_without_time_or_after_the_end(best):
    late = Outlines(MOVE, _run, lambda: False)
    late.first()
    assert not late.work(best)
    ended = _outlines()
    ended.first()
    ended.end()
    assert not ended.work(best)


def test_a_fault_in_a_proof_leaves_nobody_at_work():
    outlines = _outlines()
    outlines.first()
    outlines._solve = outlines._naming._solve = lambda *asked: 1 / 0
    with pytest.raises(ZeroDivisionError):
        outlines.work(1e9)
    with pytest.raises(ZeroDivisionError):
        outlines.work(1e9, naming_first=True)
    assert outlines.at_rest


@pytest.mark.parametrize("cores", [1, 2])
def test_work_beside_is_done_when_waited_for_and_raises_what_it_raised(cores):
    done = []
    Beside(partial(done.append, 1), cores).wait()
    assert done == [1]
    with pytest.raises(IndexError):
        Beside(lambda: done[5], cores).wait()


@pytest.mark.parametrize("sooner_beside", [False, True])
def test_the_sooner_of_two_works_that_serves_stops_the_other(sooner_beside):
    stop = Event()

    def quick():
        return "served"

    def slow():
        return "told to stop" if stop.wait(20) else "not told"

    here, beside = (slow, quick) if sooner_beside else (quick, slow)
    with ExitStack() as ended:
        assert sooner(here, beside, lambda found: found == "served", stop, ended) == "served"
    assert stop.is_set()


def test_where_neither_work_serves_the_one_here_is_told_and_a_fault_beside_is_raised():
    with ExitStack() as ended:
        assert sooner(lambda: "here", lambda: "beside", lambda found: False, Event(), ended) == "here"
    for here in (lambda: "here", lambda: "served"):
        with pytest.raises(ZeroDivisionError), ExitStack() as ended:
            sooner(here, lambda: 1 / 0, lambda found: found == "served", Event(), ended)


def test_a_fault_in_the_work_here_stops_the_one_beside():
    stop = Event()
    with pytest.raises(ZeroDivisionError), ExitStack() as ended:
        sooner(lambda: 1 / 0, lambda: stop.wait(20), lambda found: True, stop, ended)
    assert stop.is_set()


@pytest.mark.parametrize("quick_is_sooner", [False, True])
def test_at_first_sight_either_programme_may_be_solved_first(best, quick_is_sooner):
    def run(programme, at_most, share, stop):
        if bool(programme.groups) == quick_is_sooner and stop.wait(20):
            return Outcome(Verdict.FOUND, "stopped", 0.0, bound=-1.0, objective=1e9, values={"poor": 1.0})
        return _run(programme, at_most, share, stop)

    naming = Naming(without_loss_caps(MOVE), run)
    with ExitStack() as beside:
        programme, outcome = naming.at_first_sight(None, beside)
    assert outcome.verdict is Verdict.PROVED
    assert bool(programme.groups) != quick_is_sooner
    assert 0 < naming.bound <= best + 1e-6
    assert programme.outline(outcome.values).quotes


def test_with_two_cores_first_sight_of_what_does_not_exist_is_that(best):
    with ExitStack() as beside:
        assert Naming(without_loss_caps(MOVE), _run).at_first_sight(best / 2, beside) is None


@pytest.mark.parametrize(("cap", "binds"), [("10000", False), ("0.01", True), (None, True)])
def test_a_cap_on_loss_is_heeded_once_a_solution_shows_that_it_binds(cap, binds):
    settings = replace(MOVE.settings, most_tail_mean=None, most_expected_loss=cap and Decimal(cap))
    move = replace(MOVE, settings=settings)
    outlines = _outlines(move)
    assert outlines.move.settings.most_expected_loss is None
    outlines.first()
    assert (outlines.move is move) == binds
    assert outlines.bound > 0
    outlines.heed_caps()
    assert outlines.move is move


def test_what_a_proof_without_caps_meets_shows_that_they_bind():
    settings = replace(MOVE.settings, most_tail_mean=None, most_expected_loss=Decimal("0.01"))
    move = replace(MOVE, settings=settings)
    outlines = _outlines(move)
    outlines._bounds = {Outline(frozenset(MOVE.quotes)): 0.0}
    outlines._prove(Proof(Outline(frozenset(MOVE.quotes)), 40, 1e6))
    assert outlines.move is move
    assert outlines.met(1e6, lambda each: True) is None


def test_after_caps_are_heeded_bounds_stay_and_outlines_are_not_named_again(best):
    settings = replace(MOVE.settings, most_tail_mean=None, most_expected_loss=Decimal(10000))
    outlines = _outlines(replace(MOVE, settings=settings))
    first = outlines.first()
    before = outlines.bound
    outlines.heed_caps()
    assert outlines.bound == before
    _work_out(outlines, before + 1)
    named = [outline for outline in outlines._bounds if first.within(outline)]
    assert len(named) == 1


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


def test_of_many_copies_proofs_begin_with_more_kinds_and_plans_are_nearer_to_first_sight():
    for copies, times, least in ((10, PLANS_COST, 40), (20_000, MANY_COPIES_COST, 160), (90_000, MANY_COPIES_COST, 40)):
        records = (replace(MOVE.records[0], copies=copies), *MOVE.records[1:])
        free = replace(MOVE.settings, most_tail_mean=None, most_expected_loss=None, count_expected_loss=False)
        outlines = _outlines(replace(MOVE, records=records, settings=free), lambda *asked: None)
        outlines.best_at_first_sight = 100.0
        assert outlines.plans_may_cost == pytest.approx(100 * times)
        assert outlines._least == least
        assert outlines.of_many_copies == (copies > 10)
        assert outlines._naming._for_naming == (OF_MANY_COPIES if copies > 10 else FOR_NAMING)
    assert _outlines(replace(MOVE, settings=replace(free, count_expected_loss=True)))._least == 160
    assert _outlines(replace(MOVE, settings=replace(free, most_tail_mean=Decimal(9))))._least == 80


@pytest.mark.parametrize(
    ("copies", "capped", "plain"),
    [
        (1, True, [True, True]),
        (20_000, True, [True, False]),
        (20_000, False, [True, False]),
        (90_000, True, [False, False]),
        (90_000, False, [False, False]),
    ],
)
def test_outlines_of_many_copies_are_named_by_corners_and_of_too_many_from_first_sight_on(copies, capped, plain):
    records = (replace(MOVE.records[0], copies=copies), *MOVE.records[1:])
    settings = replace(MOVE.settings, most_tail_mean=None, most_expected_loss=Decimal(10) if capped else None)
    asked = []

    def run(programme, *others):
        asked.append(programme)
        return Outcome(Verdict.NOTHING, "none in time", 1.0)

    naming = Naming(replace(MOVE, records=records, settings=settings), run)
    assert naming.at_first_sight(None) is None
    assert naming.next(None, Event()) is None
    assert [not programme.groups for programme in asked] == plain


def test_none_exists_where_naming_says_so():
    none = Outcome(Verdict.IMPOSSIBLE, "none", 1.0)
    outlines = _outlines(run=lambda *asked: none)
    assert outlines.first() is None
    assert outlines.none_exists()
    some = _outlines()
    some.first()
    assert not some.none_exists()
