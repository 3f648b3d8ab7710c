"""The shop's own CSV files: exact headers, row numbers kept, faults named."""

from __future__ import annotations

import pytest

from importers import ReaderError, read_table

REQUIRED = ("maker", "number")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("mark", [",", ";", "\t"])
def test_rows_come_with_their_numbers(csv_file, encoding, mark):
    text = "maker,number\nQuillmere,QM-1\n\n Ambrelle , Ä2 \n".replace(",", mark)
    assert read_table(csv_file(text, encoding=encoding), REQUIRED) == [
        (2, {"maker": "Quillmere", "number": "QM-1"}),
        (4, {"maker": "Ambrelle", "number": "Ä2"}),
    ]


def test_columns_may_stand_in_any_order_and_optional_ones_may_lack(csv_file):
    path = csv_file("number,maker\nQM-1,Quillmere\n")
    assert read_table(path, REQUIRED, ("role",)) == [
        (2, {"maker": "Quillmere", "number": "QM-1", "role": ""})
    ]


def test_a_short_row_reads_as_blank_cells(csv_file):
    assert read_table(csv_file("maker,number\nQuillmere\n"), REQUIRED) == [
        (2, {"maker": "Quillmere", "number": ""})
    ]


def test_lists_inside_a_cell_survive_a_semicolon(csv_file):
    rows = read_table(csv_file("maker,number\nQuillmere,ball=steel;seat=brass\n"), REQUIRED)
    assert rows[0][1]["number"] == "ball=steel;seat=brass"


def test_a_quoted_line_break_counts_as_one_row(csv_file):
    rows = read_table(csv_file('maker,number\n"Quill\nmere",1\nAmbrelle,2\n'), REQUIRED)
    assert [number for number, _ in rows] == [2, 3]


def test_a_header_alone_is_a_table_without_rows(csv_file):
    assert read_table(csv_file("maker,number\n"), REQUIRED) == []


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("maker\nQuillmere\n", "lacks the column 'number'"),
        ("maker,number,colour,taste\n", "has the unknown column 'colour', 'taste'"),
        ("maker,number,number\n", "has twice the column 'number'"),
        ("Maker,number\n", "lacks the column 'maker' and has the unknown column 'Maker'"),
        ("maker,number,\n", "unknown column ''"),
    ],
)
def test_a_wrong_header_names_the_columns_and_the_right_header(csv_file, text, words):
    with pytest.raises(ReaderError) as refusal:
        read_table(csv_file(text), REQUIRED, ("role",))
    assert words in refusal.value.message
    assert refusal.value.place == "list.csv row 1"
    assert "maker,number" in refusal.value.hint and "role" in refusal.value.hint


def test_a_row_with_too_many_cells_is_refused_with_its_number(csv_file):
    with pytest.raises(ReaderError) as refusal:
        read_table(csv_file("maker,number\nQuillmere,1\nAmbrelle,2,3\n"), REQUIRED)
    assert refusal.value.place == "list.csv row 3"


def test_a_quote_that_does_not_close_is_refused_with_its_line(csv_file):
    with pytest.raises(ReaderError, match="quotation marks"):
        read_table(csv_file('maker,number\n"Quillmere,1\n'), REQUIRED)


@pytest.mark.parametrize(
    ("data", "words"),
    [(b"", "empty"), (b" \n", "blanks"), (b"%PDF-1.4", "PDF"), (b"PK\x03\x04", "workbook"),
     (b"\xff\xd8\xff", "JPEG"), (b"maker,number\n\x00\x01", "binary")],
)  # fmt: skip
def test_a_file_that_is_no_csv_is_refused(tmp_path, data, words):
    path = tmp_path / "parts.csv"
    path.write_bytes(data)
    with pytest.raises(ReaderError, match=words):
        read_table(path, REQUIRED)


def test_a_missing_file_is_refused(tmp_path):
    with pytest.raises(ReaderError, match="no such file"):
        read_table(tmp_path / "gone.csv", REQUIRED)
