"""The page for developers names what is there: every constraint function, every room, every file it speaks of."""

import ast
import re
from pathlib import Path

import pytest

HOUSE = Path(__file__).parents[1]
PAGE = (HOUSE / "DEVELOPERS.md").read_text(encoding="utf-8")
CONSTRAINTS = HOUSE / "shipopt" / "planning" / "constraints"


def constraint_functions() -> list[str]:
    """Every public function of the constraint modules."""
    return [
        node.name
        for file in sorted(CONSTRAINTS.glob("*.py"))
        for node in ast.parse(file.read_text(encoding="utf-8")).body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
    ]


def test_every_constraint_stands_beside_its_formula() -> None:
    rows = [line for line in PAGE.splitlines() if line.startswith("| ")]
    named = {name for line in rows for name in re.findall(r"`(\w+)` \|$", line)}
    unnamed = [name for name in constraint_functions() if name not in named]
    assert not unnamed, f"DEVELOPERS.md gives no formula for {unnamed}"


def test_no_formula_stands_beside_a_constraint_that_is_gone() -> None:
    formulation = PAGE[PAGE.index("## The formulation") : PAGE.index("## How to add")]
    named = set(re.findall(r"^\|.*\| `(\w+)` \|$", formulation, flags=re.MULTILINE))
    assert named == set(constraint_functions())


@pytest.mark.parametrize("path", sorted(set(re.findall(r"`((?:shipopt|tests|worked_examples)/[\w./]+)`", PAGE))))
def test_files_it_speaks_of_are_there(path: str) -> None:
    assert (HOUSE / path).exists()
