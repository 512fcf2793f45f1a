"""The programme of the exact solver: every possible carton of a tiny move, in whole numbers only, for CP-SAT.

Nothing is rounded but what the tariffs round. Money that has to be rounded half up is a whole variable r with
``r > amount − ½``; since cost is minimised, r is the rounded amount. Built and solved by ``exact``.
"""

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import permutations, product
from math import floor, lcm

from ortools.sat.python import cp_model

from independent.choices import Choice, all_choices
from independent.distribution import WORST, chance_of_harm, still_going
from independent.recompute import card_price, loss_of_sent, minor_units
from shipopt.move.cover import Cover
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.quotes import Quote
from shipopt.move.words import Consignment

MOST = 10**7
"""No charge of a tiny move comes near this many minor units; scaled sums must stay below 2⁶³."""

Term = tuple[Fraction, cp_model.IntVar]


@dataclass
class Trip:
    """One trip of a load, or all cartons of a quote by the carton: its choices with their numbers."""

    quote: Quote
    number: int
    used: cp_model.IntVar
    cartons: list[tuple[Choice, cp_model.IntVar]] = field(default_factory=list)

    def sum_of(self, measure: Sequence[Fraction]) -> list[Term]:
        return [(Fraction(each), x) for each, (_, x) in zip(measure, self.cartons, strict=True)]


class CartonModel:
    """The whole programme. Costs are gathered as (factor in minor units, variable)."""

    def __init__(self, move: Move) -> None:
        self.move = move
        self.cp = cp_model.CpModel()
        self.most_cartons = sum(record.copies for record in move.loose) + len(move.to_go)
        self.costs: list[tuple[Fraction, cp_model.IntVar]] = []
        self.losses: list[Term] = []
        self.trips = self._trips(all_choices(move))
        self.boxes: dict[str, list[cp_model.IntVar]] = defaultdict(list)
        self._everything_once()
        for trip in self.trips:
            self._limits(trip)
            if trip.quote.consignment is Consignment.LOAD:
                self._trip_charge(trip)
                self._trip_fees(trip)
            else:
                self._carton_charges(trip)
        self._cartons_bought()
        self._loss_cap()
        self._worst_part()
        self._objective()

    # Variables

    def _trips(self, choices: Iterable[Choice]) -> list[Trip]:
        by_quote: dict[str, list[Choice]] = defaultdict(list)
        for choice in choices:
            by_quote[choice.quote.name].append(choice)
        found = []
        for quote in self.move.quotes.values():
            trips = quote.trips_at_most if quote.consignment is Consignment.LOAD else 1
            before = None
            for number in range(1, trips + 1):
                trip = Trip(quote, number, self.cp.new_bool_var(f"{quote.name} {number}"))
                for choice in by_quote[quote.name]:
                    trip.cartons.append((choice, self._number_of(choice, trip)))
                if before is not None:
                    self.cp.add_implication(trip.used, before)
                before = trip.used
                found.append(trip)
        return found

    def _number_of(self, choice: Choice, trip: Trip) -> cp_model.IntVar:
        number = self.cp.new_int_var(0, choice.most, "")
        self.cp.add(number <= choice.most * trip.used)
        if choice.fee:
            self.costs.append((Fraction(choice.fee), number))
        self.losses.append((choice.loss, number))
        return number

    # Every copy and every closed carton goes once; boxes

    def _everything_once(self) -> None:
        lines: dict[int, list[tuple[int, cp_model.IntVar]]] = defaultdict(list)
        closed: dict[int, list[cp_model.IntVar]] = defaultdict(list)
        for trip in self.trips:
            for choice, number in trip.cartons:
                if choice.closed is not None:
                    closed[choice.closed].append(number)
                    continue
                self.boxes[choice.filled.carton.name].append(number)
                for line, copies in enumerate(choice.holds):
                    if copies:
                        lines[line].append((copies, number))
        for line, record in enumerate(self.move.loose):
            self.cp.add(sum(copies * number for copies, number in lines[line]) == record.copies)
        for place in range(len(self.move.to_go)):
            self.cp.add(sum(closed[place]) == 1)

    def _cartons_bought(self) -> None:
        for name, numbers in self.boxes.items():
            carton = self.move.cartons[name]
            if carton.most is not None:
                self.cp.add(sum(numbers) <= carton.most)
            over = self.cp.new_int_var(0, self.most_cartons, "")
            self.cp.add(over >= sum(numbers) - carton.on_hand)
            # The price of a box is in whole minor units, so nothing is left to round.
            self.costs.append((Fraction(carton.price) * 10**self.move.settings.currency.places, over))

    # Limits of a consignment

    def _limits(self, trip: Trip) -> None:
        quote = trip.quote
        if quote.consignment is Consignment.CARTON:
            return  # a carton's own value was asked when it became a choice
        numbers = [number for _, number in trip.cartons]
        if quote.most_cartons is not None:
            self.cp.add(sum(numbers) <= quote.most_cartons)
        weights = trip.sum_of([Fraction(c.filled.gross_weight) for c, _ in trip.cartons])
        values = trip.sum_of([Fraction(c.filled.value) for c, _ in trip.cartons])
        volumes = trip.sum_of([c.volume for c, _ in trip.cartons])
        for terms, most in (
            (weights, quote.most_weight),
            (volumes, quote.most_volume),
            (values, quote.most_value),
            (values, self.move.settings.most_value_on_consignment),
        ):
            if most is not None:
                self._at_most(terms, Fraction(most))

    def _at_most(self, terms: Sequence[Term], most: Fraction) -> cp_model.Constraint:
        scale = lcm(*(each.denominator for each, _ in terms), 1)
        return self.cp.add(sum(int(each * scale) * x for each, x in terms) <= floor(most * scale))

    def _above(self, terms: Sequence[Term], least: Fraction) -> cp_model.Constraint:
        scale = lcm(*(each.denominator for each, _ in terms), least.denominator)
        return self.cp.add(sum(int(each * scale) * x for each, x in terms) >= int(least * scale) + 1)

    # Rounded money

    def _minor(self, amount: object) -> Fraction:
        return Fraction(amount) * 10**self.move.settings.currency.places  # type: ignore[arg-type]

    def _rounded(self) -> cp_model.IntVar:
        """A charge in minor units, held up by constraints of ``_at_least`` and down by the objective."""
        charge = self.cp.new_int_var(0, MOST, "")
        self.costs.append((Fraction(1), charge))
        return charge

    def _at_least(self, charge: cp_model.IntVar, terms: Sequence[Term], flat: Fraction) -> cp_model.Constraint:
        """The charge is at least the amount in minor units, rounded half up: 2D·charge ≥ 2D·amount − D + 1."""
        scale = lcm(*(each.denominator for each, _ in terms), flat.denominator)
        amount = sum(int(2 * scale * each) * x for each, x in terms) + int(2 * scale * flat)
        return self.cp.add(2 * scale * charge >= amount - scale + 1)

    # Carriage

    def _trip_charge(self, trip: Trip) -> None:
        quote, up = trip.quote, 1 + Fraction(trip.quote.surcharge)
        charge = self._rounded()
        self._at_least(charge, [(self._minor(quote.minimum_charge) * up, trip.used)], Fraction(0))
        over = self.cp.new_int_var(0, self.most_cartons, "")
        self.cp.add(over >= sum(number for _, number in trip.cartons) - quote.included_cartons)
        base = [(self._minor(quote.fixed_charge) * up, trip.used), (self._minor(quote.per_carton) * up, over)]
        for choice, number in trip.cartons:
            each = Fraction(quote.per_weight) * choice.billed + Fraction(quote.per_volume) * choice.volume
            each += card_price(quote, choice.billed)
            base.append((self._minor(each) * up, number))
        if quote.weight_breaks is None:
            self._at_least(charge, base, Fraction(0))
            return
        rows = [(self._minor(r.price_per_100) * up / 100, Fraction(r.from_weight)) for r in quote.weight_breaks.rows]
        weight = trip.sum_of([choice.billed for choice, _ in trip.cartons])
        chosen = [self.cp.new_bool_var("") for _ in rows]
        self.cp.add_exactly_one(chosen)
        for row, (price, start) in zip(chosen, rows, strict=True):
            by_weight = [(price * each, x) for each, x in weight]
            self._at_least(charge, [*base, *by_weight], Fraction(0)).only_enforce_if(row)
            self._at_least(charge, [*base, (price * start, trip.used)], Fraction(0)).only_enforce_if(row)

    def _carton_charges(self, trip: Trip) -> None:
        up = 1 + Fraction(trip.quote.surcharge)
        once = minor_units(self.move, Fraction(trip.quote.fixed_charge) * up)
        self.costs.append((Fraction(once), trip.used))
        free = []
        for choice, number in trip.cartons:
            self.costs.append((Fraction(choice.charge), number))
            if choice.saving and trip.quote.included_cartons:
                included = self.cp.new_int_var(0, choice.most, "")
                self.cp.add(included <= number)
                self.costs.append((Fraction(-choice.saving), included))
                free.append(included)
        self.cp.add(sum(free) <= trip.quote.included_cartons)

    # Fees on the value of a trip

    def _trip_fees(self, trip: Trip) -> None:
        for cover in self.move.covers.values():
            cartons = [(c, x) for c, x in trip.cartons if c.fee_of_trip and c.cover == cover]
            if cartons:
                self._trip_fee(cover, cartons)

    def _trip_fee(self, cover: Cover, cartons: Sequence[tuple[Choice, cp_model.IntVar]]) -> None:
        taken, charge = self.cp.new_bool_var(""), self._rounded()
        for choice, number in cartons:
            self.cp.add(number <= choice.most * taken)
        value = [(Fraction(choice.filled.value), number) for choice, number in cartons]
        bands = [self.cp.new_bool_var("") for _ in cover.bands]
        self.cp.add(sum(bands) == taken)
        below: Fraction | None = None
        for chosen, band in zip(bands, cover.bands, strict=True):
            if below is not None:
                self._above(value, below).only_enforce_if(chosen)
            if band.value_up_to is not None:
                below = Fraction(band.value_up_to)
                self._at_most(value, below).only_enforce_if(chosen)
            share = [(self._minor(band.share_of_value) * each, number) for each, number in value]
            self._at_least(charge, share, self._minor(band.fee)).only_enforce_if(chosen)
            self._at_least(charge, [], self._minor(band.least_fee)).only_enforce_if(chosen)

    # Loss and objective

    def _loss_cap(self) -> None:
        cap = self.move.settings.most_expected_loss
        if cap is not None:
            self._at_most(self.losses, Fraction(cap) - loss_of_sent(self.move))

    def _worst_part(self) -> None:
        """The worst 5 % lose at least what is lost on average where anything is lost: expected loss ÷ max(5 %, chance
        of any loss), and that chance is at most the sum over cartons. Not enough by itself: see ``best_plan``."""
        if self.move.settings.most_tail_mean is None:
            return
        cap, sent = Fraction(self.move.settings.most_tail_mean), still_going(self.move)
        rare, loss = self.cp.new_bool_var(""), loss_of_sent(self.move)
        self._at_most(self.losses, cap * WORST - loss).only_enforce_if(rare)
        chances = [
            (chance_of_harm(self.move, Shipment(choice.filled, choice.quote, 1, choice.cover)), x)
            for trip in self.trips
            for choice, x in trip.cartons
        ]
        over = [(each - cap * chance, x) for (each, x), (chance, _) in zip(self.losses, chances, strict=True)]
        of_sent = sum((chance_of_harm(self.move, each) for each in sent), Fraction(0))
        self._at_most(over, cap * of_sent - loss).only_enforce_if(~rare)

    def _objective(self) -> None:
        parts = list(self.costs)
        if self.move.settings.count_expected_loss:
            parts += [(self._minor(each), number) for each, number in self.losses]
        self.scale = lcm(*(each.denominator for each, _ in parts), 1)
        self.cp.minimize(sum(int(each * self.scale) * x for each, x in parts))
        self.parts = parts

    def value(self, solver: cp_model.CpSolver) -> Fraction:
        """The objective of the solution, in the currency's major unit, with what cartons already gone have cost."""
        paid = sum(minor_units(self.move, Fraction(cost)) for g in self.move.gone for cost in (g.paid, g.cover_fee))
        paid += sum(minor_units(self.move, Fraction(packed.carton_paid)) for packed in self.move.packed)
        units = paid + sum(each * solver.value(x) for each, x in self.parts)
        amount = Fraction(units, 10**self.move.settings.currency.places)
        return amount + (loss_of_sent(self.move) if self.move.settings.count_expected_loss else 0)

    def rule_out(self, part: Sequence[tuple[Choice, int]]) -> None:
        """No plan has all these cartons on their trips, however the trips of a quote are numbered."""
        quotes = list(dict.fromkeys(choice.quote.name for choice, _ in part))
        orders = [permutations(range(1, 1 + self._trips_of(name))) for name in quotes]
        for order in product(*orders):
            renumbered = dict(zip(quotes, order, strict=True))
            counts = Counter((id(choice), renumbered[choice.quote.name][trip - 1]) for choice, trip in part)
            fewer = [self._fewer(trip, choice, x, counts) for trip in self.trips for choice, x in trip.cartons]
            self.cp.add_bool_or([each for each in fewer if each is not None])

    def _trips_of(self, quote_name: str) -> int:
        return sum(trip.quote.name == quote_name for trip in self.trips)

    def _fewer(
        self, trip: Trip, choice: Choice, number: cp_model.IntVar, counts: Counter[tuple[int, int]]
    ) -> cp_model.IntVar | None:
        count = counts[id(choice), trip.number]
        if not count:
            return None
        fewer = self.cp.new_bool_var("")
        self.cp.add(number <= count - 1).only_enforce_if(fewer)
        return fewer

    def chosen(self, solver: cp_model.CpSolver) -> list[tuple[Choice, int]]:
        """The cartons of the solution with their trips."""
        return [
            (choice, trip.number)
            for trip in self.trips
            for choice, number in trip.cartons
            for _ in range(solver.value(number))
        ]
