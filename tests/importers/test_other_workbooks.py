"""Old binary workbooks and OpenDocument spreadsheets."""

from __future__ import annotations

import datetime
import zipfile

import pytest
import xlwt

from importers import Limits, ReaderError, read_price_list

ROWS = (
    ("Part no.", "Description", "Price EUR", "Valid from"),
    ("KV-2412", "Valve kit", 72.5, datetime.date(2026, 10, 1)),
    (12345.0, "Ball", 8.1, None),
)


@pytest.fixture
def xls_file(tmp_path):
    def write(rows=ROWS, change=None):
        book = xlwt.Workbook()
        sheet = book.add_sheet("Prices")
        style = xlwt.easyxf(num_format_str="yyyy-mm-dd")
        for r, row in enumerate(rows):
            for c, value in enumerate(row):
                if isinstance(value, datetime.date):
                    sheet.write(r, c, value, style)
                elif value is not None:
                    sheet.write(r, c, value)
        if change:
            change(book)
        book.save(str(tmp_path / "list.xls"))
        return tmp_path / "list.xls"

    return write


_ODS = "application/vnd.oasis.opendocument.spreadsheet"
_OFFICE = "urn:oasis:names:tc:opendocument:xmlns:office:1.0"


def cell(value) -> str:
    if isinstance(value, float):
        return f'<table:table-cell office:value-type="float" office:value="{value}"><text:p>{value}</text:p></table:table-cell>'
    return (
        f'<table:table-cell office:value-type="string"><text:p>{value}</text:p></table:table-cell>'
    )


def line(values, attrs: str = "") -> str:
    return f"<table:table-row {attrs}>{''.join(map(cell, values))}</table:table-row>"


def ods_of(path, body: str, *, doctype: str = ""):
    """Write an OpenDocument spreadsheet whose one sheet holds these elements."""
    content = (
        f'<?xml version="1.0"?>{doctype}<office:document-content xmlns:office="{_OFFICE}" '
        'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
        'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0">'
        f'<office:body><office:spreadsheet><table:table table:name="Prices">{body}</table:table>'
        "</office:spreadsheet></office:body></office:document-content>"
    )
    manifest = (
        '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
        f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{_ODS}"/>'
        "</manifest:manifest>"
    )
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(zipfile.ZipInfo("mimetype"), _ODS)
        archive.writestr("content.xml", content)
        archive.writestr("META-INF/manifest.xml", manifest)
    return path


@pytest.fixture
def ods_file(tmp_path):
    def write(rows, *, doctype=""):
        return ods_of(tmp_path / "list.ods", "".join(map(line, rows)), doctype=doctype)

    return write


def test_a_binary_workbook_is_read_with_sheet_and_row(xls_file):
    text = read_price_list(xls_file())
    first, second = (row for row in text.rows if row.kind == "item")
    assert text.reader == "workbook (.xls, .ods)"
    assert first.place("price", text.profiles[0]) == "Prices!C2"
    assert first.amounts == {"price": "72.5"}
    assert first.fields["valid_from"] == "2026-10-01"
    assert second.fields["code"] == "12345"
    assert any("leading zeros may be gone" in note for note in second.notes)
    assert not any("as shown" in said for said in text.assumptions)


def test_the_hidden_sheet_of_a_binary_workbook_is_left_out_and_named(xls_file):
    def hide(book):
        sheet = book.add_sheet("Intern")
        sheet.write(0, 0, "Part no.")
        sheet.visibility = 1

    text = read_price_list(xls_file(change=hide))
    assert text.skipped == ('hidden sheet "Intern" is not read',)


def test_digits_that_a_number_cell_lost_refuse_the_row(xls_file):
    text = read_price_list(xls_file((*ROWS, (1.23e15, "Seat", 1.5, None))))
    assert text.rows[-1].kind == "refused" and "digits lost" in text.rows[-1].notes[0]


def test_rows_stay_numbered_below_blank_ones(xls_file):
    text = read_price_list(xls_file(((), ("Saltreeve list",), (), *ROWS)))
    assert [row.row for row in text.rows if row.kind == "item"] == [5, 6]


def test_an_open_document_spreadsheet_is_read(ods_file):
    text = read_price_list(
        ods_file([["Part no.", "Description", "Price EUR"], ["KV-1", "Ball", 8.1]])
    )
    assert text.reader == "workbook (.xls, .ods)"
    assert text.rows[1].amounts == {"price": "8.1"}
    assert text.rows[1].place("code", text.profiles[0]) == "Prices!A2"


def test_the_limits_hold_for_these_workbooks_too(xls_file, ods_file):
    rows = [["Part no.", "Description", "Price EUR"], ["KV-1", "Ball", 8.1]]
    for path, limits in (
        (xls_file(), Limits(rows=1)),
        (xls_file(), Limits(columns=2)),
        (xls_file(), Limits(cell_chars=5)),
        (ods_file(rows), Limits(unpacked_bytes=100)),
        (ods_file(rows), Limits(rows=1)),
    ):
        with pytest.raises(ReaderError) as caught:
            read_price_list(path, limits=limits)
        assert "PARTSDB_LIMITS=" in caught.value.hint


def test_a_damaged_one_is_one_sentence(xls_file, tmp_path):
    data = xls_file().read_bytes()
    broken = tmp_path / "broken.xls"
    broken.write_bytes(data[: len(data) // 2])
    with pytest.raises(ReaderError) as caught:
        read_price_list(broken)
    assert caught.value.place == "broken.xls" and caught.value.hint


def test_a_workbook_whose_sectors_run_in_a_circle_is_refused_at_once(xls_file, tmp_path):
    data = bytearray(xls_file().read_bytes())
    first = int.from_bytes(data[76:80], "little")  # the sector of the allocation table
    at = (first + 1) * 512
    data[at : at + 4] = (0).to_bytes(4, "little")  # sector 0 is followed by itself
    path = tmp_path / "circle.xls"
    path.write_bytes(data)
    with pytest.raises(ReaderError, match="in a circle") as caught:
        read_price_list(path)
    assert caught.value.place == "circle.xls" and caught.value.hint


@pytest.mark.parametrize("part", [1, 2, 3])
def test_an_opendocument_file_that_breaks_off_is_refused_at_once(ods_file, part):
    # The library waits for ever for the end of a document that stops behind a row.
    path = ods_file(ROWS)
    with zipfile.ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    rows = parts["content.xml"].split(b"</table:table-row>")
    parts["content.xml"] = b"</table:table-row>".join(rows[:part]) + b"</table:table-row>"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in parts.items():
            stored = zipfile.ZIP_STORED if name == "mimetype" else zipfile.ZIP_DEFLATED
            archive.writestr(zipfile.ZipInfo(name), data, stored)
    with pytest.raises(ReaderError) as refused:
        read_price_list(path)
    assert str(refused.value) == f"{path.name} (content.xml): a part of the workbook is damaged"


HEADS = ["Part no.", "Description", "Price EUR", "Cost"]


LINES = [line(HEADS), *(line([f"A{n}", f"Ball {n}", n + 0.5, 1.0]) for n in range(2, 7))]


@pytest.mark.parametrize(
    ("lines", "read", "said"),
    [
        ([*LINES[:2], line(["A3", "Ball", 3.5, 1.0], 'table:visibility="collapse"'), *LINES[3:]],
         ["A2", "A4", "A5", "A6"], "1 hidden row not read (3)"),
        ([*LINES[:2], line(["A3", "Ball", 3.5, 1.0], 'table:visibility="filter"'), *LINES[3:]],
         ["A2", "A4", "A5", "A6"], "1 hidden row not read (3)"),
        ([*LINES[:3], '<table:table-row-group table:display="false">', *LINES[3:5],
          "</table:table-row-group>", LINES[5]], ["A2", "A3", "A6"], "2 hidden rows not read (4-5)"),
        ([*LINES[:2], '<table:table-row table:number-rows-repeated="3" table:visibility="collapse">'
          '<table:table-cell table:number-columns-repeated="4"/></table:table-row>', *LINES[2:]],
         ["A2", "A3", "A4", "A5", "A6"], ""),
    ],
)  # fmt: skip
def test_hidden_rows_of_an_open_document_are_left_out_and_said(tmp_path, lines, read, said):
    text = read_price_list(ods_of(tmp_path / "list.ods", "".join(lines)))
    assert [row.fields["code"] for row in text.rows if row.kind == "item"] == read
    assert text.skipped == ((f'sheet "Prices": {said}',) if said else ())


@pytest.mark.parametrize(
    "columns",
    [
        '<table:table-column table:number-columns-repeated="3"/>'
        '<table:table-column table:visibility="collapse" table:number-columns-repeated="9000"/>',
        '<table:table-column table:number-columns-repeated="3"/><table:table-column-group '
        'table:display="false"><table:table-column/></table:table-column-group>',
    ],
)
def test_hidden_columns_of_an_open_document_are_left_out_and_lettered(tmp_path, columns):
    text = read_price_list(ods_of(tmp_path / "list.ods", columns + "".join(LINES)))
    assert text.skipped == ('sheet "Prices": hidden columns not read (D)',)
    assert all("1" not in row.cells[3:] for row in text.rows)
    assert [c.heading for c in text.profiles[0].columns] == HEADS[:3]


def padded(value: str, shown: str, attrs: str = "") -> str:
    return (
        f'<table:table-cell office:value-type="float" office:value="{value}" {attrs}>'
        f"<text:p>{shown}</text:p></table:table-cell>"
    )


@pytest.mark.parametrize(
    ("value", "shown", "code"),
    [
        ("123", "00123", "00123"),  # the zeros that only its format shows
        ("123", "123", "123"),
        ("12.5", "013", "12.5"),  # rounded by its format: the stored digits stay
        ("123", "0124", "123"),  # shown is not stored: the file contradicts itself
    ],
)
def test_a_code_of_an_open_document_keeps_the_zeros_that_its_format_shows(
    tmp_path, value, shown, code
):
    row = f"<table:table-row>{padded(value, shown)}{cell('Ball')}{cell(2.5)}</table:table-row>"
    text = read_price_list(ods_of(tmp_path / "list.ods", line(HEADS[:3]) + row))
    item = text.rows[1]
    assert item.fields["code"] == code
    assert any("leading zeros may be gone" in note for note in item.notes) is (code != "00123")
