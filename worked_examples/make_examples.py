"""Makes the workbooks of the worked examples, the same files each time.

Run ``python worked_examples/make_examples.py``; a test runs it and compares. With ``--results`` everything is made
anew: the first plan that example 3 carries on, the workbooks, their results and the pictures of those (some minutes;
needs LibreOffice and poppler). What stands in each example is in the module named beside its folder.
"""

import subprocess
import sys
import tempfile
from pathlib import Path
from types import ModuleType

import collector_by_van_and_post
import estate_by_freight
import late_finds
from first_plan import write_first_plan

from shipopt.job import optimise, plan_workbook, read_workbook
from shipopt.workbook.template import write_workbook

TYPED = (collector_by_van_and_post, estate_by_freight)
"""Examples that are typed in from nothing; example 3 carries on the first."""
PICTURE = ("-r", "90", "-f", "1", "-l", "1", "-x", "20", "-y", "55", "-W", "720", "-H", "720")
"""The top of the sheet Plan, in dots of 1/90 inch."""


def make(folder: Path) -> list[Path]:
    """Writes every example into its own folder under ``folder``; returns the workbooks."""
    made = [_typed(example, folder) for example in TYPED]
    path = folder / late_finds.FOLDER / late_finds.FILE
    late_finds.write(path, folder)
    return [*made, path]


def _typed(example: ModuleType, folder: Path) -> Path:
    path = folder / example.FOLDER / example.FILE
    path.parent.mkdir(parents=True, exist_ok=True)
    tables = {"Move": example.MOVE, **example.sheets()}
    write_workbook(path, str(example.MOVE["Units"]), str(example.MOVE["Currency"]), tables)
    return path


def make_all_anew(folder: Path) -> None:
    """The workbooks with the plan that example 3 carries on found anew, and the picture of each example's results."""
    first = read_workbook(_typed(collector_by_van_and_post, folder)).move
    write_first_plan(folder / late_finds.FOLDER / late_finds.FIRST_PLAN, optimise(first))
    for path in make(folder):
        results = path.with_name(f"{path.stem}.results.xlsx")
        plan_workbook(path, results)
        _draw(results, path.with_name("results.png"))
        print(path)


def _draw(results: Path, picture: Path) -> None:
    with tempfile.TemporaryDirectory() as scratch:
        apart = f"-env:UserInstallation=file://{scratch}/office"
        office = ["soffice", apart, "--headless", "--convert-to", "pdf", "--outdir", scratch, str(results)]
        subprocess.run(office, check=True, capture_output=True)
        drawn = Path(scratch) / f"{results.stem}.pdf"
        picture_of = ["pdftoppm", "-png", "-singlefile", *PICTURE, str(drawn), str(picture.with_suffix(""))]
        subprocess.run(picture_of, check=True)


if __name__ == "__main__":
    here = Path(__file__).parent
    if "--results" in sys.argv:
        make_all_anew(here)
    else:
        for made in make(here):
            print(made)
