"""Texts among the rows that contradict what the table says of its prices: asked about.

What such texts look like is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from importers import read_price_list
from importers.heading_units import says_each, spoken_currency
from importers.rows import AMONG, HEADING

HEAD = "Part no.;Description;{}\n"
FIRST = "".join(f"A-{n};Ball {n};{n},50\n" for n in range(10, 20))
LAST = FIRST.replace("A-", "B-").replace("Ball", "Ring")


def listed(heading: str, text: str, *, title: str = "") -> str:
    return f"{title}{HEAD.format(heading)}{FIRST}{text};;\n{LAST}"


@pytest.mark.parametrize(
    ("heading", "is_each"),
    [
        ("EUR/Stk", True), ("Price per piece", True), ("Price each", True), ("Preis je Stück", True),
        ("Price EUR", False), ("Price per pack", False),
    ],
)  # fmt: skip
def test_a_heading_says_whether_its_prices_are_for_one_piece(heading, is_each):
    assert says_each(heading) is is_each


@pytest.mark.parametrize(
    ("text", "currency"),
    [
        ("Hoses, all prices in GBP:", "GBP"), ("Preise in US-Dollar", "USD"), ("Prices in US$", "USD"),
        ("Hoses in USD", "USD"), ("Alle Preise in Schweizer Franken", "CHF"), ("Prices: CAD", "CAD"),
        ("Prices in EUR or USD", ""), ("Prices: freight 5 EUR per order", ""), ("Hoses", ""),
        ("in stock 20 EUR", ""), ("Minimum order 50 USD", ""), ("prices on cad drawings", ""),
    ],
)  # fmt: skip
def test_a_sentence_names_a_currency_only_where_it_says_that_prices_are_in_it(text, currency):
    assert spoken_currency(text) == currency


@pytest.mark.parametrize("heading", ["EUR/Stk", "Price per piece EUR", "Price EUR each"])
def test_a_text_per_hundred_beside_a_heading_for_one_is_asked_about(csv_file, heading):
    table = HEAD.format(heading) + FIRST
    (alarm,) = read_price_list(csv_file(f"All prices per 100 pieces;;\n{table}")).alarms
    assert '"All prices per 100 pieces" beside a heading that says per 1' in alarm.text
    assert "--per" in alarm.text


@pytest.mark.parametrize(
    ("heading", "text", "title", "is_asked"),
    [
        ("Price EUR", "Prices per 100 pieces", "", True),
        ("Price EUR", "Gaskets, prices per 100 pieces:", "", False),  # a heading of its own lines
        ("EUR/Stk", "Gaskets, prices per 100 pieces:", "", True),
        ("Price EUR per 100", "Prices per 100 pieces", "", False),
        ("Price EUR per 100", "Gaskets, price per pack:", "", True),
        ("Price EUR", "Gaskets, price per pack:", "All prices per 100 pieces;;\n", True),
        ("Price EUR", "Prices are net", "", False),
    ],
)
def test_another_basis_among_the_rows_is_asked_about(csv_file, heading, text, title, is_asked):
    alarms = read_price_list(csv_file(listed(heading, text, title=title))).alarms
    assert len(alarms) == is_asked
    for alarm in alarms:
        assert "for how many units are the prices?" in alarm.text
        assert f'"{text}"' in alarm.text and "--per" in alarm.text
        assert alarm.key == ""  # no saving of the layout answers it


def test_a_basis_that_a_person_settled_answers_the_text_among_the_rows(csv_file):
    path = csv_file(listed("Price EUR", "Prices per 100 pieces"))
    (known,) = read_price_list(path).profiles
    settled = replace(known, price_per="100", confirmed="Ilse, 2026-11-02")
    text = read_price_list(path, profiles=(settled,))
    assert text.alarms == ()
    assert {row.fields["price_per"] for row in text.rows if row.amounts} == {"100"}


@pytest.mark.parametrize(
    ("heading", "title"), [("Price EUR", ""), ("Price", "All prices in EUR;;\n")]
)
@pytest.mark.parametrize("text", ["Hoses, all prices in GBP:", "Prices in GBP from here on"])
def test_another_currency_among_the_rows_is_asked_about(csv_file, heading, title, text):
    path = csv_file(listed(heading, text, title=title))
    read = read_price_list(path)
    (alarm,) = read.alarms
    assert alarm.key == AMONG
    assert f'in EUR, and "{text}" among the rows names GBP' in alarm.text
    assert "--currency EUR" in alarm.text
    answer = {"currency": "EUR", "confirmed": "Ilse, 2026-11-02", "settled": (HEADING,)}
    known = tuple(replace(profile, **answer) for profile in read.profiles)
    assert read_price_list(path, profiles=known).alarms == ()


@pytest.mark.parametrize("text", ["Hoses, all prices in EUR:", "Freight free from 500 GBP", "Hoses"])
def test_a_text_that_names_no_other_currency_of_prices_is_not_asked_about(csv_file, text):
    assert read_price_list(csv_file(listed("Price EUR", text))).alarms == ()


def test_a_currency_that_only_a_text_among_the_rows_names_is_asked_about(csv_file):
    path = csv_file(listed("Price", "Hoses, all prices in GBP:"))
    (alarm,) = read_price_list(path).alarms
    assert alarm.key == AMONG
    assert 'only "Hoses, all prices in GBP:" among the rows names one, GBP' in alarm.text
    (profile,) = read_price_list(path).profiles
    known = replace(profile, currency="GBP", confirmed="Ilse, 2026-11-02", settled=(HEADING,))
    again = read_price_list(path, profiles=(known,))
    assert again.alarms == ()
    assert {row.fields["currency"] for row in again.rows if row.amounts} == {"GBP"}


def test_rows_that_name_their_currencies_need_no_text_among_them(csv_file):
    table = "".join(f"A-{n};Ball {n};{n},50;EUR\n" for n in range(10, 20))
    text = f"Part no.;Description;Price;Currency\n{table}Hoses in GBP;;;\n{table}"
    assert read_price_list(csv_file(text)).alarms == ()


@pytest.mark.parametrize("place", ["above", "among"])
def test_a_text_per_metre_beside_a_heading_per_m_is_no_contradiction(csv_file, place):
    text = "Hoses, prices per metre"
    titled = f"{text};;\n{HEAD.format('EUR/m')}{FIRST}"
    path = csv_file(titled if place == "above" else listed("EUR/m", text))
    assert read_price_list(path).alarms == ()
