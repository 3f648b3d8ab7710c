"""Rows as a sheet to be filled in: CSV that a spreadsheet opens as UTF-8, or a workbook."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from partsdb.errors import UsageError
from partsdb.render.output import csv_text

_WIDEST = 60


def write_sheet(path: Path, rows: Sequence[Mapping[str, Any]], columns: Sequence[str]) -> None:
    """Write the rows to a .csv or .xlsx file, the header always.

    Raises UsageError for another kind of file or a place that cannot be written.
    """
    kind = path.suffix.casefold()
    if kind not in (".csv", ".xlsx"):
        raise UsageError(f"{path.name} is neither .csv nor .xlsx", hint="name the file so")
    try:
        if kind == ".csv":
            text = csv_text(rows) or ",".join(columns)
            path.write_text(f"{text}\n", encoding="utf-8-sig", newline="")
        else:
            _write_book(path, rows, columns)
    except OSError as error:
        raise UsageError(f"{path} cannot be written: {error.strerror}") from None


def _write_book(path: Path, rows: Sequence[Mapping[str, Any]], columns: Sequence[str]) -> None:
    from openpyxl import Workbook
    from openpyxl.cell import WriteOnlyCell
    from openpyxl.utils import get_column_letter

    book = Workbook(write_only=True)
    sheet = book.create_sheet("questions")
    sheet.freeze_panes = "A2"
    for number, column in enumerate(columns, start=1):
        longest = max((len(str(row.get(column, ""))) for row in rows), default=0)
        width = min(max(longest, len(column)) + 2, _WIDEST)
        sheet.column_dimensions[get_column_letter(number)].width = width
    for values in (columns, *([row.get(column, "") for column in columns] for row in rows)):
        cells = []
        for value in values:
            cell = WriteOnlyCell(sheet, value="")
            # As text, so that no code becomes a number, a date or a formula.
            cell.value, cell.data_type, cell.number_format = str(value), "s", "@"
            cells.append(cell)
        sheet.append(cells)
    book.save(path)
