"""A currency in the price cells that is not that of the heading: asked about, never guessed."""

from __future__ import annotations

from dataclasses import replace

import pytest
from openpyxl.styles.numbers import FORMAT_CURRENCY_USD_SIMPLE

from importers import read_price_list
from importers.rows import CELLS, HEADING, RowKind

HEAD = "Part no.;Description;Price EUR\n"
ROWS = "A-1;Ball;12,50\nA-2;Seat;$ 13,50\nA-3;Ring;$ 14,50\n"


def money(text):
    return [row.fields["currency"] for row in text.rows if row.kind is RowKind.ITEM]


def answered(text, key):
    """Return the layouts as they are once a person saved them, or named the heading's currency."""
    named = {"currency": "EUR"} if key == HEADING else {}
    settled = {"confirmed": "Ilse, 2026-11-02", "settled": (key,), **named}
    return tuple(replace(profile, **settled) for profile in text.profiles)


@pytest.mark.parametrize(
    "listed", [HEAD + ROWS, f"Prices in EUR;;\n{HEAD.replace(' EUR', '')}{ROWS}"]
)
def test_cells_that_contradict_what_the_list_states_are_asked_about(csv_file, listed):
    (alarm,) = read_price_list(csv_file(listed)).alarms
    assert alarm.key == CELLS
    assert "said to be in EUR, and 2 price cells say USD, the first at row" in alarm.text
    assert "--currency EUR" in alarm.text and "--save" in alarm.text


@pytest.mark.parametrize(
    ("key", "expected"), [(CELLS, ["EUR", "USD", "USD"]), (HEADING, ["EUR", "EUR", "EUR"])]
)
@pytest.mark.parametrize("title", ["", "Prices in EUR;;\n"])
def test_what_a_person_settled_of_it_is_obeyed_and_asked_no_more(csv_file, title, key, expected):
    head = HEAD.replace(" EUR", "") if title else HEAD
    path = csv_file(f"{title}{head}{ROWS}")
    text = read_price_list(path, profiles=answered(read_price_list(path), key))
    assert text.alarms == ()
    assert money(text) == expected
    assert any("USD" in note for row in text.rows for note in row.notes)


def test_the_currency_of_a_workbooks_formats_is_held_against_the_heading(xlsx_file):
    def in_dollars(book):
        for row in (2, 3):
            book.active.cell(row, 3).number_format = FORMAT_CURRENCY_USD_SIMPLE

    rows = [["Part no.", "Description", "Price EUR"], ["A-1", "Ball", 12.5], ["A-2", "Seat", 13.5]]
    path = xlsx_file(rows, in_dollars)
    (alarm,) = read_price_list(path).alarms
    assert (alarm.key, "2 price cells say USD, the first at Prices row 2" in alarm.text) == (CELLS, True)
    assert read_price_list(xlsx_file(rows)).alarms == ()


@pytest.mark.parametrize(
    "listed",
    [
        HEAD + "A-1;Ball;\u20ac 12,50\n", HEAD.replace(" EUR", "") + "A-1;Ball;$ 12,50\nA-2;Seat;3,50\n",
        "Part no.;Description;Price;Currency\nA-1;Ball;$ 12,50;USD\nA-2;Seat;3,50;EUR\n",
    ],
)  # fmt: skip
def test_cells_that_contradict_nothing_are_not_asked_about(csv_file, listed):
    assert read_price_list(csv_file(listed)).alarms == ()


def test_a_price_break_in_another_currency_is_left_out_and_said(csv_file):
    text = read_price_list(
        csv_file("Part no.;Description;Price EUR;from 10\nA-1;Ball;12,50;$ 11,00\nA-2;Seat;5;4\n")
    )
    first, second = (row for row in text.rows if row.kind is RowKind.ITEM)
    assert first.amounts == {"price": "12.50", "price_from_10": ""}
    assert "the price from 10 units is in USD, not in EUR: left out" in first.notes
    assert second.amounts == {"price": "5", "price_from_10": "4"}


ROWS_NAME = "Part no.;Description;Price EUR;Currency\nA-1;Ball;1,50;USD\nA-2;Seat;1,60;\nA-3;Ring;9;eur\n"


def test_rows_that_name_another_currency_than_the_heading_are_asked_about(csv_file):
    text = read_price_list(csv_file(ROWS_NAME))
    (alarm,) = text.alarms
    assert alarm.key == CELLS
    assert "said to be in EUR, and 1 row names USD, the first row 2" in alarm.text
    assert text.rows[1].notes == ("the row names USD, the heading EUR",)


@pytest.mark.parametrize(
    ("key", "expected"), [(CELLS, ["USD", "EUR", "EUR"]), (HEADING, ["EUR"] * 3)]
)
def test_what_a_person_settled_of_such_rows_is_obeyed(csv_file, key, expected):
    path = csv_file(ROWS_NAME)
    text = read_price_list(path, profiles=answered(read_price_list(path), key))
    assert (text.alarms, money(text)) == ((), expected)


@pytest.mark.parametrize("title", ["", "Prices in EUR;;;\n"])
def test_a_column_of_currencies_is_held_against_no_text_beside_the_table(csv_file, title):
    listed = title + ROWS_NAME.replace(" EUR", "")
    text = read_price_list(csv_file(listed))
    first = next(row for row in text.rows if row.kind is RowKind.ITEM)
    assert (text.alarms, first.fields["currency"]) == ((), "USD")
