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

# Words around a range that add nothing to it, and those that turn it round.
_PLAIN = frozenset(
    {"only", "for", "on", "machine", "machines", "the", "with", "number", "numbers", "inclusive"}
    | {"pumps", "pump", "and", "later", "onwards", "nur"}
)
_EXCLUDING = frozenset(
    {"not", "no", "except", "excluding", "without", "unless", "other", "before", "nicht", "ausser"}
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


def _range_in(condition: str) -> tuple[str, str, str] | None:
    """Return the words of the range, and its first and last serial, "" for an open end."""
    for pattern in _RANGES:
        if found := pattern.search(condition):
            return found[0], found[1].rstrip("."), (found[2] or "").rstrip(".")
    found = _UP_TO.search(condition)
    return (found[0], "", found[1].rstrip(".")) if found else None


def decide(conditions: Iterable[str], serial: str) -> Decided:
    """Return which conditions the serial settles; without a serial all of them stay open.

    A condition that says more than its range ("from serial 4000, with the long pin") is never
    met by a serial alone, and one that excludes ("except serials 1 to 9") is left to a person.
    """
    sorted_out: dict[bool | None, list[str]] = {None: [], True: [], False: []}
    for text in conditions:
        sorted_out[_settled(text, serial) if serial.strip() else None].append(text)
    return Decided(*(tuple(sorted_out[key]) for key in (None, True, False)))


def _settled(condition: str, serial: str) -> bool | None:
    found = _range_in(condition)
    if found is None:
        return None
    rest = {each.casefold() for each in _PIECES.findall(condition.replace(found[0], " "))}
    if rest & _EXCLUDING:
        return None
    is_within = within(serial, *found[1:])
    return None if is_within and not rest <= _PLAIN else is_within


def _natural(text: str) -> Natural:
    pieces = _PIECES.findall(text.upper())
    return tuple(int(piece) if piece.isdecimal() else piece for piece in pieces)


def _comparable(one: Natural, two: Natural) -> bool:
    """Say whether two serials differ in their last number alone."""
    numbered = bool(one) and isinstance(one[-1], int) and bool(two) and isinstance(two[-1], int)
    return numbered and one[:-1] == two[:-1]
