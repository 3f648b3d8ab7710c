"""The question sheet to send to a supplier: CSV, XLSX, or a page to print; worst first."""

from __future__ import annotations

import io
from collections.abc import Sequence
from html import escape
from typing import Any

from partsdb.errors import UsageError
from partsdb.render.output import csv_text, plain

# The columns to be filled in come last; the others say what the answer is about.
TO_FILL = ("answer", "document", "valid_until", "evidence")
COLUMNS = (
    "supplier", "place", "code", "maker", "number", "role", "description", "replaces", "about",
    "question", "why", *TO_FILL,
)  # fmt: skip
_SHOWN = ("place", "code", "description", "replaces", "question", "why", *TO_FILL[:3])
_WIDTHS = {"description": 40, "question": 45, "why": 45, "answer": 30, "document": 30}
_HOW = (
    "Please answer every line in the column answer, name the document that shows it in the column "
    "document and send it with the sheet. Pressures with their unit; materials with their grade."
)
SUFFIXES = (".csv", ".xlsx", ".html")


def question_rows(answer: object) -> list[dict[str, Any]]:
    """Return one row per question with empty cells to fill in."""
    facts: dict[str, Any] = plain(answer)
    return [
        {name: each.get(name, "") for name in COLUMNS} | {"supplier": facts["supplier"]}
        for each in facts["asked"]
    ]


def question_sheet(answer: object, suffix: str) -> bytes:
    """Return the sheet in the format of a file's suffix; raises UsageError for another."""
    rows = question_rows(answer)
    if suffix == ".csv":
        return (csv_text(rows or [dict.fromkeys(COLUMNS, "")]) + "\n").encode("utf-8-sig")
    if suffix == ".xlsx":
        return _workbook(rows)
    if suffix == ".html":
        return _page(plain(answer), rows).encode("utf-8")
    raise UsageError(
        f"a question sheet cannot be {suffix or 'a file without a suffix'}",
        hint=f"end the file's name in {', '.join(SUFFIXES)}",
    )


def _workbook(rows: Sequence[dict[str, Any]]) -> bytes:
    from openpyxl import Workbook
    from openpyxl.styles import Alignment, Font, PatternFill

    book = Workbook()
    sheet = book.active
    sheet.title = "Questions"
    sheet.append(COLUMNS)
    for row in rows:
        sheet.append([None] * len(COLUMNS))
        for at, name in enumerate(COLUMNS, start=1):
            cell = sheet.cell(sheet.max_row, at)
            cell.value, cell.data_type = row[name], "s"  # text: no cell can run as a formula
            cell.alignment = Alignment(wrap_text=True, vertical="top")
            if name in TO_FILL:
                cell.fill = PatternFill("solid", start_color="FFF6D5")
    for at, name in enumerate(COLUMNS, start=1):
        sheet.cell(1, at).font = Font(bold=True)
        letter = sheet.cell(1, at).column_letter
        sheet.column_dimensions[letter].width = _WIDTHS.get(name, 16)
    sheet.freeze_panes = "A2"
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


_STYLE = """
body { font: 10pt/1.4 sans-serif; margin: 2em; color: #000; background: #fff; }
h1 { font-size: 15pt; } table { border-collapse: collapse; width: 100%; }
thead { display: table-header-group; } tr { break-inside: avoid; }
th, td { border: 1px solid #777; padding: .2em .4em; text-align: left; vertical-align: top; }
th { background: #eee; } td.fill { min-width: 9em; height: 2.4em; }
@media print { @page { size: A4 landscape; } body { margin: 0; } }
"""


def _page(facts: dict[str, Any], rows: Sequence[dict[str, Any]]) -> str:
    head = "".join(f"<th>{escape(name.replace('_', ' '))}</th>" for name in _SHOWN)
    body = "".join(
        "<tr>"
        + "".join(
            f"<td{' class=fill' if name in TO_FILL else ''}>{escape(str(row[name]))}</td>"
            for name in _SHOWN
        )
        + "</tr>"
        for row in rows
    )
    title = escape(f"Questions about {facts['file']}")
    supplier = escape(facts["supplier"] or "supplier not said")
    return (
        f"<!doctype html><html lang='en'><head><meta charset='utf-8'><title>{title}</title>"
        f"<style>{_STYLE}</style></head><body><h1>{title}</h1><p>To: {supplier}</p>"
        f"<p>{escape(_HOW)}</p><table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
        "<p>Answered by: ______________________ on: ______________</p></body></html>\n"
    )
