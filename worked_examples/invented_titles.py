"""Invented artists and titles, drawn from word lists: no artist, record or label of that name is meant.

Only whole-number draws are made, so that the same seed gives the same names on every machine. Called by the examples.
"""

from random import Random

FIRST = (
    "Amberly", "Bexter", "Corvanne", "Dellowby", "Eskimar", "Fenwhistle", "Gorrimund", "Hasperine", "Ilvertop",
    "Jessomy", "Kettlemere", "Lorrimoth", "Mondegreen", "Nibbleforth", "Ostrander", "Pelliwick", "Quorrington",
    "Rummage", "Sorrelby", "Thistledon", "Umberlane", "Vexley", "Wimborough", "Yarrowmint", "Zephyrine",
)  # fmt: skip
KIND = (
    "Paper Orchestra", "Lighthouse Trio", "Umbrella Club", "Mechanical Choir", "Tin Quartet", "Postal Band",
    "Velvet Ladder", "Night Gardeners", "Wooden Astronauts", "Salt Ensemble", "Borrowed Horns", "Attic Seven",
    "Clockwork Five", "Marmalade Society", "Echo Bureau",
)  # fmt: skip
ADJECTIVE = (
    "Crooked", "Second-hand", "Lukewarm", "Invisible", "Careful", "Backward", "Folded", "Buttoned", "Reluctant",
    "Numbered", "Sideways", "Unposted", "Half-lit", "Polite", "Waterproof", "Seventh", "Borrowed", "Sleeping",
)  # fmt: skip
NOUN = (
    "Barometers", "Teaspoons", "Staircases", "Timetables", "Lanterns", "Umbrellas", "Envelopes", "Bicycles",
    "Orchards", "Keyholes", "Harbours", "Biscuits", "Telescopes", "Postcards", "Chimneys", "Almanacs", "Ferries",
)  # fmt: skip
PLACE = (
    "for the Attic", "at Low Tide", "by Candlelight", "in Brackets", "from Memory", "under Glass", "on Tuesdays",
    "without a Map", "after the Rain", "for Two Left Hands", "in a Small Room", "with the Lid On",
)  # fmt: skip
GRADES = ("M", "NM", "VG+", "VG", "G+")
GRADE_SHARES = (2, 30, 40, 22, 6)


def artists(draw: Random, how_many: int) -> list[str]:
    """Different invented artists, in the order in which they stand on the shelves."""
    found: set[str] = set()
    while len(found) < how_many:
        found.add(f"{draw.choice(FIRST)} {draw.choice(KIND)}" if draw.randrange(3) else f"The {draw.choice(KIND)}")
    return sorted(found, key=lambda name: name.removeprefix("The "))


def title(draw: Random) -> str:
    """An invented title."""
    return f"{draw.choice(ADJECTIVE)} {draw.choice(NOUN)} {draw.choice(PLACE)}"


def grade(draw: Random) -> str:
    """A grade of condition, most of them middling."""
    return draw.choices(GRADES, GRADE_SHARES)[0]
