"""Two lists as they come: rows of an id and cells of text, and what their columns are.

Nothing here knows what the columns mean. A column whose cells are nearly all amounts is compared
as a ratio where the other list has such a column too; everything else is text.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from math import log
from statistics import median

# Share of a column's filled cells that must read as amounts: a stray "call us" does not spoil it.
_AMOUNT_SHARE = 0.9
# Columns of other names are compared as amounts when their medians lie within this factor.
_AMOUNT_FACTOR = 3.0
_AMOUNT = re.compile(r"[^\d\w+-]*\s*(\d+(?:[.,]\d+)*)\s*(?:[^\d\w]|[a-z]{3})?", re.IGNORECASE)
_POINT = re.compile(r"(.*?)(?:([.,])(\d+))?")


@dataclass(frozen=True, slots=True)
class Record:
    """One row of a list: its id and the cells that follow."""

    ident: str
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Listing:
    """A list: the headings of its cells (without the id's) and its records."""

    headings: tuple[str, ...]
    records: tuple[Record, ...]

    def in_order(self) -> Listing:
        """Return the same list in an order that does not depend on the file's."""
        return Listing(self.headings, tuple(sorted(self.records, key=lambda r: (r.cells, r.ident))))


@dataclass(frozen=True, slots=True)
class Columns:
    """Which cells are compared as amounts (pairs of columns) and which as text (per list)."""

    amounts: tuple[tuple[int, int], ...]
    left_texts: tuple[int, ...]
    right_texts: tuple[int, ...]


def plain(text: str) -> str:
    """Return `text` in small letters without accents, full-width forms made narrow."""
    if text.isascii():
        return text.lower()
    parts = unicodedata.normalize("NFKD", text).casefold()
    return "".join(sign for sign in parts if not unicodedata.combining(sign))


def amount(cell: str) -> float | None:
    """Return the positive amount in a cell, None where there is none; 0 says that none is known."""
    found = _AMOUNT.fullmatch(cell.strip())
    if found is None:
        return None
    whole, point, part = _POINT.fullmatch(found.group(1)).groups("")  # type: ignore[union-attr]
    digits = re.sub("[.,]", "", whole)
    # "1,200" and "1.234.567" are thousands and more; "1.200" and "12,50" are decimals.
    grouped = len(part) == 3 and (point == "," or point in whole) and bool(point)
    return float(f"{digits}{part}" if grouped else f"{digits}.{part or 0}")


def columns(left: Listing, right: Listing) -> Columns:
    """Return which columns are amounts on both sides, by heading first, then by their size."""
    ours, theirs = _amount_sizes(left), _amount_sizes(right)
    pairs = []
    names = {right.headings[at]: at for at in theirs}
    for at in list(ours):
        same = names.get(left.headings[at])
        if same in theirs:
            pairs.append((at, same))
            del ours[at], theirs[same]
    apart = sorted((abs(ours[a] - theirs[b]), a, b) for a in ours for b in theirs)
    for distance, a, b in apart:
        if a in ours and b in theirs and distance <= log(_AMOUNT_FACTOR):
            pairs.append((a, b))
            del ours[a], theirs[b]
    used = {a for a, _ in pairs}, {b for _, b in pairs}
    return Columns(
        tuple(sorted(pairs)),
        tuple(at for at in range(len(left.headings)) if at not in used[0]),
        tuple(at for at in range(len(right.headings)) if at not in used[1]),
    )


def _amount_sizes(listing: Listing) -> dict[int, float]:
    """Return the columns that hold amounts, each with the median of their logarithms."""
    sizes = {}
    for at in range(len(listing.headings)):
        filled = [r.cells[at] for r in listing.records if r.cells[at].strip()]
        read = [value for value in map(amount, filled) if value is not None]
        known = [log(value) for value in read if value > 0]
        if known and len(read) >= _AMOUNT_SHARE * len(filled) and not _are_numbers(filled):
            sizes[at] = median(known)
    return sizes


def _are_numbers(filled: Sequence[str]) -> bool:
    """Say whether the cells are numbers by which things are known (long, whole, each its own)."""
    long = sum(cell.strip().isdecimal() and len(cell.strip()) >= 5 for cell in filled)
    return long > len(filled) / 2 and len(set(filled)) > 0.9 * len(filled)
