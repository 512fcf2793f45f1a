"""Worked example 2: the estate of an invented record dealer, 12,000 records from Duluth to Albuquerque by freight.

Every person, bidder, tariff, cover, artist and title is invented; the cities are real, the distance plays no part. Most
of it is listed by the bin, as heirs would. Called by ``make_examples``.
"""

from dataclasses import dataclass, field
from datetime import date
from random import Random

from invented_titles import artists, grade, title

FOLDER = "2_estate_by_freight"
FILE = "estate.xlsx"
SEED = "an estate by freight"

Rows = list[dict[str, object]]

MOVE: dict[str, object] = {
    "Title": "The estate goes to the auction rooms (invented)",
    "Units": "lb / in",
    "Currency": "USD",
    "From": "Duluth",
    "To": "Albuquerque",
    "Decide on": date(2026, 9, 1),
    "Ready on": date(2026, 9, 14),
    "Needed by": date(2026, 9, 25),
    "Insure cartons worth at least": 2500,
    "Most value on one consignment": 120000,
    "Expected uninsured loss at most": 700,
    "Heaviest carton to lift": 45,
    "Seconds to search": 60,
    "Stop within %": 2.5,
}

FORMATS: Rows = [
    {"Format": "LP", "Sleeve": "12", "Weight each": 0.52, "Thickness each": 0.165, "Value if blank": 6},
    {"Format": "Double LP", "Sleeve": "12", "Weight each": 0.95, "Thickness each": 0.29, "Value if blank": 11},
    {"Format": "Twelve-inch single", "Sleeve": "12", "Weight each": 0.42, "Thickness each": 0.14, "Value if blank": 4},
    {"Format": "Shellac 10-inch", "Sleeve": "10", "Weight each": 0.5, "Thickness each": 0.14, "Value if blank": 5},
    {"Format": "7-inch", "Sleeve": "7", "Weight each": 0.11, "Thickness each": 0.09, "Value if blank": 2},
    {"Format": "Box set", "Sleeve": "box set", "Weight each": 2.9, "Thickness each": 1.3, "Value if blank": 25},
    {
        "Format": "Price guide",
        "Sleeve": "12",
        "Weight each": 2.2,
        "Thickness each": 1.0,
        "Value if blank": 10,
        "Sound recording": "no",
    },
]


def _carton(
    name: str, sleeves: str, stack: float, sides: tuple[float, float, float], **more: object
) -> dict[str, object]:
    length, width, height = sides
    row: dict[str, object] = {"Carton": name, "Takes sleeves": sleeves, "Stack length": stack, "Outside length": length}
    return row | {"Outside width": width, "Outside height": height} | more


CARTONS: Rows = [
    _carton(
        "LP carton",
        "12; 10",
        12.4,
        (13.5, 13.5, 13.5),
        **{"Empty weight": 1.5, "Gross limit": 65, "Price each": 3.1, "On hand": 40},
    ),
    _carton(
        "Long LP carton",
        "12; 10",
        14.5,
        (15.5, 13.5, 13.5),
        **{"Empty weight": 1.9, "Gross limit": 65, "Price each": 3.9},
    ),
    _carton(
        "Singles box",
        "7",
        28,
        (16, 15.5, 8.5),
        **{"Empty weight": 1.7, "Gross limit": 50, "Price each": 4.2, "Inner cartons": 2},
    ),
    _carton(
        "Wide carton",
        "box set; 12; 10",
        18,
        (19.5, 14.5, 14.5),
        **{"Empty weight": 2.6, "Gross limit": 65, "Price each": 5.4},
    ),
    _carton(
        "Flight case",
        "12; 10; 7",
        4.5,
        (15, 14.5, 6),
        **{"Empty weight": 4, "Gross limit": 25, "On hand": 2, "Most to use": 2, "Damage factor": 0.5},
    ),
]
BOXES = "LP carton; Long LP carton; Singles box; Wide carton"

QUOTES: Rows = [
    {
        "Quote": "By air, as hand luggage",
        "Bidder": "the heirs",
        "Means": "carry-on",
        "Fixed charge": 340,
        "Cartons accepted": "Flight case",
        "Most cartons": 2,
        "Closed body": "yes",
        "Tracked": "yes",
        "Sole use": "yes",
        "Transit days": 1,
    },
    {
        "Quote": "Pinnock Freight, by weight",
        "Bidder": "Pinnock Freight (invented)",
        "Means": "freight",
        "Weight breaks": "Pinnock",
        "Minimum charge": 165,
        "Surcharge %": 24,
        "Cartons accepted": BOXES,
        "Most weight": 5000,
        "Weigh in steps of": 1,
        "Transit days": 6,
        "Valid until": date(2026, 9, 20),
        "Liability per weight unit": 0.6,
    },
    {
        "Quote": "Larkwater Lines, two pallets",
        "Bidder": "Larkwater Lines (invented)",
        "Means": "freight",
        "Trips at most": 2,
        "Fixed charge": 95,
        "Weight breaks": "Larkwater",
        "Minimum charge": 210,
        "Surcharge %": 18,
        "Cartons accepted": BOXES,
        "Most cartons": 48,
        "Most weight": 1900,
        "Closed body": "yes",
        "Tracked": "yes",
        "Transit days": 5,
        "Valid until": date(2026, 9, 15),
        "Liability per weight unit": 2,
    },
    {
        "Quote": "Ottermere, air freight",
        "Bidder": "Ottermere Air (invented)",
        "Means": "freight",
        "Per weight unit": 1.15,
        "Minimum charge": 140,
        "Cartons accepted": BOXES,
        "Most weight": 900,
        "Volumetric divisor": 139,
        "Weigh in steps of": 1,
        "Closed body": "yes",
        "Tracked": "yes",
        "Transit days": 2,
        "Valid until": date(2026, 9, 30),
        "Liability per weight unit": 9,
    },
    {
        "Quote": "Slow rail, part wagon",
        "Bidder": "Plain & Prairie Rail (invented)",
        "Means": "freight",
        "Weight breaks": "Rail",
        "Minimum charge": 120,
        "Transit days": 16,
        "Valid until": date(2026, 12, 31),
        "Notes": "The cheapest, and too late for the sale.",
    },
    {
        "Quote": "Halloway Vans, a whole truck",
        "Bidder": "Halloway Vans (invented)",
        "Means": "van",
        "Fixed charge": 4300,
        "Most weight": 9500,
        "Closed body": "yes",
        "Temperature held": "yes",
        "Tracked": "yes",
        "Sole use": "yes",
        "Transit days": 4,
        "Valid until": date(2026, 9, 12),
        "Liability per weight unit": 0.6,
    },
    {
        "Quote": "Fennimore, shared van",
        "Bidder": "Fennimore Moves (invented)",
        "Means": "van",
        "Fixed charge": 280,
        "Included cartons": 6,
        "Per carton": 17.5,
        "Most cartons": 60,
        "Closed body": "yes",
        "Tracked": "yes",
        "Collect from": date(2026, 9, 15),
        "Transit days": 8,
        "Valid until": date(2026, 9, 12),
        "Liability per weight unit": 0.6,
    },
    {
        "Quote": "Recordings by post",
        "Bidder": "Pellow Post (invented)",
        "Means": "post",
        "Rate card": "Recordings",
        "Cartons accepted": BOXES,
        "Carton weight limit": 70,
        "Carton length plus girth limit": 108,
        "Weigh in steps of": 1,
        "Recordings only": "yes",
        "Transit days": 9,
    },
    {
        "Quote": "Parcels, ground",
        "Bidder": "Quickstep Parcels (invented)",
        "Means": "post",
        "Rate card": "Ground",
        "Surcharge %": 8,
        "Cartons accepted": BOXES,
        "Carton weight limit": 70,
        "Carton length plus girth limit": 130,
        "Volumetric divisor": 166,
        "Volumetric above": 1,
        "Weigh in steps of": 1,
        "Tracked": "yes",
        "Closed body": "yes",
        "Transit days": 5,
        "Liability per carton": 100,
        "Liability covers": "loss and damage",
    },
]

RATE_CARDS: Rows = [
    *(
        {"Rate card": "Recordings", "Weight up to": pounds, "Price": 4.5 + 0.9 * (pounds - 1)}
        for pounds in (1, 5, 10, 20, 30, 40, 45)
    ),
    *({"Rate card": "Ground", "Weight up to": pounds, "Price": 11 + pounds} for pounds in (5, 10, 20, 30, 40, 50, 70)),
]


def _breaks(name: str, *rows: tuple[int, float]) -> Rows:
    return [{"Weight breaks": name, "From weight": weight, "Price per 100": price} for weight, price in rows]


WEIGHT_BREAKS: Rows = [
    *_breaks("Pinnock", (0, 62), (500, 48), (1000, 39.5), (2000, 31), (5000, 26)),
    *_breaks("Larkwater", (0, 54), (500, 44), (1000, 36), (1500, 33)),
    *_breaks("Rail", (0, 24), (1000, 17)),
]

MEANS: Rows = [
    {"Means": name, "Loss chance %": loss, "Damage chance %": damage, "Whole-load loss %": whole} | rule
    for name, loss, damage, whole, rule in (
        ("carry-on", 0.02, 0.2, 0.02, {"Insure rule applies": "no"}),
        ("van", 0.1, 0.7, 0.1, {}),
        ("freight", 0.25, 1.4, 0.1, {}),
        ("post", 0.6, 1.8, 0, {}),
    )
]

CARE: Rows = [
    {"Care": "hand", "Carry-on": "yes", "Van": "no", "Freight": "no", "Post": "no"},
    {
        "Care": "guarded",
        "Carry-on": "yes",
        "Van": "yes",
        "Freight": "yes",
        "Post": "yes",
        "Needs closed body": "yes",
        "Needs tracking": "yes",
        "Loss chance at most %": 0.4,
    },
    {"Care": "standard", "Carry-on": "yes", "Van": "yes", "Freight": "yes", "Post": "yes"},
]

COVER: Rows = [
    {
        "Cover": "Freight, all risks",
        "Covers": "loss and damage",
        "Basis": "consignment",
        "Value up to": 120000,
        "Plus % of value": 0.55,
        "Least fee": 75,
        "Excess": 250,
    },
    *(
        {"Cover": "Parcel loss cover", "For quotes": "Recordings by post; Parcels, ground", "Covers": "loss"}
        | {"Basis": "carton", "Value up to": up_to, "Fee": fee}
        for up_to, fee in ((300, 4.6), (1000, 9.8), (5000, 31))
    ),
]


@dataclass
class Stock:
    """The stock as the heirs wrote it down, bin by bin."""

    draw: Random
    rows: Rows = field(default_factory=list)

    def add(self, where: str, format_name: str, artist: str, what: str, **given: object) -> None:
        """One row."""
        row: dict[str, object] = {"Record ID": f"E{len(self.rows) + 1:05d}", "Artist": artist, "Title": what}
        self.rows.append(row | {"Format": format_name, "Shelf": where, "Grade": grade(self.draw)} | given)


TREASURES = (8500, 6200, 4100, 3600, 2800, 2400, 1900, 1500)
GUARDED = 90


def stock() -> Rows:
    """The records in the order of the shop: the wall, the bins, the back room."""
    draw = Random(SEED)
    found = Stock(draw)
    names = artists(draw, 200)
    for number, worth in enumerate(TREASURES, start=1):
        given = {"Value each": worth, "Care": "hand", "Disc outside jacket": "yes"}
        found.add("Wall", "LP", draw.choice(names), f"{title(draw)}, test pressing {number}", **given)
    for _ in range(GUARDED):
        given = {"Value each": draw.randrange(150, 900), "Care": "guarded"}
        found.add("Wall", draw.choice(("LP", "LP", "Double LP")), draw.choice(names), title(draw), **given)
    for place in range(1500):
        worth = draw.choices((8, 12, 18, 30, 60, 110), (34, 30, 20, 10, 5, 1))[0] + draw.randrange(4)
        kind = draw.choices(("LP", "Double LP", "Twelve-inch single"), (70, 14, 16))[0]
        found.add(
            f"Bin {place // 50 + 1}", kind, names[place * len(names) // 1500], title(draw), **{"Value each": worth}
        )
    _back_room(found)
    return found.rows


def _back_room(found: Stock) -> None:
    """Lines of many alike, never listed one by one."""
    draw = found.draw
    for name, kind, lots, least, most, dearest in (
        ("Overstock", "LP", 100, 40, 100, 7),
        ("Overstock doubles", "Double LP", 12, 20, 45, 12),
        ("Jukebox trays", "7-inch", 28, 60, 120, 3),
        ("Shellac", "Shellac 10-inch", 10, 25, 50, 6),
    ):
        for number in range(1, lots + 1):
            given = {"Copies": draw.randrange(least, most), "Value each": draw.randrange(2, dearest)}
            found.add(f"Back {name[:1]}{(number - 1) // 6 + 1}", kind, "", f"{name}, lot {number}", **given)
    for number in range(1, 41):
        found.add("Back X1", "Box set", "", f"Box set {number}", **{"Value each": draw.randrange(15, 90)})
    found.add("Office", "Price guide", "", "Price guides", Copies=30)


def sheets() -> dict[str, Rows]:
    """Rows of every sheet but Move, by heading."""
    return {
        "Records": stock(),
        "Formats": FORMATS,
        "Cartons": CARTONS,
        "Quotes": QUOTES,
        "Rate cards": RATE_CARDS,
        "Weight breaks": WEIGHT_BREAKS,
        "Means": MEANS,
        "Care": CARE,
        "Cover": COVER,
    }
