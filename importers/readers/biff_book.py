"""What the records of a whole workbook say: date base, number formats, and each of its sheets."""

from __future__ import annotations

import codecs
from collections.abc import Callable
from dataclasses import dataclass, field

from importers.raw import Source
from importers.readers.biff import (
    BIFF5,
    BIFF8,
    BOUND_SHEET,
    CODE_PAGE,
    DATE_1904,
    FILE_PASS,
    FONT,
    FORMAT,
    PALETTE,
    UNICODE,
    XF,
    Walk,
    word,
)
from importers.readers.biff_sheet import SheetRecords, sheet_records

_SOLID, _BACKGROUND = 1, 65  # a fill pattern (2.5.279), and the colour of the window (2.5.161)
_CELL_XF = 20  # bytes of a cell format of 97 and later
_WORKSHEET = 0


@dataclass(slots=True)
class BookRecords:
    """What the globals say, and the records of each worksheet in the order of the workbook.

    `formats` are the number formats' identifiers by cell format, `codes` those that are written
    out; `sheets` has None for charts and macros.
    """

    base_1904: bool = False
    formats: list[int] = field(default_factory=list)
    codes: dict[int, str] = field(default_factory=dict)
    sheets: list[SheetRecords | None] = field(default_factory=list)


def book_records(source: Source, stream: bytes) -> BookRecords:
    """Return what the records of a workbook's stream say; raise ReaderError when it is damaged."""
    walk = Walk(source, stream)
    taken = _Globals(walk)
    white = taken.white_styles()
    for start, kind in taken.starts:
        taken.book.sheets.append(sheet_records(walk, start, white) if kind == _WORKSHEET else None)
    return taken.book


class _Globals:
    """Takes the records that hold for the whole workbook."""

    def __init__(self, walk: Walk) -> None:
        self.walk, self.book = walk, BookRecords()
        self.starts: list[tuple[int, int]] = []
        self.encoding = "cp1252"
        self.font_colours: list[int] = []
        self.cell_formats: list[bytes] = []
        self.white_colours = {1, 9}  # 2.5.161 Icv: the fixed white, and that of the first palette
        takers: dict[int, Callable[[bytes], None]] = {
            DATE_1904: self._date_base,
            CODE_PAGE: self._code_page,
            FILE_PASS: self._password,
            FONT: lambda data: self.font_colours.append(word(data, 4)),
            FORMAT: self._format,
            XF: self._cell_format,
            PALETTE: self._palette,
            BOUND_SHEET: lambda data: self.starts.append(
                (int.from_bytes(data[:4], "little"), data[5])
            ),
        }
        for kind, data in walk.records(0):
            if kind in takers:
                takers[kind](data)

    def white_styles(self) -> set[int]:
        """Return the cell formats that write white on nothing, which nobody sees."""
        fonts = [*self.font_colours[:4], -1, *self.font_colours[4:]]  # 2.5.129: there is no font 4
        white = {n for n, colour in enumerate(fonts) if colour in self.white_colours}
        return {
            number
            for number, data in enumerate(self.cell_formats)
            if word(data, 0) in white and self._is_blank(data)
        }

    def _is_blank(self, data: bytes) -> bool:
        """Say whether a cell format fills its cells with nothing or white (2.5.20 CellXF)."""
        if self.walk.version == BIFF5:
            pattern, colour = data[10] & 0x3F, data[8] & 0x7F
        else:
            pattern, colour = data[17] >> 2, data[18] & 0x7F
        return not pattern or (pattern == _SOLID and colour in {*self.white_colours, _BACKGROUND})

    def _date_base(self, data: bytes) -> None:
        self.book.base_1904 = word(data, 0) == 1

    def _code_page(self, data: bytes) -> None:
        number = {0x8000: 10000, 0x8001: 1252, UNICODE: 1252}.get(word(data, 0), word(data, 0))
        name = "mac_roman" if number == 10000 else f"cp{number}"
        try:
            self.encoding = codecs.lookup(name).name
        except LookupError:
            self.encoding = "cp1252"

    def _password(self, _: bytes) -> None:
        raise self.walk.damaged("it is protected by a password")

    def _format(self, data: bytes) -> None:
        """Take a number format: in old files its letters are bytes, later one or two each."""
        if self.walk.version == BIFF5:
            text = data[3 : 3 + data[2]].decode(self.encoding, "replace")
        elif data[4:5] and data[4] & 1:
            text = data[5 : 5 + 2 * word(data, 2)].decode("utf-16-le", "replace")
        else:
            text = data[5 : 5 + word(data, 2)].decode("latin-1")
        self.book.codes[word(data, 0)] = text

    def _cell_format(self, data: bytes) -> None:
        if self.walk.version == BIFF8 and len(data) < _CELL_XF:
            raise self.walk.damaged("a record of it is cut short")
        self.book.formats.append(word(data, 2))
        self.cell_formats.append(data)

    def _palette(self, data: bytes) -> None:
        """Take the colours from the eighth on, four bytes each (2.4.188)."""
        for number, at in enumerate(range(2, len(data) - 3, 4), start=8):
            is_white = data[at : at + 3] == b"\xff\xff\xff"
            (self.white_colours.add if is_white else self.white_colours.discard)(number)
