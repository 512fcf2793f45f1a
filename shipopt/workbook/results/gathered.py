"""Everything the results show of one plan, worked out once: prices, risk, rows of every table, warnings.

The plan is priced and its risk computed here, by their own rooms, from the finished shipments; no figure of a solver
is shown but the floor. Sheets, JSON and data frames all read from here.
"""

from dataclasses import dataclass, field
from decimal import Decimal
from functools import cached_property

from shipopt.comparing.caution import Caution
from shipopt.comparing.comparison import Comparison
from shipopt.move.plan import Plan
from shipopt.pricing.total import Cost, price
from shipopt.risk.curve import LossCurve, loss_curve
from shipopt.risk.distribution import LossDistribution, loss_distribution
from shipopt.risk.events import LossEvent, loss_events
from shipopt.risk.expected import expected_uninsured_loss, still_on_their_way
from shipopt.workbook.results.reading import Reading
from shipopt.workbook.results.rows.bidders import BidderRow, bidder_rows
from shipopt.workbook.results.rows.binding import BindingRow, binding_rows
from shipopt.workbook.results.rows.bookings import BookingRow, BuyRow, GoneRow, booking_rows, buy_rows, gone_rows
from shipopt.workbook.results.rows.cartons import CartonRow, carton_rows
from shipopt.workbook.results.rows.caution import LevelRow, OtherChancesRow, level_rows, other_chances_rows
from shipopt.workbook.results.rows.changes import CartonChange, CostChange, carton_changes, cost_changes
from shipopt.workbook.results.rows.charges import ChargeRow, FreightRow, charge_rows, freight_rows
from shipopt.workbook.results.rows.check_in import CheckInRow, check_in_rows
from shipopt.workbook.results.rows.cover import (
    BareRow,
    DeclareRow,
    PhotographRow,
    PurchaseRow,
    bare_rows,
    declare_rows,
    photograph_rows,
    purchase_rows,
)
from shipopt.workbook.results.rows.diary import DatesRow, DayRow, dates_rows, day_rows
from shipopt.workbook.results.rows.handling import LiftingRow, StackingRow, lifting_rows, stacking_rows
from shipopt.workbook.results.rows.labels import LabelRow, SlipRow, label_rows, slip_rows
from shipopt.workbook.results.rows.packing import PackingRow, packing_rows
from shipopt.workbook.results.rows.quotes import QuoteRow, quote_rows
from shipopt.workbook.results.rows.risk import (
    FigureRow,
    GroupRow,
    LikelihoodRow,
    by_care,
    by_quote,
    figure_rows,
    likelihood_rows,
)
from shipopt.workbook.results.rows.riskiest import RiskyRecordRow, risky_record_rows
from shipopt.workbook.results.rows.settings import NoticeRow, RowsRead, SettingRow, setting_rows
from shipopt.workbook.results.rows.shelving import ShelvingRow, shelving_rows
from shipopt.workbook.results.rows.totals import Totals, totals
from shipopt.workbook.results.rows.warnings import Findings, warnings


@dataclass(frozen=True)
class Results:
    """A plan with what is known of its input; all else follows."""

    plan: Plan
    reading: Reading = field(default_factory=Reading)
    comparison: Comparison | None = None
    caution: Caution | None = None
    """What it would cost to lose less; None where it was not asked for."""

    @cached_property
    def cost(self) -> Cost:
        """The plan's cost, from the pricing room."""
        return price(self.plan.move, self.plan.shipments)

    @cached_property
    def losses(self) -> LossDistribution:
        """The exact distribution of the uninsured loss, from the risk room."""
        return loss_distribution(self.plan.move, self.plan.shipments)

    @cached_property
    def expected(self) -> dict[str, Decimal]:
        """Expected uninsured loss by carton number, of every carton still to go or on its way."""
        on_their_way = (*self.plan.shipments, *still_on_their_way(self.plan.move))
        return {each.filled.number: expected_uninsured_loss(self.plan.move, each) for each in on_their_way}

    @cached_property
    def totals(self) -> Totals:
        """The totals of the sheet Plan."""
        return totals(self.plan, self.cost, self.cartons, self.losses)

    @cached_property
    def cartons(self) -> tuple[CartonRow, ...]:
        """Rows of the carton list: those of the plan's shipments, then those gone."""
        return carton_rows(self.plan.move, self.plan.shipments, self.cost, self.expected)

    @cached_property
    def packing(self) -> tuple[PackingRow, ...]:
        """Rows of the packing list."""
        return packing_rows(self.plan)

    @cached_property
    def shelving(self) -> tuple[ShelvingRow, ...]:
        """Steps to fill the shelves of the new place."""
        return shelving_rows(self.plan)

    @cached_property
    def labels(self) -> tuple[LabelRow, ...]:
        """Labels of the cartons to go."""
        return label_rows(self.plan)

    @cached_property
    def declared(self) -> tuple[DeclareRow, ...]:
        """Cartons under a cover."""
        return declare_rows(self.plan, self.cost)

    @cached_property
    def purchases(self) -> tuple[PurchaseRow, ...]:
        """Covers to take out."""
        return purchase_rows(self.plan, self.declared)

    @cached_property
    def bare(self) -> tuple[BareRow, ...]:
        """What travels without a cover."""
        return bare_rows(self.plan)

    @cached_property
    def photographs(self) -> tuple[PhotographRow, ...]:
        """The dearest copies."""
        return photograph_rows(self.packing)

    @cached_property
    def dates(self) -> tuple[DatesRow, ...]:
        """Dates by quote."""
        return dates_rows(self.plan)

    @cached_property
    def days(self) -> tuple[DayRow, ...]:
        """The diary day by day."""
        return day_rows(self.plan, self.dates)

    @cached_property
    def lifting(self) -> tuple[LiftingRow, ...]:
        """Kinds of carton against the limits for lifting."""
        return lifting_rows(self.plan)

    @cached_property
    def stacking(self) -> tuple[StackingRow, ...]:
        """How high kinds of carton may stand."""
        return stacking_rows(self.plan)

    @cached_property
    def slips(self) -> tuple[SlipRow, ...]:
        """Content slips of the cartons to pack."""
        return slip_rows(self.packing)

    @cached_property
    def bookings(self) -> tuple[BookingRow, ...]:
        """Bookings to make."""
        return booking_rows(self.plan, self.cost, self.cartons)

    @cached_property
    def to_buy(self) -> tuple[BuyRow, ...]:
        """Cartons in use and to buy."""
        return buy_rows(self.cost)

    @cached_property
    def gone(self) -> tuple[GoneRow, ...]:
        """Cartons already sent or arrived."""
        return gone_rows(self.plan.move)

    @cached_property
    def charges(self) -> tuple[ChargeRow, ...]:
        """Lines of all statements."""
        return charge_rows(self.cost)

    @cached_property
    def freight(self) -> tuple[FreightRow, ...]:
        """Freight classes."""
        return freight_rows(self.plan, self.cost)

    @cached_property
    def quotes(self) -> tuple[QuoteRow, ...]:
        """Quotes compared."""
        return quote_rows(self.plan, self.cost, self.cartons, self.bookings)

    @cached_property
    def curve(self) -> LossCurve:
        """How likely larger losses are, from the risk room."""
        return loss_curve(self.plan.move, self.plan.shipments)

    @cached_property
    def loss_events(self) -> tuple[LossEvent, ...]:
        """Every event that leaves a loss uninsured, the dearest first."""
        return loss_events(self.plan.move, self.plan.shipments)

    @cached_property
    def risk_figures(self) -> tuple[FigureRow, ...]:
        """The figures of the sheet Risk."""
        money = self.plan.move.settings.currency
        return figure_rows(self.losses, self.totals.expected_uninsured_loss, self.loss_events, money)

    @cached_property
    def risk_by_quote(self) -> tuple[GroupRow, ...]:
        """Risk by quote."""
        return by_quote(self.plan.move, self.plan.shipments)

    @cached_property
    def risk_by_care(self) -> tuple[GroupRow, ...]:
        """Risk by care level."""
        return by_care(self.plan.move, self.plan.shipments)

    @cached_property
    def riskiest(self) -> tuple[RiskyRecordRow, ...]:
        """The records that carry most of the risk."""
        return risky_record_rows(self.plan.move, self.plan.shipments, self.totals.expected_uninsured_loss)

    @cached_property
    def caution_levels(self) -> tuple[LevelRow, ...]:
        """What each level of caution costs."""
        return level_rows(self.caution)

    @cached_property
    def other_chances(self) -> tuple[OtherChancesRow, ...]:
        """What becomes of the plan if the chances are wrong."""
        return other_chances_rows(self.caution)

    @cached_property
    def likelihoods(self) -> tuple[LikelihoodRow, ...]:
        """The curve in figures."""
        return likelihood_rows(self.curve)

    @cached_property
    def check_in(self) -> tuple[CheckInRow, ...]:
        """What to look at on arrival."""
        return check_in_rows(self.cartons)

    @cached_property
    def cost_changes(self) -> tuple[CostChange, ...]:
        """Why the cost differs from the last plan's."""
        return cost_changes(self.plan, self.cost)

    @cached_property
    def carton_changes(self) -> tuple[CartonChange, ...]:
        """What is different from the last plan."""
        return carton_changes(self.plan)

    @cached_property
    def bidders(self) -> tuple[BidderRow, ...]:
        """What each quote is worth."""
        return bidder_rows(self.comparison)

    @cached_property
    def binding(self) -> tuple[BindingRow, ...]:
        """What binds."""
        return binding_rows(self.comparison)

    @cached_property
    def settings(self) -> tuple[SettingRow, ...]:
        """Settings as read."""
        return setting_rows(self.plan.move.settings)

    @cached_property
    def rows_read(self) -> tuple[RowsRead, ...]:
        """Rows read from each sheet."""
        return tuple(RowsRead(sheet, rows) for sheet, rows in self.reading.rows)

    @cached_property
    def notices(self) -> tuple[NoticeRow, ...]:
        """Notices of the reader."""
        return tuple(NoticeRow(notice) for notice in self.reading.notices)

    @cached_property
    def warnings(self) -> tuple[str, ...]:
        """Warnings in words."""
        return warnings(Findings(self.plan, self.cartons, self.totals), self.reading.notices)
