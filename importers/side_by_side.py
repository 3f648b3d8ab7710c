"""Tables beside each other on one sheet: their headings stand there twice, and each is a table.

That a list is printed in two or three columns to save paper is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from importers.headings import read_heading
from importers.layout import IDENTITY, PRICES, Header
from importers.raw import EMPTY, RawRow, RawSheet
from importers.rows import column_letters

_FEWEST = 2  # headings that a table has


def blocks_of(sheet: RawSheet, header: Header) -> tuple[int, ...]:
    """Return the first columns of the tables that stand beside each other, () for a lone table."""
    for row in reversed(sheet.rows[header.first : header.last + 1]):
        if starts := _starts([" ".join(cell.split()).casefold() for cell in row.cells]):
            return starts
    return ()


def parted(sheet: RawSheet, starts: Sequence[int], header_row: int) -> Iterator[RawSheet]:
    """Yield each table as a sheet of its own, with what stands above all; columns stay in place.

    All but the first are named by their columns, so that every place stays one place.
    """
    ends = [*starts[1:], max(len(row.cells) for row in sheet.rows)]
    for number, (start, end) in enumerate(zip(starts, ends, strict=True)):
        left = 0 if number == 0 else start
        rows = [row if row.number < header_row else _masked(row, left, end) for row in sheet.rows]
        named = f"{sheet.name} columns {column_letters(start)} to {column_letters(end - 1)}".strip()
        yield RawSheet(
            named if number else sheet.name,
            [row for row in rows if any(cell.strip() for cell in row.cells)],
            [merge for merge in sheet.merges if left <= merge[1] < end],
        )


def _starts(headings: Sequence[str]) -> tuple[int, ...]:
    first = next((i for i, heading in enumerate(headings) if heading), 0)
    starts = [i for i, heading in enumerate(headings) if heading and heading == headings[first]]
    if len(starts) < 2:
        return ()
    ends = [*starts[1:], len(headings)]
    said = [[_named(h) for h in headings[a:b] if h] for a, b in zip(starts, ends, strict=True)]
    if len(said[0]) < _FEWEST or any(each != said[0] for each in said):
        return ()
    meanings = {meaning for _, meaning in said[0]}
    return tuple(starts) if meanings & IDENTITY and meanings & set(PRICES) else ()


def _named(heading: str) -> tuple[str, str]:
    """Return a heading with its meaning; those of prices may name each its own currency."""
    found = read_heading(heading)
    meaning = found.meaning if found else ""
    return ("" if meaning in PRICES else heading), meaning


def _masked(row: RawRow, left: int, end: int) -> RawRow:
    """Return a row with nothing outside its table."""
    cells = ["" if i < left else cell for i, cell in enumerate(row.cells[:end])]
    kinds = "".join(EMPTY if i < left else kind for i, kind in enumerate(row.kinds[:end]))
    exact = {i: text for i, text in row.exact.items() if left <= i < end}
    return replace(row, cells=cells, kinds=kinds, exact=exact)
