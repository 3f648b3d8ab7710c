"""Rows as a sheet to be filled in: CSV that a spreadsheet opens as UTF-8, or a workbook."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from partsdb.render.export import write_export


def write_sheet(path: Path, rows: Sequence[Mapping[str, Any]], columns: Sequence[str]) -> None:
    """Write the rows to a .csv or .xlsx file, the header always, every cell as text.

    Raises UsageError for another kind of file or a place that cannot be written.
    """
    texts = [{name: str(row.get(name, "")) for name in columns} for row in rows]
    write_export(path, texts, columns=columns, title="questions")
