"""The compound file around an old binary workbook, checked before a library follows its chains.

A compound file ([MS-CFB], from memory) is chained by tables of "next sector" numbers. A chain that
runs in a circle makes a reader collect sectors until memory ends.
"""

from __future__ import annotations

import sys
from array import array
from collections.abc import Sequence
from dataclasses import dataclass

from importers.raw import Source
from importers.rows import ReaderError

_HEADER = 512
_IN_HEADER = 109  # so many numbers of table sectors stand in the header itself
_LAST = 0xFFFF_FFFA  # this and above are no sectors: free, end of chain, table
# Where the header holds the first sector of the directory and of the table of small sectors, and
# the size from which on a stream lies in large ones.
_DIRECTORY, _CUTOFF, _SMALL_TABLE = 48, 56, 60
_ENTRY, _SMALL = 128, 64  # bytes of a directory entry and of a small sector
_STREAM, _ROOT = 2, 5
_WORKBOOKS = ("Workbook", "Book")  # of 97 and later, of 5.0 and 95; a file may hold both


def workbook_stream(source: Source) -> bytes:
    """Return the stream with the workbook's records.

    Raises ReaderError where the tables are cut short, a chain of sectors runs in a circle, or there
    is no such stream.
    """
    return _workbook(source).content()


def with_bytes(source: Source, at: int, put: bytes) -> Source:
    """Return the file with these bytes of the workbook's stream in the place of its own."""
    pieces, data = _workbook(source), bytearray(source.data)
    for number, byte in enumerate(put, start=at):
        data[pieces.place(number)] = byte
    return Source(source.name, bytes(data))


def _workbook(source: Source) -> _Pieces:
    file = _File(source)
    nexts = file.table(file.table_sectors())
    small = array("I")
    if not _runs_in_circle(nexts):
        small = file.table(file.chain(file.word(_SMALL_TABLE), nexts))
        if not _runs_in_circle(small):
            return _Streams(file, nexts, small).first_of(_WORKBOOKS)
    raise damaged(source, "its sectors refer to each other in a circle")


@dataclass(frozen=True, slots=True)
class _Pieces:
    """A stream by the pieces of the file in which it lies: where each begins, and their size."""

    data: bytes
    starts: list[int]
    unit: int
    size: int

    def content(self) -> bytes:
        """Return the bytes of the stream, as far as the file goes."""
        found = []
        for start in self.starts:
            found.append(self.data[start : start + self.unit])
            if len(found[-1]) < self.unit:
                break
        return b"".join(found)[: self.size]

    def place(self, at: int) -> int:
        """Return where in the file a byte of the stream stands."""
        return self.starts[at // self.unit] + at % self.unit


class _File:
    """The bytes of a compound file by sectors."""

    def __init__(self, source: Source) -> None:
        self.source, self.data = source, source.data
        shift = int.from_bytes(self.data[30:32], "little")
        if len(self.data) < _HEADER or shift not in (9, 12):
            raise damaged(source, "its header is broken")
        self.size = 1 << shift
        self.count = len(self.data) // self.size + 1

    def word(self, at: int) -> int:
        """Return the number of four bytes at a place of the header."""
        return int.from_bytes(self.data[at : at + 4], "little")

    def numbers(self, sector: int) -> array[int]:
        """Return the numbers that a sector holds; a cut last sector is read as far as it goes."""
        start = (sector + 1) * self.size
        found = array("I")
        piece = self.data[start : start + self.size]
        found.frombytes(piece[: len(piece) // 4 * 4])
        if sys.byteorder == "big":
            found.byteswap()
        return found

    def table(self, sectors: list[int]) -> array[int]:
        """Return the numbers that these sectors hold, one after the other."""
        found = array("I")
        for number in sectors:
            found.extend(self.numbers(number))
        return found

    def pieces(self, start: int, size: int, nexts: Sequence[int]) -> _Pieces:
        """Return the sectors of a chain that is known to end."""
        starts = [(sector + 1) * self.size for sector in self.chain(start, nexts)]
        return _Pieces(self.data, starts, self.size, size)

    def table_sectors(self) -> list[int]:
        """Return the sectors that hold the table: those of the header, then those chained on."""
        found = [self.word(76 + 4 * n) for n in range(_IN_HEADER)]
        sector, seen = self.word(68), 0
        while sector < _LAST and seen <= self.count:
            *listed, sector = self.numbers(sector) or [_LAST]
            found += listed
            seen += 1
        found = [each for each in found if each < _LAST]
        if max(seen, len(found)) > self.count:
            raise damaged(self.source, "its sectors refer to each other in a circle")
        return found

    def chain(self, start: int, nexts: Sequence[int]) -> list[int]:
        """Return the sectors of a chain that is known to run in no circle."""
        found = []
        while start < _LAST and start < len(nexts):
            found.append(start)
            start = nexts[start]
        return found


class _Streams:
    """The directory of a compound file whose chains are known to end."""

    def __init__(self, file: _File, nexts: array[int], small: array[int]) -> None:
        self.file, self.nexts, self.small = file, nexts, small
        listed = file.pieces(file.word(_DIRECTORY), len(file.data), nexts).content()
        self.entries: dict[str, tuple[int, int]] = {}
        self.root = _LAST
        for at in range(0, len(listed) - _ENTRY + 1, _ENTRY):
            self._add(listed[at : at + _ENTRY])

    def _add(self, entry: bytes) -> None:
        start, size = (int.from_bytes(entry[at : at + 4], "little") for at in (116, 120))
        if entry[66] == _ROOT:
            self.root = start
        elif entry[66] == _STREAM:
            name = entry[: max(0, entry[64] - 2)].decode("utf-16-le", "replace")
            self.entries.setdefault(name, (start, size))

    def first_of(self, names: Sequence[str]) -> _Pieces:
        """Return the first of these streams that the file holds."""
        for name in names:
            if name in self.entries:
                start, size = self.entries[name]
                if size < self.file.word(_CUTOFF):
                    return self._small(start, size)
                return self.file.pieces(start, size, self.nexts)
        raise damaged(self.file.source, "no workbook is listed in it")

    def _small(self, start: int, size: int) -> _Pieces:
        """Return a stream whose small sectors lie in that of the root."""
        file, held = self.file, self.file.pieces(self.root, len(self.file.data), self.nexts)
        places = (_SMALL * each for each in file.chain(start, self.small))
        starts = [held.place(at) for at in places if at < held.unit * len(held.starts)]
        return _Pieces(file.data, starts, _SMALL, size)


def _runs_in_circle(nexts: Sequence[int]) -> bool:
    """Say whether following the numbers from anywhere never ends."""
    settled = bytearray(len(nexts))  # 0 unknown, 1 on the way now, 2 ends
    for first in range(len(nexts)):
        way = []
        at = first
        while at < len(nexts) and not settled[at]:
            settled[at] = 1
            way.append(at)
            at = nexts[at]
        if at < len(nexts) and settled[at] == 1:
            return True
        for each in way:
            settled[each] = 2
    return False


def damaged(source: Source, why: str) -> ReaderError:
    """Return the refusal of an old binary workbook that is broken inside."""
    return ReaderError(
        f"the workbook is damaged: {why}",
        place=source.name,
        hint="open it in a spreadsheet program and save it as .xlsx",
    )
