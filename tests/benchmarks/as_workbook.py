"""A move as the rows of an input workbook, so that the reading of large workbooks can be timed.

Every row says all it knows (weights and thicknesses too), as the domain does not remember which it had from its format.
"""

from collections.abc import Iterable, Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

from shipopt.move.move import Move
from shipopt.move.quotes import Quote
from shipopt.move.records import Format, Record
from shipopt.workbook.template import write_workbook

Row = dict[str, Any]


def write_move(path: Path, move: Move) -> None:
    """Write the workbook that describes this move, which has no cartons packed already."""
    settings = move.settings
    tables = {
        "Move": _settings(move),
        "Formats": [_format(form) for form in {r.format.name: r.format for r in move.records}.values()],
        "Records": [_record(record) for record in move.records],
        "Cartons": list(_cartons(move)),
        "Quotes": [_quote(quote) for quote in move.quotes.values()],
        "Rate cards": list(_rate_cards(move.quotes.values())),
        "Weight breaks": list(_weight_breaks(move.quotes.values())),
        "Care": list(_care(move)),
        "Cover": list(_cover(move)),
    }
    write_workbook(path, settings.units, settings.currency.code, tables)


def _percent(share: Decimal | None) -> Decimal | None:
    return None if share is None else share * 100


def _settings(move: Move) -> Row:
    it = move.settings
    return {
        "Title": it.title,
        "Units": it.units.value,
        "Currency": it.currency.code,
        "From": it.from_place,
        "To": it.to_place,
        "Decide on": it.decide_on,
        "Ready on": it.ready_on,
        "Needed by": it.needed_by,
        "Insure cartons worth at least": it.insure_from,
        "Most value on one consignment": it.most_value_on_consignment,
        "Expected uninsured loss at most": it.most_expected_loss,
        "Heaviest carton to lift": it.heaviest_carton,
        "Fill at least %": _percent(it.fill_least),
        "Fill at most %": _percent(it.fill_most),
        "Damage costs this share of value %": _percent(it.damage_share),
        "Count expected loss as a cost": it.count_expected_loss,
    }


def _format(form: Format) -> Row:
    return {
        "Format": form.name,
        "Sleeve": form.sleeve,
        "Weight each": form.weight,
        "Thickness each": form.thickness,
        "Thickness with disc outside": form.thickness_disc_outside,
        "Value if blank": form.value,
        "Sound recording": form.sound_recording,
    }


def _record(record: Record) -> Row:
    return {
        "Record ID": record.record_id,
        "Format": record.format.name,
        "Copies": record.copies,
        "Value each": record.value,
        "Care": record.care,
        "Shelf": record.shelf,
        "Disc outside jacket": record.disc_outside,
        "Weight each": record.weight,
        "Thickness each": record.thickness,
    }


def _cartons(move: Move) -> Iterator[Row]:
    for carton in move.cartons.values():
        yield {
            "Carton": carton.name,
            "Takes sleeves": carton.sleeves,
            "Stack length": carton.stack_length,
            "Inner cartons": carton.inner_cartons,
            "Outside length": carton.length,
            "Outside width": carton.width,
            "Outside height": carton.height,
            "Empty weight": carton.empty_weight,
            "Gross limit": carton.gross_limit,
            "Price each": carton.price,
            "On hand": carton.on_hand,
            "Most to use": carton.most,
            "Damage factor": carton.damage_factor,
        }


def _quote(quote: Quote) -> Row:
    return {
        "Quote": quote.name,
        "Bidder": quote.bidder,
        "Means": quote.means.value,
        "Consignment": quote.consignment.value,
        "Trips at most": quote.trips_at_most,
        "Fixed charge": quote.fixed_charge,
        "Included cartons": quote.included_cartons,
        "Per carton": quote.per_carton,
        "Per weight unit": quote.per_weight,
        "Per volume unit": quote.per_volume,
        "Rate card": quote.rate_card and quote.name,
        "Weight breaks": quote.weight_breaks and quote.name,
        "Minimum charge": quote.minimum_charge,
        "Surcharge %": _percent(quote.surcharge),
        "Cartons accepted": quote.cartons_accepted,
        "Most cartons": quote.most_cartons,
        "Most weight": quote.most_weight,
        "Most volume": quote.most_volume,
        "Most value": quote.most_value,
        "Carton weight limit": quote.carton_weight_limit,
        "Carton length limit": quote.carton_length_limit,
        "Carton length plus girth limit": quote.carton_girth_limit,
        "Volumetric divisor": quote.volumetric_divisor,
        "Volumetric above": quote.volumetric_above,
        "Weigh in steps of": quote.weigh_step,
        "Recordings only": quote.recordings_only,
        "Closed body": quote.closed_body,
        "Temperature held": quote.temperature_held,
        "Tracked": quote.tracked,
        "Sole use": quote.sole_use,
        "Transit days": quote.transit_days,
        "Valid until": quote.valid_until,
        "Loss chance %": _percent(quote.loss_chance),
        "Damage chance %": _percent(quote.damage_chance),
        "Whole-load loss %": _percent(quote.whole_load_loss),
        "Liability per weight unit": quote.liability_per_weight,
        "Liability per carton": quote.liability_per_carton,
        "Most liability": quote.most_liability,
        "Liability covers": quote.liability_covers.value,
    }


def _rate_cards(quotes: Iterable[Quote]) -> Iterator[Row]:
    for quote in quotes:
        for step in quote.rate_card.steps if quote.rate_card else ():
            yield {"Rate card": quote.name, "Weight up to": step.weight_up_to, "Price": step.price}


def _weight_breaks(quotes: Iterable[Quote]) -> Iterator[Row]:
    for quote in quotes:
        for row in quote.weight_breaks.rows if quote.weight_breaks else ():
            yield {"Weight breaks": quote.name, "From weight": row.from_weight, "Price per 100": row.price_per_100}


def _care(move: Move) -> Iterator[Row]:
    for level in move.care.values():
        may = {mean.value.capitalize(): mean in level.means for mean in sorted(type(next(iter(level.means))))}
        yield {
            "Care": level.name,
            **may,
            "Needs closed body": level.needs_closed_body,
            "Needs temperature held": level.needs_temperature_held,
            "Needs tracking": level.needs_tracking,
            "Needs sole use": level.needs_sole_use,
            "Loss chance at most %": _percent(level.most_loss_chance),
        }


def _cover(move: Move) -> Iterator[Row]:
    for cover in move.covers.values():
        for band in cover.bands:
            yield {
                "Cover": cover.name,
                "For quotes": cover.for_quotes,
                "Covers": cover.covers.value,
                "Basis": cover.basis.value,
                "Value up to": band.value_up_to,
                "Fee": band.fee,
                "Plus % of value": _percent(band.share_of_value),
                "Least fee": band.least_fee,
                "Excess": cover.excess,
            }
