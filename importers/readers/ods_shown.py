"""What an OpenDocument sheet shows and hides, beyond the values that python-calamine gives.

Rows and columns are hidden by their visibility, by a filter, or in a group that is folded; a
number shows what its format puts around it: leading zeros, a currency, a unit (ODF 1.2 part 1, 9.1
and 19).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

from importers.limits import Limits
from importers.nesting import bounded_parser
from importers.raw import NUMBER, Source
from importers.readers.shown import Shown, plain
from importers.readers.xlsx_parts import Book, check_archive, parse_part

PART = "content.xml"
_NAMES = "urn:oasis:names:tc:opendocument:xmlns"
_TABLE, _TEXT = f"{_NAMES}:table:1.0 ", f"{_NAMES}:text:1.0 "
_HIDDEN = ("collapse", "filter")
# A figure as a format lays it out, with what stands before and behind it: "$12.50", "250 bar".
_FIGURE = re.compile(r"([^0-9%()]*)([0-9](?:[0-9.,'\u2019\u00a0\u202f ]*[0-9])?)([^0-9%()]*)")
# What a number shows whose format adds nothing that its value has not.
_PLAIN = re.compile(r"-?(?:[1-9][0-9.,]*|0(?:[.,][0-9]*)?)?")
_MOST_ALIKE = 1000  # cells of one element, repeated: more of them are no articles
_GROUPS = (f"{_TABLE}table-row-group", f"{_TABLE}table-column-group")
_ASIDE = (f"{_NAMES}:office:1.0 annotation", f"{_NAMES}:drawing:1.0 frame")
_OFFICE = f"{_NAMES}:office:1.0 "
_NUMBERS = ("float", "currency")
_CELLS = (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell")


@dataclass(slots=True)
class OdsSheet:
    """What one sheet hides: first and last rows from 1, columns from 0.

    `shown` are numbers as their formats show them, by row from 1 and column from 0, each with the
    currency that the file names for it.
    """

    name: str = ""
    rows: list[tuple[int, int]] = field(default_factory=list)
    columns: list[tuple[int, int]] = field(default_factory=list)
    shown: dict[tuple[int, int], tuple[str, str]] = field(default_factory=dict)

    def show(self, values: list[list[Any]]) -> list[str]:
        """Put what the formats show in the place of the numbers; nothing is to be said of it."""
        for (number, column), (text, currency) in self.shown.items():
            row = values[number - 1] if number <= len(values) else []
            value = row[column] if column < len(row) else ""
            if isinstance(value, int | float) and not isinstance(value, bool):
                row[column] = _formatted(plain(value), text, currency)
        return []

    def hidden_rows(self, last: int) -> set[int]:
        """Return the numbers of the hidden rows up to the last one."""
        return {n for a, b in self.rows for n in range(a, min(b, last) + 1)}

    def hidden_columns(self, count: int) -> set[int]:
        """Return the places of the hidden ones of so many columns."""
        return {n for a, b in self.columns for n in range(a, min(b + 1, count))}


def _formatted(stored: Shown, text: str, currency: str) -> Shown:
    """Return a stored number with what its format shows around it, a currency at the least.

    The stored digits stay, for what is shown may be rounded; leading zeros are shown alone.
    """
    found = _FIGURE.fullmatch(text.replace("\u2212", "-"))
    if stored.kind != NUMBER or found is None:
        return stored
    before, figure, after = found.groups()
    digits = stored.text
    if digits.startswith("-"):
        before = before.removeprefix("-").removesuffix("-")
    if figure.isdecimal() and figure.startswith("0") and figure.lstrip("0") == digits:
        digits = figure
    if currency and not (before.strip() or after.strip()):
        after = f" {currency}"
    return Shown(f"{before}{digits}{after}".strip(), NUMBER)


def ods_sheets(source: Source, limits: Limits) -> dict[str, OdsSheet]:
    """Return name -> what is hidden and shown; raise ReaderError when the XML is broken."""
    book, content = Book(source.name, check_archive(source, limits)), _Content()
    place = f"{source.name} ({PART})"
    parser = bounded_parser(limits, place=place, start=content.start, end=content.end)
    parser.CharacterDataHandler = content.characters
    parse_part(book, PART, parser)
    return content.sheets


class _Content:
    """Takes the elements of the content part and counts rows and columns as they are repeated."""

    def __init__(self) -> None:
        self.sheets: dict[str, OdsSheet] = {}
        self.sheet = OdsSheet()
        self.inside = 0  # tables that are open: one in a cell is no sheet
        self.row = self.column = 0
        self.row_count = self.column_count = 1
        self.folded: list[bool] = []
        self.paragraphs = self.asides = 0
        self.text: list[str] = []
        self.currency = ""
        self.is_number = False

    def start(self, name: str, attrs: dict[str, str]) -> None:
        """Take the start of an element."""
        if name == f"{_TABLE}table":
            self._start_table(attrs)
        elif self.inside != 1:
            return
        elif name in _CELLS:
            self.column_count = _repeated(attrs, "columns")
            self.text = []
            self.currency = attrs.get(f"{_OFFICE}currency", "")
            self.is_number = attrs.get(f"{_OFFICE}value-type") in _NUMBERS
        elif name in _ASIDE:
            self.asides += 1
        elif name == f"{_TEXT}p":
            self.paragraphs += 1
        elif name == f"{_TABLE}table-row":
            self.column, self.row_count = 0, _repeated(attrs, "rows")
            if self._is_hidden(attrs):
                self.sheet.rows.append((self.row + 1, self.row + self.row_count))
        elif name == f"{_TABLE}table-column":
            count = _repeated(attrs, "columns")
            if self._is_hidden(attrs):
                self.sheet.columns.append((self.column, self.column + count - 1))
            self.column += count
        elif name in _GROUPS:
            self.folded.append(attrs.get(f"{_TABLE}display") == "false")

    def end(self, name: str) -> None:
        """Take the end of an element."""
        if name == f"{_TABLE}table":
            self.inside -= 1
        elif self.inside != 1:
            return
        elif name in _CELLS:
            self._end_cell()
        elif name in _ASIDE:
            self.asides -= 1
        elif name == f"{_TEXT}p":
            self.paragraphs -= 1
        elif name == f"{_TABLE}table-row":
            self.row += self.row_count
        elif name in _GROUPS:
            self.folded.pop()

    def characters(self, text: str) -> None:
        """Take text; only that of a cell's paragraphs is shown in it."""
        if self.paragraphs and self.inside == 1 and not self.asides:
            self.text.append(text)

    def _start_table(self, attrs: dict[str, str]) -> None:
        self.inside += 1
        if self.inside == 1:
            name = attrs.get(f"{_TABLE}name", "")
            self.sheet = self.sheets[name] = OdsSheet(name)
            self.row = self.column = 0

    def _is_hidden(self, attrs: dict[str, str]) -> bool:
        return attrs.get(f"{_TABLE}visibility") in _HIDDEN or any(self.folded)

    def _end_cell(self) -> None:
        shown = "".join(self.text)
        if self.is_number and (self.currency or not _PLAIN.fullmatch(shown)):
            columns, rows = self.column_count, self.row_count
            most = _MOST_ALIKE // max(columns, 1)
            for row in range(self.row + 1, self.row + 1 + min(rows, most)):
                for column in range(self.column, self.column + columns):
                    self.sheet.shown[row, column] = shown, self.currency
        self.column += self.column_count


def _repeated(attrs: dict[str, str], what: str) -> int:
    return int(attrs.get(f"{_TABLE}number-{what}-repeated", "1"))
