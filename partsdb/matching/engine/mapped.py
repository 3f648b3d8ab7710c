"""The index files read without numpy: mapped into memory and searched where they lie."""

from __future__ import annotations

import mmap
import re
from bisect import bisect_left, bisect_right
from pathlib import Path
from typing import Any, cast

from partsdb.errors import StoreError
from partsdb.matching.engine.tables import MOST_MARK, PLACE_BITS, layout_for

_CODES = {"<u8": "Q", "<i8": "q", "<i4": "i", "<f4": "f", "<u2": "H", "|u1": "B", "|b1": "?"}
_HEADER = re.compile(r"'descr': '([^']+)'.*'shape': \((\d+),? ?(\d*)\)", re.DOTALL)


class MappedArray:
    """One array of an index: its flat values, and the width of a row."""

    __slots__ = ("values", "width")

    def __init__(self, path: Path) -> None:
        with path.open("rb") as file:
            start = file.read(10)
            size = int.from_bytes(start[8:10], "little")
            header = _HEADER.search(file.read(size).decode("latin-1"))
            if start[:6] != b"\x93NUMPY" or header is None or header[1] not in _CODES:
                raise StoreError(f"{path} is no array of a catalogue index", hint="build it again")
            whole = mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
        # Each code is one that memoryview knows; which one, only the file says.
        self.values: memoryview[Any] = memoryview(whole)[10 + size :].cast(
            cast(Any, _CODES[header[1]])
        )
        self.width = int(header[3] or 1)

    def row(self, number: int) -> list[int]:
        """Return one row of a matrix."""
        values: list[int] = self.values[number * self.width : (number + 1) * self.width].tolist()
        return values


class MappedSegment:
    """The arrays of one segment, opened as they are asked for."""

    def __init__(self, folder: Path, parts: int) -> None:
        self.folder, self.parts = folder, parts
        self.layout = layout_for(parts)
        self._open: dict[str, MappedArray] = {}

    def __getitem__(self, name: str) -> MappedArray:
        """Return an array by name; StoreError when its file is gone or is none."""
        if name not in self._open:
            try:
                self._open[name] = MappedArray(self.folder / f"{name}.npy")
            except (OSError, ValueError) as error:
                raise StoreError(
                    f"the catalogue index in {self.folder} cannot be read: {error}",
                    hint="delete the folder; it is built again from the database",
                ) from error
        return self._open[name]

    def probe(self, table: str, value: int, *, most: int) -> list[tuple[int, int]]:
        """Return row and mark of the entries that a table holds for a hash, at most `most`."""
        entries, starts = self[table].values, self[f"{table}_start"].values
        low = self.layout.low_bits
        head = value >> low
        bucket = value >> 64 - (len(starts) - 1).bit_length() + 1
        place = bisect_left(entries, head << low, starts[bucket], starts[bucket + 1])
        found: list[tuple[int, int]] = []
        mask = (1 << self.layout.row_bits) - 1
        while place < len(entries) and entries[place] >> low == head and len(found) < most:
            found.append((entries[place] >> PLACE_BITS & mask, entries[place] & MOST_MARK))
            place += 1
        return found

    def between(self, column: str, rows: str, bounds: tuple[int, int], *, most: int) -> list[int]:
        """Return the rows whose value in a sorted column lies within bounds, at most `most`."""
        values, low, high = self[column].values, *bounds
        start = bisect_left(values, low)
        stop = min(bisect_right(values, high), start + most)
        return [self[rows].values[place] for place in range(start, stop)]

    def place_of(self, column: str, value: int) -> int:
        """Return where a value stands in a sorted column, -1 where it does not."""
        values = self[column].values
        place = bisect_left(values, value)
        return place if place < len(values) and values[place] == value else -1
