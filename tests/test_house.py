"""The rules of the house, held by reading every file's syntax tree: who may import whom, which library lives where,
how long files and functions may be. Imports inside functions and under TYPE_CHECKING count like any other.
"""

import ast
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

HOUSE = Path(__file__).parents[1]
PACKAGE = HOUSE / "shipopt"
FILES = sorted(PACKAGE.rglob("*.py"))

MAY_IMPORT: dict[str, set[str]] = {
    "shipopt.version": set(),
    "shipopt.move": set(),
    "shipopt.pricing": {"shipopt.move"},
    "shipopt.risk": {"shipopt.move", "shipopt.pricing"},
    "shipopt.planning": {"shipopt.move", "shipopt.pricing", "shipopt.risk"},
    "shipopt.comparing": {"shipopt.move", "shipopt.pricing", "shipopt.risk", "shipopt.planning"},
    "shipopt.handling": {"shipopt.move"},
    "shipopt.workbook": {"shipopt.move"},
    "shipopt.workbook.results": {
        "shipopt.comparing",
        "shipopt.handling",
        "shipopt.move",
        "shipopt.pricing",
        "shipopt.risk",
        "shipopt.version",
        "shipopt.workbook",
    },
    "shipopt.afterwards": {
        "shipopt.move",
        "shipopt.pricing",
        "shipopt.workbook",
        "shipopt.workbook.results",
    },
    "shipopt.bidding": {"shipopt.handling", "shipopt.move", "shipopt.pricing", "shipopt.workbook"},
    "shipopt.bids": {
        "shipopt.bidding",
        "shipopt.job",
        "shipopt.move",
        "shipopt.workbook",
        "shipopt.workbook.results",
    },
    "shipopt.job": {
        "shipopt.comparing",
        "shipopt.move",
        "shipopt.planning",
        "shipopt.workbook",
        "shipopt.workbook.results",
    },
    "shipopt.later": {
        "shipopt.afterwards",
        "shipopt.job",
        "shipopt.move",
        "shipopt.workbook",
        "shipopt.workbook.results",
    },
    "shipopt": {"shipopt.bids", "shipopt.job", "shipopt.later", "shipopt.version"},
    "shipopt.telling": {"shipopt"},
    "shipopt.interrupting": set(),
    "shipopt.outputs": set(),
    "shipopt.cli": {"shipopt", "shipopt.interrupting", "shipopt.outputs", "shipopt.telling"},
    "shipopt.__main__": {"shipopt.cli"},
}
"""The rooms, and whom each may import besides itself. A module belongs to the longest name it begins with."""

ROOMS_OF_LIBRARIES: dict[str, set[str]] = {
    "openpyxl": {"shipopt.afterwards", "shipopt.workbook"},
    "xlsxwriter": {"shipopt.afterwards", "shipopt.bidding", "shipopt.workbook", "shipopt.workbook.results"},
    "pulp": {"shipopt.planning"},
    "highspy": {"shipopt.planning"},
    "pandas": {"shipopt.workbook.results"},
    "numpy": {"shipopt.planning", "shipopt.risk"},
    "icalendar": {"shipopt.workbook.results"},
    "iso4217": {"shipopt.move", "shipopt.workbook"},
    "typer": {"shipopt.cli", "shipopt.outputs"},
    "rich": {"shipopt.cli", "shipopt.telling"},
}

LONGEST_FILE = 400
LONGEST_FUNCTION = 60
VAGUE_NAMES = {"utils", "util", "helpers", "helper", "common", "misc"}


def module_of(file: Path) -> str:
    """The dotted name of a file of the package."""
    parts = file.relative_to(HOUSE).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def room_of(module: str) -> str:
    """The room that a module belongs to; a module that is in no room fails."""
    if module == "shipopt":
        return module
    inside = [room for room in MAY_IMPORT if room != "shipopt" and (module + ".").startswith(room + ".")]
    assert inside, f"{module} is in no room: add it to MAY_IMPORT"
    return max(inside, key=len)


MODULES = {module_of(file): ast.parse(file.read_text(encoding="utf-8")) for file in FILES}


def imports_of(module: str) -> Iterator[str]:
    """Every module named in an import of a module, wherever the import stands; a module's own when it is relative."""
    for node in ast.walk(MODULES[module]):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module}: imports are spelled out from the package's name"
            assert node.module is not None
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                yield whole if whole in MODULES else node.module
        elif isinstance(node, ast.Call) and ast.unparse(node.func).endswith(("import_module", "__import__")):
            named = [text.value for text in ast.walk(node) if isinstance(text, ast.Constant)]
            yield from (text for text in named if isinstance(text, str) and text.split(".")[0] == "shipopt")


def own_imports(module: str) -> set[str]:
    """The modules of the package that a module imports."""
    return {name for name in imports_of(module) if name.split(".")[0] == "shipopt"}


@pytest.mark.parametrize("module", sorted(MODULES))
def test_a_module_imports_only_whom_its_room_may(module: str) -> None:
    room = room_of(module)
    allowed = MAY_IMPORT[room] | {room}
    outside = {name for name in own_imports(module) if room_of(name) not in allowed}
    assert not outside, f"{module} may not import {sorted(outside)}"


def test_rooms_form_no_cycle() -> None:
    settled: set[str] = set()
    while len(settled) < len(MAY_IMPORT):
        ready = {room for room, allowed in MAY_IMPORT.items() if room not in settled and allowed <= settled}
        assert ready, f"a cycle among {sorted(set(MAY_IMPORT) - settled)}"
        settled |= ready


def test_the_audit_shares_nothing_with_the_programme() -> None:
    """All that it imports, and all that these import."""
    reached, ahead = set(), {"shipopt.planning.audit"}
    while ahead:
        module = ahead.pop()
        reached.add(module)
        ahead |= own_imports(module) - reached
    assert {room_of(module) for module in reached - {"shipopt.planning.audit"}} == {
        "shipopt.move",
        "shipopt.pricing",
        "shipopt.risk",
    }
    libraries = {name.split(".")[0] for module in reached for name in imports_of(module)}
    assert not libraries & {"pulp", "highspy"}


def test_modules_form_no_cycle() -> None:
    """An import of a package's member runs the package too, so a package may not import a member that imports it."""
    settled: set[str] = set()
    needs = {module: own_imports(module) - {module} for module in MODULES}
    while len(settled) < len(MODULES):
        ready = {module for module, wanted in needs.items() if module not in settled and wanted <= settled}
        assert ready, f"a cycle among {sorted(set(MODULES) - settled)}"
        settled |= ready


def test_every_room_has_modules() -> None:
    assert set(MAY_IMPORT) == {room_of(module) for module in MODULES}


def test_libraries_stay_in_their_rooms() -> None:
    for module in MODULES:
        for library in {name.split(".")[0] for name in imports_of(module)} & set(ROOMS_OF_LIBRARIES):
            assert room_of(module) in ROOMS_OF_LIBRARIES[library], f"{library} has no place in {module}"


def test_every_library_has_a_room() -> None:
    """What the package declares it needs is what the rooms above name."""
    declared = tomllib.loads((HOUSE / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    names = {line.partition(">")[0].lower() for line in declared}
    assert names == set(ROOMS_OF_LIBRARIES)


@pytest.mark.parametrize("file", FILES, ids=lambda file: str(file.relative_to(PACKAGE)))
def test_files_are_short_and_say_what_they_hold(file: Path) -> None:
    text = file.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= LONGEST_FILE, "split it"
    assert ast.get_docstring(ast.parse(text)), "a docstring says what is here, what is not, and who calls it"
    assert file.stem not in VAGUE_NAMES, "name it for what it holds"


@pytest.mark.parametrize("module", sorted(MODULES))
def test_functions_are_short(module: str) -> None:
    for node in ast.walk(MODULES[module]):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            assert node.end_lineno is not None
            assert node.end_lineno - node.lineno < LONGEST_FUNCTION, f"{node.name} is too long: {module}:{node.lineno}"


@pytest.mark.parametrize("module", sorted(MODULES))
def test_what_is_public_says_what_it_is(module: str) -> None:
    for node in MODULES[module].body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            assert ast.get_docstring(node), f"{node.name} has no docstring: {module}:{node.lineno}"


def test_the_top_of_the_house_holds_nothing_else() -> None:
    made = {"build", "dist", "htmlcov", *(path.name for path in HOUSE.glob("*.egg-info"))}
    visible = {path.name for path in HOUSE.iterdir() if not path.name.startswith((".", "__"))} - made
    assert visible == {
        "README.md",
        "DEVELOPERS.md",
        "pyproject.toml",
        "shipopt",
        "templates",
        "tests",
        "worked_examples",
    }


def test_rules_of_the_house_can_fail(monkeypatch: pytest.MonkeyPatch) -> None:
    """A room that reaches up, inside a function, is found."""
    reaching = ast.parse("def price():\n    from shipopt.planning import optimise\n")
    monkeypatch.setitem(MODULES, "shipopt.pricing.total", reaching)
    with pytest.raises(AssertionError, match="may not import"):
        test_a_module_imports_only_whom_its_room_may("shipopt.pricing.total")


def test_no_two_files_of_tests_share_a_name() -> None:
    """pytest collects by bare name: a second one of the same name stops the whole run."""
    names = [file.name for file in (HOUSE / "tests").rglob("test_*.py")]
    assert not [name for name in set(names) if names.count(name) > 1]
