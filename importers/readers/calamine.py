"""Workbooks of other programs: the old binary .xls, and OpenDocument .ods, through python-calamine.

That library gives stored values, not what was shown; the file itself tells the rest.
"""

from __future__ import annotations

import io
from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from typing import Any

from importers import magic
from importers.limits import Limits, refuse
from importers.ole import with_bytes, workbook_stream
from importers.raw import DATE, EMPTY, ERROR, TEXT, RawFile, RawRow, RawSheet, Source
from importers.readers.biff import UNICODE, wrong_code_page
from importers.readers.ods_shown import OdsSheet, ods_sheets
from importers.readers.references import hidden_said
from importers.readers.shown import Shown, plain
from importers.readers.xls_shown import XlsSheet, xls_sheets
from importers.rows import Profile, ReaderError, column_letters

Told = OdsSheet | XlsSheet
_SAID_OF_ODS = "numbers are read as stored, with the zeros, currency and units that they show"


class OtherWorkbook:
    """Reads the visible sheets of .xls and .ods."""

    name = "workbook (.xls, .ods)"
    grows = True

    def recognizes(self, source: Source) -> bool:
        """Say whether the bytes are a binary workbook or an OpenDocument spreadsheet."""
        return magic.is_xls(source.data) or magic.is_ods(source.data)

    def read(self, source: Source, profiles: tuple[Profile, ...], limits: Limits) -> RawFile:
        """Return the visible sheets; hidden sheets, rows and columns are named in `skipped`."""
        book, told = _told(source, limits)
        found = RawFile(self.name, [])
        if magic.is_ods(source.data):
            found.assumptions.append(_SAID_OF_ODS)
        for meta in book.sheets_metadata:
            if not str(meta.typ).endswith("WorkSheet"):
                continue
            if not str(meta.visible).endswith("Visible"):
                found.skipped.append(f'hidden sheet "{meta.name}" is not read')
                continue
            sheet, said = _sheet(book, source, told[meta.name], limits)
            found.sheets.append(sheet)
            found.skipped += said
        if not found.sheets:
            raise ReaderError(
                "the workbook has no visible sheet with cells",
                place=source.name,
                hint="unhide the sheet that holds the list",
            )
        return found


def _told(source: Source, limits: Limits) -> tuple[Any, Mapping[str, Told]]:
    """Return the opened workbook, and name -> what it tells of a sheet beside the values."""
    if magic.is_ods(source.data):
        # First, for this also refuses broken XML, of which the library would wait for the end.
        sheets = ods_sheets(source, limits)
        book = _opened(source)
        return book, {name: sheets.get(name, OdsSheet(name)) for name in book.sheet_names}
    stream = workbook_stream(source)
    if (at := wrong_code_page(stream)) >= 0:
        # The library would take the halves of each letter for letters.
        source = with_bytes(source, at, UNICODE.to_bytes(2, "little"))
    book = _opened(source)
    return book, xls_sheets(source, stream, book.sheet_names)


def _leave_out(told: Told, sheet: RawSheet) -> list[str]:
    """Take what is hidden out of a sheet, and say what was left out."""
    hidden = told.hidden_rows(sheet.rows[-1].number if sheet.rows else 0)
    width = max((len(row.cells) for row in sheet.rows), default=0)
    columns, held = told.hidden_columns(width), set()
    for row in sheet.rows:
        for index in columns:
            if row.number not in hidden and row.cell(index).strip():
                held.add(index)
                row.cells[index] = ""
                row.exact.pop(index, None)
                row.kinds = row.kinds[:index] + EMPTY + row.kinds[index + 1 :]
    left_out = [row.number for row in sheet.rows if row.number in hidden]
    sheet.rows = [row for row in sheet.rows if row.number not in hidden]
    return hidden_said(sheet.name, left_out, held)


def _opened(source: Source) -> Any:
    import python_calamine

    try:
        return python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(source.data))
    except (python_calamine.CalamineError, OSError, ValueError) as error:
        raise _damaged(source, "", error) from error


def _sheet(book: Any, source: Source, told: Told, limits: Limits) -> tuple[RawSheet, list[str]]:
    """Return what a sheet shows, and what is to be said of the rest."""
    import python_calamine

    try:
        sheet = book.get_sheet_by_name(told.name)
        start = sheet.start
        values = sheet.to_python(skip_empty_area=False) if start else []
    except (python_calamine.CalamineError, OSError, ValueError) as error:
        raise _damaged(source, f' in sheet "{told.name}"', error) from error
    place = f"{source.name} {told.name}"
    if len(values) > limits.rows:
        raise refuse("rows", len(values), limits.rows, place=place)
    if values and len(values[0]) > limits.columns:
        raise refuse("columns", len(values[0]), limits.columns, place=place)
    said = told.show(values)
    rows = [_row(number, each, place, limits) for number, each in enumerate(values, start=1)]
    merges = [(a + 1, b, c + 1, d) for (a, b), (c, d) in sheet.merged_cell_ranges or ()]
    raw = RawSheet(told.name, [row for row in rows if any(map(str.strip, row.cells))], merges)
    return raw, said + _leave_out(told, raw)


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
        value = plain(value)
    if isinstance(value, Shown):
        return value.text, value.kind, value.exact
    if isinstance(value, (datetime, date)):
        day = value.date() if isinstance(value, datetime) else value
        return day.isoformat(), DATE, day.isoformat()
    if isinstance(value, (time, timedelta)):
        return str(value), DATE, ""
    return str(value), TEXT, ""


def _damaged(source: Source, where: str, error: Exception) -> ReaderError:
    return ReaderError(
        f"the workbook is damaged or protected{where} ({error})",
        place=source.name,
        hint="open it in a spreadsheet program and save it as .xlsx",
    )
