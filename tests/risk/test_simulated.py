"""The distribution against two million draws of an invented move, each figure within four standard errors."""

from decimal import Decimal

import invented
import numpy as np
import pytest
from every_outcome import back

from shipopt.move.plan import Shipment
from shipopt.move.words import Covers
from shipopt.risk.distribution import loss_distribution

DRAWS = 2_000_000
CHUNKS = 10


def a_move() -> tuple[object, list[Shipment]]:
    """Three trips of a van with a cap for the consignment, and parcels, some covered: fifteen cartons."""
    van = invented.quote(
        "van",
        trips_at_most=3,
        loss_chance="0.02",
        damage_chance="0.06",
        whole_load_loss="0.015",
        liability_per_weight="4",
        most_liability="260",
        liability_covers=Covers.LOSS_AND_DAMAGE,
    )
    post = invented.quote("post", by_carton=True, loss_chance="0.03", damage_chance="0.05", liability_per_carton="50")
    cover = invented.cover((None, 0, 0, 0), covers=Covers.LOSS, excess="75")
    shipments = []
    for number in range(15):
        box = invented.filled(str(number), 20 + number, Decimal(137 * (number + 1)) / 4)
        quote = post if number % 4 == 3 else van
        shipments.append(
            Shipment(box, quote, number % 3 + 1 if quote is van else 1, cover if number % 5 == 0 else None)
        )
    return invented.move([van, post]), shipments


def draw(rng: np.random.Generator, move: object, shipments: list[Shipment], count: int) -> np.ndarray:
    """Losses of ``count`` draws: each trip lost or not, each carton lost, damaged or safe, the carrier's cap shared."""
    total = np.zeros(count)
    for key in sorted({(s.quote.name, s.trip if s.quote.by_load else int(s.filled.number)) for s in shipments}):
        carried = [s for s in shipments if (s.quote.name, s.trip if s.quote.by_load else int(s.filled.number)) == key]
        quote = carried[0].quote
        whole = float(quote.whole_load_loss)
        all_lost = rng.random(count) < whole
        kept, owed = np.zeros(count), np.zeros(count)
        for shipment in carried:
            roll = rng.random(count) * (1.0 - whole)
            lost = all_lost | (roll < float(quote.loss_chance))
            damaged = ~lost & (roll < float(quote.loss_chance) + float(quote.damage_chance))
            for event, happens in (("lost", lost), ("damaged", damaged)):
                harm, paid, from_carrier = back(move, shipment, event)
                kept[happens] += harm - paid
                owed[happens] += from_carrier
        cap = np.inf if quote.most_liability is None else float(quote.most_liability)
        total += kept - np.minimum(owed, cap)
    return total


def test_two_million_draws_agree() -> None:
    """Mean, chance of any loss, 95 % point and mean of the worst 5 %."""
    move, shipments = a_move()
    found = loss_distribution(move, shipments)
    rng = np.random.default_rng(20310501)
    losses = np.concatenate([draw(rng, move, shipments, DRAWS // CHUNKS) for _ in range(CHUNKS)])
    point = float(found.point)

    def near(figure: Decimal, error: Decimal, sample: np.ndarray) -> None:
        standard_error = float(sample.std()) / DRAWS**0.5
        assert abs(float(figure) - float(sample.mean())) <= 4 * standard_error + float(error)

    near(found.mean, found.mean_error, losses)
    near(found.chance_of_any, found.chance_error, (losses > 1e-9).astype(float))
    near(found.tail_mean, found.tail_mean_error, point + np.maximum(losses - point, 0.0) / 0.05)
    hair = 4 * (0.95 * 0.05 / DRAWS) ** 0.5
    assert float((losses <= point + float(found.point_error) + 1e-6).mean()) >= 0.95 - hair
    assert float((losses < point - float(found.point_error) - 1e-6).mean()) <= 0.95 + hair
    assert point == pytest.approx(float(np.quantile(losses, 0.95)), rel=0.02)
