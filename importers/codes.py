"""What a spreadsheet did to an article number: digits lost, a date made of it, zeros eaten."""

from __future__ import annotations

import re
from dataclasses import dataclass

from importers.raw import DATE, LOST_DIGITS, NUMBER, TEXT

_SCIENTIFIC = re.compile(r"[1-9](?:[.,][0-9]+)?E\+?[0-9]{1,3}", re.IGNORECASE)
_MONTH = (
    "jan|feb|mar|mär|mrz|apr|may|mai|jun|jul|aug|sep|sept|oct|okt|nov|dec|dez"
    "|january|february|march|april|june|july|august|september|october|november|december"
    "|januar|februar|märz|juni|juli|oktober|dezember"
)
_DATES = (
    re.compile(
        rf"[0-9]{{1,2}}[-. /]{{1,2}}(?:{_MONTH})\.?(?:[-. /]{{1,2}}[0-9]{{2,4}})?", re.IGNORECASE
    ),
    re.compile(rf"(?:{_MONTH})\.?[-. /]{{1,2}}[0-9]{{1,4}}", re.IGNORECASE),
    re.compile(r"(?:19|20)[0-9][0-9]-(?:0[0-9]|1[0-2])-(?:[0-2][0-9]|3[01])(?:[ T]00:00(?::00)?)?"),
    re.compile(r"(?:0?[1-9]|[12][0-9]|3[01])\.(?:0?[1-9]|1[0-2])\.(?:19|20)[0-9][0-9]"),
    re.compile(r"(?:0?[1-9]|[12][0-9]|3[01])/(?:0?[1-9]|[12][0-9]|3[01])/(?:19|20)[0-9][0-9]"),
)
_DATE = re.compile("|".join(f"(?:{form.pattern})" for form in _DATES), re.IGNORECASE)
# Neither scientific nor a date: no mark but one hyphen, and more digits behind it than a year has.
PLAIN_CODE = re.compile(r"[A-Za-z0-9]+(?:-[A-Za-z0-9]*[0-9]{5,}[A-Za-z0-9]*)?")
_FORMULA_TEXT = re.compile(r'="([^"]*)"')
LOST = "digits lost"
DATE_NOTE = "code shows as a date"


@dataclass(frozen=True, slots=True)
class Code:
    """A code cell: its text, what is odd about it, and why the row is refused ("" if it is not)."""

    text: str
    notes: tuple[str, ...] = ()
    refused: str = ""


def read_code(text: str, kind: str = TEXT, exact: str = "") -> Code:
    """Return a code cell as shown, with the damage that can be seen in the cell itself.

    `exact` is the ISO date behind a date cell.
    """
    formula = _FORMULA_TEXT.fullmatch(text)
    if formula:
        return Code(formula.group(1), ('written as a formula text ="…"',))
    if kind == LOST_DIGITS or (kind == TEXT and _SCIENTIFIC.fullmatch(text) and _has_mark(text)):
        why = f"{LOST}: the code shows as {text}; ask for the list with codes stored as text"
        return Code(text, (), why)
    if kind == DATE:
        return Code(text, (_date_note(exact),))
    if kind == NUMBER:
        kept = "" if text.startswith("0") else ": leading zeros may be gone"
        return Code(text, (f"code stored as a number{kept}",))
    if text[:1].isalnum() and _DATE.fullmatch(text):
        return Code(text, (_date_note(text[:10] if text[:4].isdecimal() else ""),))
    return Code(text)


def _has_mark(text: str) -> bool:
    """Say whether it is surely scientific: "1E5" may be a real number, "1.2E+5" may not."""
    return "+" in text or "." in text or "," in text


def _date_note(iso: str) -> str:
    pieces = iso.split("-")
    if len(pieces) != 3 or not all(piece.isdecimal() for piece in pieces):
        return DATE_NOTE
    month, day = int(pieces[1]), int(pieces[2])
    return f"{DATE_NOTE}: was it {month}-{day} or {day}-{month}?"
