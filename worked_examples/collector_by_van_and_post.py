"""Worked example 1: an invented collector moves about 1,600 records from Bilbao to Valencia.

Every bidder, tariff, cover, artist and title is invented; the cities are real, the distance plays no part. The rows
below are what a person would type into the workbook. Called by ``make_examples``.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from random import Random

from invented_titles import artists, grade, title

FOLDER = "1_collector_by_van_and_post"
FILE = "collection.xlsx"
SEED = "a collector by van and post"

Rows = list[dict[str, object]]

MOVE: dict[str, object] = {
    "Title": "The collection goes to Valencia (invented)",
    "Units": "kg / cm",
    "Currency": "EUR",
    "From": "Bilbao",
    "To": "Valencia",
    "Decide on": date(2026, 3, 2),
    "Ready on": date(2026, 3, 20),
    "Needed by": date(2026, 4, 10),
    "Insure cartons worth at least": 1500,
    "Most value on one consignment": 22000,
    "Expected uninsured loss at most": 250,
    "Heaviest carton to lift": 22,
    "Stop within %": 0.5,
}

FORMATS: Rows = [
    {"Format": "LP", "Sleeve": "12", "Weight each": 0.235, "Thickness each": 0.42, "Value if blank": 12},
    {"Format": "Double LP", "Sleeve": "12", "Weight each": 0.43, "Thickness each": 0.75, "Value if blank": 20},
    {"Format": "10-inch", "Sleeve": "10", "Weight each": 0.16, "Thickness each": 0.41, "Value if blank": 15},
    {"Format": "7-inch", "Sleeve": "7", "Weight each": 0.05, "Thickness each": 0.23, "Value if blank": 5},
    {"Format": "Box set", "Sleeve": "box set", "Weight each": 1.3, "Thickness each": 3.2, "Value if blank": 45},
    {
        "Format": "Empty jacket",
        "Sleeve": "12",
        "Weight each": 0.09,
        "Thickness each": 0.2,
        "Value if blank": 1,
        "Sound recording": "no",
    },
    {
        "Format": "Discography",
        "Sleeve": "12",
        "Weight each": 0.9,
        "Thickness each": 2.1,
        "Value if blank": 25,
        "Sound recording": "no",
    },
]

CARTONS: Rows = [
    {
        "Carton": "LP carton",
        "Takes sleeves": "12; 10",
        "Stack length": 31.5,
        "Outside length": 34,
        "Outside width": 34,
        "Outside height": 34,
        "Empty weight": 0.7,
        "Gross limit": 30,
        "Price each": 2.4,
        "On hand": 10,
    },
    {
        "Carton": "Double-boxed LP carton",
        "Takes sleeves": "12; 10",
        "Stack length": 31.5,
        "Outside length": 42,
        "Outside width": 42,
        "Outside height": 42,
        "Empty weight": 1.8,
        "Gross limit": 30,
        "Price each": 6.9,
        "Damage factor": 0.4,
    },
    {
        "Carton": "Half LP carton",
        "Takes sleeves": "12; 10",
        "Stack length": 15.5,
        "Outside length": 34,
        "Outside width": 34,
        "Outside height": 18,
        "Empty weight": 0.45,
        "Gross limit": 15,
        "Price each": 2.1,
        "On hand": 2,
    },
    {
        "Carton": "Singles box",
        "Takes sleeves": "7",
        "Stack length": 70,
        "Inner cartons": 2,
        "Outside length": 40,
        "Outside width": 39,
        "Outside height": 21,
        "Empty weight": 0.8,
        "Gross limit": 25,
        "Price each": 3.2,
        "On hand": 1,
    },
    {
        "Carton": "Wide carton",
        "Takes sleeves": "box set; 12; 10",
        "Stack length": 46,
        "Outside length": 49,
        "Outside width": 36,
        "Outside height": 36,
        "Empty weight": 1.1,
        "Gross limit": 30,
        "Price each": 4.5,
        "Most to use": 6,
    },
    {
        "Carton": "Record case",
        "Takes sleeves": "12; 10; 7",
        "Stack length": 11,
        "Outside length": 37,
        "Outside width": 36,
        "Outside height": 15,
        "Empty weight": 1.6,
        "Gross limit": 10,
        "On hand": 2,
        "Most to use": 2,
        "Damage factor": 0.5,
    },
]
BOXES = "LP carton; Double-boxed LP carton; Half LP carton; Singles box; Wide carton"

QUOTES: Rows = [
    {
        "Quote": "By train with a record case",
        "Bidder": "the collector",
        "Means": "carry-on",
        "Fixed charge": 118,
        "Cartons accepted": "Record case",
        "Most cartons": 1,
        "Closed body": "yes",
        "Tracked": "yes",
        "Sole use": "yes",
        "Transit days": 1,
        "Notes": "Return ticket and a night; the case stays on the lap.",
    },
    {
        "Quote": "Borrowed estate car",
        "Bidder": "the collector",
        "Means": "carry-on",
        "Fixed charge": 240,
        "Most cartons": 5,
        "Most weight": 90,
        "Closed body": "yes",
        "Sole use": "yes",
        "Transit days": 1,
        "Notes": "Fuel and tolls, there and back.",
    },
    {
        "Quote": "Vandelmoor, whole lot",
        "Bidder": "Vandelmoor Removals (invented)",
        "Means": "van",
        "Fixed charge": 890,
        "Closed body": "yes",
        "Temperature held": "yes",
        "Tracked": "yes",
        "Sole use": "yes",
        "Transit days": 2,
        "Collect from": date(2026, 3, 23),
        "Valid until": date(2026, 3, 31),
        "Liability per weight unit": 4,
        "Liability covers": "loss and damage",
    },
    {
        "Quote": "Quillhaven, by the carton",
        "Bidder": "Quillhaven Carriers (invented)",
        "Means": "van",
        "Fixed charge": 245,
        "Included cartons": 8,
        "Per carton": 9.5,
        "Most cartons": 24,
        "Closed body": "yes",
        "Tracked": "yes",
        "Transit days": 3,
        "Valid until": date(2026, 3, 20),
        "Liability per carton": 60,
    },
    {
        "Quote": "Brackenfold, by weight",
        "Bidder": "Brackenfold Haulage (invented)",
        "Means": "van",
        "Per weight unit": 0.62,
        "Minimum charge": 190,
        "Surcharge %": 6,
        "Weigh in steps of": 1,
        "Transit days": 4,
        "Valid until": date(2026, 4, 15),
        "Liability per weight unit": 2.5,
    },
    {
        "Quote": "Ostermere, by volume",
        "Bidder": "Ostermere & Nieces (invented)",
        "Means": "van",
        "Per volume unit": 240,
        "Minimum charge": 180,
        "Most volume": 1.6,
        "Closed body": "yes",
        "Transit days": 5,
        "Valid until": date(2026, 3, 31),
    },
    {
        "Quote": "Tarn & Thimble, one or two trips",
        "Bidder": "Tarn & Thimble (invented)",
        "Means": "van",
        "Trips at most": 2,
        "Fixed charge": 210,
        "Per carton": 1.5,
        "Most cartons": 9,
        "Most weight": 170,
        "Closed body": "yes",
        "Tracked": "yes",
        "Sole use": "yes",
        "Transit days": 2,
        "Valid until": date(2026, 3, 25),
        "Most value": 15000,
        "Liability per carton": 100,
    },
    {
        "Quote": "Hollin & Wray, winter price",
        "Bidder": "Hollin & Wray (invented)",
        "Means": "van",
        "Fixed charge": 420,
        "Closed body": "yes",
        "Transit days": 3,
        "Valid until": date(2026, 2, 28),
        "Notes": "Expired before the decision: ask again.",
    },
    {
        "Quote": "Lumbrel, groupage",
        "Bidder": "Lumbrel Freight (invented)",
        "Means": "freight",
        "Weight breaks": "Lumbrel groupage",
        "Minimum charge": 120,
        "Surcharge %": 12.5,
        "Weigh in steps of": 1,
        "Volumetric divisor": 3000,
        "Transit days": 6,
        "Valid until": date(2026, 3, 31),
        "Liability per weight unit": 8,
    },
    {
        "Quote": "Greywick, pallet",
        "Bidder": "Greywick Pallets (invented)",
        "Means": "freight",
        "Fixed charge": 60,
        "Weight breaks": "Greywick pallet",
        "Minimum charge": 130,
        "Cartons accepted": BOXES,
        "Most cartons": 30,
        "Most weight": 260,
        "Tracked": "yes",
        "Closed body": "yes",
        "Transit days": 4,
        "Valid until": date(2026, 3, 31),
        "Liability per weight unit": 8,
    },
    {
        "Quote": "Slow coaster, part pallet",
        "Bidder": "Marlpit Coastal (invented)",
        "Means": "freight",
        "Weight breaks": "Coaster",
        "Minimum charge": 60,
        "Transit days": 28,
        "Valid until": date(2026, 6, 30),
        "Notes": "Cheap, but too late.",
    },
    {
        "Quote": "Record post",
        "Bidder": "Pellow Post (invented)",
        "Means": "post",
        "Rate card": "Record post",
        "Cartons accepted": BOXES,
        "Carton weight limit": 20,
        "Carton length plus girth limit": 200,
        "Weigh in steps of": 1,
        "Recordings only": "yes",
        "Transit days": 7,
        "Liability per carton": 25,
    },
    {
        "Quote": "Parcel post",
        "Bidder": "Pellow Post (invented)",
        "Means": "post",
        "Rate card": "Parcel post",
        "Cartons accepted": BOXES,
        "Carton weight limit": 30,
        "Carton length plus girth limit": 300,
        "Volumetric divisor": 5000,
        "Volumetric above": 0.03,
        "Weigh in steps of": 1,
        "Tracked": "yes",
        "Transit days": 3,
        "Liability per carton": 100,
    },
    {
        "Quote": "Registered post",
        "Bidder": "Pellow Post (invented)",
        "Means": "post",
        "Rate card": "Registered post",
        "Cartons accepted": BOXES,
        "Carton weight limit": 10,
        "Carton length limit": 60,
        "Most value": 1000,
        "Tracked": "yes",
        "Closed body": "yes",
        "Transit days": 2,
        "Liability per carton": 500,
        "Liability covers": "loss and damage",
        "Loss chance %": 0.1,
    },
]


def _rate_card(name: str, *steps: tuple[float, float]) -> Rows:
    return [{"Rate card": name, "Weight up to": weight, "Price": price} for weight, price in steps]


def _weight_breaks(name: str, *rows: tuple[float, float]) -> Rows:
    return [{"Weight breaks": name, "From weight": weight, "Price per 100": price} for weight, price in rows]


RATE_CARDS: Rows = [
    *_rate_card("Record post", (2, 4.2), (5, 5.6), (10, 7.4), (15, 9.2), (20, 10.9)),
    *_rate_card("Parcel post", (2, 6.9), (5, 9.4), (10, 12.8), (15, 15.9), (20, 18.6), (30, 24.5)),
    *_rate_card("Registered post", (5, 24), (10, 39)),
]
WEIGHT_BREAKS: Rows = [
    *_weight_breaks("Lumbrel groupage", (0, 88), (100, 64), (250, 44), (500, 36)),
    *_weight_breaks("Greywick pallet", (0, 62), (150, 45), (300, 38)),
    *_weight_breaks("Coaster", (0, 40), (200, 31)),
]

MEANS: Rows = [
    {"Means": name, "Loss chance %": loss, "Damage chance %": damage, "Whole-load loss %": whole} | rule
    for name, loss, damage, whole, rule in (
        ("carry-on", 0.02, 0.3, 0.05, {"Insure rule applies": "no"}),
        ("van", 0.1, 0.8, 0.15, {}),
        ("freight", 0.3, 1.6, 0.1, {}),
        ("post", 0.6, 1.8, 0, {}),
    )
]

CARE: Rows = [
    {"Care": "hand", "Carry-on": "yes", "Van": "no", "Freight": "no", "Post": "no"},
    {
        "Care": "guarded",
        "Carry-on": "yes",
        "Van": "yes",
        "Freight": "no",
        "Post": "yes",
        "Needs closed body": "yes",
        "Needs tracking": "yes",
        "Loss chance at most %": 0.3,
    },
    {"Care": "standard", "Carry-on": "yes", "Van": "yes", "Freight": "yes", "Post": "yes"},
]

POSTAL_COVER = {
    "Cover": "Postal loss cover",
    "For quotes": "Record post; Parcel post",
    "Covers": "loss",
    "Basis": "carton",
}
COVER: Rows = [
    *(POSTAL_COVER | {"Value up to": up_to, "Fee": fee} for up_to, fee in ((500, 3.5), (1000, 6.5), (2500, 14))),
    {
        "Cover": "Single carton, all risks",
        "Covers": "loss and damage",
        "Basis": "carton",
        "Value up to": 4000,
        "Plus % of value": 1.1,
        "Least fee": 7.5,
        "Excess": 50,
    },
    {
        "Cover": "Collection in transit",
        "Covers": "loss and damage",
        "Basis": "consignment",
        "Value up to": 25000,
        "Plus % of value": 0.62,
        "Least fee": 45,
        "Excess": 120,
    },
]


@dataclass
class Shelves:
    """The collection as it is written down, row by row, with the shelf on which each row stands."""

    draw: Random
    rows: Rows = field(default_factory=list)
    standing: float = 0.0

    def add(self, letter: str, format_name: str, artist: str, what: str, **given: object) -> None:
        """One row; a shelf board holds about 80 cm."""
        thickness = next(row["Thickness each"] for row in FORMATS if row["Format"] == format_name)
        copies = given.get("Copies", 1)
        assert isinstance(thickness, float)
        assert isinstance(copies, int)
        board = int(self.standing // 80) + 1
        self.standing += thickness * copies
        row: dict[str, object] = {"Record ID": f"R{len(self.rows) + 1:04d}", "Artist": artist, "Title": what}
        self.rows.append(row | {"Format": format_name, "Shelf": f"{letter}{board}", "Grade": grade(self.draw)} | given)

    def next_bay(self) -> None:
        """The next letter begins with an empty board."""
        self.standing = 0.0


VALUES = ((5, 12, 44), (12, 20, 31), (20, 30, 15), (30, 60, 7), (60, 150, 2), (150, 460, 1))
"""From, below, and how many in a hundred single records are worth that much."""


def _value(draw: Random) -> int:
    low, high, _ = draw.choices(VALUES, [share for *_, share in VALUES])[0]
    return draw.randrange(low, high)


TREASURES = (2900, 2400, 1850, 1400, 1200, 950, 800, 700, 550, 420)
GUARDED_MOST = (2200, 1900, 1700)
GUARDED = 24


def collection() -> Rows:
    """The records, in shelf order."""
    draw = Random(SEED)
    shelves = Shelves(draw)
    _long_players(shelves, artists(draw, 150))
    for letter, part in (("C", _ten_inch), ("D", _singles), ("E", _box_sets), ("F", _the_rest)):
        shelves.next_bay()
        part(shelves, letter)
    return shelves.rows


def _long_players(shelves: Shelves, names: list[str]) -> None:
    draw = shelves.draw
    places = draw.sample(range(620), len(TREASURES) + GUARDED)
    treasures, guarded = dict(zip(places, TREASURES, strict=False)), places[len(TREASURES) :]
    most = dict(zip(guarded, GUARDED_MOST, strict=False))
    for place in range(620):
        format_name = "Double LP" if draw.randrange(5) == 0 else "LP"
        given: dict[str, object] = {"Value each": _value(draw)}
        if place in treasures:
            given = {"Value each": treasures[place], "Care": "hand", "Disc outside jacket": "yes"}
        elif place in guarded:
            worth = most.get(place, draw.randrange(120, 460))
            given = {"Value each": worth, "Care": "guarded", "Disc outside jacket": "yes"}
        shelves.add("A" if place < 310 else "B", format_name, names[place * len(names) // 620], title(draw), **given)
        if place == 309:
            shelves.next_bay()


def _ten_inch(shelves: Shelves, letter: str) -> None:
    for name in artists(shelves.draw, 38):
        shelves.add(letter, "10-inch", name, title(shelves.draw), **{"Value each": _value(shelves.draw)})


def _singles(shelves: Shelves, letter: str) -> None:
    for name in artists(shelves.draw, 60):
        shelves.add(letter, "7-inch", name, title(shelves.draw), **{"Value each": shelves.draw.randrange(5, 31)})
    for number in range(1, 10):
        copies = shelves.draw.randrange(15, 36)
        shelves.add(letter, "7-inch", "", f"Jukebox singles, tray {number}", Copies=copies)


def _box_sets(shelves: Shelves, letter: str) -> None:
    for name in artists(shelves.draw, 26):
        worth = shelves.draw.randrange(30, 121)
        shelves.add(letter, "Box set", name, f"{title(shelves.draw)}, complete", **{"Value each": worth})


def _the_rest(shelves: Shelves, letter: str) -> None:
    for number, copies in _lots(shelves.draw):
        given: dict[str, object] = {"Copies": copies, "Value each": shelves.draw.randrange(5, 15)}
        shelves.add(letter, "LP", "", f"Assorted records, crate {number}", **given)
    shelves.add(letter, "Empty jacket", "", "Empty jackets, kept for their printing", Copies=40)
    for number in range(1, 7):
        shelves.add(letter, "Discography", "", f"Catalogue of invented recordings, volume {number}")


def _lots(draw: Random) -> Iterator[tuple[int, int]]:
    for number in range(1, 25):
        yield number, draw.randrange(12, 36)


def sheets() -> dict[str, Rows]:
    """Rows of every sheet but Move, by heading."""
    return {
        "Records": collection(),
        "Formats": FORMATS,
        "Cartons": CARTONS,
        "Quotes": QUOTES,
        "Rate cards": RATE_CARDS,
        "Weight breaks": WEIGHT_BREAKS,
        "Means": MEANS,
        "Care": CARE,
        "Cover": COVER,
    }
