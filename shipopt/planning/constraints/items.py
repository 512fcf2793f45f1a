"""What must travel, and in which boxes: every item once, cartons bought and the most of them."""

import pulp

from shipopt.planning.programme import Programme


def every_item_goes_once(programme: Programme) -> None:
    """Σ (candidates holding an item) = its number of copies, for every item."""
    rows = [pulp.LpAffineExpression() for _ in programme.items]
    for option in programme.options:
        for item, copies in programme.candidates[option.candidate].holds.items():
            rows[item].addterm(option.variable, copies)
    for item, row in enumerate(rows):
        copies = programme.items[item]
        behind = programme.stays_behind(_name_of(programme, item), copies, f"item_{item}")
        programme.add(row + behind == copies, f"item_{item}_goes_once")


def _name_of(programme: Programme, item: int) -> str:
    """What a reader would call an item: its care levels, or the carton that the user closed."""
    for candidate in programme.candidates:
        if set(candidate.holds) == {item}:
            filled = candidate.filled
            return f"carton {filled.number}" if filled.closed_by_user else f"{' / '.join(filled.care)} records"
    return "records"


def cartons_are_bought_beyond_those_on_hand(programme: Programme) -> None:
    """bought ≥ used − on hand, at the price of each; for every carton type that costs anything."""
    for place, carton in enumerate(programme.move.cartons.values()):
        used = programme.of_type[carton.name]
        if carton.price and used:
            bought = programme.variable(f"bought_{place}")
            programme.add(used - bought <= carton.on_hand, f"bought_{place}_beyond_those_on_hand")
            programme.cartons_bought.addterm(bought, float(carton.price))


def no_more_cartons_than_may_be_used(programme: Programme) -> None:
    """used ≤ Most to use, for every carton type with such a limit."""
    for place, carton in enumerate(programme.move.cartons.values()):
        used = programme.of_type[carton.name]
        if carton.most is not None and used:
            programme.limit(used, carton.most, f"most to use: {carton.name}", f"most_of_carton_{place}")
