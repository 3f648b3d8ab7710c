"""What our own walk finds in old workbooks against what xlrd finds, on workbooks that xlwt wrote."""

from __future__ import annotations

import random
from decimal import Decimal

import pytest
import xlrd
import xlwt

from importers.limits import DEFAULT
from importers.ole import workbook_stream
from importers.raw import Source
from importers.readers.biff_book import book_records
from importers.readers.calamine import OtherWorkbook

FORMATS = ("General", "0.00", "#,##0.00", "00000", "@", "yyyy-mm-dd", '0.0 "€"', "[h]:mm", "0%")
DATES = ("yyyy-mm-dd", "[h]:mm")


def random_cell(rng: random.Random) -> object:
    return rng.choice(
        [
            None,
            rng.randrange(0, 60_000),
            rng.randrange(-(10**6), 10**9),
            round(rng.uniform(0, 1000), rng.randrange(0, 6)),
            "".join(rng.choice("abc ÄÖß€1/4\"'<>&ж") for _ in range(rng.randrange(1, 12))),
            rng.choice([True, False]),
        ]
    )


def random_book(path, rng: random.Random):
    book = xlwt.Workbook()
    book.dates_1904 = rng.random() < 0.5
    styles = [xlwt.easyxf(num_format_str=code) for code in FORMATS]
    for number in range(3):
        sheet = book.add_sheet(f"Liste {number} Ä")
        for row in range(40):
            sheet.row(row).hidden = rng.random() < 0.2
            for column in range(12):
                if (value := random_cell(rng)) is not None and rng.random() < 0.8:
                    sheet.write(row, column, value, rng.choice(styles))
        for column in rng.sample(range(12), 3):
            sheet.col(column).hidden = rng.random() < 0.5
            sheet.col(column).width = rng.choice([0, 2000])
    book.save(str(path))
    return Source(path.name, path.read_bytes())


@pytest.mark.parametrize("seed", range(8))
def test_rows_columns_formats_and_numbers_are_those_that_xlrd_finds(tmp_path, seed):
    source = random_book(tmp_path / "list.xls", random.Random(seed))
    ours = book_records(source, workbook_stream(source))
    theirs = xlrd.open_workbook(file_contents=source.data, formatting_info=True)
    assert ours.base_1904 == theirs.datemode
    for sheet, other in zip(ours.sheets, theirs.sheets(), strict=True):
        assert sheet.hidden_rows == {r for r, row in other.rowinfo_map.items() if row.hidden}
        hidden = {c for first, last in sheet.hidden_columns for c in range(first, last + 1)}
        assert hidden == {c for c, i in other.colinfo_map.items() if i.hidden or not i.width}
        found = {}
        for place, style, number in zip(sheet.places, sheet.styles, sheet.numbers, strict=True):
            code = ours.codes.get(ours.formats[style], "General")
            found[divmod(place, 1 << 16)] = number, code.casefold()
        assert found == dict(numbers_of(theirs, other))


def numbers_of(book, sheet):
    """Yield place -> number and format of every cell with a number, as xlrd finds them."""
    for row in range(sheet.nrows):
        for column, cell in enumerate(sheet.row(row)):
            if cell.ctype in (xlrd.XL_CELL_NUMBER, xlrd.XL_CELL_DATE):
                form = book.format_map[book.xf_list[cell.xf_index].format_key]
                code = form.format_str if form.format_key >= 164 else "General"
                yield (row, column), (cell.value, code.casefold())


@pytest.mark.parametrize("seed", range(8))
def test_every_cell_that_is_shown_has_the_value_that_xlrd_gives_it(tmp_path, seed):
    source = random_book(tmp_path / "list.xls", random.Random(seed))
    raw = OtherWorkbook().read(source, (), DEFAULT)
    book = xlrd.open_workbook(file_contents=source.data, formatting_info=True)
    for ours, theirs in zip(raw.sheets, book.sheets(), strict=True):
        rows = {row.number: row for row in ours.rows}
        for r in range(theirs.nrows):
            for c, cell in enumerate(theirs.row(r)):
                info = theirs.colinfo_map.get(c)
                is_hidden = theirs.rowinfo_map[r].hidden or (
                    info and (info.hidden or not info.width)
                )
                row = rows.get(r + 1)
                text = row.cell(c) if row else ""
                if is_hidden:
                    assert not text.strip(), (r, c)
                else:
                    check(book, cell, row, c)


def check(book, cell, row, column):
    """One cell that is seen: text and yes or no as they are, a number by what is kept of it."""
    if cell.ctype in (xlrd.XL_CELL_EMPTY, xlrd.XL_CELL_BLANK):
        assert row is None or row.cell(column) == ""
    elif cell.ctype == xlrd.XL_CELL_TEXT:
        assert (row.cell(column) if row else "").strip() == cell.value.strip()
    elif cell.ctype == xlrd.XL_CELL_BOOLEAN:
        assert row.cell(column) == ("TRUE" if cell.value else "FALSE")
    elif row.kind(column) == "n":
        shown = row.cell(column)
        kept = Decimal(row.exact.get(column) or shown.rstrip(" €%"))
        scale = Decimal("0.01") if shown.endswith("%") else 1
        assert kept * scale == Decimal(repr(cell.value))
    elif row.kind(column) == "d" and column in row.exact:
        assert row.exact[column] == f"{xlrd.xldate_as_datetime(cell.value, book.datemode):%Y-%m-%d}"
    else:  # a time of day, hours on end, or no day at all
        form = book.format_map[book.xf_list[cell.xf_index].format_key]
        assert form.format_str.casefold() in DATES
