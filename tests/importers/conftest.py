"""Small lists written by the tests themselves."""

from __future__ import annotations

import zipfile
from collections.abc import Callable, Sequence
from pathlib import Path

import openpyxl
import pytest


@pytest.fixture
def csv_file(tmp_path: Path) -> Callable[..., Path]:
    """Return a function that writes text to list.csv."""

    def write(text: str, *, encoding: str = "utf-8", name: str = "list.csv") -> Path:
        path = tmp_path / name
        path.write_bytes(text.encode(encoding))
        return path

    return write


@pytest.fixture
def xlsx_file(tmp_path: Path) -> Callable[..., Path]:
    """Return a function that writes rows to a sheet "Prices" and lets `change` touch the workbook."""

    def write(rows: Sequence[Sequence[object]], change=None, *, name: str = "list.xlsx") -> Path:
        book = openpyxl.Workbook()
        sheet = book.active
        sheet.title = "Prices"
        for row in rows:
            sheet.append(list(row))
        if change:
            change(book)
        book.save(tmp_path / name)
        return tmp_path / name

    return write


@pytest.fixture
def edit_part() -> Callable[..., Path]:
    """Return a function that rewrites one part of a workbook, or adds it."""

    def edit(path: Path, part: str, change: Callable[[bytes], bytes]) -> Path:
        with zipfile.ZipFile(path) as archive:
            parts = {name: archive.read(name) for name in archive.namelist()}
        parts[part] = change(parts.get(part, b""))
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, data in parts.items():
                archive.writestr(name, data)
        return path

    return edit


_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_RELS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006/relationships"


@pytest.fixture
def hand_made(tmp_path: Path) -> Callable[..., Path]:
    """Return a function that writes a workbook from its bare XML, as other programs write it."""

    def write(
        rows: str, *, strings: str = "", styles: str = "", book: str = "", main: str = _MAIN
    ) -> Path:
        parts = {
            "_rels/.rels": f'<Relationships xmlns="{_PACKAGE}"><Relationship Id="r1" Type="{_RELS}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
            "xl/workbook.xml": f'<workbook xmlns="{main}" xmlns:r="{_RELS}">{book}<sheets><sheet name="Prices" sheetId="1" r:id="r1"/></sheets></workbook>',
            "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_PACKAGE}"><Relationship Id="r1" Type="{_RELS}/worksheet" Target="worksheets/sheet1.xml"/>'
            f'<Relationship Id="r2" Type="{_RELS}/sharedStrings" Target="sharedStrings.xml"/><Relationship Id="r3" Type="{_RELS}/styles" Target="/xl/styles.xml"/></Relationships>',
            "xl/worksheets/sheet1.xml": f'<worksheet xmlns="{main}"><sheetData>{rows}</sheetData></worksheet>',
            "xl/sharedStrings.xml": f'<sst xmlns="{main}">{strings}</sst>',
            "xl/styles.xml": f'<styleSheet xmlns="{main}">{styles}</styleSheet>',
        }
        path = tmp_path / "made.xlsx"
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, text in parts.items():
                archive.writestr(name, text)
        return path

    return write
