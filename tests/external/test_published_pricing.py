"""Prices against published rules and worked examples: postal manual, air freight, freight density, liability.

Each case carries its source: title, section, year. "From memory" marks a value that was not seen in the publication;
"worked out" one that follows from the published rule by arithmetic. Prices and limits of services change: they are
inputs of a workbook, and here only check values.
"""

from decimal import ROUND_HALF_UP, Decimal

import invented
import pytest

from shipopt.move.quotes import Quote
from shipopt.move.rules import carton_refusal, filled_carton_refusal, liability
from shipopt.move.words import Means, Units
from shipopt.pricing.billing import billed_weight, volumetric_weight
from shipopt.pricing.carriage import carton_charge
from shipopt.pricing.cover import cover_fee
from shipopt.pricing.freight_class import density, freight_class
from shipopt.pricing.weight_breaks import weight_break_charge

POUNDS, KILOS = Units.POUND_INCH, Units.KILOGRAM_CENTIMETRE

DMM_123 = (
    "Domestic Mail Manual, 123.1.4.1 'Determining dimensional weight for rectangular parcels', edition of 2007 to 2019"
)
DMM_ADVISORY = "DMM Advisory, 'How to determine a Priority Mail dimensional-weight price', 30 October 2006"
DMM_173 = "Domestic Mail Manual, 173.1.1 and 173.1.3 (weight of media-rate post), archive of 8 January 2006"
DMM_PRICES = "Domestic Mail Manual, Notice 123, divisor 166 for all zones from 23 June 2019"
AIR_LESSON = (
    "'Weight & Dimensions – Volume', lesson on the air cargo tariff (TACT rules 3.9, from memory), stored copy, undated"
)
AIR_FACTS = "Fact sheet of a freight forwarder on the 6,000 cm³ rule of the air cargo tariff, stored copy, undated"
PARCEL_HELP = "Help page of a parcel broker on chargeable weight, divisor 5,000, stored copy, undated"
WORKED = "worked out from the rule"


def postal(divisor: str) -> Quote:
    """Post that bills volume above one cubic foot, in whole pounds."""
    return invented.quote(
        by_carton=True, means=Means.POST, volumetric_divisor=divisor, volumetric_above="1", weigh_step="1"
    )


@pytest.mark.parametrize(
    ("size", "gross", "divisor", "billed", "source"),
    [
        (("20.25", 10, 10), "2", "194", "11", f"{DMM_ADVISORY}: 20-1/4 inches is considered 20; {WORKED}"),
        (("20.75", 10, 10), "2", "194", "11", f"{DMM_ADVISORY}: 20-3/4 inches is 21; {WORKED}"),
        ((12, 12, 12), "2", "194", "2", f"{DMM_ADVISORY}: 1,728 cubic inches or less, no dimensional weight"),
        ((12, 12, "12.5"), "2", "194", "10", f"{DMM_123}: nearest whole inch, over 1,728 divide by 194, round up"),
        ((12, 12, 14), "2", "194", "11", "'Dimensional shipping explained', a shop's page, undated: 10.39 is 11 lb"),
        ((12, 12, 14), "12", "194", "12", f"{DMM_ADVISORY}: actual weight where it exceeds dimensional weight"),
        ((30, 24, 22), "20", "166", "96", f"{DMM_PRICES}; 15,840 ÷ 166 = 95.4, {WORKED}"),
        ((30, 24, 22), "20", "194", "82", f"{DMM_123}; 15,840 ÷ 194 = 81.6, {WORKED}"),
        (("30.4", "19.6", "19.5"), "20", "139", "87", f"{DMM_123} at divisor 139: 30 × 20 × 20, {WORKED}"),
        ((15, 15, 22), "4", "166", "30", f"{DMM_PRICES}; 4,950 ÷ 166 = 29.8, {WORKED}"),
        ((12, 12, 8), "4.5", "166", "5", f"{DMM_PRICES}; 1,152 cubic inches: actual weight, {WORKED}"),
        (("13.4", "13.4", "13.4"), "12", "166", "14", f"{DMM_123}, {DMM_PRICES}; 13³ ÷ 166 = 13.2, {WORKED}"),
        ((24, 14, 14), "20.3", "166", "29", f"{DMM_PRICES}; 4,704 ÷ 166 = 28.3, {WORKED}"),
        ((45, 20, 20), "30", "166", "109", f"{DMM_PRICES}; 18,000 ÷ 166 = 108.4, {WORKED}"),
        ((13, 13, 13), "4.225", "9999", "5", f"{DMM_173}: 4.225 lb is billed as 5 lb"),
        ((13, 13, 13), "0.2", "9999", "1", f"{DMM_173}: the least is one pound"),
        ((13, 13, 13), "70", "9999", "70", f"{DMM_173}: a whole pound stays as it is"),
    ],
)
def test_postal_weight(size: tuple[object, ...], gross: str, divisor: str, billed: str, source: str) -> None:
    """Each length to the nearest inch, only above 1,728 cu in, the larger weight, up to a whole pound."""
    assert billed_weight(postal(divisor), invented.carton_type(size), Decimal(gross), POUNDS) == Decimal(billed), source


@pytest.mark.parametrize(
    ("size", "gross", "divisor", "step", "units", "volumetric", "billed", "source"),
    [
        (("150.2", "125.5", "100.6"), "300", "6000", "0.5", KILOS, "318.15", "318.5", f"{AIR_LESSON}: example 1"),
        ((70, 50, 60), "20", "6000", "0.5", KILOS, "35", "35", f"{AIR_LESSON}: 70 × 50 × 60 cm is 35 kg"),
        ((27, 20, 24), "20", "166", None, POUNDS, "78.1", "78.1", f"{AIR_LESSON}: 27 × 20 × 24 in is 78.1 lb"),
        ((30, 20, 20), "100.4", "6000", "0.5", KILOS, "2", "100.5", f"{AIR_LESSON}: 100.4 kg is 100.5 kg"),
        ((30, 20, 20), "100.6", "6000", "0.5", KILOS, "2", "101", f"{AIR_LESSON}: 100.6 kg is 101.0 kg"),
        ((30, 45, 65), "14", "6000", "0.5", KILOS, "14.625", "15", f"{AIR_FACTS}: 14.625 kg is charged as 15 kg"),
        (
            (150, 100, 110),
            "130",
            "6000",
            None,
            KILOS,
            "275",
            "275",
            "'Calculation of volume weight', a forwarder, undated",
        ),
        ((100, 40, 30), "15", "6000", None, KILOS, "20", "20", "'Airfreight weight or volume explained', undated"),
        ((100, 40, 30), "25", "6000", None, KILOS, "20", "25", "'Airfreight weight or volume explained', undated"),
        (
            (140, 100, 90),
            "50",
            "6000",
            None,
            KILOS,
            "210",
            "210",
            "air cargo volume rule, 6,000 cm³ per kg, undated copy",
        ),
        ((30, 50, 50), "10", "5000", "0.5", KILOS, "15", "15", PARCEL_HELP),
        ((25, 30, 15), "8", "5000", None, KILOS, "2.25", "8", "'What is volumetric weight', a parcel service, undated"),
        ((50, 50, 50), "20", "5000", None, KILOS, "25", "25", "'About the volumetric weight', a shop's page, undated"),
        ((30, 25, 20), "1", "5000", None, KILOS, "3", "3", "'Formula volumetric weight', a courier's page, undated"),
    ],
)
def test_air_and_parcel_weight(
    size: tuple[object, ...],
    gross: str,
    divisor: str,
    step: str | None,
    units: Units,
    volumetric: str,
    billed: str,
    source: str,
) -> None:
    """Volume ÷ divisor, lengths to the nearest whole unit, a half going up; the larger weight, up to the step."""
    quote = invented.quote(volumetric_divisor=divisor, weigh_step=step)
    carton = invented.carton_type(size)
    places = Decimal(1).scaleb(Decimal(volumetric).as_tuple().exponent)
    by_volume = volumetric_weight(quote, carton, units)
    assert by_volume is not None
    assert by_volume.quantize(places, ROUND_HALF_UP) == Decimal(volumetric), source
    weight = billed_weight(quote, carton, Decimal(gross), units)
    assert weight.quantize(Decimal("0.1"), ROUND_HALF_UP) == Decimal(billed), source


@pytest.mark.parametrize(
    ("size", "weight", "limit", "goes", "source"),
    [
        (
            (30, 20, 19),
            "69.5",
            "108",
            True,
            f"Domestic Mail Manual, 101.3 (number from memory), length plus girth 108 in; {WORKED}",
        ),
        (
            (30, 20, 20),
            "40",
            "108",
            False,
            f"Domestic Mail Manual, 101.3 (number from memory): 110 in is over 108; {WORKED}",
        ),
        (
            (30, 20, 20),
            "40",
            "130",
            True,
            f"Domestic Mail Manual, 153 (number from memory), ground parcels up to 130 in; {WORKED}",
        ),
        (
            (45, 20, 20),
            "30",
            "108",
            False,
            f"Domestic Mail Manual, 101.3 (number from memory): 125 in is over 108; {WORKED}",
        ),
        (
            (45, 20, 20),
            "30",
            "130",
            True,
            f"Domestic Mail Manual, 153 (number from memory), ground parcels up to 130 in; {WORKED}",
        ),
        ((30, 20, 19), "70", "108", True, "Domestic Mail Manual, 101.3 (number from memory): 70 lb, inclusive"),
        ((30, 20, 19), "70.01", "108", False, "Domestic Mail Manual, 101.3 (number from memory): more than 70 lb"),
    ],
)
def test_postal_size_and_weight_limits(
    size: tuple[object, ...], weight: str, limit: str, goes: bool, source: str
) -> None:
    """Longest side + girth, and 70 lb, both inclusive."""
    quote = invented.quote(by_carton=True, carton_girth_limit=limit, carton_weight_limit="70")
    move = invented.move([quote], with_settings=invented.settings(heaviest_carton="100"))
    box = invented.filled("1", weight, carton=invented.carton_type(size))
    assert (filled_carton_refusal(box, quote, move) is None) is goes, source


def test_the_air_parcel_limit_of_the_single_market() -> None:
    """31.5 kg is the usual most of a parcel in the European Union: common practice, no source; inclusive."""
    quote = invented.quote(by_carton=True, carton_weight_limit="31.5")
    move = invented.move([quote], with_settings=invented.settings(units=KILOS, heaviest_carton="40"))
    assert filled_carton_refusal(invented.filled("1", "31.5"), quote, move) is None
    assert filled_carton_refusal(invented.filled("1", "31.51"), quote, move) is not None


def test_cabin_bags_are_cartons_too() -> None:
    """IATA, 'Cabin baggage' guideline, 56 × 45 × 25 cm (stored copy; 2011 from memory): length plus girth 196."""
    bag = invented.carton_type((56, 45, 25))
    assert carton_refusal(bag, invented.quote(means=Means.CARRY_ON, carton_length_limit="56")) is None
    assert carton_refusal(bag, invented.quote(means=Means.CARRY_ON, carton_length_limit="55.9")) is not None
    assert bag.length_plus_girth == 196


@pytest.mark.parametrize(
    ("weight", "price", "source"),
    [
        ("1.0", "4.63", DMM_173),
        ("1.01", "5.47", DMM_173),
        ("4.225", "7.99", DMM_173),
        ("44.9", "41.59", DMM_173),
        ("70", "62.59", DMM_173),
        ("70.01", None, f"{DMM_173}: the list ends at 70 lb"),
    ],
)
def test_media_rate_price_is_first_pound_plus_each_further_pound(weight: str, price: str | None, source: str) -> None:
    """The published shape a + b × (pounds − 1) at invented prices of 4.63 and 0.84."""
    card = invented.rate_card(*((pounds, Decimal("4.63") + Decimal("0.84") * (pounds - 1)) for pounds in range(1, 71)))
    quote = invented.quote(by_carton=True, means=Means.POST, weigh_step="1", rate_card=card)
    found = carton_charge(quote, invented.filled("1", weight), invented.settings())
    assert found == (price and Decimal(price)), source


DENSITY_SCALE = (
    "National Motor Freight Classification, density scale of 13 subprovisions, Docket 2025-1, 19 July 2025"
    " (tiers from 30 lb: the association's 'Classification FAQs', 2025; below: a stored article on the docket)"
)


@pytest.mark.parametrize(
    ("bound", "grade", "below"),
    [
        ("1", "300", "400"),
        ("2", "250", "300"),
        ("4", "175", "250"),
        ("6", "125", "175"),
        ("8", "100", "125"),
        ("10", "92.5", "100"),
        ("12", "85", "92.5"),
        ("15", "70", "85"),
        ("22.5", "65", "70"),
        ("30", "60", "65"),
        ("35", "55", "60"),
        ("50", "50", "55"),
    ],
)
def test_density_tiers_start_at_their_bound(bound: str, grade: str, below: str) -> None:
    """ "1 but less than 2": the bound belongs to the denser tier."""
    assert freight_class(Decimal(bound)) == Decimal(grade), DENSITY_SCALE
    assert freight_class(Decimal(bound) - Decimal("1e-20")) == Decimal(below), DENSITY_SCALE


@pytest.mark.parametrize(
    ("size", "pounds", "shown", "grade", "source"),
    [
        ((48, 40, 28), 110, "3.54", "250", "'Measuring tips', density calculator of a freight line, undated"),
        ((40, 48, 29), 175, "5.43", "175", "'Density', a freight line's page, undated"),
        ((42, 48, 48), 500, "8.93", "100", "'How to calculate freight class', undated: 8.9"),
        ((40, 48, 48), 425, "7.97", "125", "'How is freight density class calculated?', undated"),
        ((20, 21, 22), 80, "14.96", "85", "'How to determine density', undated: 14.95 from a rounded volume"),
        ((13, 13, 13), 45, "35.39", "55", f"{DENSITY_SCALE}; {WORKED}"),
        ((48, 40, "44.5"), 1260, "25.48", "65", f"{DENSITY_SCALE}; {WORKED}"),
        ((48, 40, 58), 700, "10.86", "92.5", f"{DENSITY_SCALE}; {WORKED}"),
        ((48, 36, 24), 720, "30.00", "60", f"{DENSITY_SCALE}; exactly 30, {WORKED}"),
        ((48, 36, 24), 719, "29.96", "65", f"{DENSITY_SCALE}; {WORKED}"),
    ],
)
def test_density_and_its_class(size: tuple[object, ...], pounds: int, shown: str, grade: str, source: str) -> None:
    """Pounds ÷ (cubic inches ÷ 1,728), and the tier it falls in."""
    found = density(Decimal(pounds), invented.carton_type(size).small_volume, POUNDS)
    assert f"{float(found):.2f}" == shown, source
    assert freight_class(found) == Decimal(grade), source


def test_a_metric_density_is_converted_exactly() -> None:
    """International yard and pound agreement, 1959: 1 lb = 0.45359237 kg, 1 ft = 30.48 cm. 30 lb in a cubic foot."""
    cubic_foot = Decimal("30.48") ** 3
    assert density(Decimal("13.6077711"), cubic_foot, KILOS) == 30
    assert freight_class(density(Decimal("13.6077711"), cubic_foot, KILOS)) == 60
    assert freight_class(density(Decimal("13.6077710"), cubic_foot, KILOS)) == 65


def test_the_lightest_tier_starts_from_nothing() -> None:
    """ "Less than 1": class 400, 0 included."""
    assert freight_class(Decimal(0)) == 400, DENSITY_SCALE


@pytest.mark.parametrize("nonsense", ["-0.01", "-5"])
def test_a_negative_density_has_no_class(nonsense: str) -> None:
    """It is a mistake of the caller, not a light pallet."""
    with pytest.raises(ValueError, match=r"^a density is not negative$"):
        freight_class(Decimal(nonsense))


HELP_450 = "'Calculate rated shipment', help page of a rating program, undated: 14.38 to 499 lb, 10.29 from 500 lb"
BREAK_1696 = (
    "'How to calculate the weight break', a freight weblog, 19 December 2007: 58.21 from 1,000, 49.39 from 2,000"
)
OWN_BREAKS = f"standard tariff practice, no source; invented rates 62.00, 48.00, 39.50, 31.00; {WORKED}"
TWO = invented.weight_breaks((0, "14.38"), (500, "10.29"))
BLOG = invented.weight_breaks((0, "58.21"), (2000, "49.39"))
FOUR = invented.weight_breaks((0, 62), (500, 48), (1000, "39.5"), (2000, 31))


@pytest.mark.parametrize(
    ("breaks", "weight", "charge", "rated_as", "source"),
    [
        (TWO, "450", "51.45", "500", f"{HELP_450}; 64.71 by its own row"),
        (TWO, "357.78", "51.448764", "357.78", f"{HELP_450}; break-even 357.78"),
        (TWO, "357.79", "51.45", "500", f"{HELP_450}; above break-even"),
        (BLOG, "1696", "987.2416", "1696", f"{BREAK_1696}; the break is at 1,696 lb (1,696.96)"),
        (BLOG, "1697", "987.80", "2000", f"{BREAK_1696}; above the break the next bracket applies"),
        (FOUR, "387", "239.94", "387", OWN_BREAKS),
        (FOUR, "388", "240", "500", OWN_BREAKS),
        (FOUR, "450", "240", "500", OWN_BREAKS),
        (FOUR, "500", "240", "500", OWN_BREAKS),
        (FOUR, "823", "395", "1000", OWN_BREAKS),
        (FOUR, "900", "395", "1000", OWN_BREAKS),
        (FOUR, "1260", "497.70", "1260", OWN_BREAKS),
        (FOUR, "1570", "620", "2000", OWN_BREAKS),
        (FOUR, "1700", "620", "2000", OWN_BREAKS),
        (FOUR, "2000", "620", "2000", OWN_BREAKS),
    ],
)
def test_as_weight_rating(breaks: object, weight: str, charge: str, rated_as: str, source: str) -> None:
    """A consignment is rated as a heavier one where that is cheaper."""
    found, _, as_weight = weight_break_charge(breaks, Decimal(weight))
    assert (found, as_weight) == (Decimal(charge), Decimal(rated_as)), source


RELEASED = (
    "'Your Rights and Responsibilities When You Move' (49 CFR 375, Appendix A), 'Released value', 2013 from memory"
)
CMR = "CMR, Geneva 1956, article 23(3) as amended by the Protocol of 5 July 1978: 8.33 SDR per kg"
MONTREAL = "Montreal Convention 1999, article 22(3), limit of 26 SDR per kg from 28 December 2024"
SDR = "1 SDR = 1.31 USD on 25 November 2024 (law firm's bulletin on the new limits)"


@pytest.mark.parametrize(
    ("rate", "weight", "owed", "source"),
    [
        ("0.60", "10", "6.00", f"{RELEASED}: a 10-pound stereo component, 6.00"),
        ("0.60", "50", "30.00", "'Released-value protection', a mover's glossary, undated: a 50-pound screen"),
        ("0.60", "20", "12.00", "'Valuation options', a mover's page, undated: a 20-pound bench"),
        ("0.60", "100", "60.00", "'Released value insurance', a mover's glossary, undated: a 100-pound mattress"),
        ("0.60", "10000", "6000.00", "'Transit protection plans', a mover's page, undated: a whole shipment"),
        ("0.60", "45", "27.00", f"{RELEASED}; {WORKED}"),
        (str(Decimal("8.33") * Decimal("1.31")), "20.4", "222.61", f"{CMR}; {SDR}; {WORKED}"),
        (str(Decimal(26) * Decimal("1.31")), "20.4", "694.82", f"{MONTREAL}; {SDR}; {WORKED}"),
        (str(Decimal(26) * Decimal("1.31")), "1", "34.06", f"{MONTREAL}; {SDR}: about 34.00 a kilogram"),
        (str(Decimal(22) * Decimal("1.31")), "1", "28.82", f"the limit of 22 SDR before it; {SDR}: about 28.80"),
    ],
)
def test_liability_by_weight(rate: str, weight: str, owed: str, source: str) -> None:
    """What a carrier owes without cover is a rate × gross weight; the rate is an input of the workbook."""
    found = liability(invented.quote(liability_per_weight=rate), Decimal(weight))
    assert found.quantize(Decimal("0.01"), ROUND_HALF_UP) == Decimal(owed), source


def test_full_value_is_the_larger_of_a_rate_by_weight_and_a_least_sum() -> None:
    """49 CFR 375 and the released rates order, full value: 6.00 a lb of shipment, at least 6,000 (2012, memory)."""
    quote = invented.quote(liability_per_weight="6", liability_per_carton="6000")
    assert liability(quote, Decimal(1215)) == 7290
    assert liability(quote, Decimal(900)) == 6000


def test_postal_cover_ends_at_its_published_value() -> None:
    """Domestic Mail Manual, 503.4 (number from memory): insured up to 5,000, inclusive. The fee is invented."""
    insured = invented.cover((50, "2.60", 0, 0), (5000, "1.00", "0.0145", 0))
    money = invented.settings().currency
    assert cover_fee(insured, Decimal(5000), money) == Decimal("73.50")
    assert cover_fee(insured, Decimal("5000.01"), money) is None
