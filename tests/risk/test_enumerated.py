"""The distribution against every outcome of small random moves, listed one by one. All moves are invented."""

from decimal import Decimal
from random import Random

import invented
import pytest
from every_outcome import every_outcome, figures

from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.words import Covers
from shipopt.risk.distribution import LossDistribution, loss_distribution
from shipopt.risk.expected import expected_uninsured_loss_of_all


def random_case(seed: int, cents: bool) -> tuple[Move, list[Shipment]]:
    """Up to twelve cartons on three trips and by post, some covered, liability often capped for the consignment."""
    rng, step = Random(seed), 1 if cents else 10

    def money(most: int, times: int = 1) -> Decimal:
        return Decimal(rng.randrange(0, most * 100)) / 100 if cents else Decimal(rng.randrange(0, most, 10 * times))

    def quote(name: str, by_carton: bool) -> object:
        chances = [Decimal(rng.randrange(0, 200)) / 1000 for _ in range(3)]
        return invented.quote(
            name,
            by_carton=by_carton,
            trips_at_most=3,
            loss_chance=chances[0],
            damage_chance=chances[1],
            whole_load_loss=chances[2] * rng.randrange(2),
            liability_per_carton=money(300) * rng.randrange(2),
            liability_per_weight=Decimal(rng.randrange(0, 5)),
            most_liability=rng.choice([None, money(400), money(150)]),
            liability_covers=rng.choice(list(Covers)),
        )

    van, truck, post = quote("van", False), quote("truck", False), quote("post", True)
    covers = [
        None,
        *(
            invented.cover((None, 0, 0, 0), name=str(n), covers=rng.choice(list(Covers)), excess=money(90))
            for n in range(2)
        ),
    ]
    boxes = [
        invented.carton_type(name=f"box {factor}", damage_factor=Decimal(factor)) for factor in ("0.5", "1", "1.5")
    ]
    shipments = [
        Shipment(
            invented.filled(str(number), rng.randrange(10, 60, step), money(900, step), rng.choice(boxes)),
            rng.choice([van, van, truck, post] if number < 10 else [van, truck]),
            rng.randrange(1, 3),
            rng.choice(covers),
        )
        for number in range(rng.randrange(2, 11))
    ]
    shipments = [s if s.quote is not post else Shipment(s.filled, post, 1, s.cover) for s in shipments]
    return invented.move([van, truck, post], boxes), shipments


def check(found: LossDistribution, true: dict[str, float]) -> None:
    """Every figure within its stated error, and a hair for the rounding of chances and of the figures shown."""
    for name, error in [
        ("mean", found.mean_error),
        ("chance_of_any", found.chance_error),
        ("point", found.point_error),
        ("tail_mean", found.tail_mean_error),
    ]:
        hair = 2e-6 + 1e-9 * true[name]
        assert abs(float(getattr(found, name)) - true[name]) <= float(error) + hair, (name, found, true)


@pytest.mark.parametrize("seed", range(60))
def test_figures_are_those_of_the_listed_outcomes(seed: int) -> None:
    """Amounts in cents: all figures lie within the errors stated."""
    move, shipments = random_case(seed, cents=True)
    level = [Decimal("0.95"), Decimal("0.5"), Decimal("0.99"), Decimal(0)][seed % 4]
    check(loss_distribution(move, shipments, level=level), figures(*every_outcome(move, shipments), float(level)))


@pytest.mark.parametrize("seed", range(60, 90))
def test_a_coarse_grid_states_a_larger_error_and_keeps_it(seed: int) -> None:
    """A grid of 50 cannot hit the figures, but says how far off they may be."""
    move, shipments = random_case(seed, cents=True)
    found = loss_distribution(move, shipments, grid=Decimal(50))
    check(found, figures(*every_outcome(move, shipments), 0.95))


@pytest.mark.parametrize("seed", range(90, 130))
def test_amounts_on_the_grid_have_no_error(seed: int) -> None:
    """Tens throughout (damage too), a grid of one, and every figure is exact whatever the caps."""
    move, shipments = random_case(seed, cents=False)
    found = loss_distribution(move, shipments, grid=Decimal(1))
    assert (found.mean_error, found.chance_error, found.point_error, found.tail_mean_error) == (0, 0, 0, 0)
    check(found, figures(*every_outcome(move, shipments), 0.95))


@pytest.mark.parametrize("seed", range(130, 150))
def test_without_a_cap_for_the_consignment_the_mean_is_the_expected_loss(seed: int) -> None:
    """Dependence moves the tail, not the mean; a cap for the consignment can only raise it."""
    move, shipments = random_case(seed, cents=True)
    found = loss_distribution(move, shipments)
    expected = expected_uninsured_loss_of_all(move, shipments)
    assert found.mean + found.mean_error >= expected - Decimal("1e-6")
    if all(shipment.quote.most_liability is None for shipment in shipments):
        assert abs(found.mean - expected) <= Decimal("1e-6")
