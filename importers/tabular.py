"""A shop's own tables: exact headers, every column known, every row with its number."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path

from importers import magic
from importers.decoding import decode
from importers.limits import DEFAULT, refuse
from importers.raw import DATE, RawRow, Source
from importers.rows import ReaderError
from importers.source import load, reader_for

_MARKS = (",", ";", "\t")
_NAMED = 20


def read_table(
    path: Path | str,
    required: tuple[str, ...],
    optional: tuple[str, ...] = (),
    *,
    workbook: bool = False,
) -> list[tuple[int, dict[str, str]]]:
    """Return the rows of a CSV file as (1-based row number, header -> stripped cell).

    The header is row 1. Raises ReaderError for a missing, unknown or doubled column, for a row
    with more cells than the header, and for a file that is no text. Optional columns that the
    file does not have read as "". With `workbook` the first sheet of an XLSX file will do as well.
    """
    source = load(Path(path), DEFAULT)
    if workbook and source.data.startswith(magic.ZIP):
        records = _sheet(source)
    else:
        _refuse_foreign(source)
        text = decode(source, ()).text
        records = list(enumerate(_parse(text, _mark(text), source.name), start=1))
    header = [cell.strip() for cell in records[0][1]] if records else []
    _check_header(header, required, optional, source.name)
    blank = dict.fromkeys((*required, *optional), "")
    filled = [(number, cells) for number, cells in records[1:] if any(map(str.strip, cells))]
    _check_rows(filled, header, source.name)
    return [
        (number, blank | dict(zip(header, map(str.strip, cells), strict=False)))
        for number, cells in filled
    ]


def table_header(path: Path | str) -> list[str]:
    """Return the columns that a CSV file names, [] when it is empty; raises as `read_table`."""
    source = load(Path(path), DEFAULT)
    _refuse_foreign(source)
    text = decode(source, ()).text
    records = list(_parse(text, _mark(text), source.name))
    return [cell.strip() for cell in records[0]] if records else []


def _sheet(source: Source) -> list[tuple[int, list[str]]]:
    """Return the rows of a workbook's first sheet; a date as ISO text, whatever it is shown as."""
    sheets = reader_for(source).read(source, (), DEFAULT).sheets
    return [(row.number, _cells(row)) for row in (sheets[0].rows if sheets else ())]


def _cells(row: RawRow) -> list[str]:
    cells = [
        row.exact.get(index, cell) if row.kind(index) == DATE else cell
        for index, cell in enumerate(row.cells)
    ]
    while cells and not cells[-1].strip():  # a sheet is as wide as its widest row
        cells.pop()
    return cells


def _refuse_foreign(source: Source) -> None:
    found = magic.foreign(source.data)
    if source.data.startswith(magic.ZIP):
        found = ("a workbook or a zip archive", "save the table as CSV UTF-8")
    if found:
        raise ReaderError(
            f"the file is {found[0]}, not a CSV file", place=source.name, hint=found[1]
        )


def _mark(text: str) -> str:
    """Return the delimiter: the one that the header row has most of."""
    header = text.lstrip("\r\n").splitlines()[:1]
    return max(_MARKS, key=header[0].count) if header else ","


def _parse(text: str, mark: str, name: str) -> list[list[str]]:
    parser = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    records: list[list[str]] = []
    try:
        for record in parser:
            records.append(record)
            if len(records) > DEFAULT.rows:
                raise refuse("rows", len(records), DEFAULT.rows, place=name)
    except csv.Error as error:
        raise ReaderError(
            f"the quotation marks do not add up ({error})",
            place=f"{name} line {parser.line_num}",
            hint='a quotation mark inside a quoted cell is written twice ("")',
        ) from error
    return records


def _check_header(
    header: Sequence[str], required: tuple[str, ...], optional: tuple[str, ...], name: str
) -> None:
    known = {*required, *optional}
    missing = [column for column in required if column not in header]
    unknown = [column for column in header if column not in known]
    doubled = sorted({column for column in header if header.count(column) > 1})
    faults = [
        f"{what} {', '.join(repr(column) for column in columns)}"
        for what, columns in (
            ("lacks the column", missing),
            ("has the unknown column", unknown),
            ("has twice the column", doubled),
        )
        if columns
    ]
    if faults:
        wanted = ",".join(required)
        rest = f"; it may also have {','.join(optional)}" if optional else ""
        raise ReaderError(
            f"the header {' and '.join(faults)}",
            place=f"{name} row 1",
            hint=f"the header must be {wanted}{rest}",
        )


def _check_rows(rows: Sequence[tuple[int, list[str]]], header: Sequence[str], name: str) -> None:
    """Refuse the table when rows have more cells than the header, and name them all."""
    long = [
        (number, cells)
        for number, cells in rows
        if len(cells) > len(header) and any(map(str.strip, cells[len(header) :]))
    ]
    if not long:
        return
    number, cells = long[0]
    others = ", ".join(str(number) for number, _ in long[1:_NAMED])
    more = f"; so it is with row {others}" if others else ""
    more += f" and {len(long) - _NAMED} more" if len(long) > _NAMED else ""
    raise ReaderError(
        f"the row has {len(cells)} cells, the header {len(header)}{more}",
        place=f"{name} row {number}",
        hint="put a cell that holds the delimiter into quotation marks",
    )
