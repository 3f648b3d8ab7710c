"""JSON lines: keys are headings, numbers keep their digits, one bad line is named."""

from __future__ import annotations

import pytest

from importers import ReaderError, read_price_list

ONE = '{"part number": "0012", "description": "Ball", "price": 12.30, "currency": "EUR"}'


def test_every_object_is_a_row_with_its_line_as_place(csv_file):
    text = read_price_list(
        csv_file(f'{ONE}\n\n{{"part number": "A2", "price": 5, "material": "WC"}}\n')
    )
    header, first, second = text.rows
    assert (text.reader, header.kind) == ("JSON lines", "header")
    assert (first.place(), second.place()) == ("line 1", "line 3")
    assert first.place("price", text.profiles[0]) == "line 1"
    assert first.fields["code"] == "0012" and first.amounts == {"price": "12.30"}
    assert second.fields == {"code": "A2", "price": "5", "material": "WC"}


def test_a_number_keeps_the_digits_it_is_written_with(csv_file):
    text = read_price_list(csv_file(ONE.replace("12.30", "1234567.123456789")))
    assert text.rows[1].amounts == {"price": "1234567.123456789"}
    text = read_price_list(csv_file(ONE.replace("12.30", "1.25e3")))
    assert text.rows[1].amounts == {"price": "1250"}


def test_a_code_written_as_a_number_is_noted(csv_file):
    text = read_price_list(csv_file(ONE.replace('"0012"', "12")))
    assert any("code stored as a number" in note for note in text.rows[1].notes)


def test_keys_within_keys_are_read_and_very_deep_ones_refused(csv_file):
    text = read_price_list(csv_file(ONE.replace("12.30", '{"net": 8.5}')))
    assert text.rows[1].amounts == {"price": "8.5"}
    deep = ONE.replace("12.30", '{"a": {"b": {"c": {"d": 1}}}}')
    with pytest.raises(ReaderError, match="nested too deep"):
        read_price_list(csv_file(deep))
    with pytest.raises(ReaderError) as caught:
        read_price_list(csv_file(f'{{"a": {"[" * 100_000}'))
    assert caught.value.place == "list.csv line 1"


@pytest.mark.parametrize(
    "inner", ["[1]", "[" * 900 + "1" + "]" * 900, '{"from": 10, "price": 9.5}']
)
def test_what_a_list_holds_besides_plain_values_is_said_and_not_read(csv_file, inner):
    nested = ONE.replace("12.30", f'12.30, "price breaks": [{inner}, "x"]')
    row = read_price_list(csv_file(nested)).rows[1]
    assert row.amounts["price"] == "12.30"
    assert row.notes == (
        "1 of 2 entries under the key 'price breaks' are no plain value: not read",
    )


def test_a_plain_list_is_one_cell(csv_file):
    row = read_price_list(csv_file(ONE.replace('"Ball"', '["Ball", "3/8 in", 2]'))).rows[1]
    assert row.fields["description"] == "Ball; 3/8 in; 2"
    assert row.notes == ()


def test_an_array_of_objects_is_read_too(csv_file):
    text = read_price_list(csv_file(f"[{ONE},\n{ONE.replace('0012', 'A2')}]"))
    assert [row.place() for row in text.rows[1:]] == ["item 1", "item 2"]


@pytest.mark.parametrize(
    ("bad", "said"),
    [
        ('{"price": 1', "this is no JSON"),
        ("[1]", "no JSON object"),
        ('{"price": NaN}', "NaN is no JSON number"),
        ('{"price": 1, "price": 2}', "'price' stands twice"),
    ],
)
def test_a_bad_line_is_refused_with_its_number(csv_file, bad, said):
    with pytest.raises(ReaderError, match=said) as caught:
        read_price_list(csv_file(f"{ONE}\n{bad}\n"))
    assert caught.value.place == "list.csv line 2"
