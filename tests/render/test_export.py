"""Answers as spreadsheet files: codes stay text, nothing runs as a formula, nothing is lost."""

from __future__ import annotations

import openpyxl
import pytest

from partsdb.errors import UsageError
from partsdb.render.export import codes_at_risk, write_export

ROWS = [
    {"number": "0012", "price_e4": 723800, "note": "=1+1", "list": ["a", "b"]},
    {"number": "3-5", "price_e4": None, "note": "-2+3", "list": []},
    {"number": "1.23E+11", "price_e4": 5, "note": "@x\x07", "new": True},
]


def test_codes_and_formulas_are_text_cells_and_numbers_are_numbers(tmp_path):
    assert write_export(tmp_path / "a.xlsx", ROWS) == 3
    sheet = openpyxl.load_workbook(tmp_path / "a.xlsx").active
    found = [[cell.value for cell in row] for row in sheet.iter_rows()]
    assert found == [
        ["number", "price_e4", "note", "list", "new"],
        ["0012", 723800, "=1+1", "a; b", None],
        ["3-5", None, "-2+3", None, None],
        ["1.23E+11", 5, "@x ", None, "True"],
    ]
    texts = [
        cell for row in sheet.iter_rows(min_row=2) for cell in row if isinstance(cell.value, str)
    ]
    assert {cell.data_type for cell in texts} == {"s"}
    assert {cell.number_format for cell in texts} == {"@"}


def test_what_was_exported_reads_back_with_the_same_codes(tmp_path):
    from importers import read_price_list

    rows = [{"part number": row["number"], "description": "Ball", "price": "1.50"} for row in ROWS]
    write_export(tmp_path / "a.xlsx", rows)
    read = read_price_list(tmp_path / "a.xlsx")
    assert [row.fields["code"] for row in read.rows if row.kind == "item"] == ["0012", "3-5"]


def test_csv_starts_with_the_mark_that_spreadsheets_heed_and_escapes_formulas(tmp_path):
    write_export(tmp_path / "a.csv", ROWS[:2])
    data = (tmp_path / "a.csv").read_bytes()
    assert data.startswith(b"\xef\xbb\xbfnumber,price_e4,note,list")
    assert b"'=1+1" in data and b"'-2+3" in data


def test_an_answer_without_rows_is_an_empty_sheet(tmp_path):
    assert write_export(tmp_path / "a.xlsx", []) == 0
    assert openpyxl.load_workbook(tmp_path / "a.xlsx").active.max_row == 1


@pytest.mark.parametrize("name", ["a.txt", "a", "none/a.xlsx"])
def test_another_kind_of_file_or_place_is_refused(tmp_path, name):
    with pytest.raises(UsageError):
        write_export(tmp_path / name, ROWS)


@pytest.mark.parametrize(
    ("rows", "named"),
    [
        ([{"code": "0012"}], "turns 0012 into"),
        ([{"number": "24-1180"}, {"number": "3-12"}], "turns 3-12 into"),  # 3 December or 12 March
        ([{"maker number": "7E12"}, {"maker number": "MAR-5"}], "turns 7E12 and MAR-5 into"),
        ([{"part_number": each} for each in ("12.50", "0012", "1/4", "1.234")], "12.50 and 3 more"),
        ([{"code": "123456789012"}], "turns 123456789012 into"),  # 1.23457E+11 from twelve on
    ],
)
def test_codes_that_a_spreadsheet_would_not_leave_in_a_csv_are_told(tmp_path, rows, named):
    said = codes_at_risk(tmp_path / "list.csv", rows)
    assert named in said and "list.csv" in said and "list.xlsx" in said
    assert codes_at_risk(tmp_path / "list.xlsx", rows) == ""


@pytest.mark.parametrize(
    "row",
    [
        {"code": "24-1180"}, {"code": "KE-11632"}, {"code": "12345"}, {"code": ""}, {"code": None},
        {"price": "72.50"}, {"at": "2026-11-20"}, {"unit_code": "EA"}, {"decoded": "0012"},
    ],
)  # fmt: skip
def test_codes_that_stay_as_they_are_and_other_columns_are_no_risk(tmp_path, row):
    assert codes_at_risk(tmp_path / "list.csv", [row]) == ""
