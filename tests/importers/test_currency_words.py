"""Currencies named by a list: the codes are those of ISO 4217, signs and words common practice."""

from __future__ import annotations

import pytest

from importers import read_price_list
from importers.rows import CURRENCY, Column, Profile

HEAD = "Part no.;Description;{}\nA-1;Seal kit;1.250,50\nA-2;Ball;12,50\n"


@pytest.mark.parametrize(
    ("heading", "currency"),
    [
        ("Price SEK", "SEK"), ("Preis (PLN)", "PLN"), ("Price JPY", "JPY"), ("Price ₽", "RUB"),
        ("Price A$", "AUD"), ("Price US$", "USD"), ("Price $", "USD"), ("Price C$", "CAD"),
        ("Price in US Dollars", "USD"), ("CZK/Stk", "CZK"), ("Preis zł", "PLN"),
    ],
)  # fmt: skip
def test_a_currency_in_the_heading_is_that_of_the_prices(csv_file, heading, currency):
    text = read_price_list(csv_file(HEAD.format(heading)))
    assert text.profiles[0].currency == currency
    assert {row.fields["currency"] for row in text.rows if row.amounts} == {currency}
    assert any(f"currency {currency}" in said for said in text.assumptions)
    assert not text.alarms


@pytest.mark.parametrize(
    ("title", "currency"),
    [
        ("All prices in SEK", "SEK"),
        ("Prices in US Dollars", "USD"),
        ("Prices in pounds sterling", "GBP"),
        ("Alle Preise in Schweizer Franken", "CHF"),
    ],
)
def test_a_currency_above_the_table_is_that_of_the_prices(csv_file, title, currency):
    text = read_price_list(csv_file(f"{title}\n" + HEAD.format("Price")))
    assert text.profiles[0].currency == currency


@pytest.mark.parametrize("title", ["Try our new seals", "Sek. 3 nach dem Start", "CW Ron and sons"])
def test_a_word_that_is_no_code_names_no_currency(csv_file, title):
    text = read_price_list(csv_file(f"{title}\n" + HEAD.format("Price")))
    assert text.profiles[0].currency == ""
    assert not text.alarms


@pytest.mark.parametrize(
    ("title", "heading", "said"),
    [
        ("List", "Price EUR/USD", 'names EUR and USD'),
        ("Prices in EUR or USD", "Price", 'names EUR and USD'),
        ("Prices in kr", "Price", '"kr" in "Prices in kr" may be the money of several'),
        ("List", "Price ¥", '"¥" in "Price ¥" may be'),
        ("List", "Price (dollars)", '"dollars" in'),
        ("Prices in EUR\nHoses in USD", "Price", "the texts beside it name EUR and USD"),
    ],
)  # fmt: skip
def test_a_currency_that_is_spoken_of_and_not_certain_is_asked_for(csv_file, title, heading, said):
    text = read_price_list(csv_file(f"{title}\n" + HEAD.format(heading)))
    (alarm,) = text.alarms
    assert said in alarm.text and "--currency" in alarm.text
    assert alarm.key == CURRENCY
    assert text.profiles[0].currency == ""


def test_a_column_of_currencies_leaves_nothing_to_ask(csv_file):
    table = "Part no.;Description;Price;Currency\nA-1;Seal kit;12,50;EUR\n"
    assert not read_price_list(csv_file(f"Prices in EUR or USD\n{table}")).alarms


def test_a_currency_that_a_person_settled_answers_what_the_list_leaves_open(csv_file):
    path = csv_file("Prices in EUR or USD\n" + HEAD.format("Price"))
    (profile,) = read_price_list(path).profiles
    known = Profile(profile.columns, 2, currency="USD", confirmed="a person")
    text = read_price_list(path, profiles=(known,))
    assert not text.alarms
    assert text.profiles[0].currency == "USD"


@pytest.mark.parametrize(
    ("heading", "unit"), [("Цена USD", "USD"), ("价格 GBP", "GBP"), ("Tarif je 100 EUR", "100")]
)
def test_a_heading_in_another_language_still_names_its_currency_and_basis(csv_file, heading, unit):
    path = csv_file(f"Артикул;Описание;{heading}\nA-1;Seal kit;98,10\nA-2;Ball;12,30\n")
    columns = (
        Column(-1, "Артикул", "code"),
        Column(-1, "Описание", "description"),
        Column(-1, heading, "price"),
    )
    text = read_price_list(path, profiles=(Profile(columns, 1, confirmed="a person"),))
    row = text.rows[1]
    assert unit in (row.fields.get("currency"), row.fields.get("price_per"))
    assert row.amounts == {"price": "98.10"}


@pytest.mark.parametrize(
    ("cell", "amount", "currency"),
    [
        ("12,50 PLN", "12.50", "PLN"),
        ("12,50 zł", "12.50", "PLN"),
        ("SEK 1.250,00", "1250.00", "SEK"),
    ],
)
def test_a_code_in_the_price_cell_is_kept(csv_file, cell, amount, currency):
    text = read_price_list(csv_file(HEAD.format("Price").replace("12,50", cell)))
    assert text.rows[2].amounts == {"price": amount}
    assert text.rows[2].fields["currency"] == currency


@pytest.mark.parametrize("cell", ["A$ 12,50", "¥ 125", "kr 12,50"])
def test_a_sign_that_is_not_known_makes_no_price(csv_file, cell):
    text = read_price_list(csv_file(HEAD.format("Price EUR").replace("12,50", cell)))
    assert text.rows[2].amounts == {"price": ""}
    assert any(cell in note for note in text.rows[2].notes)


def test_a_cell_that_contradicts_the_currency_of_its_heading_is_said(csv_file):
    text = read_price_list(csv_file(HEAD.format("Price EUR").replace("12,50", "$ 12,50")))
    assert [row.fields["currency"] for row in text.rows[1:]] == ["EUR", "USD"]
    assert text.rows[2].notes == ("the price cell says USD, the heading EUR",)


@pytest.mark.parametrize(
    ("headings", "currency"),
    [
        ("List price EUR;Net price USD", "USD"), ("Net price USD;List price EUR", "USD"),
        ("List price EUR;Net price", "EUR"), ("List price;Net price USD", "USD"),
    ],
)  # fmt: skip
def test_the_currency_is_that_of_the_price_before_that_of_the_list_price(
    csv_file, headings, currency
):
    text = read_price_list(csv_file(f"Part no.;Description;{headings}\nA-1;Ball;20,50;15,50\n"))
    assert [row.fields["currency"] for row in text.rows if row.amounts] == [currency]


def test_signs_beside_the_list_prices_alone_are_the_currency_of_both(csv_file):
    text = read_price_list(
        csv_file("Part no.;Description;List price;Price\nA-1;Ball;$ 20,50;15,50\nA-2;Seat;$ 9;8\n")
    )
    assert [row.fields["currency"] for row in text.rows if row.amounts] == ["USD", "USD"]


@pytest.mark.parametrize(
    ("written", "currency", "notes"),
    [
        ("€", "EUR", ()), ("Euro", "EUR", ()), ("£", "GBP", ()), ("EUR", "EUR", ()),
        ("sek", "sek", ()), ("kr", "kr", ()),  # a code stands as written; whose crowns nobody says
        ("$", "USD", ('the currency "$" is taken for USD',)),
    ],
)  # fmt: skip
def test_a_sign_in_the_column_of_currencies_is_its_code(csv_file, written, currency, notes):
    text = read_price_list(
        csv_file(f"Part no.;Description;Price;Currency\nA-1;Ball;12,50;{written}\n")
    )
    row = text.rows[1]
    assert (row.fields["currency"], row.notes) == (currency, notes)


def test_a_cell_in_dollars_beside_a_sign_of_another_currency_is_no_price(csv_file):
    text = read_price_list(
        csv_file("Part no.;Description;Price;Currency\nA-1;Ball;$ 12,50;€\nA-2;Seat;13,50;€\n")
    )
    assert [row.amounts["price"] for row in text.rows[1:]] == ["", "13.50"]
