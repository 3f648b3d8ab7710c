"""Serial ranges: which serials a condition or a supersession holds for, and when nobody can say."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

_PIECES = re.compile(r"\d+|[^\W\d_]+")
_SERIAL = r"([\w./-]*\d[\w./-]*)"
_RANGES = (
    re.compile(rf"\bserials?(?: range| numbers?)?\s+{_SERIAL}\s+to\s+{_SERIAL}", re.IGNORECASE),
    re.compile(rf"\bfrom serials?(?: numbers?)?\s+{_SERIAL}(?:\s+to\s+{_SERIAL})?", re.IGNORECASE),
    re.compile(rf"\bserials?(?: numbers?)? from\s+{_SERIAL}(?:\s+to\s+{_SERIAL})?", re.IGNORECASE),
)
_UP_TO = re.compile(
    rf"\b(?:up to serials?(?: numbers?)?|serials?(?: numbers?)? up to)\s+{_SERIAL}", re.IGNORECASE
)

Natural = tuple[int | str, ...]


@dataclass(frozen=True, slots=True)
class Decided:
    """What a serial does to conditions: those still open, those met, and those it breaks."""

    open: tuple[str, ...]
    met: tuple[str, ...]
    broken: tuple[str, ...]


def within(serial: str, first: str, last: str) -> bool | None:
    """Say whether `serial` lies from `first` to `last` ("" is open); digits compare as numbers.

    None where more than the last number differs from a limit: A-4100 is neither above nor below
    4000, nor is Q36-1000 in a range of Q33.
    """
    given = _natural(serial)
    low, high = (_natural(limit) if limit else None for limit in (first, last))
    if any(limit is not None and not _comparable(given, limit) for limit in (low, high)):
        return None
    return (low is None or low <= given) and (high is None or given <= high)


def serial_range(condition: str) -> tuple[str, str] | None:
    """Return the first and last serial that a condition names, "" for an open end, else None."""
    for pattern in _RANGES:
        if found := pattern.search(condition):
            return found[1].rstrip("."), (found[2] or "").rstrip(".")
    found = _UP_TO.search(condition)
    return ("", found[1].rstrip(".")) if found else None


def decide(conditions: Iterable[str], serial: str) -> Decided:
    """Return which conditions the serial settles; without a serial all of them stay open."""
    sorted_out: dict[bool | None, list[str]] = {None: [], True: [], False: []}
    for text in conditions:
        limits = serial_range(text) if serial.strip() else None
        sorted_out[within(serial, *limits) if limits else None].append(text)
    return Decided(*(tuple(sorted_out[key]) for key in (None, True, False)))


def _natural(text: str) -> Natural:
    pieces = _PIECES.findall(text.upper())
    return tuple(int(piece) if piece.isdecimal() else piece for piece in pieces)


def _comparable(one: Natural, two: Natural) -> bool:
    """Say whether two serials differ in their last number alone."""
    numbered = bool(one) and isinstance(one[-1], int) and bool(two) and isinstance(two[-1], int)
    return numbered and one[:-1] == two[:-1]
