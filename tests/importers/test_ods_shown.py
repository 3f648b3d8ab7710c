"""What the formats of an OpenDocument sheet show around its numbers (ODF 1.2 part 1, 19.369, 19.385)."""

from __future__ import annotations

import pytest

from importers import read_price_list
from importers.rows import CELLS, RowKind
from tests.importers.test_other_workbooks import cell, line, ods_of

HEADS = ["Part no.", "Description", "Price EUR"]


def number(value: str, shown: str, *, kind: str = "float", attrs: str = "", inside: str = "") -> str:
    return (
        f'<table:table-cell office:value-type="{kind}" office:value="{value}" {attrs}>{inside}'
        f"<text:p>{shown}</text:p></table:table-cell>"
    )


def dollars(value: str, shown: str, code: str = "USD") -> str:
    return number(value, shown, kind="currency", attrs=f'office:currency="{code}"')


def read(path, *cells, heads=HEADS, repeated=""):
    row = f"<table:table-row {repeated}>{cell('KV-1')}{cell('Ball')}{''.join(cells)}</table:table-row>"
    return read_price_list(ods_of(path / "list.ods", line(heads) + row))


def items(text):
    return [row for row in text.rows if row.kind is RowKind.ITEM]


@pytest.mark.parametrize(
    ("given", "amount", "currency"),
    [
        (dollars("12.5", "$12.50"), "12.5", "USD"),
        (dollars("12.5", "12.50"), "12.5", "USD"),  # the file names it, the format shows none
        (number("12.5", "12,50 \u20ac"), "12.5", "EUR"),
        (number("1234.5", "\u00a31,234.50"), "1234.5", "GBP"),
        (number("1234", "CHF 1\u2019234"), "1234", "CHF"),
        (number("12.345", "$12.35"), "12.345", "USD"),  # the stored digits stay
        (number("12.5", "12.50"), "12.5", "EUR"),
    ],
)
def test_the_currency_of_a_cells_format_is_seen(tmp_path, given, amount, currency):
    text = read(tmp_path, given)
    (item,) = items(text)
    assert (item.amounts["price"], item.fields["currency"]) == (amount, currency)
    assert [alarm.key for alarm in text.alarms] == ([CELLS] if currency != "EUR" else [])


def test_a_sign_that_is_not_known_makes_no_price(tmp_path):
    (item,) = items(read(tmp_path, number("125", "kr 125")))
    assert item.amounts["price"] == ""


def test_a_note_beside_a_number_is_not_what_the_cell_shows(tmp_path):
    note = "<office:annotation><text:p>was $ 14</text:p></office:annotation>"
    text = read(tmp_path, number("12.5", "12.50", inside=note))
    assert (items(text)[0].amounts["price"], text.alarms) == ("12.5", ())


def test_rows_that_the_file_writes_once_keep_their_currency(tmp_path):
    text = read(tmp_path, dollars("12.5", "$12.50"), repeated='table:number-rows-repeated="3"')
    assert [row.fields["currency"] for row in items(text)] == ["USD"] * 3


@pytest.mark.parametrize(
    ("given", "rating"),
    [(number("250", "250 bar"), "250 bar"), (number("250", "250"), "250"),
     (number("3300", "3,300 psi"), "3300 psi")],
)  # fmt: skip
def test_a_unit_in_a_format_is_seen(tmp_path, given, rating):
    text = read(tmp_path, cell(1.5), given, heads=[*HEADS, "Working pressure"])
    assert items(text)[0].fields["rating"] == rating


@pytest.mark.parametrize(
    ("shown", "code"), [("KV-0012", "KV-0012"), ("0012", "0012"), ("12", "12"), ("1.20E+01", "12")]
)
def test_a_code_shows_what_its_format_adds(tmp_path, shown, code):
    row = f"<table:table-row>{number('12', shown)}{cell('Ball')}{cell(1.5)}</table:table-row>"
    text = read_price_list(ods_of(tmp_path / "list.ods", line(HEADS) + row))
    assert items(text)[0].fields["code"] == code


@pytest.mark.parametrize("shown", ["-$12.50", "$-12.50", "\u221212,50 \u20ac"])
def test_a_negative_price_is_said_to_be_one(tmp_path, shown):
    (item,) = items(read(tmp_path, number("-12.5", shown)))
    assert item.amounts["price"] == "" and "negative price -12.5" in item.notes
