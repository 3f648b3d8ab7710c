"""Old binary workbooks: what a person would see in them is read, and nothing else."""

from __future__ import annotations

import datetime

import pytest
import xlwt

from importers import read_price_list
from importers.limits import DEFAULT
from importers.raw import Source
from importers.readers.calamine import OtherWorkbook

HEADS = ("Part no.", "Description", "Price EUR", "Cost")
ROWS = (HEADS, *((f"A{n}", f"Ball {n}", n + 0.5, 1.0) for n in range(2, 7)))


@pytest.fixture
def xls(tmp_path):
    """Return a function that writes rows to a sheet "Prices" and lets `change` touch book and sheet.

    A cell is a value, or a value and its number format.
    """

    def write(rows=ROWS, change=None, *, base_1904=False):
        book = xlwt.Workbook()
        book.dates_1904 = base_1904
        sheet = book.add_sheet("Prices")
        for r, row in enumerate(rows):
            for c, cell in enumerate(row):
                value, code = cell if isinstance(cell, tuple) else (cell, "General")
                sheet.write(r, c, value, xlwt.easyxf(num_format_str=code))
        if change:
            change(book, sheet)
        book.save(str(tmp_path / "list.xls"))
        return tmp_path / "list.xls"

    return write


def raw_of(path):
    return OtherWorkbook().read(Source(path.name, path.read_bytes()), (), DEFAULT)


def hide_rows(*numbers):
    def change(_book, sheet):
        for number in numbers:
            sheet.row(number - 1).hidden = True

    return change


def flatten(_book, sheet):
    sheet.row(2).height, sheet.row(2).height_mismatch = 0, True


def fold(_book, sheet):
    for index in (3, 4):
        sheet.row(index).level, sheet.row(index).hidden = 1, True
    sheet.row(5).collapse = True


@pytest.mark.parametrize(
    ("change", "read", "said"),
    [
        (hide_rows(3), ["A2", "A4", "A5", "A6"], "1 hidden row not read (3)"),
        (hide_rows(2, 3, 6), ["A4", "A5"], "3 hidden rows not read (2-3, 6)"),
        (flatten, ["A2", "A4", "A5", "A6"], "1 hidden row not read (3)"),
        (fold, ["A2", "A3", "A6"], "2 hidden rows not read (4-5)"),
        (hide_rows(9), ["A2", "A3", "A4", "A5", "A6"], ""),  # no cell stands in it
    ],
)
def test_hidden_flat_and_folded_rows_are_left_out_and_said(xls, change, read, said):
    text = read_price_list(xls(change=change))
    assert [row.fields["code"] for row in text.rows if row.kind == "item"] == read
    assert text.skipped == ((f'sheet "Prices": {said}',) if said else ())


def hide_column(*indexes):
    def change(_book, sheet):
        for index in indexes:
            sheet.col(index).hidden = True

    return change


def narrow(_book, sheet):
    sheet.col(3).width = 0


def fold_column(_book, sheet):
    sheet.col(3).level, sheet.col(3).hidden = 1, True
    sheet.col(4).collapse = True


@pytest.mark.parametrize("change", [hide_column(3), hide_column(3, 9), narrow, fold_column])
def test_hidden_narrow_and_folded_columns_are_left_out_and_lettered(xls, change):
    text = read_price_list(xls(change=change))
    assert text.skipped == ('sheet "Prices": hidden columns not read (D)',)
    assert [c.heading for c in text.profiles[0].columns] == list(HEADS[:3])
    assert all("1" not in row.cells[3:] for row in text.rows)


def test_what_a_hidden_column_kept_exact_is_gone_too(xls):
    rows = (HEADS, ("A1", "Ball", 1.5, (2.125, "0.00")))
    (sheet,) = raw_of(xls(rows, hide_column(3))).sheets
    assert sheet.rows[1].cells == ["A1", "Ball", "1.5", ""]
    assert sheet.rows[1].exact == {}


def test_a_list_with_nothing_hidden_says_nothing_of_it(xls):
    raw = raw_of(xls())
    assert raw.skipped == [] and raw.assumptions == []


# What a spreadsheet program shows for a number and its format: ECMA-376 part 1, 18.8.31, by hand.
SHOWN = [
    (123, "00000", "00123", ""),
    (7, "000-000", "000-007", "7"),
    (241180, "00-0000", "24-1180", "241180"),
    (123, "General", "123", ""),
    (123, "@", "123", ""),
    (8.1, "0.00", "8.10", ""),
    (8.125, "0.00", "8.13", "8.125"),
    (0.1 + 0.2, "General", "0.3", ""),
    (-8.1, "0.00", "-8.10", ""),
    (8.1, '0.00 "EUR"', "8.10 EUR", ""),
    (8.1, "0.00\\ [$€-407]", "8.10 €", ""),
    (1182.36, "#,##0.00", "1182.36", ""),
    (0.4, "0%", "40%", ""),
    (1.25, "# ??/??", "1 1/4", "1.25"),
    (12, "[Red]0", "12", ""),
    (12, "[>10]0000;0", "0012", ""),
]  # fmt: skip


@pytest.mark.parametrize(("stored", "code", "shown", "exact"), SHOWN)
def test_a_number_is_read_as_its_format_shows_it(xls, stored, code, shown, exact):
    (sheet,) = raw_of(xls((HEADS, ("A1", "Ball", (stored, code), 1.0)))).sheets
    row = sheet.rows[1]
    assert row.cells[2] == shown and row.kind(2) == "n"
    assert row.exact.get(2, "") == exact


# Days from the base, by hand: 1 January 1900 is day 1, and 29 February 1900, which never was, is
# counted; 1 January 1904 is day 0 (ECMA-376 part 1, 18.17.4.1). 46 296 days and 1 462 apart.
DATES = [
    (46296, False, "2026-10-01"),
    (46296, True, "2030-10-02"),
    (44834, True, "2026-10-01"),
    (1, False, "1900-01-01"),
    (59, False, "1900-02-28"),
    (61, False, "1900-03-01"),
    (61, True, "1904-03-02"),
    (46296.75, False, "2026-10-01"),
]


@pytest.mark.parametrize("code", ["yyyy-mm-dd", "d/m/yy", "DD.MM.YYYY hh:mm", '"valid from" d-mmm-yy'])  # fmt: skip
@pytest.mark.parametrize(("stored", "base_1904", "day"), DATES)
def test_a_date_goes_by_the_date_base_of_the_workbook(xls, stored, base_1904, day, code):
    path = xls((HEADS, ("A1", "Ball", 1.5, (stored, code))), base_1904=base_1904)
    row = raw_of(path).sheets[0].rows[1]
    assert row.kind(3) == "d" and row.exact[3] == day


def test_a_date_is_shown_as_its_format_writes_it(xls):
    day = datetime.date(2026, 10, 1)
    path = xls(
        (HEADS, ("A1", "Ball", 1.5, (day, "dd/mm/yyyy")), ("A2", "Ball", 1.5, (0.5, "hh:mm")))
    )
    first, second = raw_of(path).sheets[0].rows[1:]
    assert (first.cells[3], first.exact[3]) == ("01/10/2026", "2026-10-01")
    assert (second.cells[3], second.kind(3)) == ("12:00", "d") and not second.exact


def test_hours_beyond_a_day_stay_whole(xls):
    row = raw_of(xls((HEADS, ("A1", "Ball", 1.5, (1.5, "[h]:mm"))))).sheets[0].rows[1]
    assert row.cells[3] == "1 day, 12:00:00" and row.kind(3) == "d"


@pytest.mark.parametrize("stored", [-5.0, 3e6])
def test_a_number_that_is_no_day_is_an_error_under_a_format_of_dates(xls, stored):
    path = xls((HEADS, ("A1", "Ball", 1.5, (stored, "yyyy-mm-dd"))))
    assert raw_of(path).sheets[0].rows[1].kind(3) == "e"


def test_the_code_of_a_part_keeps_the_zeros_that_only_its_format_shows(xls):
    rows = (HEADS, ((123, "00000"), "Ball", 1.5, 1.0), (123, "Seat", 1.5, 1.0))
    shown, stored = read_price_list(xls(rows)).rows[1:]
    assert shown.fields["code"] == "00123" and stored.fields["code"] == "123"
    assert not any("leading zeros" in note for note in shown.notes)
    assert any("leading zeros may be gone" in note for note in stored.notes)


@pytest.mark.parametrize("code", ["General", "0", "0.00", "@", "00000000000000000000"])
def test_digits_beyond_the_fifteenth_are_lost_whatever_the_format(xls, code):
    rows = (HEADS, ((1234567890123456.0, code), "Ball", 1.5, 1.0), ("A2", "Seat", 1.5, 1.0))
    refused = read_price_list(xls(rows)).rows[1]
    assert refused.kind == "refused" and "digits lost" in refused.notes[0]


def whiten_over(book, sheet):
    white, red = (xlwt.easyxf(f"font: colour {colour}") for colour in ("white", "red"))
    on_blue = xlwt.easyxf("font: colour white; pattern: pattern solid, fore_colour blue")
    sheet.write(6, 0, "A7", on_blue)  # white on a colour is seen
    sheet.write(6, 1, "Ball", red)
    for column, value in enumerate(("A9", "kept back", 77.0, 1.0)):
        sheet.write(7, column, value, white if column in (1, 2) else red)
    sheet.write(7, 4, "", white)  # nothing is in it


def test_white_text_is_left_out_and_named(xls):
    raw = raw_of(xls(change=whiten_over))
    assert raw.skipped == ['sheet "Prices": 2 cells in white not read (B8, C8)']
    assert raw.sheets[0].rows[-1].cells[:4] == ["A9", "", "", "1"]
    assert raw.sheets[0].rows[-2].cells[0] == "A7"


@pytest.mark.parametrize("fill", ["", "; pattern: pattern solid, fore_colour white"])
def test_white_on_white_is_white_text_too(xls, fill):
    def change(_book, sheet):
        sheet.write(6, 1, "kept back", xlwt.easyxf(f"font: colour white{fill}"))

    assert raw_of(xls(change=change)).skipped == ['sheet "Prices": 1 cell in white not read (B7)']


def test_a_colour_of_the_palette_that_is_white_or_no_longer_white_is_told(xls):
    def change(book, sheet):
        xlwt.add_palette_colour("pale", 0x21)
        book.set_colour_RGB(0x21, 255, 255, 255)
        book.set_colour_RGB(0x09, 0, 0, 128)
        sheet.write(6, 1, "kept back", xlwt.easyxf("font: colour pale"))
        font = xlwt.Font()
        font.colour_index = 9
        style = xlwt.XFStyle()
        style.font = font
        sheet.write(6, 2, "seen", style)

    assert raw_of(xls(change=change)).skipped == ['sheet "Prices": 1 cell in white not read (B7)']


def test_every_sheet_hides_its_own_rows(xls):
    def second(book, sheet):
        sheet.row(2).hidden = True
        other = book.add_sheet("Seats")
        for r, row in enumerate(ROWS):
            for c, value in enumerate(row):
                other.write(r, c, value)
        other.row(4).hidden = True
        other.col(3).hidden = True

    assert raw_of(xls(change=second)).skipped == [
        'sheet "Prices": 1 hidden row not read (3)',
        'sheet "Seats": 1 hidden row not read (5)',
        'sheet "Seats": hidden columns not read (D)',
    ]


def test_numbers_of_a_hidden_sheet_are_not_mixed_up_with_those_of_the_next(xls):
    def hide_first(book, sheet):
        sheet.visibility = 1
        book.add_sheet("Seats").write(0, 0, 5, xlwt.easyxf(num_format_str="000"))
        book.set_active_sheet(1)

    raw = raw_of(xls(change=hide_first))
    assert raw.skipped == ['hidden sheet "Prices" is not read']
    assert [row.cells for row in raw.sheets[0].rows] == [["005"]]
