"""The compound file around an old binary workbook, checked before a library follows its chains.

A compound file ([MS-CFB], from memory) is chained by tables of "next sector" numbers. A chain that
runs in a circle makes a reader collect sectors until memory ends.
"""

from __future__ import annotations

import sys
from array import array
from collections.abc import Sequence

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
    file = _File(source)
    nexts = file.table(file.table_sectors())
    small = array("I")
    if not _runs_in_circle(nexts):
        small = file.table(file.chain(file.word(_SMALL_TABLE), nexts))
        if not _runs_in_circle(small):
            return _Streams(file, nexts, small).first_of(_WORKBOOKS)
    raise damaged(source, "its sectors refer to each other in a circle")


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

    def content(self, sectors: list[int]) -> bytes:
        """Return the bytes of these sectors, one after the other."""
        starts = ((sector + 1) * self.size for sector in sectors)
        return b"".join(self.data[start : start + self.size] for start in starts)

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
        listed = file.content(file.chain(file.word(_DIRECTORY), nexts))
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

    def first_of(self, names: Sequence[str]) -> bytes:
        """Return the bytes of the first of these streams that the file holds."""
        for name in names:
            if name in self.entries:
                start, size = self.entries[name]
                is_small = size < self.file.word(_CUTOFF)
                return (self._small(start) if is_small else self._large(start))[:size]
        raise damaged(self.file.source, "no workbook is listed in it")

    def _large(self, start: int) -> bytes:
        return self.file.content(self.file.chain(start, self.nexts))

    def _small(self, start: int) -> bytes:
        held = self._large(self.root)
        places = (_SMALL * each for each in self.file.chain(start, self.small))
        return b"".join(held[at : at + _SMALL] for at in places)


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
