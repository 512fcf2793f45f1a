"""LibreOffice, headless, as tests use it: to work every formula of a workbook out again, and to print one to PDF.

It trusts stored values unless it is told not to, so it runs with a profile of its own that always recalculates. Tests
that need it carry the marker ``spreadsheet`` and are skipped, saying so, where it is not installed.
"""

import shutil
import subprocess
from collections.abc import Sequence
from pathlib import Path

import pytest

PROGRAM = shutil.which("soffice") or shutil.which("libreoffice")
SECONDS = 240

ALWAYS = 0
"""The setting "Recalculation on File Load: Always"."""

SETTINGS = f"""<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse">
<value>{ALWAYS}</value></prop></item>
</oor:items>
"""


def need_spreadsheet_program() -> None:
    """Skips the test where LibreOffice is not installed."""
    if PROGRAM is None:
        pytest.skip("LibreOffice (soffice) is not installed here, so no formula can be worked out again")


def recalculated(workbooks: Sequence[Path], folder: Path) -> list[Path]:
    """The workbooks opened, worked out again and saved by LibreOffice under the same names in another folder."""
    return _converted(workbooks, folder, "xlsx")


def printed(workbooks: Sequence[Path], folder: Path) -> list[Path]:
    """The workbooks as PDF."""
    return _converted(workbooks, folder, "pdf")


def _converted(workbooks: Sequence[Path], folder: Path, kind: str) -> list[Path]:
    assert PROGRAM
    profile = folder / "profile"
    (profile / "user").mkdir(parents=True, exist_ok=True)
    (profile / "user" / "registrymodifications.xcu").write_text(SETTINGS, encoding="utf-8")
    arguments = [f"-env:UserInstallation={profile.as_uri()}", "--headless", "--convert-to", kind, "--outdir", folder]
    done = subprocess.run(
        [PROGRAM, *arguments, *workbooks], capture_output=True, text=True, timeout=SECONDS, check=False
    )
    found = [folder / f"{workbook.stem}.{kind}" for workbook in workbooks]
    missing = [path.name for path in found if not path.exists()]
    assert not missing, f"LibreOffice did not write {missing}: {done.stdout}{done.stderr}"
    return found
