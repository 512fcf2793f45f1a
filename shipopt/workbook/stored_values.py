"""Formulas keep the values they show: put back into a workbook that openpyxl has saved, which leaves them out.

A formula without a stored value could not be read again before a spreadsheet program has opened the file. Called by
what merges into a user's workbook.
"""

import re
from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from io import BytesIO
from typing import Any
from xml.sax.saxutils import escape
from zipfile import ZIP_DEFLATED, ZipFile

from openpyxl.utils.datetime import to_excel

_FORMULA = re.compile(
    rb'<c r="([A-Z]+)(\d+)"((?: s="\d+")?)[^>]*>(<f[^>]*?(?:/>|>.*?</f>))<v\s*(?:/>|></v>)</c>', re.DOTALL
)
"""A cell with a formula and no value, as openpyxl writes it: column, row, style, formula."""


def with_stored_values(content: bytes, book: Any, values: Any, moved: Mapping[str, Mapping[int, int]]) -> bytes:
    """The file ``content``, saved from ``book``, with the values that its formulas have in ``values``, the workbook
    loaded without formulas. ``moved`` gives by sheet the row there of each row that stands elsewhere in the book."""
    parts = {f"xl/worksheets/sheet{n}.xml": worksheet.title for n, worksheet in enumerate(book.worksheets, start=1)}
    found = BytesIO()
    with ZipFile(BytesIO(content)) as old, ZipFile(found, "w", ZIP_DEFLATED) as new:
        for info in old.infolist():
            data = old.read(info)
            title = parts.get(info.filename)
            if title is not None and title in values.sheetnames and b"<f" in data:
                data = _filled(data, values[title], moved.get(title, {}))
            new.writestr(info, data, ZIP_DEFLATED)
    return found.getvalue()


def _filled(data: bytes, values: Any, moved: Mapping[int, int]) -> bytes:
    def fill(match: re.Match[bytes]) -> bytes:
        letters, row, style, formula = match[1], int(match[2]), match[3], match[4]
        value = values[f"{letters.decode()}{moved.get(row, row)}"].value
        kind, shown = _stored(value)
        if shown is None:
            return match[0]
        return b'<c r="%s%d"%s%s>%s<v>%s</v></c>' % (letters, row, style, kind, formula, shown)

    return _FORMULA.sub(fill, data)


def _stored(value: Any) -> tuple[bytes, bytes | None]:
    """The type and the text of a cell's stored value."""
    match value:
        case None:
            return b"", None
        case bool():
            return b' t="b"', b"%d" % value
        case int() | float():
            return b"", repr(value).encode()
        case datetime() | date() | time() | timedelta():
            return b"", repr(to_excel(value)).encode()
        case str() if value.startswith("#"):
            return b' t="e"', escape(value).encode()
        case _:
            return b' t="str"', escape(str(value)).encode()
