"""The records of an old binary workbook, walked for what python-calamine does not tell.

Those are hidden rows and columns, and the numbers as stored, each with its number format. A record
is a type and a size of two bytes each, then its data ([MS-XLS] 2.1.4, all sections from memory).
"""

from __future__ import annotations

import codecs
import struct
from array import array
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from importers.ole import damaged
from importers.raw import Source
from importers.rows import ReaderError

_HEAD = struct.Struct("<HH")
_PLACE, _PAIR = struct.Struct("<HHH"), struct.Struct("<HH")  # row, column, cell format
_DOUBLE, _RK_WORD, _STYLE_AND_RK = struct.Struct("<d"), struct.Struct("<I"), struct.Struct("<HI")
_BOF, _EOF = 0x0809, 0x000A  # 2.4.21, 2.4.103
_DATE_1904, _CODE_PAGE, _FILE_PASS = 0x0022, 0x0042, 0x002F  # 2.4.77, 2.4.52, 2.4.117
_FONT, _FORMAT, _XF, _PALETTE, _BOUND_SHEET = 0x0031, 0x041E, 0x00E0, 0x0092, 0x0085
_ROW, _COL_INFO, _DEFAULT_ROW = 0x0208, 0x007D, 0x0225  # 2.4.221, 2.4.53, 2.4.90
_NUMBER, _RK, _MUL_RK = 0x0203, 0x027E, 0x00BD  # 2.4.180, 2.4.220, 2.4.175
_FORMULAS = (0x0006, 0x0206, 0x0406)  # 2.4.127, and as older programs number it
_NUMBERS = (_NUMBER, _RK, *_FORMULAS)
_TEXTS, _BOOL_ERR = (0x00FD, 0x0204, 0x00D6), 0x0205  # LabelSst, Label, RString; 2.4.24
_ERRORS = {  # 2.5.10 BErr
    0x00: "#NULL!", 0x07: "#DIV/0!", 0x0F: "#VALUE!", 0x17: "#REF!", 0x1D: "#NAME?",
    0x24: "#NUM!", 0x2A: "#N/A",
}  # fmt: skip
# The records that are taken, and how many bytes each has at least.
_LEAST = {
    _DATE_1904: 2, _CODE_PAGE: 2, _FILE_PASS: 0, _FONT: 6, _FORMAT: 3, _XF: 16, _PALETTE: 2,
    _BOUND_SHEET: 6, _ROW: 16, _COL_INFO: 10, _DEFAULT_ROW: 4, _NUMBER: 14, _RK: 10, _MUL_RK: 12,
    **dict.fromkeys(_FORMULAS, 14), **dict.fromkeys(_TEXTS, 6), _BOOL_ERR: 8,
}  # fmt: skip
_SOLID, _BACKGROUND = 1, 65  # a fill pattern (2.5.279), and the colour of the window (2.5.161)
_BIFF8, _BIFF5 = 0x0600, 0x0500  # of 97 and later; of 5.0 and 95
_WORKSHEET, _IS_ERROR = 0, 2
_CELL_XF = 20  # bytes of a cell format of 97 and later


@dataclass(slots=True)
class SheetRecords:
    """What the records of one sheet say: rows and columns from 0, ranges with their last.

    A place is row * 65536 + column. `places`, `styles` and `numbers` are those of the cells that
    hold a number; `errors` are what others show. `unseen` are the places of cells whose style is
    one of `white`: white on nothing. `hides_untold`: rows without a record of their own are hidden.
    """

    white: set[int]
    unseen: set[int] = field(default_factory=set)
    errors: dict[int, str] = field(default_factory=dict)
    told_rows: set[int] = field(default_factory=set)
    hidden_rows: set[int] = field(default_factory=set)
    hidden_columns: list[tuple[int, int]] = field(default_factory=list)
    hides_untold: bool = False
    places: array[int] = field(default_factory=lambda: array("I"))
    styles: array[int] = field(default_factory=lambda: array("H"))
    numbers: array[float] = field(default_factory=lambda: array("d"))

    def add(self, row: int, column: int, style: int, held: float | int | None) -> None:
        """Add a cell that holds a number, the code of an error, or None for all else."""
        place = row << 16 | column
        if style in self.white:
            self.unseen.add(place)
        if isinstance(held, float):
            self.places.append(place)
            self.styles.append(style)
            self.numbers.append(held)
        elif held is not None:
            self.errors[place] = _ERRORS.get(held, f"#{held}")


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
    walk = _Walk(source, stream)
    taken = _Globals(walk)
    white = taken.white_styles()
    for start, kind in taken.starts:
        taken.book.sheets.append(_sheet(walk, start, white) if kind == _WORKSHEET else None)
    return taken.book


class _Walk:
    """Walks the substreams: the globals at the beginning, and each sheet where it is said to be."""

    def __init__(self, source: Source, stream: bytes) -> None:
        self.source, self.stream = source, stream
        self.walked = 0
        kind, _ = self._head(0)
        self.version = int.from_bytes(stream[4:6], "little")
        if kind != _BOF or self.version not in (_BIFF8, _BIFF5):
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


class _Globals:
    """Takes the records that hold for the whole workbook."""

    def __init__(self, walk: _Walk) -> None:
        self.walk, self.book = walk, BookRecords()
        self.starts: list[tuple[int, int]] = []
        self.encoding = "cp1252"
        self.font_colours: list[int] = []
        self.cell_formats: list[bytes] = []
        self.white_colours = {1, 9}  # 2.5.161 Icv: the fixed white, and that of the first palette
        takers: dict[int, Callable[[bytes], None]] = {
            _DATE_1904: self._date_base,
            _CODE_PAGE: self._code_page,
            _FILE_PASS: self._password,
            _FONT: lambda data: self.font_colours.append(_word(data, 4)),
            _FORMAT: self._format,
            _XF: self._cell_format,
            _PALETTE: self._palette,
            _BOUND_SHEET: lambda data: self.starts.append(
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
            if _word(data, 0) in white and self._is_blank(data)
        }

    def _is_blank(self, data: bytes) -> bool:
        """Say whether a cell format fills its cells with nothing or white (2.5.20 CellXF)."""
        if self.walk.version == _BIFF5:
            pattern, colour = data[10] & 0x3F, data[8] & 0x7F
        else:
            pattern, colour = data[17] >> 2, data[18] & 0x7F
        return not pattern or (pattern == _SOLID and colour in {*self.white_colours, _BACKGROUND})

    def _date_base(self, data: bytes) -> None:
        self.book.base_1904 = _word(data, 0) == 1

    def _code_page(self, data: bytes) -> None:
        number = {0x8000: 10000, 0x8001: 1252, 1200: 1252}.get(_word(data, 0), _word(data, 0))
        name = "mac_roman" if number == 10000 else f"cp{number}"
        try:
            self.encoding = codecs.lookup(name).name
        except LookupError:
            self.encoding = "cp1252"

    def _password(self, _: bytes) -> None:
        raise self.walk.damaged("it is protected by a password")

    def _format(self, data: bytes) -> None:
        """Take a number format: in old files its letters are bytes, later one or two each."""
        if self.walk.version == _BIFF5:
            text = data[3 : 3 + data[2]].decode(self.encoding, "replace")
        elif data[4:5] and data[4] & 1:
            text = data[5 : 5 + 2 * _word(data, 2)].decode("utf-16-le", "replace")
        else:
            text = data[5 : 5 + _word(data, 2)].decode("latin-1")
        self.book.codes[_word(data, 0)] = text

    def _cell_format(self, data: bytes) -> None:
        if self.walk.version == _BIFF8 and len(data) < _CELL_XF:
            raise self.walk.damaged("a record of it is cut short")
        self.book.formats.append(_word(data, 2))
        self.cell_formats.append(data)

    def _palette(self, data: bytes) -> None:
        """Take the colours from the eighth on, four bytes each (2.4.188)."""
        for number, at in enumerate(range(2, len(data) - 3, 4), start=8):
            is_white = data[at : at + 3] == b"\xff\xff\xff"
            (self.white_colours.add if is_white else self.white_colours.discard)(number)


def _sheet(walk: _Walk, start: int, white: set[int]) -> SheetRecords:
    found = SheetRecords(white=white)
    for kind, data in walk.records(start):
        if kind in _NUMBERS:
            _take_number(found, kind, data)
        elif kind == _MUL_RK:
            row, first = _PAIR.unpack_from(data)
            for number, at in enumerate(range(4, len(data) - 7, 6)):
                style, word = _STYLE_AND_RK.unpack_from(data, at)
                found.add(row, first + number, style, _rk(word))
        elif kind in _TEXTS or kind == _BOOL_ERR:
            row, column, style = _PLACE.unpack_from(data)
            is_error = kind == _BOOL_ERR and data[7]
            found.add(row, column, style, data[6] if is_error else None)
        elif kind == _ROW:
            _take_row(found, data)
        elif kind == _COL_INFO:
            first, last, width = _PLACE.unpack_from(data)
            if data[8] & 1 or not width:
                found.hidden_columns.append((first, last))
        elif kind == _DEFAULT_ROW:
            found.hides_untold = bool(data[0] & 2)
    return found


def _take_number(found: SheetRecords, kind: int, data: bytes) -> None:
    row, column, style = _PLACE.unpack_from(data)
    held: float | int | None
    if kind == _RK:
        held = _rk(_RK_WORD.unpack_from(data, 6)[0])
    elif kind in _FORMULAS and data[12:14] == b"\xff\xff":
        held = data[8] if data[6] == _IS_ERROR else None  # 2.5.133 FormulaValue
    else:
        held = _DOUBLE.unpack_from(data, 6)[0]
    found.add(row, column, style, held)


def _take_row(found: SheetRecords, data: bytes) -> None:
    row, height = _word(data, 0), _word(data, 6)
    found.told_rows.add(row)
    # A height of nought with its highest bit set is no height: the row is as high as others are.
    if data[12] & 0x20 or not height:
        found.hidden_rows.add(row)


def _rk(word: int) -> float:
    """Return the number of an RkNumber (2.5.217): whole or the high bits of one, or hundredths."""
    if word & 2:
        number = float((word >> 2) - (1 << 30 if word >> 31 else 0))
    else:
        number = _DOUBLE.unpack(bytes(4) + (word & ~3).to_bytes(4, "little"))[0]
    return number / 100 if word & 1 else number


def _word(data: bytes, at: int) -> int:
    return int.from_bytes(data[at : at + 2], "little")
