"""A whole index read without numpy: the base and its later changes as one."""

from __future__ import annotations

import struct
from collections.abc import Iterator
from pathlib import Path

from partsdb.matching.engine.heads import head_bounds
from partsdb.matching.engine.index import read_contents
from partsdb.matching.engine.mapped import MappedSegment


class MappedIndex:
    """Looks things up in an index folder; opening it costs next to nothing."""

    def __init__(self, folder: Path) -> None:
        contents = read_contents(folder)
        self.segments: list[tuple[MappedSegment, int]] = []
        if contents is None:
            return
        self.segments.append((MappedSegment(folder / contents.base, contents.parts), 0))
        if contents.delta:
            late = MappedSegment(folder / contents.delta, contents.changes)
            self.segments.append((late, contents.parts))

    @property
    def is_ready(self) -> bool:
        """Say whether there is an index."""
        return bool(self.segments)

    def probe(self, table: str, value: int, *, most: int) -> Iterator[tuple[int, int]]:
        """Yield row and mark of the living parts that a table holds for a hash."""
        for segment, offset in self.segments:
            for row, mark in segment.probe(table, value, most=most):
                if self.is_living(row + offset):
                    yield row + offset, mark

    def beginning(self, key: str, *, most: int) -> Iterator[int]:
        """Yield the rows of living parts whose number begins with the key."""
        low, high = head_bounds(key)
        for segment, offset in self.segments:
            for row in segment.between("head", "head_row", (low, high), most=most):
                if self.is_living(row + offset):
                    yield row + offset

    def value(self, column: str, row: int) -> int:
        """Return what a column says of a row."""
        segment, at = self._of(row)
        return int(segment[column].values[at])

    def facts(self, row: int) -> tuple[list[int], list[tuple[int, float]]]:
        """Return the words of a part, -1 where there is none, and its measures."""
        segment, at = self._of(row)
        words, measured = segment["widths"].values
        facts = segment["facts"].row(at)
        raw = struct.pack(f"={measured}i", *facts[words + measured :])
        values = struct.unpack(f"={measured}f", raw)
        kinds = facts[words : words + measured]
        return facts[:words], list(zip(kinds, values, strict=True))

    def word(self, value: int) -> int:
        """Return the id of the word of a hash, -1 when no part uses it."""
        base = self.segments[0][0]
        place = base.place_of("word_hash", value)
        if place < 0 and len(self.segments) > 1:
            late = self.segments[1][0].place_of("word_hash", value)
            return len(base["word_hash"].values) + late if late >= 0 else -1
        return place

    def of_word(self, column: str, word: int) -> float:
        """Return what a column of the vocabulary says of a word."""
        values = self.segments[0][0][column].values
        if word < len(values):
            return values[word]  # type: ignore[no-any-return]
        return self.segments[1][0][column].values[word - len(values)]  # type: ignore[no-any-return]

    def spelled(self, value: int) -> tuple[int, bool]:
        """Return the word that another spelling means (-1: none), and if it only lost a letter."""
        base = self.segments[0][0]
        place = base.place_of("spelling_hash", value)
        if place < 0:
            return -1, False
        return base["spelling_word"].values[place], base["spelling_is_lost"].values[place]

    def is_living(self, row: int) -> bool:
        """Say whether a part has not been changed or removed since."""
        if len(self.segments) < 2 or row >= self.segments[0][0].parts:
            return True
        return self.segments[1][0].place_of("removed", row) < 0

    def rows(self) -> int:
        """Return how many rows there are, removed ones included."""
        return sum(segment.parts for segment, _ in self.segments)

    def _of(self, row: int) -> tuple[MappedSegment, int]:
        base = self.segments[0][0]
        return (base, row) if row < base.parts else (self.segments[1][0], row - base.parts)
