"""Texts beside a table that say for how many units its prices are, and prices from a quantity on.

What such texts look like is common practice, no source.
"""

from __future__ import annotations

import pytest

from importers import read_price_list
from importers.heading_units import spoken_basis
from importers.rows import Profile

TABLE = "Part no.;Description;Price EUR\nA-1;Ball 5/16;340,50\nA-2;O-ring;1,05\n"


@pytest.mark.parametrize(
    ("text", "basis"),
    [
        ("All prices per 100 pieces, EUR", "100"), ("Preise je 100 Stück", "100"),
        ("Preise in EUR pro 1000 Stk., netto", "1000"), ("Prices are per hundred", "100"),
        ("O-rings, price per 10", "10"), ("Prices per pack", "pack"), ("Preise je VPE", "pack"),
        ("Hoses, prices per metre", "MTR"),
        ("Prices for 100 bar hoses", ""), ("Prices: freight 5 EUR per 100 kg", ""),
        ("Prices 2026", ""), ("Price list no. 100", ""), ("Preise gültig für 100 Tage", ""),
        ("Small orders: 10 EUR per order", ""), ("packed per 100 pieces", ""),
    ],
)  # fmt: skip
def test_a_sentence_names_a_basis_only_where_it_speaks_of_prices(text, basis):
    assert spoken_basis(text) == basis


@pytest.mark.parametrize("place", ["above", "below"])
def test_a_basis_named_beside_the_table_is_that_of_its_prices(csv_file, place):
    note = "All prices per 100 pieces\n"
    text = read_price_list(csv_file(note + TABLE if place == "above" else TABLE + ";" + note))
    rows = [row for row in text.rows if row.amounts]
    assert [(r.amounts["price"], r.fields["price_per"]) for r in rows] == [
        ("340.50", "100"), ("1.05", "100"),
    ]  # fmt: skip
    assert 'prices are per 100: the text "All prices per 100 pieces" outside the table says so' in (
        text.assumptions
    )
    assert text.profiles[0].price_per == ""  # the next list must say it again


@pytest.mark.parametrize(
    ("note", "table", "bases"),
    [
        ("Prices per 100", TABLE.replace("Price EUR", "Price EUR per 100"), ["100", "100"]),
        ("Prices per 100", TABLE.replace("EUR\n", "EUR;Price per\n").replace("50\n", "50;10\n"),
         ["10", None]),
    ],
)  # fmt: skip
def test_heading_and_column_of_the_basis_come_before_the_text(csv_file, note, table, bases):
    text = read_price_list(csv_file(f"{note}\n{table}"))
    assert [row.fields.get("price_per") for row in text.rows if row.amounts] == bases


@pytest.mark.parametrize(
    ("notes", "heading"),
    [("Prices per 100\nPrices per 1000 pieces", "Price EUR"), ("Prices per 100", "Price EUR/1000")],
)
def test_texts_that_name_two_bases_are_asked_about(csv_file, notes, heading):
    text = read_price_list(csv_file(f"{notes}\n{TABLE.replace('Price EUR', heading)}"))
    (alarm,) = text.alarms
    assert "for how many units are the prices?" in alarm.text and "--per" in alarm.text
    assert alarm.key == ""  # no saving of the layout answers it


def test_a_basis_that_a_person_settled_answers_what_the_texts_leave_open(csv_file):
    path = csv_file(f"Prices per 100\nPrices per 1000 pieces\n{TABLE}")
    columns = read_price_list(path).profiles[0].columns
    settled = Profile(columns, 3, price_per="1", confirmed="a person")
    text = read_price_list(path, profiles=(settled,))
    assert not text.alarms
    assert {row.fields["price_per"] for row in text.rows if row.amounts} == {"1"}


def test_the_heading_of_a_part_of_the_table_names_the_basis_of_its_own_lines(csv_file):
    text = read_price_list(
        csv_file(
            "Part no.;Description;Price EUR\n;Kits;\nA-1;Seal kit;10,50\n;O-rings, price per 100;\n"
            "A-2;O-ring;1,05\n;Balls;\nA-3;Ball;2,50\n"
        )
    )
    rows = [row for row in text.rows if row.amounts]
    assert [row.fields.get("price_per") for row in rows] == [None, "100", None]
    assert rows[1].notes == ('per 100: the line "O-rings, price per 100" above says so',)


def test_a_text_right_above_the_next_table_is_not_of_the_one_before(xlsx_file):
    head = ["Part no.", "Description", "Price"]
    text = read_price_list(
        xlsx_file(
            [head, ["F-1", "Elbow", 2.5], [], ["Hoses in USD"], ["All prices per 100 pieces"],
             [*head, "Stock"], ["H-1", "Hose", 55.0, 3]]
        )
    )  # fmt: skip
    rows = [row for row in text.rows if row.amounts]
    assert [row.fields.get("price_per") for row in rows] == [None, "100"]
    assert [row.fields.get("currency") for row in rows] == [None, "USD"]


@pytest.mark.parametrize(("stated", "least"), [("", "10"), ("1", "10"), ("25", "25")])
def test_a_price_from_a_quantity_on_is_no_price_of_a_single_one(csv_file, stated, least):
    text = read_price_list(
        csv_file(f"Part no.;Description;from 10;from 50;MOQ\nA-1;Ball;6,50;6,00;{stated}\n")
    )
    row = text.rows[1]
    assert row.fields["min_qty"] == least
    assert row.amounts == {"price": "6.50", "price_from_50": "6.00"}
    assert ("the price holds only from 10 units" in row.notes) is (least == "10")


def test_a_single_price_beside_breaks_has_no_minimum(csv_file):
    text = read_price_list(csv_file("Part no.;Description;Price EUR 1-9;10-49\nA-1;Ball;7;6\n"))
    assert "min_qty" not in text.rows[1].fields
