"""The records of an old binary workbook: a type and a size of two bytes each, then the data.

[MS-XLS] 2.1.4; the numbers of its sections are from memory. Only the few records that are needed
are taken, in one pass: libraries that also read links, drawings and named formulas can be kept
busy without end by them, and give up a whole list for one of those that they do not understand.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator

from importers.ole import damaged
from importers.raw import Source
from importers.rows import ReaderError

_HEAD = struct.Struct("<HH")
_BOF, _EOF = 0x0809, 0x000A  # 2.4.21, 2.4.103
DATE_1904, CODE_PAGE, FILE_PASS = 0x0022, 0x0042, 0x002F  # 2.4.77, 2.4.52, 2.4.117
FONT, FORMAT, XF, PALETTE, BOUND_SHEET = 0x0031, 0x041E, 0x00E0, 0x0092, 0x0085
ROW, COL_INFO, DEFAULT_ROW = 0x0208, 0x007D, 0x0225  # 2.4.221, 2.4.53, 2.4.90
NUMBER, RK, MUL_RK = 0x0203, 0x027E, 0x00BD  # 2.4.180, 2.4.220, 2.4.175
FORMULAS = (0x0006, 0x0206, 0x0406)  # 2.4.127, and as older programs number it
TEXTS, BOOL_ERR = (0x00FD, 0x0204, 0x00D6), 0x0205  # LabelSst, Label, RString; 2.4.24
# The records that are taken, and how many bytes each has at least.
_LEAST = {
    DATE_1904: 2, CODE_PAGE: 2, FILE_PASS: 0, FONT: 6, FORMAT: 3, XF: 16, PALETTE: 2,
    BOUND_SHEET: 6, ROW: 16, COL_INFO: 10, DEFAULT_ROW: 4, NUMBER: 14, RK: 10, MUL_RK: 12,
    **dict.fromkeys(FORMULAS, 14), **dict.fromkeys(TEXTS, 6), BOOL_ERR: 8,
}  # fmt: skip
BIFF8, BIFF5 = 0x0600, 0x0500  # of 97 and later; of 5.0 and 95
UNICODE = 1200  # the code page of UTF-16


def wrong_code_page(stream: bytes) -> int:
    """Return where a workbook of 97 or later names another code page than that of its texts, or -1.

    Such texts are Unicode whatever the record says (2.4.52, 2.5.293); programs write there what
    older versions had.
    """
    at = 0
    while at + _HEAD.size + 2 <= len(stream):
        kind, size = _HEAD.unpack_from(stream, at)
        value = word(stream, at + _HEAD.size)
        if kind == _EOF or (kind == _BOF and value != BIFF8):
            break
        if kind == CODE_PAGE and size == 2 and value != UNICODE:
            return at + _HEAD.size
        at += _HEAD.size + size
    return -1


class Walk:
    """Walks the substreams: the globals at the beginning, and each sheet where it is said to be."""

    def __init__(self, source: Source, stream: bytes) -> None:
        self.source, self.stream = source, stream
        self.walked = 0
        kind, _ = self._head(0)
        self.version = int.from_bytes(stream[4:6], "little")
        if kind != _BOF or self.version not in (BIFF8, BIFF5):
            raise self.damaged("it is of another version than 5.0 to 2003")

    def records(self, start: int) -> Iterator[tuple[int, bytes]]:
        """Yield type and data of what is taken, from one start to its end, without what is nested.

        Sheets lie behind each other: whoever sends them over each other wants them read for ever.
        """
        at, depth = start, 0
        while True:
            kind, size = self._head(at)
            if not depth and kind != _BOF:
                raise self.damaged("a sheet of it does not begin where it should")
            data, at = at + _HEAD.size, at + _HEAD.size + size
            depth += (kind == _BOF) - (kind == _EOF)
            if not depth:
                break
            if depth == 1 and kind in _LEAST:
                if size < _LEAST[kind] or at > len(self.stream):
                    raise self.damaged("a record of it is cut short")
                yield kind, self.stream[data:at]
        self.walked += at - start
        if self.walked > len(self.stream):
            raise self.damaged("its sheets lie over each other")

    def damaged(self, why: str) -> ReaderError:
        """Return the refusal of the workbook."""
        return damaged(self.source, why)

    def _head(self, at: int) -> tuple[int, int]:
        if at + _HEAD.size > len(self.stream):
            raise self.damaged("its records break off")
        kind, size = _HEAD.unpack_from(self.stream, at)
        return kind, size


def word(data: bytes, at: int) -> int:
    """Return the number of two bytes."""
    return int.from_bytes(data[at : at + 2], "little")
