"""Workbooks of other programs: the old binary .xls, and OpenDocument .ods, through python-calamine.

That library gives stored values, not what was shown. Of an .ods the file itself tells the rest; in
an .xls a code kept as a number with leading zeros in its format has lost them, and hidden rows and
columns cannot be told. Both are said.
"""

from __future__ import annotations

import io
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from importers import magic
from importers.limits import Limits, refuse
from importers.ole import check_chains
from importers.raw import (
    DATE,
    EMPTY,
    ERROR,
    LOST_DIGITS,
    NUMBER,
    TEXT,
    RawFile,
    RawRow,
    RawSheet,
    Source,
)
from importers.readers.ods_shown import OdsSheet, ods_sheets
from importers.readers.references import hidden_said
from importers.rows import Profile, ReaderError, column_letters

_SAID_OF_XLS = (
    "numbers are read as stored, not as shown: leading zeros that only the format shows are gone",
    "hidden rows and columns cannot be told in this kind of file: they are read like the others",
)
_SAID_OF_ODS = "numbers are read as stored, codes with leading zeros as shown"
_DIGITS = Decimal(10) ** 15


class OtherWorkbook:
    """Reads the visible sheets of .xls and .ods."""

    name = "workbook (.xls, .ods)"
    grows = True

    def recognizes(self, source: Source) -> bool:
        """Say whether the bytes are a binary workbook or an OpenDocument spreadsheet."""
        return magic.is_xls(source.data) or magic.is_ods(source.data)

    def read(self, source: Source, profiles: tuple[Profile, ...], limits: Limits) -> RawFile:
        """Return the visible sheets; hidden ones are named in `skipped`."""
        if magic.is_ods(source.data):
            # This also refuses broken XML, of which the library would wait for the end.
            told, said = ods_sheets(source, limits), [_SAID_OF_ODS]
        else:
            check_chains(source)
            told, said = {}, list(_SAID_OF_XLS)
        book = _opened(source)
        found = RawFile(self.name, [], assumptions=said)
        for meta in book.sheets_metadata:
            if not str(meta.typ).endswith("WorkSheet"):
                continue
            if not str(meta.visible).endswith("Visible"):
                found.skipped.append(f'hidden sheet "{meta.name}" is not read')
                continue
            sheet = _sheet(book, meta.name, source, limits)
            found.sheets.append(sheet)
            found.skipped += _apply(told.get(meta.name, OdsSheet()), sheet)
        if not found.sheets:
            raise ReaderError(
                "the workbook has no visible sheet with cells",
                place=source.name,
                hint="unhide the sheet that holds the list",
            )
        return found


def _apply(told: OdsSheet, sheet: RawSheet) -> list[str]:
    """Take what is hidden out of a sheet, give codes their zeros, and say what was left out."""
    hidden = told.hidden_rows(sheet.rows[-1].number if sheet.rows else 0)
    width = max((len(row.cells) for row in sheet.rows), default=0)
    columns, held = told.hidden_columns(width), set()
    for row in sheet.rows:
        for index in columns:
            if row.number not in hidden and row.cell(index).strip():
                held.add(index)
                row.cells[index] = ""
                row.kinds = row.kinds[:index] + EMPTY + row.kinds[index + 1 :]
    by_number = {row.number: row for row in sheet.rows}
    for (number, index), shown in told.padded.items():
        padded = by_number.get(number)
        if padded is not None and padded.kind(index) == NUMBER:
            whole = padded.cells[index]
            padded.cells[index] = shown if whole == shown.lstrip("0") else whole
    left_out = [row.number for row in sheet.rows if row.number in hidden]
    sheet.rows = [row for row in sheet.rows if row.number not in hidden]
    return hidden_said(sheet.name, left_out, held)


def _opened(source: Source) -> Any:
    import python_calamine

    try:
        return python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(source.data))
    except (python_calamine.CalamineError, OSError, ValueError) as error:
        raise _damaged(source, "", error) from error


def _sheet(book: Any, name: str, source: Source, limits: Limits) -> RawSheet:
    import python_calamine

    try:
        sheet = book.get_sheet_by_name(name)
        start = sheet.start
        values = sheet.to_python(skip_empty_area=False) if start else []
    except (python_calamine.CalamineError, OSError, ValueError) as error:
        raise _damaged(source, f' in sheet "{name}"', error) from error
    place = f"{source.name} {name}"
    if len(values) > limits.rows:
        raise refuse("rows", len(values), limits.rows, place=place)
    if values and len(values[0]) > limits.columns:
        raise refuse("columns", len(values[0]), limits.columns, place=place)
    rows = [_row(number, each, place, limits) for number, each in enumerate(values, start=1)]
    merges = [(a + 1, b, c + 1, d) for (a, b), (c, d) in sheet.merged_cell_ranges or ()]
    return RawSheet(name, [row for row in rows if any(map(str.strip, row.cells))], merges)


def _row(number: int, values: list[Any], place: str, limits: Limits) -> RawRow:
    row = RawRow(number, [])
    kinds: list[str] = []
    for index, value in enumerate(values):
        text, kind, exact = _cell(value)
        if len(text) > limits.cell_chars:
            where = f"{place}!{column_letters(index)}{number}"
            raise refuse("cell_chars", len(text), limits.cell_chars, place=where)
        row.cells.append(text)
        kinds.append(kind)
        if exact:
            row.exact[index] = exact
    row.kinds = "".join(kinds)
    return row


def _cell(value: Any) -> tuple[str, str, str]:
    """Return the text, kind and exact value of a cell."""
    if isinstance(value, str):
        is_error = value.startswith("#") and value.rstrip("!?/0A").isupper()
        return value, (ERROR if is_error else TEXT if value.strip() else EMPTY), ""
    if isinstance(value, bool):
        return ("TRUE" if value else "FALSE"), TEXT, ""
    if isinstance(value, (int, float)):
        return (*_number(value), "")
    if isinstance(value, (datetime, date)):
        day = value.date() if isinstance(value, datetime) else value
        return day.isoformat(), DATE, day.isoformat()
    if isinstance(value, (time, timedelta)):
        return str(value), DATE, ""
    return str(value), TEXT, ""


def _number(value: int | float) -> tuple[str, str]:
    """Return a number with at most 15 digits, as a spreadsheet keeps it."""
    exact = Decimal(repr(value)) if isinstance(value, float) else Decimal(value)
    if not exact.is_finite():
        return str(value), ERROR
    if abs(exact) >= _DIGITS:
        return f"{exact:.6E}", LOST_DIGITS
    rounded = Decimal(f"{exact:.15g}")
    text = f"{rounded:f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text), NUMBER


def _damaged(source: Source, where: str, error: Exception) -> ReaderError:
    return ReaderError(
        f"the workbook is damaged or protected{where} ({error})",
        place=source.name,
        hint="open it in a spreadsheet program and save it as .xlsx",
    )
