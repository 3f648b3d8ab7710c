"""What spreadsheets may have made of the numbers of a catalogue, as a table of forms."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

from partsdb.matching.engine.hashing import LONGEST
from partsdb.matching.engine.vocabulary import hashes_of
from partsdb.rules.spreadsheet import spreadsheet_forms

if TYPE_CHECKING:
    from partsdb.matching.engine.hashing import I32, U64

# What a spreadsheet may take for a value or a date; anything else comes through it unharmed.
_AT_RISK = re.compile(
    r"^[='\" ]*(?:0\d*|\d{12,}|\d+(?:[.,]\d+)?E\+?\d{1,2}|\d+[.,]\d+|\d{1,3}(?:[.,' ]\d{3})+"
    r"|\d{1,4}[-/.]\d{1,4}(?:[-/.]\d{1,4})?|[A-ZÄ]{3,9}[-./ ]*\d{1,4}"
    r"|\d{1,2}[-./ ]*[A-ZÄ]{3,9}(?:[-./ ]*\d{2,4})?)[ '\"]*$",
    re.IGNORECASE | re.MULTILINE,
)
_SHOWN = range(6)
_SCIENTIFIC_FROM, _EXACT_DIGITS = 12, 15


def spreadsheet_table(numbers: Sequence[str]) -> tuple[U64, I32]:
    """Return hash and row of every form that a spreadsheet may give one of the numbers.

    A number of less than twelve figures and no leading zero keeps its figures: its key finds it.
    """
    import numpy as np

    joined = "\n".join(numbers)
    if joined.count("\n") != max(0, len(numbers) - 1):
        joined = "\n".join(number.replace("\n", " ") for number in numbers)
    forms: list[str] = []
    rows: list[int] = []
    row, seen = 0, 0
    for match in _AT_RISK.finditer(joined):
        row += joined.count("\n", seen, match.start())
        seen = match.start()
        mine = [form for form in forms_of(match[0]) if len(form) <= LONGEST]
        forms += mine
        rows += [row] * len(mine)
    return hashes_of(forms), np.array(rows, dtype=np.int32)


def forms_of(number: str) -> list[str]:
    """Return the forms of `rules.spreadsheet.spreadsheet_forms`, those of plain figures quickly."""
    if not (number.isdecimal() and number.isascii()) or len(number) > _EXACT_DIGITS:
        return sorted(spreadsheet_forms(number))
    figures = number.lstrip("0") or "0"
    forms = [f"n:{figures}"]
    if len(figures) >= _SCIENTIFIC_FROM:
        # A float holds fifteen figures exactly, so it rounds as the decimal number would.
        value = float(figures)
        for shown in _SHOWN:
            written, _, power = f"{value:.{shown}E}".partition("E")
            forms.append(f"s:{written[0]}.{written[2:].rstrip('0')}E{int(power)}")
    return list(dict.fromkeys(forms))
