"""Where the commands write, looked at before anything is read: no input is written over, folders are there, and a
workbook has a name that spreadsheet programs open it by.

What cannot be known before (no right, no room on the disk) is told when it happens. Called by the module cli.
"""

from collections.abc import Mapping, Sequence
from pathlib import Path

import typer

WORKBOOK, WITH_MACROS = ".xlsx", ".xlsm"
"""How names of workbooks end."""


def refuse(
    inputs: Sequence[Path],
    workbook: Path,
    others: Mapping[str, Path | None] | None = None,
    *,
    macros: bool = False,
    option: str = "-o",
) -> None:
    """Raises BadParameter if a file that is asked for by an option cannot be written where it should be, or would
    take the place of an input or of another one. ``macros``: the workbook may hold macros of the input."""
    asked = [(option, workbook), *((name, path) for name, path in (others or {}).items() if path)]
    for name, path in asked:
        for given in inputs:
            if path.resolve() == given.resolve() or (path.exists() and given.exists() and path.samefile(given)):
                raise typer.BadParameter(f"{path} is the input workbook, which is never changed.", param_hint=name)
        if not path.resolve().parent.is_dir():
            raise typer.BadParameter(f"there is no folder {path.parent}.", param_hint=name)
        if path.is_dir():
            raise typer.BadParameter(f"{path} is a folder.", param_hint=name)
        if path.exists() and not path.is_file():
            raise typer.BadParameter(f"{path} is no ordinary file.", param_hint=name)
    for at, (name, path) in enumerate(asked):
        if any(path.resolve() == other.resolve() for _, other in asked[:at]):
            what = "results workbook" if path.resolve() == workbook.resolve() else "JSON file"
            raise typer.BadParameter(f"{path} is the {what} too.", param_hint=name)
    if workbook.suffix.casefold() not in (WORKBOOK, *([WITH_MACROS] if macros else [])):
        raise typer.BadParameter(
            f"{workbook}: a workbook is written as {WORKBOOK}, without macros; choose a name that ends so.",
            param_hint=option,
        )


def refuse_folder(folder: Path) -> None:
    """Raises BadParameter if no folder can be made of that name, because a file stands in the way."""
    for place in (folder, *folder.parents):
        if place.exists() and not place.is_dir():
            raise typer.BadParameter(f"{place} is a file.", param_hint="-o")
