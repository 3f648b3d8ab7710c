"""The records of old workbooks, made one by one: what each says, and what a broken one ends in."""

from __future__ import annotations

import re
import struct
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_xls import (
    BIFF5,
    BIFF8,
    cell_format,
    col_info,
    container,
    formula,
    label,
    mul_rk,
    number,
    number_format,
    record,
    rk,
    row,
    stream,
)

from importers import ReaderError, read_price_list
from importers.limits import DEFAULT
from importers.raw import Source
from importers.readers.biff_book import book_records
from importers.readers.calamine import OtherWorkbook

HEADS = b"".join(label(0, c, text) for c, text in enumerate(("Part no.", "Description", "Price")))
ITEM = label(1, 0, "A1") + label(1, 1, "Ball")
FORMATS = cell_format() + cell_format(2)


def read(records, before=FORMATS, *, version=BIFF8):
    data = container(stream([("Prices", records)], before, version=version))
    return OtherWorkbook().read(Source("list.xls", data), (), DEFAULT)


def rows_of(raw):
    return {row.number: row for row in raw.sheets[0].rows}


def only_cell(records, before=FORMATS, *, version=BIFF8):
    return rows_of(read(records, before, version=version))[1].cells[0]


def test_cells_stand_in_their_places_whichever_record_holds_them():
    raw = read(
        label(0, 0, "Part no.")
        + mul_rk(1, 2, [3 << 2 | 2, 450 << 2 | 3])
        + number(2, 0, 2.5)
        + rk(2, 4, 7 << 2 | 2, style=1)
        + formula(3, 1, struct.pack("<d", 8.25), style=1)
    )
    assert {number: row.cells for number, row in rows_of(raw).items()} == {
        1: ["Part no.", "", "", "", ""],
        2: ["", "", "3", "4.5", ""],
        3: ["2.5", "", "", "", "7.00"],
        4: ["", "8.25", "", "", ""],
    }


# [MS-XLS] 2.5.217, by hand: the lowest bit says hundredths, the next one a whole number of 30 bits
# with its sign; else the bits are the upper ones of a double.
@pytest.mark.parametrize(
    ("word", "shown"),
    [
        (0x00000002 | 1 << 2, "1"),
        (0x00000003 | 12345 << 2, "123.45"),
        (0xFFFFFFFE, "-1"),
        (0xFFFFFFFF, "-0.01"),
        (0x80000002, "-536870912"),
        (0x7FFFFFFE, "536870911"),
        (0x3FF00000, "1"),  # the upper half of the double 1.0
        (0x3FF00001, "0.01"),
        (0x40590000, "100"),
        (0xC0590000, "-100"),
    ],
)
def test_a_short_number_is_what_its_bits_say(word, shown):
    assert only_cell(rk(0, 0, word)) == shown


@given(word=st.integers(min_value=0, max_value=0xFFFFFFFF))
def test_every_short_number_is_read_as_another_library_reads_it(word):
    from xlrd.sheet import unpack_RK

    book = book_records(Source("list.xls", b""), stream([("Prices", rk(0, 0, word))], FORMATS))
    (ours,) = book.sheets[0].numbers
    theirs = unpack_RK(struct.pack("<I", word))
    assert struct.pack("<d", ours) == struct.pack("<d", theirs)


@pytest.mark.parametrize(
    ("code", "shown"),
    [(0x00, "#NULL!"), (0x07, "#DIV/0!"), (0x0F, "#VALUE!"), (0x17, "#REF!"), (0x1D, "#NAME?"),
     (0x24, "#NUM!"), (0x2A, "#N/A")],
)  # fmt: skip
@pytest.mark.parametrize("is_formula", [True, False])
def test_an_error_refuses_the_row_with_its_cell(tmp_path, code, shown, is_formula):
    error = record(0x0205, "HHHBB", 1, 2, 0, code, 1)
    if is_formula:
        error = formula(1, 2, bytes([2, 0, code, 0, 0, 0, 0xFF, 0xFF]))
    good = label(2, 0, "A2") + label(2, 1, "Seat") + number(2, 2, 1.5)
    path = tmp_path / "list.xls"
    path.write_bytes(container(stream([("Prices", HEADS + ITEM + error + good)], FORMATS)))
    text = read_price_list(path)
    assert [row.kind for row in text.rows[1:]] == ["refused", "item"]
    assert text.rows[1].notes[0] == f"C2 holds the error {shown}"


def test_yes_and_no_are_no_errors():
    yes = record(0x0205, "HHHBB", 0, 0, 0, 1, 0)
    assert only_cell(yes) == "TRUE"
    assert only_cell(formula(0, 0, bytes([1, 0, 0, 0, 0, 0, 0xFF, 0xFF]))) == "FALSE"


@pytest.mark.parametrize("value", [float("inf"), float("-inf")])
def test_a_number_without_end_is_an_error(value):
    assert rows_of(read(number(0, 0, value)))[1].kind(0) == "e"


@pytest.mark.parametrize("text", ["00000", '00000"€"', "00000\\ж"])
@pytest.mark.parametrize("identifier", [5, 164, 400])
def test_a_format_is_read_with_narrow_and_wide_letters(text, identifier):
    before = number_format(identifier, text) + cell_format() + cell_format(identifier)
    shown = "00123" + text.removeprefix("00000").strip('"\\')
    assert only_cell(number(0, 0, 123, style=1), before) == shown


@pytest.mark.parametrize("style", [2, 9, 4000])
def test_a_cell_format_that_is_missing_shows_the_number_as_it_is(style):
    assert only_cell(number(0, 0, 123.5, style=style)) == "123.5"


@pytest.mark.parametrize("identifier", [14, 15, 16, 17, 22, 27, 36, 50, 57])
def test_dates_that_the_language_of_the_program_writes_are_dates(identifier):
    row = rows_of(read(number(0, 0, 46296.0, style=1), cell_format() + cell_format(identifier)))[1]
    assert row.kind(0) == "d" and row.exact[0] == "2026-10-01"


def lines(*numbers):
    return b"".join(label(n - 1, 0, f"A{n}") for n in numbers)


@pytest.mark.parametrize(
    ("records", "said"),
    [
        (row(1, flags=0x20) + lines(1, 2, 3), ["1 hidden row not read (2)"]),
        (row(1, height=0) + lines(1, 2, 3), ["1 hidden row not read (2)"]),
        (row(1, height=0x8000) + lines(1, 2, 3), []),  # as high as rows are by default
        (row(1, flags=0x10) + lines(1, 2, 3), []),  # the sum below a folded group
        # The default hides every row that has no record of its own (2.4.90).
        (record(0x0225, "HH", 2, 255) + row(0) + row(2) + lines(1, 2, 3),
         ["1 hidden row not read (2)"]),
        (record(0x0225, "HH", 1, 255) + row(0) + row(2) + lines(1, 2, 3), []),
    ],
)  # fmt: skip
def test_a_row_is_hidden_by_its_record_or_by_the_default(records, said):
    assert read(records).skipped == [f'sheet "Prices": {each}' for each in said]


@pytest.mark.parametrize(
    ("columns", "letters"),
    [
        (col_info(1, 1, flags=1), "B"),
        (col_info(1, 1, width=0), "B"),
        (col_info(1, 256, flags=1), "B, C, D"),  # some programs count one column too many
        (col_info(0, 0, flags=1) + col_info(2, 65535, flags=1), "A, C, D"),
        (col_info(1, 2, flags=0x1000), ""),  # the one beside a folded group
        (col_info(3, 1, flags=1), ""),
    ],
)
def test_a_column_is_hidden_by_its_record(columns, letters):
    cells = b"".join(label(0, c, f"x{c}") for c in range(4))
    said = [f'sheet "Prices": hidden columns not read ({letters})'] if letters else []
    assert read(columns + cells).skipped == said


def test_a_million_records_of_hidden_columns_are_no_work():
    columns = col_info(1, 9000, flags=1) * 1_000_000
    cells = label(0, 0, "Part no.") + label(0, 400, "far out")
    started = time.process_time()
    raw = read(columns + cells)
    assert time.process_time() - started < 10
    assert rows_of(raw)[1].cells[400] == ""


def test_a_chart_within_a_sheet_hides_none_of_its_rows():
    begin, end = record(0x0809, "HHHHII", BIFF8, 0x20, 0, 0, 0, 0), record(0x000A)
    chart = begin + row(0, flags=0x20) + number(0, 0, 9.0) + end
    raw = read(lines(1) + number(1, 0, 5.0) + chart)
    assert raw.skipped == [] and rows_of(raw)[2].cells == ["5"]


@pytest.mark.parametrize("code_page", [1200, 1252, 1251, 10000, 0x8001, 437, 9])
@pytest.mark.parametrize("filler", [b"", record(0x005C, "483x")])
def test_texts_are_unicode_whatever_code_page_is_named(code_page, filler):
    cells = label(0, 0, "Größe") + label(0, 1, "Ring ж 8 €") + number(0, 2, 123, style=1)
    # With the filler the two bytes that name it stand in two sectors of the file.
    first = filler + record(0x0042, "H", code_page)
    records = stream([("Prices", cells)], FORMATS, first=first)
    raw = OtherWorkbook().read(Source("list.xls", container(records)), (), DEFAULT)
    assert raw.sheets[0].rows[0].cells == ["Größe", "Ring ж 8 €", "123.00"]


def test_a_sheet_that_is_a_chart_is_passed_over():
    sheets = [("Chart", number(0, 0, 9.0)), ("Prices", number(0, 0, 123, style=1))]
    data = container(stream(sheets, FORMATS, charts=["Chart"]))
    raw = OtherWorkbook().read(Source("list.xls", data), (), DEFAULT)
    assert [(s.name, s.rows[0].cells) for s in raw.sheets] == [("Prices", ["123.00"])]


def test_two_sheets_of_one_name_are_refused():
    data = container(stream([("A", number(0, 0, 1.0)), ("A", number(0, 0, 2.0))], FORMATS))
    with pytest.raises(ReaderError, match="two readings of it find different sheets"):
        OtherWorkbook().read(Source("list.xls", data), (), DEFAULT)


def test_a_workbook_of_the_nineties_is_read_alike():
    before = number_format(164, "00000 €", version=BIFF5)
    before += cell_format(version=BIFF5) + cell_format(164, version=BIFF5)
    records = row(2, flags=0x20) + label(0, 0, "Part no.", version=BIFF5)
    raw = read(records + number(1, 0, 123, style=1) + number(2, 0, 5), before, version=BIFF5)
    assert rows_of(raw)[2].cells == ["00123 €"]
    assert raw.skipped == ['sheet "Prices": 1 hidden row not read (3)']


@pytest.mark.parametrize(
    ("cells", "differ"),
    [
        (number(1, 2, 1.5) + number(1, 2, 2.5), "1.5 and 2.5"),
        (number(1, 2, 1.5) + label(1, 2, "2.5"), "1.5 and 2.5"),
        (number(1, 2, 1.5) + record(0x0205, "HHHBB", 1, 2, 0, 1, 0), "1.5 and True"),
    ],
)
def test_a_cell_that_two_readings_find_different_refuses_its_row(tmp_path, cells, differ):
    good = label(2, 0, "A2") + label(2, 1, "Seat") + number(2, 2, 1.5)
    path = tmp_path / "list.xls"
    path.write_bytes(container(stream([("Prices", HEADS + ITEM + cells + good)], FORMATS)))
    text = read_price_list(path)
    assert [row.kind for row in text.rows[1:]] == ["refused", "item"]
    assert re.fullmatch(
        r"C2 holds the error of two readings that differ: .+", text.rows[1].notes[0]
    )
    assert differ in text.rows[1].notes[0]


SHEET = [("Prices", HEADS + ITEM + number(1, 2, 1.5))]
CUT_ROW = struct.pack("<HH", 0x0208, 4) + bytes(4)
CUT_CELL = struct.pack("<HH", 0x0203, 8) + bytes(8)
CUT_FORMAT = struct.pack("<HH", 0x00E0, 16) + bytes(16)


@pytest.mark.parametrize(
    ("broken", "said"),
    [
        (b"", "its records break off"),
        (stream(SHEET)[:-4], "its records break off"),
        (stream(SHEET)[:-6], "a record of it is cut short"),
        (stream(SHEET, version=0x0300), "of another version"),
        (b"\x09\x08\xff\xff" + stream(SHEET)[4:], "a sheet of it does not begin|break off"),
        (stream([("Prices", CUT_ROW)]), "a record of it is cut short"),
        (stream([("Prices", CUT_CELL)]), "a record of it is cut short"),
        (stream(SHEET, CUT_FORMAT), "a record of it is cut short"),
        (stream(SHEET, record(0x002F, "H", 0)), "protected by a password"),
        (stream(SHEET, record(0x0085, "IBBBBB", 4, 0, 0, 1, 0, 65)), "does not begin where"),
        (stream(SHEET, record(0x0085, "IBBBBB", 1 << 31, 0, 0, 1, 0, 65)), "break off"),
        (record(0x0809, "HHHHII", BIFF8, 5, 0, 0, 0, 0) * 50_000, "its records break off"),
    ],
)
def test_broken_records_are_one_sentence(broken, said):
    with pytest.raises(ReaderError, match=said) as caught:
        book_records(Source("list.xls", b""), broken)
    assert caught.value.place == "list.xls" and caught.value.hint


def test_sheets_that_lie_over_each_other_are_not_read_for_ever():
    body = label(0, 0, "x" * 200) * 2_000
    whole = stream([("Prices", body)])
    start = len(whole) - len(body) - 24  # where the one sheet begins, before its records and end
    bounds = b"".join(
        record(0x0085, "IBBBBB", start + 4_000 * 13, 0, 0, 1, 0, 65) for _ in range(4_000)
    )
    with pytest.raises(ReaderError, match="over each other") as caught:
        book_records(Source("list.xls", b""), stream([("Prices", body)], bounds))
    assert caught.value.hint


@given(data=st.binary(max_size=400), at=st.integers(min_value=0, max_value=2_000))
def test_any_bytes_among_the_records_are_read_or_refused(data, at):
    whole = stream(SHEET, FORMATS)
    spoiled = whole[: at % len(whole)] + data + whole[at % len(whole) :]
    try:
        book = book_records(Source("list.xls", b""), spoiled)
    except ReaderError as error:
        assert error.place == "list.xls" and error.hint
    else:
        assert all(len(s.places) == len(s.numbers) == len(s.styles) for s in book.sheets if s)
