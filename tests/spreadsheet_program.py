"""LibreOffice, headless, as tests use it: to work every formula of a workbook out again, and to print one to PDF; and
Gnumeric (its command ``ssconvert``), for the first of these.

LibreOffice trusts stored values unless it is told not to, so it runs with a profile of its own that always
recalculates. Tests that need it carry the marker ``spreadsheet``; tests are skipped, saying so, where a program is not
installed.
"""

import shutil
import subprocess
from collections.abc import Mapping, Sequence
from pathlib import Path
from xml.sax.saxutils import escape

import pytest

PROGRAM = shutil.which("soffice") or shutil.which("libreoffice")
GNUMERIC = shutil.which("ssconvert")
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


def need_gnumeric() -> None:
    """Skips the test where Gnumeric is not installed."""
    if GNUMERIC is None:
        pytest.skip("Gnumeric (ssconvert) is not installed here")


def saved_by_gnumeric(workbooks: Sequence[Path], folder: Path, *, anew: bool = True) -> list[Path]:
    """The workbooks opened and saved by Gnumeric under the same names in another folder, every formula worked out
    again, or with the values they hold where not ``anew``."""
    assert GNUMERIC
    folder.mkdir(exist_ok=True)
    for workbook in workbooks:
        words = [GNUMERIC, *(["--recalc"] if anew else []), workbook, folder / workbook.name]
        subprocess.run(words, check=True, capture_output=True, timeout=SECONDS)
    return [folder / workbook.name for workbook in workbooks]


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


LIBRARY = """<?xml version="1.0" encoding="UTF-8"?>
<library:library xmlns:library="http://openoffice.org/2000/library" library:name="Standard" library:readonly="false"
 library:passwordprotected="false"><library:element library:name="Filling"/></library:library>
"""
LIBRARIES = """<?xml version="1.0" encoding="UTF-8"?>
<library:libraries xmlns:library="http://openoffice.org/2000/library" xmlns:xlink="http://www.w3.org/1999/xlink">
<library:library library:name="Standard" xlink:href="$(USER)/basic/Standard/script.xlb/" xlink:type="simple"
 library:link="false"/></library:libraries>
"""
MODULE = """<?xml version="1.0" encoding="UTF-8"?>
<script:module xmlns:script="http://openoffice.org/2000/script" script:name="Filling"
 script:language="StarBasic">{}</script:module>
"""
MACRO = """Sub Fill
Dim hidden(0) As New com.sun.star.beans.PropertyValue
hidden(0).Name = "Hidden"
hidden(0).Value = True
Dim kind(0) As New com.sun.star.beans.PropertyValue
kind(0).Name = "FilterName"
kind(0).Value = "Calc MS Excel 2007 XML"
book = StarDesktop.loadComponentFromURL("{source}", "_blank", 0, hidden())
sheet = book.Sheets.getByName("{sheet}")
On Error Resume Next
{lines}
On Error GoTo 0
book.storeToURL("{target}", kind())
book.close(True)
End Sub
"""


def filled(workbook: Path, sheet: str, cells: Mapping[str, str | float], folder: Path) -> Path:
    """The workbook with cells of a sheet filled by LibreOffice, as typed there, and saved in another folder. Cells
    that are locked stay as they are."""
    assert PROGRAM
    profile, target = folder / "profile", folder / workbook.name
    basic = profile / "user" / "basic"
    alone = [PROGRAM, f"-env:UserInstallation={profile.as_uri()}", "--headless"]
    # A first start makes the profile; it would write over a library that is there already.
    subprocess.run([*alone, "--terminate_after_init"], capture_output=True, timeout=SECONDS, check=False)
    (basic / "Standard").mkdir(parents=True, exist_ok=True)
    lines = "\n".join(
        f'sheet.getCellRangeByName("{at}").FormulaLocal = "{value}"'
        if isinstance(value, str)
        else f'sheet.getCellRangeByName("{at}").Value = {value}'
        for at, value in cells.items()
    )
    macro = MACRO.format(source=workbook.as_uri(), target=target.as_uri(), sheet=sheet, lines=lines)
    (basic / "script.xlc").write_text(LIBRARIES, encoding="utf-8")
    (basic / "Standard" / "script.xlb").write_text(LIBRARY, encoding="utf-8")
    (basic / "Standard" / "Filling.xba").write_text(MODULE.format(escape(macro)), encoding="utf-8")
    arguments = [*alone, "macro:///Standard.Filling.Fill()"]
    done = subprocess.run(arguments, capture_output=True, text=True, timeout=SECONDS, check=False)
    assert target.exists(), f"LibreOffice did not fill the form: {done.stdout}{done.stderr}"
    return target
