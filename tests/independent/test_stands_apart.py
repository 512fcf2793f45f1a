"""What recomputes and solves here shares nothing with the program but the values of the domain."""

import ast
from pathlib import Path

import pytest

SUPPORT = sorted(path for path in Path(__file__).parent.glob("*.py") if not path.name.startswith("test_"))


@pytest.mark.parametrize("path", SUPPORT, ids=lambda path: path.name)
def test_only_the_domain_is_imported(path):
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names.add(node.module or "")
    of_program = {name for name in names if name.split(".")[0] == "shipopt"}
    assert all(name.startswith("shipopt.move.") and name != "shipopt.move.rules" for name in of_program), of_program
