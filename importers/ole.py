"""The allocation tables of an old binary workbook, checked before a library follows them.

A compound file (MS-CFB, from memory) is chained by tables of "next sector" numbers. A chain that
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


def check_chains(source: Source) -> None:
    """Raise ReaderError where the tables are cut short, or a chain of sectors runs in a circle."""
    file = _File(source)
    tables = file.table_sectors()
    nexts = array("I")
    for number in tables:
        nexts.extend(file.numbers(number))
    small = array("I")
    if not _runs_in_circle(nexts):
        for number in file.chain(file.word(60), nexts):
            small.extend(file.numbers(number))
        if not _runs_in_circle(small):
            return
    raise _damaged(source, "its sectors refer to each other in a circle")


class _File:
    """The bytes of a compound file by sectors."""

    def __init__(self, source: Source) -> None:
        self.source, self.data = source, source.data
        shift = int.from_bytes(self.data[30:32], "little")
        if len(self.data) < _HEADER or shift not in (9, 12):
            raise _damaged(source, "its header is broken")
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

    def table_sectors(self) -> list[int]:
        """Return the sectors that hold the table: those of the header, then those chained on."""
        found = [self.word(76 + 4 * n) for n in range(_IN_HEADER)]
        sector, seen = self.word(68), 0
        while sector < _LAST and seen <= self.count:
            *listed, sector = self.numbers(sector) or [_LAST]
            found += listed
            seen += 1
        if seen > self.count:
            raise _damaged(self.source, "its sectors refer to each other in a circle")
        return [each for each in found if each < _LAST]

    def chain(self, start: int, nexts: Sequence[int]) -> list[int]:
        """Return the sectors of a chain that is known to run in no circle."""
        found = []
        while start < _LAST and start < len(nexts):
            found.append(start)
            start = nexts[start]
        return found


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


def _damaged(source: Source, why: str) -> ReaderError:
    return ReaderError(
        f"the workbook is damaged: {why}",
        place=source.name,
        hint="open it in a spreadsheet program and save it as .xlsx",
    )
