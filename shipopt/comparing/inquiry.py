"""The questions about one quote: the move without it, at other prices, with as much as it can carry.

An ``Inquiry`` puts variants of the move one after another, each made from what the answers so far have told. They
differ from the move in the prices or the absence of quotes, so a plan found for one is a plan of the move, and the pool
of them all gives the figures. Called by the module comparison; the module bidders sums up.
"""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

from shipopt.comparing.pool import Pool
from shipopt.comparing.prices import (
    at_share,
    highest_fixed_charge,
    highest_share,
    pushed_to,
    uses,
    with_quote,
    without_quote,
)
from shipopt.comparing.variants import Answer, NotInTime, Solved, Variant
from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.plan import Plan
from shipopt.move.quotes import Quote
from shipopt.planning.state import USES_OF_ROOM, Effort

ALL_IT_CAN, WITHOUT, NO_FIXED_CHARGE = "all it can carry", "without it", "no fixed charge"
FIXED_CHARGE, SHARE = "fixed charge", "share of its prices"

IN_KNOWN_CARTONS = Effort(guides=(), with_floor=False)
"""A quick look: the best plan in cartons of plans known already."""
WITH_A_FLOOR = Effort(guides=(), floor_within=0.05)
"""The same, with a floor that says how much better any plan could be."""
PACKED_ANEW = Effort(guides=USES_OF_ROOM[:1])
"""A floor near the best plan, and cartons packed anew too. A second guide took up to half as long again on the worked
examples and found nothing better."""
MOST_PRICES = 5
"""Prices tried one after another for a quote; each is where the best plan of the price before stops to pay."""

WITHIN = 0.02
"""Gap at which the search of a variant may end, a fraction; the settings' own where that is wider."""

Price = Callable[[Plan, str, Decimal], Decimal | None]


class Inquiry:
    """The questions about one quote, put one after another."""

    def __init__(self, pool: Pool, quote: Quote, seconds: float) -> None:
        self.pool, self.quote, self.seconds = pool, quote, seconds
        self.booked = uses(pool.plans[0], quote.name)
        self.put: set[str] = set()
        self.without: Answer | None = None
        self.all_it_can: Plan | None = None
        self.gap_of_its_plan: Decimal | None = None
        self.settled = False
        self.tried_shares = False
        self._prices: dict[tuple[int, Price, Decimal], Decimal | None] = {}

    def next_variants(self) -> list[Variant]:
        """The next questions, which may be put side by side; none if there are none left."""
        questions = [self._all_it_can(), self._without()]
        if not self.booked or self.without is not None:
            questions.append(self._price())
        variants = [question for question in questions if question is not None]
        self.put |= {variant.name for variant in variants}
        return variants

    def take(self, answer: Answer) -> None:
        """Takes the answer to a question."""
        found = self.pool.add(answer.plan) if isinstance(answer, Solved) else None
        if answer.name == self._name(ALL_IT_CAN):
            self.all_it_can = found
        elif answer.name == self._name(WITHOUT):
            self.without = answer
        elif answer.name.startswith(self._name(SHARE)):
            self.tried_shares = self.tried_shares or not (isinstance(answer, NotInTime) and answer.cut_short)
        if answer.name == self._name(NO_FIXED_CHARGE) and isinstance(answer, Solved) and answer.floor > ZERO:
            self.gap_of_its_plan = answer.objective - answer.floor

    def _name(self, question: str) -> str:
        return f"{self.quote.name}: {question}"

    def _variant(self, question: str, move: Move, effort: Effort) -> Variant | None:
        """The question, unless it was put already."""
        name = self._name(question)
        if name in self.put:
            return None
        within = max(WITHIN, float(move.settings.within))
        return Variant(name, move, self.seconds, within, (self.pool.plans[0],), effort=effort)

    def _all_it_can(self) -> Variant | None:
        pushed = pushed_to(self.pool.plans[0], self.pool.objectives[0], self.quote.name)
        return self._variant(ALL_IT_CAN, pushed, IN_KNOWN_CARTONS)

    def _without(self) -> Variant | None:
        if not self.booked:
            return None
        return self._variant(WITHOUT, without_quote(self.pool.move, self.quote.name), PACKED_ANEW)

    def _price(self) -> Variant | None:
        """The move at the highest price known to do, where a higher one may do with another plan."""
        if self.settled or len(self.put) >= MOST_PRICES + 2 or self.without_it() is None:
            return None
        variant = self._fixed_charge() if self._turns_on_its_fixed_charge() else self._share()
        self.settled = variant is None
        return variant

    def _turns_on_its_fixed_charge(self) -> bool:
        """Whether a change of the fixed charge alone decides if the quote is in, as far as is known."""
        untried = self.quote.fixed_charge > ZERO and self._name(NO_FIXED_CHARGE) not in self.put
        return untried or self.walk_away() is not None

    def _fixed_charge(self) -> Variant | None:
        charge = self.walk_away()
        if charge is None:
            return self._variant(NO_FIXED_CHARGE, self._with_fixed_charge(ZERO), WITH_A_FLOOR)
        if self._fixed_once_for_all():
            return None
        return self._variant(f"{FIXED_CHARGE} {charge}", self._with_fixed_charge(charge), IN_KNOWN_CARTONS)

    def _fixed_once_for_all(self) -> bool:
        """Whether the best plan that uses the quote is the same at every fixed charge: it is due once, and no minimum
        swallows it. Then the plan found without a fixed charge, or at the one asked, settles the price."""
        once = not self.quote.by_load or self.quote.trips_at_most == 1
        return once and not (self.quote.by_load and self.quote.minimum_charge)

    def _with_fixed_charge(self, charge: Decimal) -> Move:
        return with_quote(self.pool.move, replace(self.quote, fixed_charge=charge))

    def _share(self) -> Variant | None:
        share = self.price_share() or ZERO
        move = with_quote(self.pool.move, at_share(self.quote, share))
        return self._variant(f"{SHARE} {share}", move, IN_KNOWN_CARTONS)

    def without_it(self) -> Decimal | None:
        """Objective of the cheapest plan found that does not use the quote."""
        return self.pool.least(lambda plan: not uses(plan, self.quote.name))

    def with_it(self) -> Decimal | None:
        """Objective of the cheapest plan found that uses it."""
        return self.pool.least(self._uses)

    def walk_away(self) -> Decimal | None:
        """The highest fixed charge at which a plan found with it is not dearer than all found without."""
        return self._highest(highest_fixed_charge)

    def price_share(self) -> Decimal | None:
        """Likewise the highest share of all its prices."""
        return self._highest(highest_share)

    def _uses(self, plan: Plan) -> bool:
        return uses(plan, self.quote.name)

    def _highest(self, price: Price) -> Decimal | None:
        most = self.without_it()
        if most is None:
            return None
        found = [self._price_of(place, price, most) for place, plan in enumerate(self.pool.plans) if self._uses(plan)]
        return max((each for each in found if each is not None), default=None)

    def _price_of(self, place: int, price: Price, most: Decimal) -> Decimal | None:
        key = (place, price, most)
        if key not in self._prices:
            self._prices[key] = price(self.pool.plans[place], self.quote.name, most)
        return self._prices[key]
