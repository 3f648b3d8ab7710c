"""Files that are no price list: one clear sentence each, with place and hint, never a traceback."""

from __future__ import annotations

import os
import zipfile

import openpyxl
import pytest

from importers import Limits, ReaderError, read_price_list

OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
ROWS = [["Part no.", "Description", "Price"], ["A1", "Ball", 1.5]]


def refusal_of(path, **options):
    with pytest.raises(ReaderError) as caught:
        read_price_list(path, **options)
    error = caught.value
    assert error.place and error.hint and error.message
    assert "\n" not in str(error)
    return error


@pytest.mark.parametrize(
    ("data", "name", "words"),
    [
        (b"", "list.csv", "empty"),
        (b"  \r\n \t\n", "list.csv", "nothing but blanks"),
        (b"\xef\xbb\xbf  \n", "list.csv", "nothing but blanks"),
        (b"%PDF-1.7\n%\xe2\xe3", "list.xlsx", "PDF"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "list.csv", "PNG image"),
        (b"\xff\xd8\xff\xe0\x00\x10JFIF", "list.xlsx", "JPEG image"),
        (b"<!DOCTYPE html><html><table>", "list.xlsx", "HTML"),
        (b"\xef\xbb\xbf\n<html><body>", "list.csv", "HTML"),
        (b'<?xml version="1.0"?><Workbook/>', "list.xlsx", "XML document"),
        (b"\x1f\x8b\x08\x00", "list.csv", "gzip"),
        (b"SQLite format 3\x00", "list.csv", "SQLite"),
        (OLE + b"\x00" * 600, "list.xlsx", "old binary"),
        (OLE + b"\x00" * 600 + "EncryptedPackage".encode("utf-16-le"), "list.xlsx", "password"),
        (b"PK\x03\x04 not a zip at all", "list.xlsx", "damaged"),
        (b"PK\x05\x06" + b"\x00" * 18, "list.xlsx", "no .xlsx workbook"),
        (b"\xff\xfe\x00\x00P\x00\x00\x00", "list.csv", "UTF-32"),
    ],
)
def test_a_file_that_is_something_else_is_named_for_what_it_is(tmp_path, data, name, words):
    path = tmp_path / name
    path.write_bytes(data)
    error = refusal_of(path)
    assert words in error.message
    assert error.place.startswith(name)


def test_a_missing_file_is_refused(tmp_path):
    assert "no such file" in refusal_of(tmp_path / "gone.csv").message


def test_a_folder_is_refused(tmp_path):
    assert "folder" in refusal_of(tmp_path).message


def test_a_pipe_is_refused_and_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe.csv")
    assert "no plain file" in refusal_of(tmp_path / "pipe.csv").message


def test_a_workbook_packed_by_another_method_is_refused(tmp_path):
    path = tmp_path / "list.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_LZMA) as archive:
        archive.writestr("xl/workbook.xml", "<x/>")
    assert "packed in a way" in refusal_of(path).message


def test_a_name_that_the_system_cannot_hold_is_refused(tmp_path):
    refusal_of(tmp_path / ("x" * 5000))
    refusal_of(tmp_path / "a\x00b.csv")


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may read everything")
def test_a_file_without_permission_is_refused(tmp_path):
    path = tmp_path / "list.csv"
    path.write_text("x")
    path.chmod(0)
    assert "may not be read" in refusal_of(path).message


def test_permission_denied_by_the_system_is_one_sentence(tmp_path, monkeypatch):
    path = tmp_path / "list.csv"
    path.write_text("x")

    def deny(*_args, **_options):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("pathlib.Path.open", deny)
    assert "may not be read" in refusal_of(path).message


def archive_of(path, parts):
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in parts.items():
            archive.writestr(name, data)
    return path


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ({"readme.txt": "x"}, "zip archive; no .xlsx workbook"),
        ({"content.xml": "<x/>", "mimetype": "x"}, "OpenDocument"),
        (
            {
                "_rels/.rels": '<Relationships><Relationship Id="r" Type="x/officeDocument" Target="word/document.xml"/></Relationships>',
                "word/document.xml": "<x/>",
            },
            "text document",
        ),
        (
            {
                "_rels/.rels": '<Relationships><Relationship Id="r" Type="x/officeDocument" Target="xl/workbook.bin"/></Relationships>',
                "xl/workbook.bin": "x",
            },
            "binary workbook",
        ),
    ],
)
def test_a_zip_archive_that_is_no_workbook_is_named(tmp_path, parts, words):
    assert words in refusal_of(archive_of(tmp_path / "list.xlsx", parts)).message


@pytest.mark.parametrize(
    ("part", "said"),
    [
        ("xl/workbook.xml", "the workbook is damaged: it has no xl/workbook.xml"),
        ("xl/worksheets/sheet1.xml", "a part of the workbook is missing"),
    ],
)
def test_a_workbook_without_one_of_its_parts_is_damaged(tmp_path, xlsx_file, part, said):
    with zipfile.ZipFile(xlsx_file(ROWS)) as whole:
        parts = {name: whole.read(name) for name in whole.namelist() if name != part}
    error = refusal_of(archive_of(tmp_path / "parts.xlsx", parts))
    assert error.message == said
    assert "send it again" in error.hint


@pytest.mark.parametrize(
    "broken",
    [
        pytest.param(lambda data: data[: len(data) // 2], id="the end is gone"),
        pytest.param(lambda data: data[:30], id="nearly all is gone"),
        pytest.param(lambda data: data[200:], id="the beginning is gone"),
        pytest.param(lambda data: bytes(len(data)), id="nothing but zeros"),
        pytest.param(lambda data: bytes(60) + data[60:], id="the beginning is zeros"),
    ],
)
@pytest.mark.parametrize("ending", ["xlsx", "XLSX", "xlsm"])
def test_a_broken_workbook_is_not_asked_for_as_what_it_is_already(
    tmp_path, xlsx_file, broken, ending
):
    path = tmp_path / f"list.{ending}"
    path.write_bytes(broken(xlsx_file(ROWS).read_bytes()))
    error = refusal_of(path)
    assert "damaged" in error.message
    assert error.hint == (
        "ask the supplier to send it again, or open it in a spreadsheet program and save it anew"
    )


def test_binary_data_under_another_name_is_not_called_a_workbook(tmp_path):
    path = tmp_path / "list.csv"
    path.write_bytes(bytes(300))
    error = refusal_of(path)
    assert "binary data" in error.message
    assert "save it as .xlsx" in error.hint


def test_a_workbook_cut_short_is_refused(tmp_path, xlsx_file):
    path = xlsx_file(ROWS)
    path.write_bytes(path.read_bytes()[:-200])
    assert "damaged" in refusal_of(path).message


def test_a_sheet_with_a_document_type_declaration_is_refused(xlsx_file, edit_part):
    bomb = b'<?xml version="1.0"?><!DOCTYPE w [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]>'
    path = edit_part(
        xlsx_file(ROWS), "xl/worksheets/sheet1.xml", lambda xml: bomb + xml.split(b"?>")[-1]
    )
    assert "document type declaration" in refusal_of(path).message


@pytest.mark.parametrize(
    "part", ["xl/sharedStrings.xml", "xl/styles.xml", "xl/workbook.xml", "_rels/.rels"]
)
def test_a_declaration_in_any_other_part_is_refused_too(hand_made, edit_part, part):
    path = hand_made("<row><c><v>1</v></c></row>")
    bomb = b'<!DOCTYPE w SYSTEM "file:///etc/passwd">'
    planted = edit_part(path, part, lambda xml: bomb + xml)
    assert "document type declaration" in refusal_of(planted).message


@pytest.mark.parametrize(
    ("part", "data"),
    [
        ("xl/worksheets/sheet1.xml", b"<worksheet><sheetData><row r='1'><c r='A1'>"),
        ("xl/worksheets/sheet1.xml", b"<worksheet><sheetData><row r='x'/></sheetData></worksheet>"),
        ("xl/worksheets/sheet1.xml", b"<worksheet><sheetData><row r='1'><c r='1A'><v>1</v></c></row></sheetData></worksheet>"),
        ("xl/worksheets/sheet1.xml", b"<worksheet><sheetData><row r='1'><c r='A1' t='s'><v>99</v></c></row></sheetData></worksheet>"),
        ("xl/worksheets/sheet1.xml", b"<worksheet><sheetData><row r='1'><c r='B1'><v>1</v></c><c r='A1'><v>1</v></c></row></sheetData></worksheet>"),
        ("xl/workbook.xml", b"not xml"),
        ("xl/styles.xml", b"<styleSheet"),
    ],
)  # fmt: skip
def test_a_broken_part_is_refused_with_its_place(xlsx_file, edit_part, part, data):
    error = refusal_of(edit_part(xlsx_file(ROWS), part, lambda _: data))
    assert "list.xlsx" in error.place


def test_a_missing_sheet_part_is_refused(tmp_path, xlsx_file):
    path = xlsx_file(ROWS)
    with zipfile.ZipFile(path) as archive:
        parts = {n: archive.read(n) for n in archive.namelist() if "sheet1" not in n}
    assert "missing" in refusal_of(archive_of(path, parts)).message


def test_a_list_without_a_price_column_shows_what_was_looked_for_and_found(csv_file):
    error = refusal_of(csv_file("Part no.,Description,Colour\nA1,Ball,red\nA2,Seat,blue\n"))
    assert "Preis" in error.message and "Bezeichnung" in error.message
    assert "row 1: Part no. | Description | Colour" in error.message


def test_a_list_without_any_header_shows_its_first_rows(csv_file):
    error = refusal_of(csv_file("A1,Ball,1.50\nA2,Seat,2.50\n"))
    assert "row 2: A2 | Seat | 2.50" in error.message


@pytest.mark.parametrize(
    ("limits", "limit"),
    [
        (Limits(file_bytes=100), "file_bytes"),
        (Limits(unpacked_bytes=1000), "unpacked_bytes"),
        (Limits(ratio=1), "ratio"),
        (Limits(parts=3), "parts"),
        (Limits(tables=0), "tables"),
        (Limits(rows=1), "rows"),
        (Limits(columns=2), "columns"),
        (Limits(cell_chars=5), "cell_chars"),
    ],
)
def test_every_limit_of_a_workbook_names_itself_and_how_to_raise_it(xlsx_file, limits, limit):
    error = refusal_of(xlsx_file(ROWS), limits=limits)
    assert limit.replace("_", " ") in error.message
    assert f"PARTSDB_LIMITS={limit}=" in error.hint


@pytest.mark.parametrize(
    ("limits", "limit"),
    [
        (Limits(file_bytes=10), "file_bytes"),
        (Limits(rows=1), "rows"),
        (Limits(columns=2), "columns"),
        (Limits(cell_chars=5), "cell_chars"),
    ],
)
def test_every_limit_of_a_text_list_names_itself(csv_file, limits, limit):
    error = refusal_of(csv_file("Part no.,Description,Price\nA1,Ball,1.50\n"), limits=limits)
    assert f"PARTSDB_LIMITS={limit}=" in error.hint


def test_a_file_within_its_limits_raised_as_the_hint_says_is_read(xlsx_file):
    path = xlsx_file(ROWS)
    error = refusal_of(path, limits=Limits(columns=2))
    assert "PARTSDB_LIMITS=columns=3" in error.hint
    assert read_price_list(path, limits=Limits(columns=3)).rows


def test_a_highly_packed_workbook_is_refused_before_it_is_opened(tmp_path):
    parts = {"xl/workbook.xml": b" " * 50_000_000}
    assert "ratio" in refusal_of(archive_of(tmp_path / "list.xlsx", parts)).message


def test_a_workbook_whose_only_sheet_is_a_chart_is_refused(tmp_path):
    book = openpyxl.Workbook()
    book.create_chartsheet("Chart")
    book.remove(book.worksheets[0])
    book.save(tmp_path / "list.xlsx")
    assert "no visible sheet" in refusal_of(tmp_path / "list.xlsx").message
