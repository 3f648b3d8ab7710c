"""Workbooks: values as shown, nothing hidden, nothing computed. Files written by openpyxl or by hand."""

from __future__ import annotations

from datetime import date, datetime

import pytest

from importers import read_price_list
from importers.rows import RowKind

SHEET = "xl/worksheets/sheet1.xml"
HEAD = ["Part no.", "Description", "Price"]
TEXT_CELL = '<c t="inlineStr"><is><t>{}</t></is></c>'


def items(text):
    return [row for row in text.rows if row.kind == RowKind.ITEM]


def refused(text):
    return [row for row in text.rows if row.kind == RowKind.REFUSED]


def styled(cell, number_format):
    def change(book):
        book.active[cell].number_format = number_format

    return change


@pytest.mark.parametrize(
    ("stored", "number_format", "shown"),
    [
        # what a spreadsheet program shows for the format, written by hand
        (123, "00000", "00123"),
        (123, "General", "123"),
        (123.0, "General", "123"),
        (123456789012, "General", "123456789012"),
        (12345, "00-000", "12-345"),
        (1234567, '"QM-"0000-000', "QM-1234-567"),
        (42, '"A-"000', "A-042"),
        (1234, "#,##0", "1234"),
        (12.5, "0.00", "12.50"),
        (1.5, "General", "1.5"),
        (77, "@", "77"),
        (0.25, "# ?/?", "1/4"),
        (1.25, "# ?/?", "1 1/4"),
        (0.375, "# ??/16", "3/8"),
        (3, "# ?/?", "3"),
        (12000, "#,##0,", "12000"),
        (123456789012, "0.00E+00", "123456789012"),
    ],
)
def test_a_code_is_read_as_shown(xlsx_file, stored, number_format, shown):
    path = xlsx_file([HEAD, [stored, "Ball", 1.5]], styled("A2", number_format))
    assert items(read_price_list(path))[0].fields["code"] == shown


@pytest.mark.parametrize(
    ("stored", "number_format", "amount", "notes"),
    [
        (12.5, "General", "12.5", ()),
        (12.5, "0.00", "12.50", ()),
        (1234.5, "#,##0.00", "1234.50", ()),
        (1234.5, '#,##0.00 "€"', "1234.50", ()),
        (1234.5, "[$€-407] #,##0.00", "1234.50", ()),
        (1234.5, '_-"£"* #,##0.00_-;-"£"* #,##0.00_-', "1234.50", ()),
        (0.1 + 0.2, "General", "0.3", ()),
        (12.3456, "0.00", "12.35", ("price shows as 12.35, stored as 12.3456",)),
        (0.125, "0.00", "0.13", ("price shows as 0.13, stored as 0.125",)),
        (0, "0.00", "", ("zero price",)),
    ],
)
def test_a_stored_price_is_read_to_the_digit_shown(xlsx_file, stored, number_format, amount, notes):
    path = xlsx_file([HEAD, ["A1", "Ball", stored]], styled("C2", number_format))
    (item,) = items(read_price_list(path))
    assert (item.amounts["price"], item.notes) == (amount, notes)


@pytest.mark.parametrize(
    ("number_format", "currency"),
    [('#,##0.00 "€"', "EUR"), ("[$€-407] #,##0.00", "EUR"), ('"£"0.00', "GBP"), ("$#,##0.00", "USD"),
     ("[$CHF] 0.00", "CHF")],
)  # fmt: skip
def test_the_currency_of_a_number_format_is_kept(xlsx_file, number_format, currency):
    path = xlsx_file([HEAD, ["A1", "Ball", 5]], styled("C2", number_format))
    (item,) = items(read_price_list(path))
    assert item.fields["currency"] == currency
    assert item.amounts["price"] == "5.00"


def test_a_percentage_shows_as_one(xlsx_file):
    rows = [[*HEAD, "Disc."], ["A1", "Ball", 5, 0.125]]
    path = xlsx_file(rows, styled("D2", "0.0%"))
    assert items(read_price_list(path))[0].fields["discount"] == "12.5%"


def test_a_code_that_became_a_date_is_noted_with_both_readings(xlsx_file):
    path = xlsx_file([HEAD, [date(2025, 3, 5), "Ball", 1.5]], styled("A2", "d-mmm"))
    (item,) = items(read_price_list(path))
    assert item.fields["code"] == "5-Mar"
    assert item.notes == ("code shows as a date: was it 3-5 or 5-3?",)


@pytest.mark.parametrize(
    ("number_format", "shown"),
    [
        ("yyyy-mm-dd", "2025-03-05"),
        ("dd.mm.yyyy", "05.03.2025"),
        ("mm-dd-yy", "03-05-25"),
        ("d mmm yy", "5 Mar 25"),
        ("dd/mm/yyyy hh:mm", "05/03/2025 14:07"),
        ("h:mm", "14:07"),
    ],
)
def test_dates_show_by_their_format(xlsx_file, number_format, shown):
    rows = [[*HEAD, "Note"], ["A1", "Ball", 1.5, datetime(2025, 3, 5, 14, 7)]]
    path = xlsx_file(rows, styled("D2", number_format))
    assert items(read_price_list(path))[0].fields["note"] == shown


def test_a_validity_date_is_iso_whatever_its_format(xlsx_file):
    rows = [[*HEAD, "Valid from"], ["A1", "Ball", 1.5, date(2026, 4, 1)]]
    path = xlsx_file(rows, styled("D2", "dd.mm.yy"))
    assert items(read_price_list(path))[0].fields["valid_from"] == "2026-04-01"


def test_more_than_fifteen_digits_in_a_number_cell_refuse_the_row(xlsx_file):
    path = xlsx_file([HEAD, [1234567890123456, "Ball", 1.5], ["A2", "Seat", 2.0]])
    text = read_price_list(path)
    (row,) = refused(text)
    assert row.row == 2 and row.notes[0].startswith("A2: digits lost")
    assert len(items(text)) == 1


def test_a_formula_without_a_stored_value_refuses_its_row_with_the_cell(xlsx_file):
    text = read_price_list(xlsx_file([HEAD, ["A1", "Ball", "=1+1"], ["A2", "Seat", 2.0]]))
    (row,) = refused(text)
    assert row.row == 2 and "formula in C2 has no stored value" in row.notes[0]
    assert [r.row for r in items(text)] == [3]


def test_a_formula_with_a_stored_value_reads_as_its_value(hand_made):
    head = "".join(TEXT_CELL.format(word) for word in HEAD)
    row = f"{TEXT_CELL.format('A1')}{TEXT_CELL.format('Ball')}<c><f>1+1</f><v>2</v></c>"
    text = read_price_list(hand_made(f"<row>{head}</row><row>{row}</row>"))
    assert items(text)[0].amounts["price"] == "2"


@pytest.mark.parametrize("error", ["#REF!", "#N/A", "#VALUE!", "#DIV/0!", "#NAME?"])
@pytest.mark.parametrize("column", [0, 1, 2])
def test_an_error_value_refuses_its_row_with_the_cell(xlsx_file, error, column):
    row = ["A1", "Ball", 1.5]
    row[column] = error

    def as_error(book):
        book.active.cell(2, column + 1).data_type = "e"

    text = read_price_list(xlsx_file([HEAD, row, ["A2", "Seat", 2.0]], as_error))
    (bad,) = refused(text)
    assert f"{'ABC'[column]}2 holds the error {error}" in bad.notes


def test_an_error_in_a_column_without_meaning_is_only_noted(xlsx_file):
    def as_error(book):
        book.active["D2"].data_type = "e"

    text = read_price_list(xlsx_file([[*HEAD, "Picture"], ["A1", "Ball", 1.5, "#REF!"]], as_error))
    (item,) = items(text)
    assert "D2 holds the error #REF!" in item.notes


def test_hidden_sheets_are_left_out_and_named(xlsx_file):
    def hide(book):
        sheet = book.create_sheet("Intern")
        sheet.append(HEAD)
        sheet.append(["A9", "Secret", 0.1])
        sheet.sheet_state = "hidden"
        book.create_sheet("Deep").sheet_state = "veryHidden"

    text = read_price_list(xlsx_file([HEAD, ["A1", "Ball", 1.5]], hide))
    assert [r.fields["code"] for r in items(text)] == ["A1"]
    assert 'hidden sheet "Intern" is not read' in text.skipped
    assert 'hidden sheet "Deep" is not read' in text.skipped


def test_hidden_rows_are_left_out_and_counted(xlsx_file):
    def hide(book):
        for number in (3, 4, 6):
            book.active.row_dimensions[number].hidden = True

    rows = [HEAD, *([f"A{i}", "Ball", 1.5] for i in range(2, 8))]
    text = read_price_list(xlsx_file(rows, hide))
    assert [r.row for r in items(text)] == [2, 5, 7]
    assert text.skipped == ('sheet "Prices": 3 hidden rows not read (3-4, 6)',)


@pytest.mark.parametrize(("height", "is_seen"), [(0, False), (0.5, True), (10, True)])
def test_a_row_of_no_height_is_hidden_without_being_marked_so(
    xlsx_file, edit_part, height, is_seen
):
    path = xlsx_file([HEAD, ["A1", "Ball", 1.5], ["A2", "Seat", 1.5]])
    flat = f'<row r="3" ht="{height}" customHeight="1"'.encode()
    edit_part(path, SHEET, lambda part: part.replace(b'<row r="3"', flat))
    text = read_price_list(path)
    assert [r.row for r in items(text)] == ([2, 3] if is_seen else [2])
    assert text.skipped == (() if is_seen else ('sheet "Prices": 1 hidden row not read (3)',))


@pytest.mark.parametrize(("width", "is_seen"), [(0, False), (0.5, True), (10, True)])
def test_a_column_of_no_width_is_hidden_without_being_marked_so(
    xlsx_file, edit_part, width, is_seen
):
    rows = [["Part no.", "Description", "Cost", "Price"], ["A1", "Ball", 0.5, 1.5]]
    path = xlsx_file(rows)
    narrow = f'<cols><col min="3" max="3" width="{width}"/></cols><sheetData>'.encode()
    edit_part(path, SHEET, lambda part: part.replace(b"<sheetData>", narrow))
    seen = 'sheet "Prices": hidden columns not read (C)' not in read_price_list(path).skipped
    assert seen is is_seen


def test_one_hidden_row_is_told_as_one(xlsx_file):
    def hide(book):
        book.active.row_dimensions[3].hidden = True

    text = read_price_list(xlsx_file([HEAD, ["A1", "Ball", 1.5], ["A2", "Seat", 1.5]], hide))
    assert text.skipped == ('sheet "Prices": 1 hidden row not read (3)',)


def test_hidden_columns_are_left_out_and_lettered(xlsx_file):
    def hide(book):
        book.active.column_dimensions["C"].hidden = True

    rows = [["Part no.", "Description", "Cost", "Price"], ["A1", "Ball", 0.5, 1.5]]
    text = read_price_list(xlsx_file(rows, hide))
    assert items(text)[0].amounts == {"price": "1.5"}
    assert text.skipped == ('sheet "Prices": hidden columns not read (C)',)


def test_macros_are_never_run_and_said(xlsx_file, edit_part):
    path = edit_part(xlsx_file([HEAD, ["A1", "Ball", 1.5]]), "xl/vbaProject.bin", lambda _: b"x")
    text = read_price_list(path)
    assert len(items(text)) == 1
    assert any("macros" in sentence for sentence in text.skipped)


def test_row_numbers_are_those_of_the_sheet(xlsx_file):
    text = read_price_list(xlsx_file([[], ["A list"], [], HEAD, [], ["A1", "Ball", 1.5]]))
    (item,) = items(text)
    assert (item.sheet, item.row) == ("Prices", 6)
    assert item.place("price", text.profiles[0]) == "Prices!C6"


def test_shared_strings_with_rich_text_guides_and_escapes_read(hand_made):
    strings = (
        "<si><t>Part no.</t></si><si><t>Description</t></si><si><t>Price</t></si>"
        '<si><r><t>Ball </t></r><r><t xml:space="preserve">8 mm</t></r><rPh sb="0" eb="1"><t>guide</t></rPh></si>'
        "<si><t>A_x002D_1</t></si>"
    )
    head = "".join(f'<c t="s"><v>{i}</v></c>' for i in range(3))
    row = '<c t="s"><v>4</v></c><c t="s"><v>3</v></c><c><v>1.5</v></c>'
    text = read_price_list(hand_made(f"<row>{head}</row><row>{row}</row>", strings=strings))
    (item,) = items(text)
    assert item.fields == {"code": "A-1", "description": "Ball 8 mm", "price": "1.5"}


def test_the_strict_variant_of_the_format_reads(hand_made):
    head = "".join(TEXT_CELL.format(word) for word in HEAD)
    row = TEXT_CELL.format("A1") + TEXT_CELL.format("Ball") + "<c><v>1.50</v></c>"
    main = "http://purl.oclc.org/ooxml/spreadsheetml/main"
    text = read_price_list(hand_made(f"<row>{head}</row><row>{row}</row>", main=main))
    assert items(text)[0].amounts["price"] == "1.5"


@pytest.mark.parametrize(
    ("book", "day", "iso"),
    [
        # ECMA-376 part 1, 18.17.4.1: day 1 of the 1900 base is 1900-01-01, of the 1904 base 1904-01-02
        ("", "1", "1900-01-01"),
        ("", "59", "1900-02-28"),
        ("", "61", "1900-03-01"),
        ("", "45721", "2025-03-05"),
        ('<workbookPr date1904="1"/>', "44259", "2025-03-05"),
    ],
)
def test_day_numbers_count_from_the_workbooks_base(hand_made, book, day, iso):
    head = "".join(TEXT_CELL.format(word) for word in [*HEAD, "Valid from"])
    row = f'{TEXT_CELL.format("A1")}{TEXT_CELL.format("Ball")}<c><v>1</v></c><c s="0"><v>{day}</v></c>'
    styles = '<cellXfs><xf numFmtId="14"/></cellXfs>'
    text = read_price_list(
        hand_made(f"<row>{head}</row><row>{row}</row>", styles=styles, book=book)
    )
    assert items(text)[0].fields["valid_from"] == iso


def test_cells_that_start_like_formulas_stay_text(hand_made):
    head = "".join(TEXT_CELL.format(word) for word in HEAD)
    row = TEXT_CELL.format("A1") + TEXT_CELL.format("=cmd|x") + "<c><v>1</v></c>"
    text = read_price_list(hand_made(f"<row>{head}</row><row>{row}</row>"))
    assert items(text)[0].fields["description"] == "=cmd|x"
