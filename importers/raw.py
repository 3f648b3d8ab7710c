"""What a reader hands on: sheets of text cells with their kind, and the protocol of a reader."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol

from importers.limits import Limits
from importers.rows import Column, Profile

# The kind of a cell, one letter per cell in RawRow.kinds. A row of plain text has kinds "".
EMPTY, TEXT, NUMBER, DATE, ERROR, NO_VALUE, LOST_DIGITS = " tndefx"


@dataclass(slots=True)
class RawRow:
    """One row as shown: `number` is 1-based; `exact` keeps what the display hides, by column.

    For a date `exact` holds the ISO date, for a number the stored digits where the display rounds.
    `odd` is what the reader itself found odd; `refused` says why the row cannot be taken.
    """

    number: int
    cells: list[str]
    kinds: str = ""
    exact: dict[int, str] = field(default_factory=dict)
    odd: tuple[str, ...] = ()
    refused: str = ""

    def cell(self, index: int) -> str:
        """Return the text of a 0-based column, "" past the end of the row."""
        return self.cells[index] if index < len(self.cells) else ""

    def kind(self, index: int) -> str:
        """Return the kind letter of a 0-based column; a row without kinds is all text."""
        if not self.kinds:
            return TEXT
        return self.kinds[index] if index < len(self.kinds) else EMPTY


@dataclass(slots=True)
class RawSheet:
    """One visible sheet: its non-blank rows in order and its merged ranges.

    A merge is (first row, first column, last row, last column), rows 1-based, columns 0-based.
    `columns` are given where the kind of file itself says what its cells mean: every row is then
    an item and no header is looked for. `figures` counts the price-like figures of a printed page.
    """

    name: str
    rows: list[RawRow]
    merges: list[tuple[int, int, int, int]] = field(default_factory=list)
    columns: tuple[Column, ...] = ()
    figures: int | None = None
    _by_row: dict[int, list[tuple[int, int, int, int]]] = field(default_factory=dict)

    def merges_at(self, number: int) -> list[tuple[int, int, int, int]]:
        """Return the merges over a 1-based row; those of more than four rows head nothing."""
        if self.merges and not self._by_row:
            for merge in self.merges:
                for row in range(merge[0], min(merge[2], merge[0] + 3) + 1):
                    self._by_row.setdefault(row, []).append(merge)
        return self._by_row.get(number, [])


@dataclass(slots=True)
class RawFile:
    """Everything a reader took from a file, with what it assumed and what it left out."""

    reader: str
    sheets: list[RawSheet]
    delimiter: str = ""
    encoding: str = ""
    assumptions: list[str] = field(default_factory=list)
    skipped: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Source:
    """A file in memory: its name for messages and its bytes."""

    name: str
    data: bytes


class Reader(Protocol):
    """Knows one kind of file by its content; reads it, decides nothing about meanings.

    `grows` says that a small file of this kind may take much memory or time: packed or compiled.
    """

    name: str
    grows: bool

    def recognizes(self, source: Source) -> bool:
        """Say whether the bytes are of this reader's kind."""
        ...

    def read(self, source: Source, profiles: tuple[Profile, ...], limits: Limits) -> RawFile:
        """Return the raw sheets; raise ReaderError with place and hint on bad input."""
        ...
