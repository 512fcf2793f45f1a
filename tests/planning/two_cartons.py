"""A move of two packed cartons and a few loose records that switches every constraint on. All of it is invented."""

from decimal import Decimal

from shipopt.move.care import CareLevel
from shipopt.move.cartons import CartonType, FilledCarton, Portion, filled
from shipopt.move.cover import Band, Cover
from shipopt.move.money import currency
from shipopt.move.move import Move
from shipopt.move.quotes import Quote, RateCard, RateStep, WeightBreak, WeightBreaks
from shipopt.move.records import Format, Record
from shipopt.move.settings import Settings
from shipopt.move.words import Consignment, CoverBasis, Covers, Means, Units

LP = Format("LP", "12", Decimal("0.25"), Decimal("0.4"), Decimal("0.8"), Decimal(10))
BOX_SET = Format("Box set", "12", Decimal("1.2"), Decimal(3), Decimal(6), Decimal(60))
SINGLE = Format("7-inch", "7", Decimal("0.05"), Decimal("0.15"), Decimal("0.3"), Decimal(4))


def _record(place: int, form: Format, value: str, copies: int = 1) -> Record:
    return Record(f"R{place + 1}", form, "standard", Decimal(value), form.weight, form.thickness, place, copies)


RECORDS = (
    _record(0, LP, "20", 40),
    _record(1, LP, "300"),
    _record(2, SINGLE, "4", 50),
    _record(3, SINGLE, "0", 2),
    _record(4, BOX_SET, "60"),
)
CARTONS = {
    "LP carton": CartonType(
        "LP carton",
        ("12", "7"),
        Decimal(30),
        Decimal(35),
        Decimal(35),
        Decimal(35),
        Decimal("0.8"),
        price=Decimal(3),
        on_hand=1,
    ),
    "singles box": CartonType(
        "singles box",
        ("7",),
        Decimal(20),
        Decimal(20),
        Decimal(22),
        Decimal(20),
        Decimal("0.3"),
        price=Decimal(2),
        most=4,
    ),
}
QUOTES = {
    "closed van": Quote(
        "closed van",
        Means.VAN,
        Consignment.LOAD,
        trips_at_most=2,
        fixed_charge=Decimal(60),
        included_cartons=1,
        per_carton=Decimal(9),
        per_volume=Decimal(100),
        minimum_charge=Decimal(80),
        surcharge=Decimal("0.1"),
        most_cartons=3,
        most_weight=Decimal(60),
        most_volume=Decimal(1),
        most_value=Decimal(2000),
        loss_chance=Decimal("0.002"),
        damage_chance=Decimal("0.01"),
        whole_load_loss=Decimal("0.001"),
    ),
    "depot freight": Quote(
        "depot freight",
        Means.FREIGHT,
        Consignment.LOAD,
        weight_breaks=WeightBreaks(
            "depot", (WeightBreak(Decimal(0), Decimal(90)), WeightBreak(Decimal(50), Decimal(60)))
        ),
        volumetric_divisor=Decimal(5000),
        loss_chance=Decimal("0.01"),
        damage_chance=Decimal("0.03"),
        liability_per_weight=Decimal(8),
        liability_covers=Covers.LOSS_AND_DAMAGE,
    ),
    "parcel post": Quote(
        "parcel post",
        Means.POST,
        Consignment.CARTON,
        fixed_charge=Decimal(5),
        included_cartons=1,
        per_carton=Decimal(1),
        per_weight=Decimal("0.5"),
        rate_card=RateCard("parcels", (RateStep(Decimal(5), Decimal(8)), RateStep(Decimal(20), Decimal(15)))),
        minimum_charge=Decimal(9),
        carton_weight_limit=Decimal(20),
        loss_chance=Decimal("0.02"),
        damage_chance=Decimal("0.05"),
    ),
}
COVERS = {
    "carton cover": Cover(
        "carton cover",
        Covers.LOSS,
        CoverBasis.CARTON,
        (Band(Decimal(500), Decimal(2), Decimal("0.01")), Band(Decimal(2000), Decimal(4), Decimal("0.01"), Decimal(8))),
        excess=Decimal(20),
    ),
    "trip cover": Cover(
        "trip cover",
        Covers.LOSS_AND_DAMAGE,
        CoverBasis.CONSIGNMENT,
        (
            Band(Decimal(1000), Decimal(10), Decimal(0), Decimal(12)),
            Band(None, Decimal(0), Decimal("0.02"), Decimal(25)),
        ),
        ("closed van",),
        excess=Decimal(50),
    ),
}
MOVE = Move(
    Settings(
        Units.KILOGRAM_CENTIMETRE,
        currency("EUR"),
        Decimal(23),
        insure_from=Decimal(400),
        most_value_on_consignment=Decimal(1800),
        most_expected_loss=Decimal(90),
        most_tail_mean=Decimal(1500),
    ),
    RECORDS,
    CARTONS,
    QUOTES,
    {"standard": CareLevel("standard", frozenset(Means))},
    COVERS,
)


def packed() -> list[FilledCarton]:
    """All LPs and the box set in one carton, all singles in another, and the two worthless singles in a third."""
    lp, box = CARTONS["LP carton"], CARTONS["singles box"]
    return [
        filled("1", lp, [Portion(RECORDS[0], 1, 40), Portion(RECORDS[1], 1, 1), Portion(RECORDS[4], 1, 1)]),
        filled("2", box, [Portion(RECORDS[2], 1, 50)]),
        filled("3", box, [Portion(RECORDS[3], 1, 2)]),
    ]
