"""What holds of every tariff: tried on a thousand random ones for each statement, the same thousand on every run."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from itertools import combinations, pairwise

import invented
import tariffs
from hypothesis import given, settings
from hypothesis import strategies as st
from independent import recompute

from shipopt.move.cartons import FilledCarton
from shipopt.move.plan import Shipment
from shipopt.move.quotes import Quote, RateCard, RateStep
from shipopt.move.words import CoverBasis, Units
from shipopt.pricing.billing import billed_weight, volumetric_weight
from shipopt.pricing.carriage import carton_charge, carton_charges, cartons_statement, fixed_once, trip_statement
from shipopt.pricing.cover import cover_fee, share_by_value
from shipopt.pricing.freight_class import freight_class
from shipopt.pricing.rate_cards import rate_card_price
from shipopt.pricing.statement import Statement
from shipopt.pricing.total import price
from shipopt.pricing.weight_breaks import weight_break_charge

often = settings(max_examples=1000, deadline=None, derandomize=True)

ANY_QUOTE = tariffs.quotes()
ANY_PRICES = tariffs.quotes(rising=False)
BREAKS = tariffs.seeded(tariffs.weight_breaks)
CARDS = tariffs.seeded(lambda rng: tariffs.rate_card(rng, rising=False))
PLACES = st.sampled_from([0, 2, 3])


def statement_of(
    quote: Quote, cartons: list[FilledCarton], places: int = 2, units: Units = Units.POUND_INCH
) -> Statement:
    """The statement of one trip, or of all cartons of a quote by the carton."""
    given_settings = tariffs.settings_of(places, units)
    if quote.by_load:
        return trip_statement(quote, 1, cartons, given_settings)
    return cartons_statement(quote, cartons, given_settings)


@often
@given(ANY_PRICES, tariffs.filled_cartons(), PLACES, st.sampled_from(Units))
def test_lines_sum_exactly_to_a_total_in_whole_minor_units(
    quote: Quote, cartons: list[FilledCarton], places: int, units: Units
) -> None:
    """And each line's amount is its quantity × its rate, to ten places."""
    statement = statement_of(quote, cartons, places, units)
    assert sum(line.amount for line in statement.lines) == statement.total
    assert statement.total == statement.total.quantize(Decimal(1).scaleb(-places))
    for line in statement.lines:
        assert abs(line.quantity * line.rate - line.amount) <= Decimal("0.51e-10")
        assert line.what == "Rounding" or (line.quantity > 0 and line.amount >= 0)


@often
@given(ANY_PRICES, tariffs.filled_cartons(), PLACES, st.sampled_from(Units))
def test_totals_are_those_worked_out_a_second_time(
    quote: Quote, cartons: list[FilledCarton], places: int, units: Units
) -> None:
    """A separate working-out from the written rules, in fractions and whole minor units."""
    move = invented.move([quote], with_settings=tariffs.settings_of(places, units))
    again = recompute.carriage_of(move, quote.name, [Shipment(box, quote) for box in cartons])
    assert statement_of(quote, cartons, places, units).total == recompute.money(move, again)


@often
@given(ANY_PRICES, tariffs.filled_cartons(2), st.randoms(use_true_random=False))
def test_the_order_of_cartons_does_not_matter(quote: Quote, cartons: list[FilledCarton], rng: object) -> None:
    """Neither for the total nor for what each line says, but for the order of the lines."""
    shuffled = rng.sample(cartons, len(cartons))
    one, other = statement_of(quote, cartons), statement_of(quote, shuffled)
    assert one.total == other.total
    assert sorted(map(str, one.lines)) == sorted(map(str, other.lines))


@often
@given(ANY_QUOTE, tariffs.filled_cartons(2))
def test_carriage_never_falls_when_a_carton_is_added(quote: Quote, cartons: list[FilledCarton]) -> None:
    """With rate cards whose prices rise; weight breaks may be in any order."""
    assert statement_of(quote, cartons[:-1]).total <= statement_of(quote, cartons).total


@often
@given(ANY_QUOTE, tariffs.filled_cartons(), tariffs.decimals(30))
def test_carriage_never_falls_when_a_weight_rises(quote: Quote, cartons: list[FilledCarton], more: Decimal) -> None:
    """With rate cards whose prices rise."""
    heavier = [replace(cartons[0], gross_weight=cartons[0].gross_weight + more), *cartons[1:]]
    assert statement_of(quote, cartons).total <= statement_of(quote, heavier).total


@often
@given(ANY_PRICES, tariffs.filled_cartons())
def test_carriage_is_at_least_its_minimum(quote: Quote, cartons: list[FilledCarton]) -> None:
    """For each trip, or for each carton where that is the consignment, surcharge included."""
    least = Fraction(quote.minimum_charge) * (1 + Fraction(quote.surcharge)) - Fraction(1, 200)
    if quote.by_load:
        assert Fraction(statement_of(quote, cartons).total) >= least
    else:
        assert all(Fraction(charge) >= least for charge in carton_charges(quote, cartons, tariffs.settings_of()))


@often
@given(tariffs.quotes(by_carton=True, rising=False), tariffs.filled_cartons(1, 5))
def test_included_cartons_are_the_best_choice(quote: Quote, cartons: list[FilledCarton]) -> None:
    """No other choice of as many cartons free of Per carton is cheaper."""
    at = tariffs.settings_of()
    free = min(quote.included_cartons, len(cartons))
    best = min(
        sum(carton_charge(quote, box, at, included=box in chosen) or 0 for box in cartons)
        for chosen in combinations(cartons, free)
    )
    assert cartons_statement(quote, cartons, at).total == best + fixed_once(quote, at)
    assert sum(carton_charges(quote, cartons, at)) == best


@often
@given(ANY_QUOTE, tariffs.filled_cartons(), st.sampled_from([1, 2, 3]))
def test_a_currency_with_smaller_money_scales_every_total(
    quote: Quote, cartons: list[FilledCarton], power: int
) -> None:
    """Prices 10, 100 or 1,000 times as high, with as many decimal places fewer, give totals so many times as high."""
    times = 10**power
    card, breaks = quote.rate_card, quote.weight_breaks
    dearer = replace(
        quote,
        fixed_charge=quote.fixed_charge * times,
        per_carton=quote.per_carton * times,
        per_weight=quote.per_weight * times,
        per_volume=quote.per_volume * times,
        minimum_charge=quote.minimum_charge * times,
        rate_card=card and RateCard("card", tuple(replace(step, price=step.price * times) for step in card.steps)),
        weight_breaks=breaks
        and replace(breaks, rows=tuple(replace(row, price_per_100=row.price_per_100 * times) for row in breaks.rows)),
    )
    assert statement_of(dearer, cartons, places=3 - power).total == statement_of(quote, cartons, places=3).total * times


@often
@given(CARDS, st.integers(0, 5), tariffs.decimals(60, 1, 1), tariffs.decimals(12000, 1))
def test_splitting_a_rate_card_step_leaves_prices_unchanged(
    card: RateCard, place: int, at: Decimal, billed: Decimal
) -> None:
    """A step more at the price of the step it lies in changes no price, nor what the card refuses."""
    steps = {step.weight_up_to: step.price for step in card.steps}
    if at not in steps:
        steps[at] = next(step.price for step in card.steps if step.weight_up_to >= at)
    finer = RateCard("finer", tuple(RateStep(weight, steps[weight]) for weight in sorted(steps)))
    for weight in (billed, at, card.steps[min(place, len(card.steps) - 1)].weight_up_to):
        assert rate_card_price(finer, weight) == rate_card_price(card, weight)


@often
@given(BREAKS, tariffs.decimals(400), tariffs.decimals(50))
def test_weight_breaks_never_charge_less_for_more(breaks: object, weight: Decimal, more: Decimal) -> None:
    """And never more than the own row of the weight, nor for a weight rated lower than it is."""
    charge, row, as_weight = weight_break_charge(breaks, weight)
    own = [each for each in breaks.rows if each.from_weight <= weight][-1]
    assert charge <= own.price_per_100 * weight / 100
    assert as_weight == max(weight, row.from_weight)
    assert charge <= weight_break_charge(breaks, weight + more)[0]


@often
@given(
    tariffs.quotes(by_carton=True),
    tariffs.seeded(tariffs.carton_type),
    tariffs.decimals(70, 2, 1),
    st.sampled_from(Units),
)
def test_a_billed_weight_is_the_next_step_from_the_larger_weight(
    quote: Quote, carton: object, gross: Decimal, units: Units
) -> None:
    """Less than a step above it, and a whole number of steps."""
    larger = max(gross, volumetric_weight(quote, carton, units) or Decimal(0))
    billed = billed_weight(quote, carton, gross, units)
    if quote.weigh_step is None:
        assert billed == larger
    else:
        assert 0 <= billed - larger < quote.weigh_step
        assert billed % quote.weigh_step == 0


@often
@given(tariffs.covers(), tariffs.decimals(2500), tariffs.decimals(2500))
def test_a_fee_rises_with_value_within_its_band(cover: object, one: Decimal, other: Decimal) -> None:
    """From one band to the next it may fall; no value above the last band has a fee."""
    money = tariffs.settings_of().currency
    low, high = sorted((one, other))
    fees = cover_fee(cover, low, money), cover_fee(cover, high, money)
    tops = [band.value_up_to for band in cover.bands]
    if None not in tops:
        assert (fees[1] is None) == (high > tops[-1])
    if fees[0] is not None and fees[1] is not None and not any(top and low <= top < high for top in tops):
        assert fees[0] <= fees[1]


@often
@given(tariffs.covers(), tariffs.decimals(2000, 1, 1), tariffs.decimals(2500))
def test_splitting_a_band_leaves_fees_unchanged(cover: object, at: Decimal, value: Decimal) -> None:
    """Two bands alike are one."""
    money = tariffs.settings_of().currency
    place = next((n for n, b in enumerate(cover.bands) if b.value_up_to is None or at <= b.value_up_to), None)
    if place is None or cover.bands[place].value_up_to == at:
        return
    finer = replace(
        cover, bands=(*cover.bands[:place], replace(cover.bands[place], value_up_to=at), *cover.bands[place:])
    )
    for each in (value, at, at + Decimal("0.01")):
        assert cover_fee(finer, each, money) == cover_fee(cover, each, money)


@often
@given(tariffs.decimals(500), st.lists(tariffs.decimals(900), min_size=1, max_size=9), PLACES)
def test_shares_sum_to_the_fee_and_follow_value(fee: Decimal, values: list[Decimal], places: int) -> None:
    """Each within one minor unit of its exact share, and never less for more value."""
    money = tariffs.settings_of(places).currency
    whole = money.round(fee)
    shares = share_by_value(whole, values, money)
    assert sum(shares) == whole
    total = sum(values)
    for value, share in zip(values, shares, strict=True):
        exact = Fraction(whole) * (Fraction(value) / Fraction(total) if total else Fraction(1, len(values)))
        assert abs(Fraction(share) - exact) < Fraction(money.minor_unit)
    by_value = sorted(zip(values, shares, strict=True), key=lambda pair: pair[0])
    assert all(a[1] <= b[1] for a, b in pairwise(by_value) if a[0] < b[0])


@often
@given(
    tariffs.quotes(by_carton=False),
    tariffs.quotes(by_carton=True),
    tariffs.filled_cartons(1, 8),
    st.lists(st.tuples(st.integers(0, 2), st.integers(0, 2)), min_size=8, max_size=8),
    tariffs.covers(CoverBasis.CONSIGNMENT, unlimited=True),
    tariffs.covers(CoverBasis.CARTON, unlimited=True),
    st.randoms(use_true_random=False),
)
def test_a_whole_cost_is_the_sum_of_its_parts_in_any_order(
    van: Quote,
    post: Quote,
    cartons: list[FilledCarton],
    choices: list[tuple[int, int]],
    together: object,
    singly: object,
    rng: object,
) -> None:
    """Total and each carton's fee are the same whatever the order of shipments, and agree with a second working-out."""
    van, post = replace(van, name="van"), replace(post, name="post")
    together, singly = replace(together, name="together"), replace(singly, name="singly")
    shipments = [
        Shipment(box, post if way == 2 else van, 1 if way == 2 else way + 1, (None, together, singly)[cover])
        for box, (way, cover) in zip(cartons, choices, strict=False)
    ]
    types = {s.filled.carton.name: s.filled.carton for s in shipments}
    move = invented.move([van, post], types.values(), [together, singly], with_settings=tariffs.settings_of())
    shuffled = rng.sample(shipments, len(shipments))
    one, other = price(move, shipments), price(move, shuffled)
    assert one.total == other.total == one.carriage + one.cartons + one.cover
    fees = dict(zip((s.filled.number for s in shuffled), other.fee_shares, strict=True))
    assert [fees[s.filled.number] for s in shipments] == list(one.fee_shares)
    again = recompute.totals(move, shipments)
    assert (one.carriage, one.cartons, one.cover) == (again.carriage, again.cartons_bought, again.cover_fees)


@often
@given(tariffs.decimals(80, 3), tariffs.decimals(80, 3))
def test_denser_freight_has_no_higher_class(one: Decimal, other: Decimal) -> None:
    """Classes fall as density rises."""
    light, heavy = sorted((one, other))
    assert freight_class(light) >= freight_class(heavy)
