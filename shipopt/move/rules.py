"""The rules of one move, each as a question with a yes/no answer or a reason in words.

One place says what may travel how; the programmes, the audit and the comparison all ask here. Limits on a
whole consignment (most cartons, weight, volume, value) are not here: they need a plan, not a row.
"""

from datetime import date, timedelta
from decimal import Decimal

from shipopt.move.care import CareLevel
from shipopt.move.cartons import CartonType, FilledCarton
from shipopt.move.move import Move
from shipopt.move.quotes import Quote
from shipopt.move.records import Record
from shipopt.move.settings import Settings


def arrival(quote: Quote, settings: Settings) -> date | None:
    """The latest day the quote's consignment arrives: the later of Ready on and Collect from, plus Transit days;
    None where no date to start from is given. No Transit days count as none."""
    starts = [day for day in (settings.ready_on, quote.collect_from) if day is not None]
    return max(starts) + timedelta(days=quote.transit_days or 0) if starts else None


def why_out(quote: Quote, settings: Settings) -> str | None:
    """Why a quote takes no part in the move (not considered, expired, too late), or None if it does."""
    if not quote.consider:
        return "not considered (Consider is no)"
    if quote.valid_until and settings.decide_on and quote.valid_until < settings.decide_on:
        return f"expired: valid until {quote.valid_until}, the decision is on {settings.decide_on}"
    if quote.collect_until and settings.ready_on and quote.collect_until < settings.ready_on:
        return f"collects too early: until {quote.collect_until}, the move is ready on {settings.ready_on}"
    arrives = arrival(quote, settings)
    if arrives and settings.needed_by and arrives > settings.needed_by:
        return f"too late: arrives {arrives}, needed by {settings.needed_by}"
    return None


def quotes_in(move: Move) -> list[Quote]:
    """Quotes that take part in the move, in the workbook's order."""
    return [quote for quote in move.quotes.values() if why_out(quote, move.settings) is None]


def care_refusal(level: CareLevel, quote: Quote) -> str | None:
    """Why records of this care level may not go by this quote, or None if they may."""
    if quote.means not in level.means:
        return f"{level.name} may not travel by {quote.means}"
    needs = (
        (level.needs_closed_body, quote.closed_body, "a closed body"),
        (level.needs_temperature_held, quote.temperature_held, "temperature held"),
        (level.needs_tracking, quote.tracked, "tracking"),
        (level.needs_sole_use, quote.sole_use, "sole use"),
    )
    for needed, offered, words in needs:
        if needed and not offered:
            return f"{level.name} needs {words}"
    if level.most_loss_chance is not None and quote.loss_chance + quote.whole_load_loss > level.most_loss_chance:
        return f"{level.name} allows a loss chance of at most {level.most_loss_chance * 100:f} %"
    return None


def record_may_go(record: Record, quote: Quote, move: Move) -> bool:
    """Whether the quote may carry this record at all, whatever carton it is in."""
    return (
        record.must_go_by in (None, quote.name)
        and (record.format.sound_recording or not quote.recordings_only)
        and care_refusal(move.care[record.care], quote) is None
    )


def carton_refusal(carton: CartonType, quote: Quote) -> str | None:
    """Why the quote refuses this type of carton whatever is in it, or None."""
    if quote.cartons_accepted is not None and carton.name not in quote.cartons_accepted:
        return f"{quote.name} does not accept {carton.name}"
    if quote.carton_length_limit is not None and carton.sides[0] > quote.carton_length_limit:
        return f"{carton.name} is longer than {quote.name} takes"
    if quote.carton_girth_limit is not None and carton.length_plus_girth > quote.carton_girth_limit:
        return f"{carton.name} is over the length plus girth that {quote.name} takes"
    return None


def most_gross_weight(carton: CartonType, quote: Quote | None, settings: Settings) -> Decimal:
    """The most a carton may weigh: the least of its own limit, the quote's for a carton and for a whole trip, and the
    heaviest to lift."""
    limits = [settings.heaviest_carton, carton.gross_limit]
    if quote is not None:
        limits += [quote.carton_weight_limit, quote.most_weight if quote.by_load else None]
    return min(limit for limit in limits if limit is not None)


def filled_carton_refusal(filled: FilledCarton, quote: Quote, move: Move) -> str | None:
    """Why the quote may not carry this filled carton, or None. Prices (a rate card's last step) are not asked."""
    refusal = carton_refusal(filled.carton, quote)
    if refusal:
        return refusal
    if any(name != quote.name for name in filled.must_go_by):
        return f"it must go by {', '.join(filled.must_go_by)}"
    for name in filled.care:
        refusal = care_refusal(move.care[name], quote)
        if refusal:
            return refusal
    if quote.recordings_only and not filled.recordings_only:
        return f"{quote.name} takes sound recordings only"
    if filled.gross_weight > most_gross_weight(filled.carton, quote, move.settings):
        return f"{filled.gross_weight:f} is heavier than a carton by {quote.name} may be"
    most_value = most_value_of_consignment(quote, move.settings)
    if most_value is not None and filled.value > most_value:
        return f"its value is above the most for one consignment by {quote.name}"
    return None


def most_value_of_consignment(quote: Quote, settings: Settings) -> Decimal | None:
    """The most value on one consignment of the quote (a trip of a load, or a carton), None for no limit."""
    limits = [limit for limit in (quote.most_value, settings.most_value_on_consignment) if limit is not None]
    return min(limits) if limits else None


def liability(quote: Quote, gross_weight: Decimal) -> Decimal:
    """What the carrier owes for one carton without cover: the larger of its two rules, capped."""
    owed = max(quote.liability_per_weight * gross_weight, quote.liability_per_carton)
    return owed if quote.most_liability is None else min(owed, quote.most_liability)


def must_be_covered(filled: FilledCarton, quote: Quote, settings: Settings) -> bool:
    """Whether the insure rule asks for a cover: worth at least the threshold, on a quote whose means the rule
    applies to, and the carrier's liability does not reach the whole value."""
    threshold = settings.insure_from
    return (
        threshold is not None
        and quote.insure_rule_applies
        and filled.value >= threshold
        and liability(quote, filled.gross_weight) < filled.value
    )


def cartons_for(sleeve: str, move: Move) -> list[CartonType]:
    """Carton types that take records of this sleeve, in the workbook's order."""
    return [carton for carton in move.cartons.values() if sleeve in carton.sleeves]
