"""Dates as price lists write them, read only where they can be read one way."""

from __future__ import annotations

import datetime as dt
import re

from partsdb.errors import InputRefusedError

_ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?:[T ]00:00(?::00)?)?", re.ASCII)
_POINTS = re.compile(r"(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4}|\d{2})", re.ASCII)
_STROKES = re.compile(r"(\d{1,2})[/-](\d{1,2})[/-](\d{4})", re.ASCII)
_TYPED_POINTS = re.compile(r"(\d\d)\.(\d\d)\.(\d{4})", re.ASCII)
_TYPED_STROKES = re.compile(r"\d{1,2}/\d{1,2}/(?:\d{4}|\d{2})|\d{4}/\d{1,2}/\d{1,2}", re.ASCII)
_NAMED = re.compile(r"(\d{1,2})\.?[ -]([A-Za-zä]{3,9})\.?[ -](\d{4})")
# English and German, by their first three letters.
_MONTHS = {
    name: number
    for number, names in enumerate(
        ("jan", "feb", "mar mär mae", "apr", "may mai", "jun", "jul", "aug", "sep", "oct okt",
         "nov", "dec dez"), start=1)
    for name in names.split()
}  # fmt: skip


def iso_day_written(text: str) -> str:
    """Return a date as ISO text: 2026-10-01, 1.10.2026, 1 Oct 2026, 31/12/2026.

    Points put the day first (common practice, no source). Strokes put it first or second by
    country, so a date with strokes counts only where one reading is a date. Raises
    InputRefusedError for what is no date or may be two.
    """
    written = text.strip()
    found = {day for order in _orders(written) if (day := _day(*order))}
    if not found:
        raise InputRefusedError(f"{written[:40]!r} is no date", hint="write it as YYYY-MM-DD")
    if len(found) > 1:
        first, second = sorted(found)
        raise InputRefusedError(
            f"the date {written!r} may be {first} or {second}", hint="write it as YYYY-MM-DD"
        )
    return found.pop()


def typed_iso_day(text: str) -> str:
    """Return a date that a person typed, as ISO text: 2026-10-01, or 01.10.2026 as papers have it.

    Points put the day first (common practice, no source). Strokes do so in some countries only, so
    a date with strokes is refused even where one reading is a date. Raises InputRefusedError.
    """
    written = text.strip()
    pointed = _TYPED_POINTS.fullmatch(written)
    found = "-".join(reversed(pointed.groups())) if pointed else written
    try:
        return dt.date.fromisoformat(found).isoformat()
    except ValueError:
        raise InputRefusedError(
            f"{written[:40]!r} is no date{_why(written)}",
            hint="write YYYY-MM-DD, such as 2026-03-02, or DD.MM.YYYY",
        ) from None


def _why(written: str) -> str:
    """Return why a date is refused, where more than "no date" can be said."""
    if _TYPED_STROKES.fullmatch(written):
        return ": with strokes some put the day first and others the month"
    if _POINTS.fullmatch(written) and not _TYPED_POINTS.fullmatch(written):
        return ": with points the day and the month have two figures and the year four"
    return ""


def _orders(written: str) -> list[tuple[int, int, int]]:
    """Return every (year, month, day) that the text may mean."""
    if match := _ISO.fullmatch(written):
        return [(int(match[1]), int(match[2]), int(match[3]))]
    if match := _POINTS.fullmatch(written):
        year = int(match[3]) + (2000 if len(match[3]) == 2 else 0)
        return [(year, int(match[2]), int(match[1]))]
    if match := _STROKES.fullmatch(written):
        one, two, year = int(match[1]), int(match[2]), int(match[3])
        return [(year, one, two), (year, two, one)]
    if match := _NAMED.fullmatch(written):
        return [(int(match[3]), _MONTHS.get(match[2][:3].casefold(), 0), int(match[1]))]
    return []


def _day(year: int, month: int, day: int) -> str:
    """Return the ISO date, "" when there is no such day."""
    try:
        return dt.date(year, month, day).isoformat()
    except ValueError:
        return ""
