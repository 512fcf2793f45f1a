"""Numbers as people type them into a text cell, read only where the meaning is certain.

The decimal sign is the point; groups of three digits may be parted by commas, apostrophes or spaces.
``1,250`` is certain (a comma before exactly three digits groups thousands), ``1.234,5``, ``1,25`` and
``0,125`` are not. Signs of currencies, percents and units are taken off here; what they mean is the kinds' affair.
"""

import re
from decimal import Decimal

from shipopt.workbook.plain_text import plain_spaces

LONGEST = 40
_PLAIN = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)")
_GROUPED = re.compile(r"[+-]?[1-9][0-9]{0,2}(?:(?P<part>[,' ])[0-9]{3})(?:(?P=part)[0-9]{3})*(?:\.[0-9]*)?")
_ONLY_NUMBER_SIGNS = re.compile(r"[+-]?[0-9.,' ]*[0-9][0-9.,' ]*")

DOLLARS = tuple(
    "USD AUD BBD BMD BND BSD BZD CAD FJD GYD HKD JMD KYD LRD MXN NAD NZD SBD SGD SRD TTD TWD XCD ARS CLP COP".split()  # noqa: SIM905
)
CURRENCY_SIGNS: dict[str, tuple[str, ...]] = {
    "$": DOLLARS,
    "€": ("EUR",),
    "£": ("GBP", "GIP", "FKP", "SHP", "EGP"),
    "¥": ("JPY", "CNY"),
    "₹": ("INR",),
    "₩": ("KRW",),
}
"""Signs people put before or after an amount, and the currencies (codes of ISO 4217) that use each; from memory."""


def typed_number(text: str) -> Decimal | None:
    """The number a text certainly means, or None. No sign but ``+``, ``-`` or ``−`` before it."""
    text = plain_spaces(text).replace("\u2212", "-").replace("\u2019", "'")
    if len(text) > LONGEST:
        return None
    text = re.sub(r"^([+-]) +", r"\1", text)
    if _PLAIN.fullmatch(text):
        return Decimal(text.rstrip(".") if text.endswith(".") else text)
    if _GROUPED.fullmatch(text):
        return Decimal(re.sub(r"[,' ]", "", text))
    return None


def looks_like_number(text: str) -> bool:
    """Whether a text is made of digits and separators only, so that its meaning is uncertain, not absent."""
    return bool(_ONLY_NUMBER_SIGNS.fullmatch(plain_spaces(text)))


def without_sign(text: str, sign: str) -> str | None:
    """The text without a sign or unit at either end (``12 %``, ``$ 40``, ``-$40``), None if it has none there."""
    text = plain_spaces(text)
    minus = "-" if text.startswith(("-", "\u2212")) else ""
    bare = text[1:].lstrip() if minus else text
    if bare[: len(sign)].casefold() == sign.casefold():
        return minus + bare[len(sign) :].strip()
    if bare[-len(sign) :].casefold() == sign.casefold():
        return minus + bare[: -len(sign)].strip()
    return None
