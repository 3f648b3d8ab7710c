"""Delimited text: the delimiter is the one that gives the most regular table, and is stated."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from dataclasses import dataclass
from itertools import islice

from importers import magic
from importers.decoding import decode
from importers.headings import read_heading
from importers.limits import Limits, refuse
from importers.raw import RawFile, RawRow, RawSheet, Source
from importers.rows import Profile, ReaderError
from importers.stray_quotes import with_marks_doubled

_DELIMITERS = (";", ",", "\t", "|")
_NAMES = {";": "semicolon", ",": "comma", "\t": "tab", "|": "vertical bar"}
_SAMPLE = 300
_REGULAR = 0.5
_QUOTED_START = re.compile(r'\s*"')
_NEVER = "\x1f"  # sets nothing apart in an honest text
# A quoted cell may hold line breaks, but hundreds of them are a quote that was never closed.
_MOST_LINES = 60
_FEWEST = 4  # rows, the last with the three before it, that show where a file stops
_SEP_LINE = re.compile(r"sep=(.)\r?\n", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class _Shape:
    """How regular a sample is under one delimiter; compared field by field, larger is better."""

    header_words: int
    regular: float
    columns: int


class CsvText:
    """Reads comma, semicolon, tab and bar separated text in UTF-8, UTF-16 or cp1252."""

    name = "delimited text"
    grows = False

    def recognizes(self, source: Source) -> bool:
        """Say yes to everything that is neither a zip archive nor another known kind of file."""
        zipped = source.data.startswith((magic.ZIP, magic.EMPTY_ZIP))
        return not zipped and magic.foreign(source.data) is None

    def read(self, source: Source, profiles: tuple[Profile, ...], limits: Limits) -> RawFile:
        """Return the one sheet of the file; row numbers count records, blank ones included."""
        decoded = decode(source, profiles)
        text, told = _told_delimiter(decoded.text)
        if not text.strip():
            raise ReaderError(
                "the file holds nothing but blanks", place=source.name, hint="ask for it again"
            )
        said = [decoded.assumption]
        if inner := _unwrapped(text):
            text = inner
            said.append("every line stands in quotation marks as a whole: they are taken off")
        delimiter, why = (told, "the file's first line names it") if told else ("", "")
        if not delimiter:
            delimiter, why = _settled(text, profiles) or _choose(text)
        text, stray = with_marks_doubled(text, delimiter)
        if stray:
            said.append(
                f"quotation marks within quoted cells are not doubled, line {stray} first: each is "
                "kept as it stands"
            )
        records = _records(text, delimiter, place=source.name, limits=limits)
        rows = [row for row in records if any(map(str.strip, row.cells))]
        if told:
            rows = [RawRow(row.number + 1, row.cells) for row in rows]
        stated = f"columns separated by {_NAMES.get(delimiter, repr(delimiter))}: {why}"
        return RawFile(
            reader=self.name,
            sheets=[RawSheet("", rows)],
            delimiter=delimiter,
            encoding=decoded.encoding,
            assumptions=[*said, stated],
            skipped=_cut_off(text, rows),
        )


def _cut_off(text: str, rows: list[RawRow]) -> list[str]:
    """Say that a file stops within its last line, which has no end and fewer cells."""
    if text.endswith(("\n", "\r")) or len(rows) < _FEWEST:
        return []
    widths = {len(row.cells) for row in rows[-_FEWEST:-1]}
    last = rows[-1]
    if len(widths) != 1 or len(last.cells) >= (usual := widths.pop()):
        return []
    return [
        f"the file stops within row {last.number}, at {len(last.cells)} of {usual} cells: it may "
        "be cut short; ask for it again"
    ]


def _unwrapped(text: str) -> str:
    """Return what stands inside lines that are one quoted cell each, "" where they are not.

    So a spreadsheet program writes a list that it opened as a single column.
    """
    if not _QUOTED_START.match(text):
        return ""
    lines = text.splitlines()
    filled = [line.strip() for line in lines if line.strip()]
    if not all(len(each) > 1 and each[0] == each[-1] == '"' for each in filled):
        return ""
    if any(_shape(text, mark).columns > 1 for mark in _DELIMITERS):
        return ""
    try:
        cells = [_lone_cell(line.strip()) for line in lines]
    except csv.Error:
        return ""
    inner = "\n".join(cells)
    return inner if header_words_apart(inner) else ""


def _lone_cell(line: str) -> str:
    return next(csv.reader([line], delimiter=_NEVER))[0] if line else ""


def _told_delimiter(text: str) -> tuple[str, str]:
    """Split off a first line "sep=;", which spreadsheet programs write and heed."""
    found = _SEP_LINE.match(text)
    return (text[found.end() :], found.group(1)) if found else (text, "")


def _settled(text: str, profiles: tuple[Profile, ...]) -> tuple[str, str] | None:
    """Return the delimiter of a layout that a person settled, where it gives columns at all."""
    for mark in dict.fromkeys(p.delimiter for p in profiles if p.confirmed and p.delimiter):
        shape = _shape(text, mark)
        if shape.columns > 1 and shape.regular >= _REGULAR:
            return mark, "the settled layout says so"
    return None


def _choose(text: str) -> tuple[str, str]:
    """Return the delimiter that gives the most regular table, and the reason in words."""
    shapes = {mark: _shape(text, mark) for mark in _DELIMITERS}
    best = max(
        _DELIMITERS,
        key=lambda m: (shapes[m].header_words, round(shapes[m].regular, 1), shapes[m].columns),
    )
    shape = shapes[best]
    return best, f"{shape.regular:.0%} of the rows tried have {shape.columns} columns"


def header_words_apart(text: str) -> bool:
    """Say whether some delimiter sets two known headings apart in one row."""
    return any(_shape(text, mark).header_words > 1 for mark in _DELIMITERS)


def _shape(text: str, delimiter: str) -> _Shape:
    sample = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        rows = [row for row in islice(sample, _SAMPLE) if any(row)]
    except csv.Error:
        return _Shape(0, 0.0, 1)
    widths = Counter(len(row) for row in rows if len(row) > 1)
    if not widths:
        return _Shape(0, 0.0, 1)
    columns, count = max(widths.items(), key=lambda item: (item[1], item[0]))
    return _Shape(_header_words(rows), count / len(rows), columns)


def _header_words(rows: list[list[str]]) -> int:
    """Return how many headings a row holds at most; more than two prove no more than two do."""
    most = 0
    for row in rows:
        most = max(most, sum(read_heading(cell) is not None for cell in row))
        if most > 1:
            return 2
    return most


def _records(text: str, delimiter: str, *, place: str, limits: Limits) -> list[RawRow]:
    """Parse all records, refusing what is over a limit and a quote that was never closed."""
    parser = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    rows: list[RawRow] = []
    line, swallowing = 0, re.compile(rf'"{re.escape(delimiter)}[^\n]*\n')
    try:
        for number, cells in enumerate(parser, start=1):
            rows.append(RawRow(number, cells))
            _check_size(cells, f"{place} row {number}", limits)
            if parser.line_num - line > _MOST_LINES:
                raise _unclosed(f"{place} line {line + 1}")
            if number > limits.rows:
                raise refuse("rows", number, limits.rows, place=place)
            if parser.line_num - line > 1 and any(map(swallowing.search, cells)):
                rows[-1].refused = (
                    f"a cell holds lines {line + 1} to {parser.line_num} with separators in them: "
                    'is a quotation mark (") there not doubled? what they hold cannot be told'
                )
            line_before, line = line, parser.line_num
    except csv.Error as error:
        raise _unclosed(f"{place} line {line + 1}") from error
    if rows and parser.line_num - line_before > 1:
        _refuse_open_end(text, delimiter, line_before, place=place)
    return rows


def _check_size(cells: list[str], place: str, limits: Limits) -> None:
    if len(cells) > limits.columns:
        filled = max((i + 1 for i, cell in enumerate(cells) if cell.strip()), default=0)
        if filled > limits.columns:
            raise refuse("columns", filled, limits.columns, place=place)
        del cells[filled:]
    longest = max(map(len, cells), default=0)
    if longest > limits.cell_chars:
        raise refuse("cell_chars", longest, limits.cell_chars, place=place)


def _refuse_open_end(text: str, delimiter: str, line: int, *, place: str) -> None:
    """Refuse a last record of several lines whose quote is still open at the end of the file."""
    last = "".join(islice(io.StringIO(text, newline=""), line, None))
    try:
        list(csv.reader(io.StringIO(last, newline=""), delimiter=delimiter, strict=True))
    except csv.Error as error:
        if "unexpected end" in str(error):
            raise _unclosed(f"{place} line {line + 1}") from error


def _unclosed(place: str) -> ReaderError:
    return ReaderError(
        'a cell starts with a quotation mark (") that is never closed',
        place=place,
        hint='an inch mark inside a quoted cell must be doubled (""); or save the list as .xlsx',
    )
