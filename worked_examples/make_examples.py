"""Makes the workbooks of the worked examples, the same files each time.

Run ``python worked_examples/make_examples.py``; a test runs it and compares. What stands in each example is in the
module named beside its folder.
"""

from pathlib import Path

import collector_by_van_and_post
import estate_by_freight

from shipopt.workbook.template import write_workbook

EXAMPLES = (collector_by_van_and_post, estate_by_freight)


def make(folder: Path) -> list[Path]:
    """Writes every example into its own folder under ``folder``; returns the workbooks."""
    made = []
    for example in EXAMPLES:
        path = folder / example.FOLDER / example.FILE
        path.parent.mkdir(parents=True, exist_ok=True)
        tables = {"Move": example.MOVE, **example.sheets()}
        write_workbook(path, str(example.MOVE["Units"]), str(example.MOVE["Currency"]), tables)
        made.append(path)
    return made


if __name__ == "__main__":
    for path in make(Path(__file__).parent):
        print(path)
