"""What the records of a sheet say: hidden rows and columns, and numbers as they are stored."""

from __future__ import annotations

import struct
from array import array
from dataclasses import dataclass, field

from importers.readers.biff import (
    BOOL_ERR,
    COL_INFO,
    DEFAULT_ROW,
    FORMULAS,
    MUL_RK,
    NUMBER,
    RK,
    ROW,
    TEXTS,
    Walk,
    word,
)

_PLACE, _PAIR = struct.Struct("<HHH"), struct.Struct("<HH")  # row, column, cell format
_DOUBLE, _RK_WORD, _STYLE_AND_RK = struct.Struct("<d"), struct.Struct("<I"), struct.Struct("<HI")
_NUMBERS = (NUMBER, RK, *FORMULAS)
_ERRORS = {  # 2.5.10 BErr
    0x00: "#NULL!", 0x07: "#DIV/0!", 0x0F: "#VALUE!", 0x17: "#REF!", 0x1D: "#NAME?",
    0x24: "#NUM!", 0x2A: "#N/A",
}  # fmt: skip
_IS_ERROR = 2


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


def sheet_records(walk: Walk, start: int, white: set[int]) -> SheetRecords:
    """Return what one sheet says; `white` are the cell formats that nobody sees."""
    found = SheetRecords(white=white)
    for kind, data in walk.records(start):
        if kind in _NUMBERS:
            _take_number(found, kind, data)
        elif kind == MUL_RK:
            row, first = _PAIR.unpack_from(data)
            for number, at in enumerate(range(4, len(data) - 7, 6)):
                style, bits = _STYLE_AND_RK.unpack_from(data, at)
                found.add(row, first + number, style, _rk(bits))
        elif kind in TEXTS or kind == BOOL_ERR:
            row, column, style = _PLACE.unpack_from(data)
            is_error = kind == BOOL_ERR and data[7]
            found.add(row, column, style, data[6] if is_error else None)
        elif kind == ROW:
            _take_row(found, data)
        elif kind == COL_INFO:
            first, last, width = _PLACE.unpack_from(data)
            if data[8] & 1 or not width:
                found.hidden_columns.append((first, last))
        elif kind == DEFAULT_ROW:
            found.hides_untold = bool(data[0] & 2)
    return found


def _take_number(found: SheetRecords, kind: int, data: bytes) -> None:
    row, column, style = _PLACE.unpack_from(data)
    held: float | int | None
    if kind == RK:
        held = _rk(_RK_WORD.unpack_from(data, 6)[0])
    elif kind in FORMULAS and data[12:14] == b"\xff\xff":
        held = data[8] if data[6] == _IS_ERROR else None  # 2.5.133 FormulaValue
    else:
        held = _DOUBLE.unpack_from(data, 6)[0]
    found.add(row, column, style, held)


def _take_row(found: SheetRecords, data: bytes) -> None:
    row, height = word(data, 0), word(data, 6)
    found.told_rows.add(row)
    # A height of nought with its highest bit set is no height: the row is as high as others are.
    if data[12] & 0x20 or not height:
        found.hidden_rows.add(row)


def _rk(bits: int) -> float:
    """Return the number of an RkNumber (2.5.217): whole or the high bits of one, or hundredths."""
    if bits & 2:
        number = float((bits >> 2) - (1 << 30 if bits >> 31 else 0))
    else:
        number = _DOUBLE.unpack(bytes(4) + (bits & ~3).to_bytes(4, "little"))[0]
    return number / 100 if bits & 1 else number
