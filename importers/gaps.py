"""Columns told by the gaps between them: of fixed-width text, and of the words on a page.

A column ends where every line of the table is blank. Where a line stands across the gap that its
header shows, nothing is cut by guess: the line is named.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from importers.layout import is_header
from importers.raw import RawRow

# A line as pieces of text that stand apart: (start, end, text), ends exclusive, in order.
Line = tuple[tuple[int, int, str], ...]


@dataclass(frozen=True, slots=True)
class Cut:
    """Where the columns of a table are cut; `crossing` is a line that no cut is clear of, or -1."""

    at: tuple[int, ...]
    crossing: int = -1


def header_of(lines: Sequence[Line]) -> int:
    """Return the index of the first line that reads as a header, -1 when none does."""
    for index, line in enumerate(lines):
        if len(line) > 1 and is_header(RawRow(0, [text for _, _, text in line])):
            return index
    return -1


def cut_of(lines: Sequence[Line], header: int) -> Cut:
    """Return where to cut between each two headings, clear of all lines with several pieces."""
    heads = lines[header]
    body = [(i, line) for i, line in enumerate(lines) if i > header and len(line) > 1]
    # A line with fewer pieces than half the header is a remark that happens to have a gap.
    body = [(i, line) for i, line in body if len(line) * 2 >= len(heads)]
    cuts: list[int] = []
    for left, right in pairwise(heads):
        free = _free(range(left[0] + 1, right[1]), [line for _, line in body], heads)
        if free is None:
            return Cut(tuple(cuts), _crossing(body, left, right))
        cuts.append(free)
    return Cut(tuple(cuts))


def _free(span: range, body: Sequence[Line], heads: Line) -> int | None:
    """Return the middle of the widest place in the span that no piece covers."""
    taken = bytearray(len(span))
    for line in (*body, heads):
        for start, end, _ in line:
            first, last = max(start, span.start), min(end, span.stop)
            if first < last:
                taken[first - span.start : last - span.start] = b"\x01" * (last - first)
    runs: list[tuple[int, int]] = []
    begin = None
    for at, used in enumerate([*taken, 1]):
        if not used and begin is None:
            begin = at
        elif used and begin is not None:
            runs.append((at - begin, begin))
            begin = None
    if not runs:
        return None
    length, begin = max(runs, key=lambda run: (run[0], -run[1]))
    return span.start + begin + length // 2


def _crossing(
    body: Sequence[tuple[int, Line]], left: tuple[int, int, str], right: tuple[int, int, str]
) -> int:
    """Return the line whose piece reaches furthest over the gap between two headings."""
    middle = (left[1] + right[0]) // 2
    over = [
        (end - start, -index)
        for index, line in body
        for start, end, _ in line
        if start <= middle < end
    ]
    return -max(over)[1] if over else (body[0][0] if body else 0)


def cells_of(line: Line, cut: Cut) -> list[str]:
    """Return the cells of a line; a lone piece (a title or section) stays whole in its column."""
    cells = [""] * (len(cut.at) + 1)
    for start, _, text in line:
        index = sum(start >= at for at in cut.at)
        cells[index] = f"{cells[index]} {text}".strip()
    return cells
