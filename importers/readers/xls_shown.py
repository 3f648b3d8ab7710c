"""What an old binary workbook shows and hides, beyond the values that python-calamine gives.

Each number is read twice: by that library, and from the record whose format says how it is shown.
Where the two differ, neither is believed.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal, DecimalException
from math import isfinite, isnan
from typing import Any

from importers.ole import damaged
from importers.raw import DATE, ERROR, LOST_DIGITS, Source
from importers.readers.biff_book import BookRecords, book_records
from importers.readers.biff_sheet import SheetRecords
from importers.readers.references import white_said
from importers.readers.shown import BUILT_IN, Format, Shown, compiled, show
from importers.rows import column_letters

_GENERAL = Format("general")
# ECMA-376 part 1, 18.8.30: identifiers of date formats that go by the language of the program.
_DATES_BY_LANGUAGE = (*range(27, 37), *range(50, 59))
_DIGITS = 1e15  # a spreadsheet keeps 15 digits
_KNOWN = 50_000  # numbers of which is kept how they are shown
_DAY = timedelta(days=1)
_MOMENT = 0.01 / 86_400  # days: the library's dates go to the thousandth of a second
_NUMERIC = (int, float, date, datetime, time, timedelta)


@dataclass(slots=True)
class XlsSheet:
    """What one sheet hides, and its numbers with the formats of its workbook."""

    name: str
    source: Source
    records: SheetRecords
    formats: list[Format]
    base_1904: bool

    def hidden_rows(self, last: int) -> set[int]:
        """Return the numbers of the hidden rows up to the last one."""
        hidden = {row + 1 for row in self.records.hidden_rows if row < last}
        if self.records.hides_untold:
            hidden |= {row + 1 for row in range(last) if row not in self.records.told_rows}
        return hidden

    def hidden_columns(self, count: int) -> set[int]:
        """Return the places of the hidden ones of so many columns."""
        # Cut to size they are few, however many a hostile file holds.
        ranges = {(first, min(last + 1, count)) for first, last in self.records.hidden_columns}
        return {n for first, end in ranges for n in range(first, end)}

    def show(self, values: list[list[Any]]) -> list[str]:
        """Put what is shown in the place of the values; return what is to be said of it."""
        self._show_numbers(values)
        for place, error in self.records.errors.items():
            row, column = self._held(values, place)
            values[row][column] = Shown(error, ERROR)
        for line in values:
            for column, value in enumerate(line):
                if type(value) in _NUMERIC:
                    line[column] = _clash("no number", value)
        return white_said(self.name, self._blanked(values))

    def _show_numbers(self, values: list[list[Any]]) -> None:
        records = self.records
        known: dict[tuple[float, int, type], Shown] = {}
        for place, style, number in zip(
            records.places, records.styles, records.numbers, strict=True
        ):
            row, column = self._held(values, place)
            value = values[row][column]
            if not _agree(value, number, base_1904=self.base_1904):
                values[row][column] = _clash(str(number), value)
                continue
            key = number, style, type(value)
            shown = known.get(key) or self._shown(number, style, value)
            if len(known) < _KNOWN:
                known[key] = shown
            values[row][column] = shown

    def _held(self, values: list[list[Any]], place: int) -> tuple[int, int]:
        """Return row and column of a place; raise ReaderError when the library found none there."""
        row, column = place >> 16, place & 0xFFFF
        if row >= len(values) or column >= len(values[row]):
            where = f"{self.name}!{column_letters(column)}{row + 1}"
            raise damaged(self.source, f"one reading of it finds a value in {where}, another none")
        return row, column

    def _shown(self, number: float, style: int, value: Any) -> Shown:
        if not isfinite(number):
            return Shown(str(number), ERROR)
        if abs(number) >= _DIGITS:
            return Shown(f"{Decimal(repr(number)):.6E}", LOST_DIGITS)
        if isinstance(value, timedelta):
            return Shown(str(value), DATE)
        stored = str(int(number)) if number.is_integer() else repr(number)
        form = self.formats[style] if style < len(self.formats) else _GENERAL
        try:
            return show(stored, form, base_1904=self.base_1904)
        except (DecimalException, ValueError, OverflowError):
            return Shown(stored, ERROR)

    def _blanked(self, values: list[list[Any]]) -> list[str]:
        """Blank the cells in white on nothing; return their references."""
        blanked = []
        for place in sorted(self.records.unseen):
            row, column = place >> 16, place & 0xFFFF
            if row < len(values) and column < len(values[row]) and values[row][column] != "":
                values[row][column] = ""
                blanked.append(f"{column_letters(column)}{row + 1}")
        return blanked


def xls_sheets(source: Source, stream: bytes, names: list[str]) -> dict[str, XlsSheet]:
    """Return name -> what each worksheet hides and shows; `names` are those that the library gives.

    Raises ReaderError when the records are damaged, or are not those of these sheets.
    """
    book = book_records(source, stream)
    if len(book.sheets) != len(names) or len(set(names)) != len(names):
        raise damaged(source, "two readings of it find different sheets")
    formats = _formats(book)
    return {
        name: XlsSheet(name, source, records, formats, book.base_1904)
        for name, records in zip(names, book.sheets, strict=True)
        if records is not None
    }


def _formats(book: BookRecords) -> list[Format]:
    """Return the number format of every cell format in order."""
    codes = BUILT_IN | dict.fromkeys(_DATES_BY_LANGUAGE, "yyyy-mm-dd") | book.codes
    return [compiled(codes.get(each, "General")) for each in book.formats]


def _agree(value: Any, number: float, *, base_1904: bool) -> bool:
    """Say whether the library's value is this number; its dates are days since the first one."""
    if isinstance(value, bool):
        return False
    if isinstance(value, int | float):
        return value == number or (isnan(value) and isnan(number))
    if isinstance(value, time):
        value = timedelta(
            hours=value.hour,
            minutes=value.minute,
            seconds=value.second,
            microseconds=value.microsecond,
        )
    elif isinstance(value, date):
        moment = value if isinstance(value, datetime) else datetime.combine(value, time())
        value = moment - _first_day(moment, base_1904=base_1904)
    return isinstance(value, timedelta) and abs(value / _DAY - number) < _MOMENT


def _first_day(moment: datetime, *, base_1904: bool) -> datetime:
    """Return day 0; ECMA-376 18.17.4.1: the 1900 base counts a 29 February that never was."""
    if base_1904:
        return datetime(1904, 1, 1)
    return datetime(1899, 12, 30 if moment >= datetime(1900, 3, 1) else 31)


def _clash(stored: str, value: Any) -> Shown:
    found = value.text if isinstance(value, Shown) else str(value) or "blank"
    return Shown(f"of two readings that differ: {stored} and {found}", ERROR)
