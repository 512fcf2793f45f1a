"""What is known of the reading of the input: the facts that the results repeat beside the plan.

Made by the reader's caller; shown on the sheet Input as read, and its notices among the warnings.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Reading:
    """The input's file name (no folder), the SHA-256 of its bytes in hexadecimal, rows read by sheet, and notices."""

    file_name: str = ""
    sha256: str = ""
    rows: tuple[tuple[str, int], ...] = ()
    notices: tuple[str, ...] = ()
