"""Prices from a quantity on beside list prices and discounts: figures by hand arithmetic.

How lists lay them out is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from importers import read_price_list
from importers.drift import NET

HEAD = "Part no.;Description;List price EUR;Discount %;{}\n"


def amounts(text):
    return [row.amounts for row in text.rows if row.amounts]


def said(text, what):
    return [each for each in text.assumptions if what in each]


def test_beside_list_price_and_discount_a_price_from_ten_is_no_price_of_one(csv_file):
    text = read_price_list(csv_file(HEAD.format("from 10") + "A-1;Seal kit;100,00;25;70,00\n"))
    # 100 x 0.75 = 75 for one; 70 may be meant before the 25 % or after it.
    assert amounts(text) == [{"list_price": "100.00", "price": "75"}]
    assert "min_qty" not in text.rows[1].fields
    (told,) = said(text, "before the discount or after it")
    assert told.startswith('the prices in column "from 10"')
    assert '--column "from 10=net price"' in told
    assert not said(text, "holds only from")


@pytest.mark.parametrize("heading", ["net from 10;from 50", "netto ab 10;ab 50"])
def test_a_price_from_ten_that_is_headed_net_is_a_break_of_what_is_left(csv_file, heading):
    text = read_price_list(csv_file(HEAD.format(heading) + "A-1;Kit;100,00;25;70,00;65,00\n"))
    assert amounts(text) == [
        {"list_price": "100.00", "price": "75", "price_from_10": "70.00", "price_from_50": "65.00"}
    ]


def test_a_person_settles_that_prices_from_a_quantity_on_are_net(csv_file):
    path = csv_file(HEAD.format("from 10;from 50") + "A-1;Seal kit;100,00;25;70,00;65,00\n")
    (profile,) = read_price_list(path).profiles
    columns = tuple(
        replace(c, meaning="price", unit=f"{c.unit} {NET}") if c.heading == "from 10" else c
        for c in profile.columns
    )
    settled = replace(profile, columns=columns, confirmed="a person")
    for _ in range(2):  # what is remembered of it says the same
        text = read_price_list(path, profiles=(settled,))
        assert amounts(text) == [
            {"list_price": "100.00", "price": "75", "price_from_10": "70.00",
             "price_from_50": "65.00"}
        ]  # fmt: skip
        (settled,) = text.profiles


@pytest.mark.parametrize(
    ("head", "row", "why"),
    [
        ("Price EUR;from 100, per 100", "3,50;300,00", "they are per 100, the price is not"),
        ("Price EUR;10+ USD", "3,50;3,00", "they are in USD, the price is in EUR"),
    ],
)
def test_a_price_on_another_basis_or_in_another_currency_is_no_break(csv_file, head, row, why):
    text = read_price_list(csv_file(f"Part no.;Description;{head}\nA-1;Ball;{row}\n"))
    assert amounts(text) == [{"price": "3.50"}]
    assert said(text, why)


def test_breaks_on_the_basis_of_the_price_stay(csv_file):
    head = "Part no.;Description;Price EUR per 100;from 1000"
    text = read_price_list(csv_file(f"{head}\nA-1;Ball;350,00;300,00\n"))
    assert amounts(text) == [{"price": "350.00", "price_from_1000": "300.00"}]
    assert text.rows[1].fields["price_per"] == "100"


def test_a_net_price_is_for_as_many_as_the_list_price_that_it_is_made_of(csv_file):
    text = read_price_list(
        csv_file("Part no.;Description;List price EUR per 100;Discount %\nA-1;Ball;340,50;10\n")
    )
    assert amounts(text) == [{"list_price": "340.50", "price": "306.45"}]  # 340.50 x 0.9
    assert text.rows[1].fields["price_per"] == "100"


@pytest.mark.parametrize(
    ("prices", "notes"),
    [
        ("20;18;15", ()),
        ("20;20;15", ()),
        ("20;22;18", ("from 10 units it costs more than fewer: 22 against 20",)),
        ("20;;25", ("from 50 units it costs more than fewer: 25 against 20",)),
        ("5;POA;4", ("from 10 units: no price: POA",)),
        ("5;4;0", ("from 50 units: zero price",)),
    ],
)
def test_what_is_odd_about_a_break_is_said_with_its_quantity(csv_file, prices, notes):
    head = "Part no.;Description;Price EUR 1-9;10-49;50+"
    (row,) = read_price_list(csv_file(f"{head}\nA-1;Ball;{prices}\n")).rows[1:]
    assert row.amounts["price"] == prices.partition(";")[0]
    assert row.notes == notes


@pytest.mark.parametrize(
    ("heading", "price", "ten", "expected", "said_of_it"),
    [
        ("Price EUR", "1,50", "140,00 / 100", "", "is per 100, not per 1: left out"),
        ("Price EUR", "150,00 / 100", "1,40", "", "is per 1, not per 100: left out"),
        ("Price EUR per 100", "150,00", "1400,00 / 1000", "", "is per 1000, not per 100: left out"),
        ("Price EUR", "150,00 / 100", "140,00 / 100", "140.00", ""),
        ("Price EUR per 100", "150,00", "140,00 / 100", "140.00", ""),
        ("Price EUR per 100", "150,00", "140,00", "140.00", ""),
    ],
)
def test_a_break_whose_cell_names_another_basis_than_the_price_is_left_out(
    csv_file, heading, price, ten, expected, said_of_it
):
    head = f"Part no.;Description;{heading};from 10\n"
    row = read_price_list(csv_file(f"{head}A-1;Ball;{price};{ten}\n")).rows[1]
    assert row.amounts["price_from_10"] == expected
    left_out = [f"the price from 10 units {said_of_it}"] if said_of_it else []
    assert [note for note in row.notes if note.endswith("left out")] == left_out
