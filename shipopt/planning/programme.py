"""A programme under construction: its variables, and the running sums that its constraints speak of.

One shape serves three uses. With filled cartons as candidates it decides which carton goes by which quote, trip and
cover, at exact prices. With every possible carton of a tiny move as a candidate it also decides the packing. With
kinds of loose records it is the aggregate programme, a relaxation whose bound is a floor under every plan. The
constraints themselves are one function each, in ``shipopt/planning/constraints``.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property

import pulp

from shipopt.move.cartons import CartonType, FilledCarton
from shipopt.move.money import ZERO
from shipopt.move.move import Move
from shipopt.move.records import Record
from shipopt.planning.kinds import Kind, ValueClass
from shipopt.planning.modes import Mode
from shipopt.planning.outline import Outline, outline_of
from shipopt.planning.tracks import Track
from shipopt.planning.ways import Way
from shipopt.pricing.billing import outside_volume
from shipopt.risk.expected import expected_uninsured_loss_of_all

LEFT_BEHIND = "every record goes"
"""The name of the rule that an elastic programme breaks by leaving records behind."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A filled carton that the programme may send, at most ``times`` times over. ``holds`` says how many copies of
    which items it takes; every item must go exactly as often as it stands in the programme's ``items``. It may go by
    any quote that takes it, or by the one named only."""

    filled: FilledCarton
    holds: Mapping[int, int]
    times: int = 1
    quote: str | None = None


@dataclass(frozen=True, slots=True)
class Option:
    """Candidate ``candidate`` on a track in one of its ways, with its variable."""

    candidate: int
    track: Track
    way: Way
    variable: pulp.LpVariable


SlotKey = tuple[str, str, int, float]
"""Quote, carton type, index of the mode of cover, most weight of contents."""


@dataclass(frozen=True, slots=True)
class Slot:
    """Cartons of one type on one track, in one mode of cover and up to one weight, with the variable of their number.

    ``most_contents`` is the weight of records one may hold; ``price`` the rate card's price of one,
    ``volume`` its outside volume in cu ft or m³; ``most_value`` bounds the value of what one may hold.
    """

    track: Track
    carton: CartonType
    mode: Mode
    most_contents: float
    price: float
    volume: float
    most_value: float
    number: pulp.LpVariable

    @property
    def key(self) -> SlotKey:
        """What tells the slot from others, in this programme or another of the same move."""
        return self.track.quote.name, self.carton.name, self.mode.index, self.most_contents


def weighted(terms: Iterable[tuple[float, pulp.LpVariable]]) -> pulp.LpAffineExpression:
    """Σ times × variable, each variable once: far quicker than a sum of expressions."""
    return pulp.LpAffineExpression([(variable, times) for times, variable in terms])


@dataclass(frozen=True, slots=True)
class SlotGroup:
    """Slots of one track, carton type and mode of cover, with the kinds of which they may hold copies, each with the
    variable of how many."""

    name: str
    slots: tuple[Slot, ...]
    copies: tuple[tuple[Kind, pulp.LpVariable], ...]

    @property
    def track(self) -> Track:
        """The track they all are on."""
        return self.slots[0].track

    @property
    def carton(self) -> CartonType:
        """The type they all have."""
        return self.slots[0].carton

    @property
    def mode(self) -> Mode:
        """The mode they all have."""
        return self.slots[0].mode

    @property
    def number(self) -> pulp.LpAffineExpression:
        """How many cartons the group has."""
        return weighted((1.0, slot.number) for slot in self.slots)

    @property
    def weight(self) -> pulp.LpAffineExpression:
        """What the copies in its cartons weigh."""
        return weighted((kind.weight.least, copies) for kind, copies in self.copies)

    @property
    def value(self) -> pulp.LpAffineExpression:
        """What the copies in its cartons are worth."""
        return weighted((kind.value.least, copies) for kind, copies in self.copies)


@dataclass(slots=True)
class Load:
    """What one track carries, as linear expressions, and whether the track is used (or how many of its trips)."""

    used: pulp.LpVariable
    cartons: pulp.LpAffineExpression = field(default_factory=pulp.LpAffineExpression)
    gross: pulp.LpAffineExpression = field(default_factory=pulp.LpAffineExpression)
    billed: pulp.LpAffineExpression = field(default_factory=pulp.LpAffineExpression)
    volume: pulp.LpAffineExpression = field(default_factory=pulp.LpAffineExpression)
    value: pulp.LpAffineExpression = field(default_factory=pulp.LpAffineExpression)
    rate_cards: pulp.LpAffineExpression = field(default_factory=pulp.LpAffineExpression)
    freed: pulp.LpAffineExpression = field(default_factory=pulp.LpAffineExpression)
    billed_loose: pulp.LpAffineExpression = field(default_factory=pulp.LpAffineExpression)
    value_by_cover: dict[str, pulp.LpAffineExpression] = field(default_factory=dict)
    taken_by_cover: dict[str, pulp.LpAffineExpression] = field(default_factory=dict)


class Programme:
    """Variables and sums; ``problem`` is what the solver gets. Money, weights and lengths are floats here.

    ``elastic`` names the rules that may be broken, each at a price (see ``limit``): empty except when asking why no
    plan exists. ``rounds`` asks for each trip's charge in whole minor units: exact to the last one, worth its integer
    variables only where a move is tiny. ``use_of_room`` is the share of a carton's room, weight and value, and of a
    trip's weight and value and the cap on loss, that may be counted on: 1 for a floor, less for a guide that leaves the
    packer some play. ``numbers`` of cartons by slot are given where only the copies are still to be dealt: no other
    slots are offered. Solutions that cost more than ``at_most`` (money, if not None) need not be there, nor those that
    are not of the outline ``only``.
    """

    def __init__(
        self,
        move: Move,
        tracks: Sequence[Track],
        name: str,
        elastic: frozenset[str] = frozenset(),
        *,
        rounds: bool = False,
        use_of_room: float = 1.0,
        numbers: Mapping[SlotKey, int] | None = None,
        play: int = 0,
        at_most: float | None = None,
        only: Outline | None = None,
    ) -> None:
        self.move = move
        self.tracks = list(tracks)
        self.problem = pulp.LpProblem(name, pulp.LpMinimize)
        self.elastic = elastic
        self.rounds = rounds
        self.use_of_room = use_of_room
        self.numbers, self.play = numbers, play
        self.at_most = at_most
        self.only = only
        self.charged_by_itself: dict[str, pulp.LpVariable] = {}
        """How often a row of weight breaks or a band of a cover of whole loads is used."""
        self.rules: list[str] = []
        self.breaches: dict[str, list[pulp.LpVariable]] = {}
        self.left_behind: dict[str, list[pulp.LpVariable]] = {}
        self.candidates: list[Candidate] = []
        self.items: list[int] = []
        self.options: list[Option] = []
        self.kinds: list[Kind] = []
        self.classes: list[ValueClass] = []
        self.slots: list[Slot] = []
        self.groups: list[SlotGroup] = []
        self.shares: Shares = Shares()
        self.loads = [
            Load(pulp.LpVariable(f"trips_{track.index}", 0, track.trips, pulp.LpInteger)) for track in self.tracks
        ]
        self.carriage = pulp.LpAffineExpression()
        self.cartons_bought = pulp.LpAffineExpression()
        self.fees = pulp.LpAffineExpression()
        self.expected_loss = pulp.LpAffineExpression(constant=float(expected_uninsured_loss_of_all(move, ())))
        self.tail_loss = pulp.LpAffineExpression(constant=float(expected_uninsured_loss_of_all(move, ())))
        """At most the mean of the worst 5 % of outcomes, as far as one can say so linearly."""
        self.rounding = pulp.LpAffineExpression()
        """What rounding to the minor unit may save at the most: taken off a floor, nothing where prices are exact."""
        self.of_type: dict[str, pulp.LpAffineExpression] = {name: pulp.LpAffineExpression() for name in move.cartons}

    def load(self, track: Track) -> Load:
        """The load of a track."""
        return self.loads[track.index]

    def charge_by_itself(self, name: str, times: pulp.LpVariable) -> None:
        """Note what is charged whatever is carried, and how often; never, where the outline asked for leaves it out."""
        self.charged_by_itself[name] = times
        if self.only is not None and not self.only.takes(name):
            times.upBound = 0

    def outline(self, values: Mapping[str, float]) -> Outline:
        """The outline of a solution."""
        trips = {track.quote.name: values[self.load(track).used.name] for track in self.tracks}
        return outline_of(trips, {name: values[times.name] for name, times in self.charged_by_itself.items()})

    def outside(self, outline: Outline) -> list[pulp.LpVariable]:
        """The variables of which one at least is not 0 in every solution of another outline."""
        trips = [self.load(track).used for track in self.tracks if track.quote.name not in outline.quotes]
        return trips + [times for name, times in self.charged_by_itself.items() if not outline.takes(name)]

    def slots_by_mode(self) -> Iterator[tuple[Track, int, list[Slot]]]:
        """The slots of each track and mode of cover."""
        groups: dict[tuple[int, int], list[Slot]] = {}
        for slot in self.slots:
            groups.setdefault((slot.track.index, slot.mode.index), []).append(slot)
        for (_, mode), slots in groups.items():
            yield slots[0].track, mode, slots

    def value_in(self, track: Track, mode: int) -> pulp.LpAffineExpression | None:
        """What the loose records on a track in a mode of cover are worth; None if there can be none."""
        parts = self.shares.value.at(track.index, mode)
        return pulp.lpSum(part for _, part in parts) if parts else None

    @cached_property
    def dearest_for_thickness(self) -> list[Record]:
        """The loose records, the dearest for their thickness first."""
        return sorted(self.move.loose, key=lambda record: -float(record.value) / float(record.thickness))

    @cached_property
    def dearest_for_weight(self) -> list[Record]:
        """The loose records, the dearest for their weight first."""
        return sorted(self.move.loose, key=lambda record: -float(record.value) / float(record.weight))

    def variable(self, name: str, most: float | None = None, *, whole: bool = False) -> pulp.LpVariable:
        """A new variable from 0 to ``most``."""
        return pulp.LpVariable(name, 0, most, pulp.LpInteger if whole else pulp.LpContinuous)

    def add(self, constraint: pulp.LpConstraint, name: str) -> None:
        """Add a constraint that no elastic copy may break."""
        self.problem.addConstraint(constraint, name)

    def limit(
        self, expression: pulp.LpAffineExpression, most: pulp.LpAffineExpression | float, rule: str, name: str
    ) -> None:
        """Add ``expression ≤ most``; in an elastic copy of the programme that names the rule, at a breach."""
        if rule not in self.rules:
            self.rules.append(rule)
        if rule in self.elastic:
            expression = expression - self._breach(rule, f"breach_{name}")
        self.problem.addConstraint(expression <= most, name)

    def _breach(self, rule: str, name: str, most: float | None = None) -> pulp.LpVariable:
        breach = self.variable(name, most)
        self.breaches.setdefault(rule, []).append(breach)
        return breach

    def stays_behind(self, what: str, most: float, name: str) -> pulp.LpAffineExpression:
        """How much of an item or kind stays behind: nothing, unless the programme is elastic in this."""
        if LEFT_BEHIND not in self.elastic:
            return pulp.LpAffineExpression()
        breach = self._breach(LEFT_BEHIND, f"behind_{name}", most)
        self.left_behind.setdefault(what, []).append(breach)
        return pulp.LpAffineExpression(breach)

    def charged(self, amount: pulp.LpAffineExpression, name: str) -> pulp.LpAffineExpression:
        """The amount as an invoice states it: in whole minor units, rounded half up, where the programme rounds."""
        if not self.rounds:
            return amount
        minor = float(self.move.settings.currency.minor_unit)
        units = self.variable(f"units_{name}", whole=True)
        self.add(units >= amount * (1 / minor) - 0.5, f"units_{name}")
        return minor * units

    def add_candidate(self, candidate: Candidate, ways: Mapping[int, Sequence[Way]]) -> None:
        """Offer a filled carton in its ways, given by track index."""
        place = len(self.candidates)
        self.candidates.append(candidate)
        for track in self.tracks:
            for number, way in enumerate(ways.get(track.index, ())):
                variable = self.variable(f"go_{place}_{track.index}_{number}", candidate.times, whole=True)
                option = Option(place, track, way, variable)
                self.options.append(option)
                self._count(option)

    def _count(self, option: Option) -> None:
        filled, load, x = self.candidates[option.candidate].filled, self.load(option.track), option.variable
        load.cartons.addterm(x, 1)
        load.gross.addterm(x, float(filled.gross_weight))
        load.billed.addterm(x, float(option.way.billed_weight))
        load.volume.addterm(x, float(outside_volume(filled.carton, self.move.settings.units)))
        load.value.addterm(x, float(filled.value))
        if option.track.quote.by_load:
            load.rate_cards.addterm(x, float(option.way.charge))
        if option.way.fee_by_trip and option.way.cover is not None:
            load.value_by_cover.setdefault(option.way.cover.name, pulp.LpAffineExpression()).addterm(
                x, float(filled.value)
            )
        self.fees.addterm(x, float(option.way.fee))
        self.expected_loss.addterm(x, float(option.way.expected_loss))
        if not filled.closed_by_user:
            self.of_type[filled.carton.name].addterm(x, 1)

    def minimise_cost(self) -> None:
        """Set the objective: carriage, cartons and fees, with expected uninsured loss where the settings count it."""
        objective = self.carriage + self.cartons_bought + self.fees - self.rounding
        if self.move.settings.count_expected_loss:
            objective += float(self.move.settings.weight_of_loss) * self.expected_loss
        objective += float(paid_already(self.move))
        self.problem.setObjective(objective)


class Parts:
    """How one measure is shared out over the tracks: a linear expression for each kind or class of value and track, or
    for each class, track and mode of cover."""

    def __init__(self) -> None:
        self._of: dict[int, list[pulp.LpAffineExpression]] = {}
        self._on: dict[tuple[int, int], dict[int, pulp.LpAffineExpression]] = {}
        self._at: dict[tuple[int, int], list[tuple[int, pulp.LpAffineExpression]]] = {}

    def __bool__(self) -> bool:
        return bool(self._of)

    def put(self, what: int, track: int, part: pulp.LpAffineExpression, mode: int = 0) -> None:
        """Note the part of a kind or class on a track, in a mode where that is told apart."""
        self._of.setdefault(what, []).append(part)
        self._on.setdefault((what, track), {})[mode] = part
        self._at.setdefault((track, mode), []).append((what, part))

    def of(self, what: int) -> pulp.LpAffineExpression:
        """The sum over all tracks and modes."""
        return pulp.lpSum(self._of.get(what, ()))

    def on(self, what: int, track: int) -> dict[int, pulp.LpAffineExpression]:
        """The parts on a track, by mode."""
        return self._on.get((what, track), {})

    def at(self, track: int, mode: int = 0) -> list[tuple[int, pulp.LpAffineExpression]]:
        """The parts of every kind or class there, each with its index."""
        return self._at.get((track, mode), [])

    def sum_at(self, track: int, mode: int = 0) -> pulp.LpAffineExpression:
        """The sum over all kinds or classes there."""
        return pulp.lpSum(part for _, part in self.at(track, mode))


class Shares:
    """How the loose records are shared out: copies, weight and thickness of each kind by track; copies (``moded``) and
    value of each class of value by track and mode of cover."""

    def __init__(self) -> None:
        self.copies, self.weight, self.thickness = Parts(), Parts(), Parts()
        self.moded, self.value = Parts(), Parts()


def paid_already(move: Move) -> Decimal:
    """What the cartons already sent or arrived have cost, and the boxes of all closed ones."""
    money = move.settings.currency.round
    gone = sum((money(packed.paid) + money(packed.cover_fee) for packed in move.gone), ZERO)
    return sum((money(packed.carton_paid) for packed in move.packed), gone)
