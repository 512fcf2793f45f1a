"""Rows of the sheet Risk: the figures of the uninsured loss, in numbers and in plain words, by quote and by care.

Every figure comes from the exact distribution of the risk room, with the error of its money grid. Chances are planning
assumptions wherever the quotes give none of their own. Called by the module gathered.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from shipopt.move.money import ZERO, Currency
from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.risk.curve import LossCurve
from shipopt.risk.distribution import LEVEL, LossDistribution, loss_distribution
from shipopt.risk.events import LossEvent
from shipopt.risk.expected import Event, expected_uninsured_loss_of_all, still_on_their_way
from shipopt.workbook.results.rows.cartons import care_shown

HUNDRED, FIVE, HALF = Decimal(100), Decimal(5), Decimal("0.5")
ASSUMED, GIVEN = "assumed", "the quote's own"


@dataclass(frozen=True, slots=True)
class FigureRow:
    """One figure: an amount of money or a chance in percent, each with the error that the truth is within."""

    figure: str
    amount: Decimal | None
    give_or_take: Decimal | None
    chance_percent: Decimal | None
    in_plain_words: str


@dataclass(frozen=True, slots=True)
class LikelihoodRow:
    """The chance that the loss is above an amount."""

    loss_above: Decimal
    moves_in_100: Decimal
    about: str


@dataclass(frozen=True, slots=True)
class GroupRow:
    """What the cartons of one quote, or of one care level, risk. ``part`` is its name."""

    part: str
    cartons: int
    value_at_risk: Decimal
    expected_uninsured_loss: Decimal
    chance_of_any_percent: Decimal
    at_most_in_95_of_100: Decimal
    average_of_worst_5_percent: Decimal
    worst_event: Decimal
    give_or_take: Decimal
    chances: str

    @property
    def quote(self) -> str:
        """The part where it is a quote."""
        return self.part

    @property
    def care(self) -> str:
        """The part where it is a care level."""
        return self.part


def figure_rows(
    losses: LossDistribution, expected: Decimal, events: Sequence[LossEvent], currency: Currency
) -> tuple[FigureRow, ...]:
    """The figures; ``expected`` is the total of the sheet Plan, ``events`` all events, the dearest first. The exact
    mean has a row of its own where a carrier's most for a consignment sets it apart from the total."""
    show, chance = currency.show, losses.chance_of_any * HUNDRED
    rows = [
        FigureRow("Expected uninsured loss", expected, ZERO, None, "The average over very many moves like this one."),
        FigureRow(
            "Chance of any uninsured loss",
            None,
            None,
            chance,
            f"In about {_of_hundred(HUNDRED - chance)} of 100 moves you bear nothing at all.",
        ),
        FigureRow(
            "95% point",
            losses.point,
            losses.point_error,
            FIVE,
            f"In 95 of 100 moves the uninsured loss is {_at_most(losses.point, currency)}.",
        ),
        FigureRow(
            "Average of worst 5%",
            losses.tail_mean,
            losses.tail_mean_error,
            FIVE,
            f"In the worst 5 of 100 moves it is {show(losses.tail_mean)} on average.",
        ),
        _worst_event(events),
    ]
    if abs(losses.mean - expected) > losses.mean_error + currency.minor_unit / 2:
        words = "The same average, with what a carrier pays for one consignment held to its most."
        rows.insert(1, FigureRow("Mean, caps of consignments counted", losses.mean, losses.mean_error, None, words))
    return tuple(rows)


def _worst_event(events: Sequence[LossEvent]) -> FigureRow:
    if not events:
        return FigureRow("Worst single event", ZERO, ZERO, ZERO, "Nothing can be lost uninsured.")
    worst = events[0]
    words = f"{event_in_words(worst)}: {one_in(worst.chance)}."
    return FigureRow("Worst single event", worst.uninsured, ZERO, worst.chance * HUNDRED, words)


def event_in_words(event: LossEvent) -> str:
    """What happens, to what, by which quote."""
    what = {Event.WHOLE_LOAD: "lost at once", Event.LOST: "lost", Event.DAMAGED: "damaged"}[event.event]
    trip = "" if event.trip is None else f", trip {event.trip}"
    many = len(event.cartons)
    if many == 1:
        return f"Carton {event.cartons[0]} by {event.quote}{trip} is {what}"
    return f"All {many} cartons of {event.quote}{trip} are {what}"


def one_in(chance: Decimal) -> str:
    """A chance as people say it: ``about 1 move in 250``."""
    if not chance:
        return "never, by these chances"
    if chance > HALF:
        return f"about {_of_hundred(chance * HUNDRED)} moves in 100"
    moves = 1 / chance
    digits = max(0, len(str(int(moves))) - 2)
    return f"about 1 move in {int(round(moves, -digits)):,}"


def _of_hundred(percent: Decimal) -> str:
    """A number of moves in a hundred: whole, or with one place where it is near none or all."""
    whole = percent.quantize(Decimal(1))
    return f"{percent.quantize(Decimal('0.1')):f}" if whole < 2 or whole > 98 else f"{whole:f}"


def likelihood_rows(curve: LossCurve) -> tuple[LikelihoodRow, ...]:
    """The curve of the chart, as numbers and words."""
    return tuple(LikelihoodRow(each.amount, each.chance * HUNDRED, one_in(each.chance)) for each in curve.above)


def in_words(curve: LossCurve, currency: Currency) -> tuple[str, ...]:
    """A sentence for each loss point from the one on where something is lost, and for 95 of 100 in any case."""
    return tuple(
        f"In {_moves(point.level)} moves the uninsured loss is {_at_most(point.amount, currency)}."
        for point in curve.points
        if point.amount or point.level == LEVEL
    )


def _at_most(amount: Decimal, currency: Currency) -> str:
    return f"{currency.show(amount)} or less" if amount else "nothing"


def _moves(level: Decimal) -> str:
    of = 1000 if (level * HUNDRED) % 1 else 100
    return f"{level * of:.0f} of {of:,}"


def by_quote(move: Move, shipments: Sequence[Shipment]) -> tuple[GroupRow, ...]:
    """A row for each quote that carries something or has cartons on their way, in the workbook's order."""
    return _groups(move, shipments, list(move.quotes), lambda shipment: shipment.quote.name)


def by_care(move: Move, shipments: Sequence[Shipment]) -> tuple[GroupRow, ...]:
    """A row for each care level, a carton counting for the strictest inside it; cartons of unknown care last."""
    return _groups(move, shipments, [*move.care, ""], lambda shipment: care_shown(move, shipment.filled))


def _groups(
    move: Move, shipments: Sequence[Shipment], names: Sequence[str], part_of: Callable[[Shipment], str]
) -> tuple[GroupRow, ...]:
    """A row for each part that has cartons; each part's figures are those of its cartons alone."""
    before = still_on_their_way(move)
    rows = []
    for name in names:
        here = [each for each in shipments if part_of(each) == name]
        sent = {each.filled.number for each in before if part_of(each) == name}
        if here or sent:
            alone = replace(move, packed=tuple(p for p in move.gone if p.filled.number in sent))
            rows.append(_group(alone, name, here))
    return tuple(rows)


def _group(alone: Move, name: str, here: Sequence[Shipment]) -> GroupRow:
    every = [*here, *still_on_their_way(alone)]
    losses = loss_distribution(alone, here)
    assumed = {each.quote.chances_assumed for each in every}
    return GroupRow(
        part=name,
        cartons=len(every),
        value_at_risk=sum((each.filled.value for each in every), ZERO),
        expected_uninsured_loss=expected_uninsured_loss_of_all(alone, here),
        chance_of_any_percent=losses.chance_of_any * HUNDRED,
        at_most_in_95_of_100=losses.point,
        average_of_worst_5_percent=losses.tail_mean,
        worst_event=losses.worst_event,
        give_or_take=max(losses.point_error, losses.tail_mean_error),
        chances=" and ".join(({True: ASSUMED, False: GIVEN})[each] for each in sorted(assumed, reverse=True)),
    )
