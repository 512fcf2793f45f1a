"""Published shortest periods for giving notice of loss or damage, by means: what to know before the terms are read.

Cautions, not law: which of them applies depends on the contract and the place, and a contract may say more. Facts
recalled without the document at hand say "from memory". Used by the module claims.
"""

from shipopt.move.words import Means

ROAD = (
    "Road, between the states of the USA: no carrier may set less than 9 months to claim, nor less than 2 years to sue "
    "(49 USC 14706(e)(1)).",
    "Road, between countries (CMR, 1956, art. 30, from memory): damage that shows is told at delivery, other damage "
    "within 7 days, Sundays and public holidays not counted. It does not hold for post or for furniture removal (art. "
    "1(4)).",
)
AIR = (
    "Air, between countries (Montreal Convention, 1999, art. 31, from memory): damage is told in writing within 7 days "
    "for baggage and within 14 days for cargo.",
)
POST = (
    "Post, insured mail within the USA (Domestic Mail Manual 609): a loss is claimed from the 15th to the 60th day "
    "after mailing; damage at once, not later than the 60th day (from memory).",
)
PUBLISHED: dict[Means, tuple[str, ...]] = {
    Means.CARRY_ON: AIR,
    Means.VAN: ROAD,
    Means.FREIGHT: (*ROAD, *AIR),
    Means.POST: POST,
}
"""Texts by means."""
