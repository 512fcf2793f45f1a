"""What a claim needs and until when, in plain words: published periods as cautions, each with its source.

Terms of the contract and the law that governs it decide; nothing here says which applies. Used by the sheets Cover to
buy and Diary.
"""

SHORTEST_DAYS = 7
"""Days in which damage that cannot be seen from outside must be told to a road carrier: Convention on the Contract for
the International Carriage of Goods by Road (CMR, 1956), article 30(1), Sundays and public holidays not counted (from
memory). The shortest of the published periods below, so the safest to note where the workbook gives none."""
SHORTEST_PERIOD = (
    f"A caution: {SHORTEST_DAYS} days is the shortest published period (see the sheet Cover to buy); your contract may "
    "say less."
)

CLAIMS: tuple[tuple[str, str], ...] = (
    (
        "On delivery",
        "Count the cartons and look at them before you sign. Write what is missing, torn, wet or crushed on the "
        "delivery note, photograph it, keep carton and packing, and tell carrier and insurer in writing at once.",
    ),
    (
        "What a claim needs",
        "These lists as they were before the move; photographs of the dearest with grade and flaws; invoices or a "
        "written valuation; the receipt or waybill with the declared value; the note on the delivery note; an estimate "
        "for replacement. Declare true values: too little is paid short, too much may void the cover.",
    ),
    (
        "What covers leave out",
        "Often: packing by the owner, wear and warping, collectors' value beyond an agreed one, vehicles left "
        "unwatched, delay, sets valued by the part. Ask before you buy, in writing, and ask your household insurer.",
    ),
    (
        # CMR articles 30(1), 32(1), from memory; articles 1(4) (what it does not apply to), seen in a copy.
        "By road abroad",
        "Damage that can be seen: on delivery; hidden damage: within 7 days, Sundays and holidays not counted; court: "
        "within 1 year (CMR, 1956, articles 30 and 32; not for furniture removal or post, article 1).*",
    ),
    (
        # Montreal Convention 1999, articles 31(2) and 35, from memory.
        "By air abroad",
        "Damage: within 7 days for checked baggage, 14 days for cargo; court: within 2 years (Montreal Convention, "
        "1999, articles 31 and 35).*",
    ),
    (
        # 49 USC 14706(e)(1), seen in a copy.
        "US interstate carriers",
        "A carrier may not ask for a claim in less than 9 months, nor for suit in less than 2 years from its refusal "
        "(49 USC 14706(e)(1)).",
    ),
    (
        # Domestic Mail Manual 609.1.4: days 15 to 60 seen in a copy, damage at once from memory.
        "US insured post",
        "Damage: at once and within 60 days of posting; loss: from day 15 to day 60 (Domestic Mail Manual, 609).*",
    ),
    (
        "Whose word counts",
        "Periods are cautions, those with * from memory; contracts and local law differ, and some bid you be quicker. "
        "The carrier's and the insurer's terms and a licensed adviser's word come first.",
    ),
)
