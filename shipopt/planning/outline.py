"""The outline of a plan: which quotes it books, in which rows of weight breaks, with which covers of whole loads.

These are what costs by itself, whatever is carried: everything else can be made little by little. (What costs nothing
by itself must be in every outline: there were no end of outlines that differ in that alone.) Plans of one outline
are soon bounded, and outlines are few. Noted by the constraints of ``carriage`` and ``covers``; used by ``naming``,
``outlines``, ``by_guides`` and ``search``.
"""

from collections.abc import Mapping, Set
from dataclasses import dataclass

from shipopt.move.quotes import Quote


@dataclass(frozen=True, slots=True)
class Outline:
    """Names of quotes, and of rows of weight breaks and bands of covers (any, if None)."""

    quotes: frozenset[str]
    charges: frozenset[str] | None = None

    def within(self, other: "Outline") -> bool:
        """Whether every plan of this outline is one of the other's too."""
        if not self.quotes <= other.quotes:
            return False
        return other.charges is None or (self.charges is not None and self.charges <= other.charges)

    def takes(self, charge: str) -> bool:
        """Whether plans may be charged this."""
        return self.charges is None or charge in self.charges

    def with_quotes(self, quotes: Set[str]) -> "Outline":
        """The outline with other quotes as well."""
        return Outline(self.quotes | quotes, self.charges)


def free_to_book(quote: Quote) -> bool:
    """Whether a quote costs nothing but for what it carries, so that it may as well be in every outline."""
    return not (quote.fixed_charge or quote.minimum_charge or quote.included_cartons or quote.weight_breaks)


def outline_of(quotes: Mapping[str, float], charges: Mapping[str, float]) -> Outline:
    """What a solution books and is charged, from the numbers of trips and of times."""
    return Outline(_chosen(quotes), _chosen(charges))


def _chosen(numbers: Mapping[str, float]) -> frozenset[str]:
    return frozenset(name for name, number in numbers.items() if number > 0.5)
