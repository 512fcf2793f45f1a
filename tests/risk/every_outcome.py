"""Every outcome of a move, one by one, with its chance and its loss: written from the model alone, slow and plain.

Uses nothing of the program's risk or pricing rooms. For a dozen cartons at most. Called by tests only.
"""

from collections.abc import Sequence
from itertools import product

import numpy as np

from shipopt.move.move import Move
from shipopt.move.plan import Shipment
from shipopt.move.words import Consignment, Covers


def back(move: Move, shipment: Shipment, event: str) -> tuple[float, float, float]:
    """Harm, what a cover pays, and what the carrier owes beyond it, when a carton is "lost" or "damaged"."""
    filled, quote, cover = shipment.filled, shipment.quote, shipment.cover
    harm = float(filled.value) * (1.0 if event == "lost" else float(move.settings.damage_share))
    owed = max(float(quote.liability_per_weight) * float(filled.gross_weight), float(quote.liability_per_carton))
    if quote.most_liability is not None:
        owed = min(owed, float(quote.most_liability))
    if event == "damaged" and quote.liability_covers is not Covers.LOSS_AND_DAMAGE:
        owed = 0.0
    paid = 0.0
    if cover is not None and (event == "lost" or cover.covers is Covers.LOSS_AND_DAMAGE):
        paid = max(0.0, harm - float(cover.excess))
    return harm, paid, max(0.0, min(owed, harm) - paid)


def consignment_outcomes(move: Move, carried: Sequence[Shipment]) -> tuple[np.ndarray, np.ndarray]:
    """Chances and losses of every outcome of one consignment."""
    quote = carried[0].quote
    whole = float(quote.whole_load_loss)
    cap = float("inf") if quote.most_liability is None else float(quote.most_liability)
    harms = [[(0.0, 0.0, 0.0), back(move, each, "lost"), back(move, each, "damaged")] for each in carried]
    chances, losses = [], []
    for happens in product(range(3), repeat=len(carried)):
        chance = 1.0 - whole
        for shipment, what in zip(carried, happens, strict=True):
            lost = float(quote.loss_chance) / (1.0 - whole)
            damaged = float(quote.damage_chance) * float(shipment.filled.carton.damage_factor) / (1.0 - whole)
            chance *= (1.0 - lost - damaged, lost, damaged)[what]
        chances.append(chance)
        losses.append(_left([harms[place][what] for place, what in enumerate(happens)], cap))
    chances.append(whole)
    losses.append(_left([each[1] for each in harms], cap))
    return np.array(chances), np.array(losses)


def _left(harms: Sequence[tuple[float, float, float]], cap: float) -> float:
    """What is left of these harms together, the carrier paying up to its cap for the consignment."""
    return sum(harm - paid for harm, paid, _ in harms) - min(cap, sum(owed for _, _, owed in harms))


def every_outcome(move: Move, shipments: Sequence[Shipment]) -> tuple[np.ndarray, np.ndarray]:
    """Chances and losses of every outcome of all consignments together."""
    consignments: dict[tuple[object, ...], list[Shipment]] = {}
    for place, shipment in enumerate(shipments):
        by_load = shipment.quote.consignment is Consignment.LOAD
        consignments.setdefault((shipment.quote.name, shipment.trip if by_load else -place), []).append(shipment)
    chances, losses = np.ones(1), np.zeros(1)
    for carried in consignments.values():
        more_chances, more_losses = consignment_outcomes(move, carried)
        chances = np.outer(chances, more_chances).ravel()
        losses = np.add.outer(losses, more_losses).ravel()
    return chances, losses


def figures(chances: np.ndarray, losses: np.ndarray, level: float) -> dict[str, float]:
    """Mean, chance of any loss, point and tail mean of a discrete law, by sorting it."""
    order = np.argsort(losses, kind="stable")
    chances, losses = chances[order], np.maximum(losses[order], 0.0)
    reached = np.cumsum(chances)
    edge = int(np.argmax(reached >= level - 1e-12))
    worst = np.minimum(chances, np.maximum(0.0, reached - level))
    return {
        "mean": float(chances @ losses),
        "chance_of_any": float(chances[losses > 1e-9].sum()),
        "point": float(losses[edge]),
        "tail_mean": float(worst @ losses) / (1.0 - level),
    }
