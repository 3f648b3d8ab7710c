"""Which rows of a sheet are headers: by their words, or because a settled layout says so."""

from __future__ import annotations

from collections.abc import Sequence

from importers.drift import folded, headings_of
from importers.layout import Header, header_at, headings_of_cells, is_header
from importers.raw import RawRow, RawSheet
from importers.rows import Profile

# So many of its headings make a row the header of a settled layout, though no word is known.
_MOST = 0.8
_FEWEST = 2


class HeaderFinder:
    """Finds the headers of one sheet.

    A confirmed layout without columns names the row of the header; one with columns is known again
    by its headings, in whatever language they are.
    """

    def __init__(self, sheet: RawSheet, profiles: Sequence[Profile]) -> None:
        settled = [p for p in profiles if p.confirmed and p.header_row]
        self._sheet = sheet
        self._named = {
            p.header_row for p in settled if not p.columns and p.sheet in ("", sheet.name)
        }
        known = (headings_of(p) for p in settled if p.columns)
        self._known = [headings for headings in known if len(headings) >= _FEWEST]

    def is_header(self, row: RawRow) -> bool:
        """Say whether a table starts below the row."""
        if self._named:
            return row.number in self._named
        return is_header(row) or (bool(self._known) and self._is_known(row))

    def header(self, position: int) -> Header:
        """Return the header at a row that `is_header`."""
        row = self._sheet.rows[position]
        if not self._named and is_header(row):
            return header_at(self._sheet, position)
        texts = tuple(" ".join(cell.split()) for cell in row.cells)
        return Header(position, position, texts, tuple(headings_of_cells(texts)))

    def _is_known(self, row: RawRow) -> bool:
        cells = {folded(cell) for cell in row.cells if cell.strip()}
        return any(len(known & cells) >= _MOST * len(known) for known in self._known)
