"""What the rows of a list say about each other: sums under totals, one text under several codes."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from importers.amounts import read_amount
from importers.rows import ListRow, RowKind, place_of

_SHOWN = 8


def crosschecked(rows: Sequence[ListRow]) -> list[str]:
    """Return the sentences for the user: totals that agree or do not, texts under several codes."""
    return [*_totals(rows), *_same_texts(rows)]


def _totals(rows: Sequence[ListRow]) -> list[str]:
    """Compare each total with the sum of the prices above it, back to the last total or header."""
    said: list[str] = []
    if not any(row.kind is RowKind.TOTAL for row in rows):
        return said
    part = whole = Decimal(0)
    for row in rows:
        if row.kind is RowKind.HEADER:
            part = Decimal(0)
        elif row.kind is RowKind.ITEM:
            price = Decimal(row.amounts.get("price") or row.amounts.get("list_price") or 0)
            part, whole = part + price, whole + price
        elif row.kind is RowKind.TOTAL:
            stated = _figures(row)
            place = place_of(row.sheet, row.row)
            if stated and {part, whole} & set(stated):
                said.append(f"the total at {place} agrees with the prices above it")
            elif stated:
                said.append(
                    f"the total at {place} says {stated[-1]}, the prices above it sum to {part}: "
                    "are rows missing, or does it count quantities?"
                )
            part = Decimal(0)
    return said[:_SHOWN]


def _figures(row: ListRow) -> list[Decimal]:
    """Return what the cells of a total row may mean as amounts, by either decimal mark."""
    found: list[Decimal] = []
    for cell in row.cells:
        for mark in (".", ","):
            if (text := read_amount(cell, mark).text) and Decimal(text) not in found:
                found.append(Decimal(text))
    return found


def _same_texts(rows: Sequence[ListRow]) -> list[str]:
    """Say that a description of one maker stands under several codes: which is which is asked."""
    first: dict[tuple[str, str], str] = {}
    several: dict[tuple[str, str], list[str]] = {}
    for row in rows:
        fields = row.fields
        text, code = fields.get("description", ""), fields.get("code") or fields.get("maker_number")
        if len(text) > 3 and code and row.kind is RowKind.ITEM:
            key = " ".join(text.casefold().split()), fields.get("maker", "")
            if first.setdefault(key, code) != code:
                several.setdefault(key, [first[key]]).append(code)
    if not several:
        return []
    (text, _), found = next(iter(several.items()))
    those = ", ".join(list(dict.fromkeys(found))[:4])
    count = f"{len(several)} descriptions stand" if len(several) > 1 else "one description stands"
    return [f'{count} under several codes, such as "{text[:60]}" under {those}']
