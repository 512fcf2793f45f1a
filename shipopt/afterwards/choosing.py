"""Cartons as people name them: numbers, ranges of numbers, or a quote for all that goes by it.

Several are parted by ``;``, as names are in the workbook. Called by the job for what is typed at the command line.
"""

import re
from collections.abc import Container, Iterable, Sequence

from shipopt.move.plan import Shipment

_RANGE = re.compile(r"(\d+)\s*[-–]\s*(\d+)")


class NoSuchCarton(ValueError):  # noqa: N818 - it names what was given
    """A name that is neither a carton of the plan nor a quote in it."""


def cartons_named(given: Iterable[str], numbers: Container[str], shipments: Sequence[Shipment]) -> frozenset[str]:
    """Numbers of the cartons that some texts name: ``12``, ``1-8; 12``, ``Blue van``. NoSuchCarton for any other.
    ``numbers`` are all carton numbers, those of cartons that are gone already among them."""
    by_quote: dict[str, set[str]] = {}
    for each in shipments:
        by_quote.setdefault(each.quote.name.casefold(), set()).add(each.filled.number)
    found: set[str] = set()
    for name in (part.strip() for text in given for part in text.split(";") if part.strip()):
        span = _RANGE.fullmatch(name)
        if name in numbers:
            found.add(name)
        elif name.casefold() in by_quote:
            found |= by_quote[name.casefold()]
        elif span and all(str(n) in numbers for n in range(int(span[1]), int(span[2]) + 1)):
            found |= {str(n) for n in range(int(span[1]), int(span[2]) + 1)}
        else:
            raise NoSuchCarton(f"{name!r} is neither a carton of the plan nor a quote in it")
    return frozenset(found)
