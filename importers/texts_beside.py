"""The texts that stand beside a table: titles above it, headings within, footnotes below."""

from __future__ import annotations

from dataclasses import dataclass

from importers.raw import RawRow
from importers.row_kinds import NO_PLACES, kind_of
from importers.rows import RowKind


@dataclass(frozen=True, slots=True)
class Around:
    """The texts beside a table; `notes` are those that speak of all of it, no heading of a part."""

    texts: list[str]
    notes: list[str]


def around(above: list[RawRow], body: list[RawRow]) -> Around:
    """Return the texts above a table, and those within that speak of all of it."""
    inside = body[:3] + body[3:][-5:]
    notes = [row for row in inside if kind_of(row, NO_PLACES) is RowKind.NOTE]
    titles = loose_texts(above)
    return Around([*titles, *loose_texts(inside)], [*titles, *loose_texts(notes)])


def lead_in(body: list[RawRow], header_row: int) -> int:
    """Return how many texts at the end of a table stand right above the next one: they are its."""
    count = 0
    for row in reversed(body):
        if row.number != header_row - count - 1 or not loose_texts([row]):
            break
        count += 1
    return count


def loose_texts(rows: list[RawRow]) -> list[str]:
    """Return the texts of rows with at most two filled cells: titles, sections, footnotes."""
    texts = []
    for row in rows:
        filled = [" ".join(cell.split()) for cell in row.cells if cell.strip()]
        if len(filled) <= 2:
            texts += [text for text in filled if any(map(str.isalpha, text))]
    return texts
