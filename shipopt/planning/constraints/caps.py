"""The cap of the whole move on what may be lost, on average, without being paid back."""

from shipopt.planning.programme import Programme

EXPECTED_LOSS = "expected uninsured loss"


def expected_loss_is_capped(programme: Programme) -> None:
    """Σ expected uninsured loss of cartons, those already on the road included, ≤ the cap."""
    cap = programme.move.settings.most_expected_loss
    if cap is not None:
        most = programme.use_of_room * float(cap)
        programme.limit(programme.expected_loss, most, EXPECTED_LOSS, "expected_loss")
