"""Workbooks (.xlsx, .xlsm): values as shown, nothing hidden, nothing computed.

The cells are streamed straight from the sheet's XML: that keeps the digits as stored, tells a
formula without a value from an empty cell, and sees hidden rows and merges in the same pass.
"""

from __future__ import annotations

from datetime import datetime
from decimal import DecimalException
from xml.parsers import expat

from importers import magic
from importers.limits import Limits, refuse
from importers.nesting import too_deep
from importers.raw import DATE, EMPTY, ERROR, NO_VALUE, TEXT, RawFile, RawRow, RawSheet, Source
from importers.readers import references
from importers.readers.shown import Format, Shown, show, unescaped
from importers.readers.xlsx_parts import Book, SheetPart, damaged, open_book, parse_part
from importers.rows import Profile, ReaderError, column_letters

_GENERAL = Format("general")
_TRUE = ("1", "true")


class Xlsx:
    """Reads the visible cells of the visible sheets of a workbook."""

    name = "workbook"
    grows = True

    def recognizes(self, source: Source) -> bool:
        """Say whether the bytes are a zip archive; what is in it is checked on reading."""
        is_zip = source.data.startswith((magic.ZIP, magic.EMPTY_ZIP))
        return is_zip and not magic.is_ods(source.data)

    def read(self, source: Source, profiles: tuple[Profile, ...], limits: Limits) -> RawFile:
        """Return the visible sheets; hidden sheets, rows and columns are named in `skipped`."""
        book = open_book(source, limits)
        found = RawFile(reader=self.name, sheets=[])
        if any(part.endswith("vbaProject.bin") for part in book.archive.namelist()):
            found.skipped.append("the macros of the workbook are neither read nor run")
        for part in book.sheets:
            if part.state != "visible":
                found.skipped.append(f'hidden sheet "{part.name}" is not read')
                continue
            stream = _SheetStream(book, part, limits)
            found.sheets.append(stream.read())
            found.skipped += stream.skipped()
        if not found.sheets:
            raise ReaderError(
                "the workbook has no visible sheet with cells",
                place=source.name,
                hint="unhide the sheet that holds the list",
            )
        return found


class _SheetStream:
    """Takes the events of one sheet's XML and builds its rows."""

    def __init__(self, book: Book, part: SheetPart, limits: Limits) -> None:
        self.book, self.part, self.limits = book, part, limits
        self.rows: list[RawRow] = []
        self.merges: list[tuple[int, int, int, int]] = []
        self.hidden_rows: list[int] = []
        self.hidden_columns: list[tuple[int, int]] = []
        self.columns_left_out: set[int] = set()
        self.white: list[str] = []
        self.row = RawRow(0, [])
        self.kinds: list[str] = []
        self.row_hidden = False
        self.column = -1
        self.type, self.style = "n", 0
        self.formula = self.listening = False
        self.in_row = self.in_cell = False
        self.depth = 0  # of open elements besides rows, cells and what cells always hold
        self.pieces: list[str] = []
        self.shown: dict[tuple[str, int], Shown] = {}
        self.names: dict[str, str] = {}

    def read(self) -> RawSheet:
        """Parse the sheet's part to its end."""
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.StartElementHandler, parser.EndElementHandler = self._start, self._end
        parser.CharacterDataHandler = self._characters
        parse_part(self.book, self.part.part, parser)
        return RawSheet(self.part.name, self.rows, self.merges)

    def skipped(self) -> list[str]:
        """Return one sentence per kind of thing that was hidden and held cells."""
        sheet = self.part.name
        said = references.hidden_said(sheet, self.hidden_rows, self.columns_left_out)
        return said + references.white_said(sheet, self.white)

    def _start(self, name: str, attrs: dict[str, str]) -> None:
        kind = self.names.get(name)
        if kind is None:
            kind = self.names[name] = name.rpartition(" ")[2]
        if kind == "c":
            self._start_cell(attrs)
        elif kind == "v" or kind == "t":
            if self.listening:
                raise self._nested(kind)
            self.listening = True
        elif kind == "row":
            self._start_row(attrs)
        else:
            self._start_other(kind, attrs)

    def _start_other(self, kind: str, attrs: dict[str, str]) -> None:
        self.depth += 1
        if self.depth > self.limits.depth:
            raise too_deep(self.limits, place=f"{self.book.name} ({self.part.part})")
        if kind == "f":
            self.formula = True
        elif kind == "rPh":
            self.type = "phonetic"
        elif kind == "mergeCell":
            self._merge(attrs.get("ref", ""))
        elif kind == "col" and _is_hidden(attrs, "width"):
            self.hidden_columns.append((int(attrs["min"]) - 1, int(attrs["max"]) - 1))

    def _start_row(self, attrs: dict[str, str]) -> None:
        number = int(attrs["r"]) if "r" in attrs else self.row.number + 1
        if number <= self.row.number:
            raise damaged(self._place(), f"row {number} comes after row {self.row.number}")
        if self.in_row:
            raise self._nested("row")
        self.in_row = True
        self.row, self.kinds, self.column = RawRow(number, []), [], -1
        self.row_hidden = _is_hidden(attrs, "ht")

    def _start_cell(self, attrs: dict[str, str]) -> None:
        if self.in_cell:
            raise self._nested("c")
        self.in_cell = True
        ref = attrs.get("r")
        self.column = references.column(ref) if ref else self.column + 1
        self.type = attrs.get("t", "n")
        self.style = int(attrs.get("s", 0))
        self.formula = False
        self.pieces = []

    def _characters(self, text: str) -> None:
        if self.listening and self.type != "phonetic":
            self.pieces.append(text)

    def _end(self, name: str) -> None:
        kind = self.names[name]
        if kind == "c":
            self.in_cell = False
            if self.pieces or self.formula:
                self._end_cell("".join(self.pieces))
        elif kind == "v" or kind == "t":
            self.listening = False
        elif kind == "row":
            self.in_row = False
            self._end_row()
        else:
            self.depth -= 1
            if kind == "rPh":
                self.type = "inlineStr"

    def _end_cell(self, stored: str) -> None:
        shown = self._shown(stored)
        if shown.kind == EMPTY:
            return
        index = self.column
        if self.style in self.book.white:
            self.white.append(f"{column_letters(index)}{self.row.number}")
            return
        hidden = self.hidden_columns
        if hidden and any(first <= index <= last for first, last in hidden):
            self.columns_left_out.add(index)
            return
        if index >= self.limits.columns:
            raise refuse("columns", index + 1, self.limits.columns, place=self._place())
        if len(shown.text) > self.limits.cell_chars:
            place = self._place()
            raise refuse("cell_chars", len(shown.text), self.limits.cell_chars, place=place)
        gap = index - len(self.row.cells)
        if gap < 0:
            raise damaged(self._place(), "two cells claim the same place or stand out of order")
        if gap:
            self.row.cells += [""] * gap
            self.kinds += [EMPTY] * gap
        self.row.cells.append(shown.text)
        self.kinds.append(shown.kind)
        if shown.exact:
            self.row.exact[index] = shown.exact

    def _shown(self, stored: str) -> Shown:
        kind = self.type
        if kind == "s":
            return _text(self._shared(stored))
        if kind == "n":
            return self._number(stored)
        if kind in ("str", "inlineStr"):
            return _text(unescaped(stored))
        if kind == "e":
            return Shown(stored, ERROR)
        if kind == "b":
            return Shown("TRUE" if stored in _TRUE else "FALSE", TEXT)
        if kind == "d":
            return _iso_date(stored)
        return _text(stored)

    def _shared(self, stored: str) -> str:
        try:
            return self.book.strings[int(stored)]
        except (IndexError, ValueError) as error:
            raise damaged(self._place(), "a cell refers to a text that is missing") from error

    def _number(self, stored: str) -> Shown:
        if not stored:
            return Shown("", NO_VALUE if self.formula else EMPTY)
        known = self.shown.get((stored, self.style))
        if known:
            return known
        formats = self.book.formats
        form = formats[self.style] if 0 <= self.style < len(formats) else _GENERAL
        try:
            shown = show(stored, form, base_1904=self.book.base_1904)
        except (DecimalException, ValueError, OverflowError):
            shown = Shown(stored, ERROR)
        if len(self.shown) < 50_000:
            self.shown[stored, self.style] = shown
        return shown

    def _end_row(self) -> None:
        if not any(map(str.strip, self.row.cells)) and NO_VALUE not in self.kinds:
            return
        if self.row_hidden:
            self.hidden_rows.append(self.row.number)
            return
        self.row.kinds = "".join(self.kinds)
        self.rows.append(self.row)
        if len(self.rows) > self.limits.rows:
            place = f"{self.book.name} {self.part.name}"
            raise refuse("rows", len(self.rows), self.limits.rows, place=place)

    def _merge(self, ref: str) -> None:
        if found := references.area(ref):
            self.merges.append(found)

    def _nested(self, kind: str) -> ReaderError:
        return damaged(self._place(), f"an element <{kind}> stands in another one of its kind")

    def _place(self) -> str:
        letters = column_letters(self.column) if self.column >= 0 else ""
        return f"{self.book.name} {self.part.name}!{letters}{self.row.number}"


def _is_hidden(attrs: dict[str, str], measure: str) -> bool:
    """Say whether nothing of a row or column can be seen: marked so, or of no height or width.

    ECMA-376 part 1, 18.3.1.73 (row: ht) and 18.3.1.13 (col: width); from memory.
    """
    if attrs.get("hidden") in _TRUE:
        return True
    size = attrs.get(measure)
    return size is not None and not size.strip("0.")


def _text(text: str) -> Shown:
    return Shown(text, TEXT if text.strip() else EMPTY)


def _iso_date(stored: str) -> Shown:
    try:
        return Shown(stored, DATE, datetime.fromisoformat(stored).date().isoformat())
    except ValueError:
        return Shown(stored, ERROR)
