"""Any answer's rows as a file that a spreadsheet opens cleanly: .xlsx, or .csv with its mark."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from partsdb.errors import UsageError
from partsdb.render.output import csv_text, plain
from partsdb.rules.spreadsheet import is_altered

_WIDEST = 60
_LONGEST = 32_767  # characters that a cell may hold (ECMA-376)
# The columns in which rows of whatever answer hold codes and numbers of articles.
_HOLDS_CODES = re.compile(
    r"(?:^|[_ ])(?:code|number|part|article|replaces|ean|serial|lot|label)s?(?:$|[_ ])"
)
_NOT_IN_XML = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")


def write_export(
    path: Path,
    rows: Sequence[Mapping[str, Any]],
    *,
    columns: Sequence[str] = (),
    title: str = "answer",
) -> int:
    """Write the rows to a .xlsx or .csv file and return how many there are.

    `columns` are those of the header, else all that the rows have.

    Codes and all other text are text cells, so that none becomes a number, a date or a formula;
    only numbers are numbers. Raises UsageError for another kind of file or an unwritable place.
    """
    kind = path.suffix.casefold()
    if kind not in (".csv", ".xlsx"):
        raise UsageError(f"{path.name} is neither .xlsx nor .csv", hint="name the file so")
    if not path.parent.is_dir():
        why = f"{path.name} cannot be written: there is no folder {path.parent}"
        raise UsageError(why, hint="make it, or name another place")
    try:
        if kind == ".csv":
            text = csv_text(rows) or ",".join(columns)
            path.write_text(f"{text}\n", encoding="utf-8-sig", newline="")
        else:
            columns = columns or list(dict.fromkeys(key for row in rows for key in row))
            _write_book(path, rows, columns, title)
    except OSError as error:
        why = error.strerror or str(error)
        raise UsageError(f"{path} cannot be written: {why}", hint="name another place") from None
    return len(rows)


def codes_at_risk(path: Path, rows: Sequence[Mapping[str, Any]]) -> str:
    """Return the sentence on codes in a .csv that a spreadsheet shows otherwise, "" for none.

    Plain CSV cannot say that a cell is text.
    """
    if path.suffix.casefold() != ".csv":
        return ""
    codes = [
        text
        for row in rows
        for key, value in row.items()
        if _HOLDS_CODES.search(key) and is_altered(text := _text(value))
    ]
    if not codes:
        return ""
    more = len(set(codes)) - 1
    named = f"{codes[0]} and {more} more codes" if more > 1 else " and ".join(dict.fromkeys(codes))
    return (
        f"a spreadsheet that opens {path.name} turns {named} into numbers or dates, which CSV "
        f"cannot prevent: name the file {path.stem}.xlsx to keep codes as text"
    )


def _write_book(
    path: Path, rows: Sequence[Mapping[str, Any]], columns: Sequence[str], title: str
) -> None:
    from openpyxl import Workbook
    from openpyxl.utils import get_column_letter

    book = Workbook(write_only=True)
    sheet = book.create_sheet(title)
    sheet.freeze_panes = "A2"
    for number, column in enumerate(columns, start=1):
        longest = max((len(str(row.get(column, ""))) for row in rows), default=0)
        width = min(max(longest, len(column)) + 2, _WIDEST)
        sheet.column_dimensions[get_column_letter(number)].width = width
    for values in (columns, *([row.get(column) for column in columns] for row in rows)):
        sheet.append([_cell(sheet, value) for value in values])
    book.save(path)


def _cell(sheet: Any, value: Any) -> Any:
    from openpyxl.cell import WriteOnlyCell

    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return WriteOnlyCell(sheet, value=value)
    cell = WriteOnlyCell(sheet, value="")
    if text := _text(value):
        cell.value, cell.data_type, cell.number_format = text, "s", "@"
    return cell


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, (list, tuple)):
        return "; ".join(_text(each) for each in value)
    return _NOT_IN_XML.sub(" ", str(plain(value)))[:_LONGEST]
