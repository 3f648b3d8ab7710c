"""A column of discounts: the net price by hand arithmetic, or none and the reason.

Which way a list writes its discounts is common practice, no source; that a code of discounts needs
the supplier's table is handbook 8, defect 9.
"""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from importers import read_price_list
from importers.discounts import Discounting
from importers.rows import RowKind

HEAD = "Part no.;Description;List price EUR;{};Unit\n"


def items(path):
    return [row for row in read_price_list(path).rows if row.kind is RowKind.ITEM]


def one(csv_file, cell, *, price="100,00", heading="Discount %"):
    # A second row with a clear decimal comma decides the mark of the column.
    text = f"{HEAD.format(heading)}A1;Ball;{price};{cell};EA\nA2;Seat;1,50;10 %;EA\n"
    return items(csv_file(text))[0]


@pytest.mark.parametrize(
    ("price", "cell", "net", "by_hand"),
    [
        ("100,00", "35", "65", "100 x 0.65"),
        ("100,00", "35 %", "65", "a sign in the cell"),
        ("100,00", "35,5%", "64.5", "100 x 0.645"),
        ("100,00", "35.5", "64.5", "a decimal point in the discount alone"),
        ("110,00", "40", "66", "110 x 0.6"),
        ("12,37", "33,3", "8.25079", "12.37 x 0.667, kept to the last digit"),
        ("100,00", "0", "100", "no discount"),
        ("100,00", "netto", "100", "a net article"),
        ("1.234,56", "50", "617.28", "1234.56 / 2"),
        ("0,01", "99,99", "0.000001", "0.01 x 0.0001"),
    ],
)
def test_the_net_price_is_the_list_price_less_the_percentage(csv_file, price, cell, net, by_hand):
    row = one(csv_file, cell, price=price)
    assert row.amounts["price"] == net, by_hand
    assert row.amounts["list_price"] == price.replace(".", "").replace(",", ".")
    (note,) = row.notes
    assert note.startswith(f"net price {net}: list price ")


@pytest.mark.parametrize(
    ("cell", "why"),
    [
        ("", "the discount is not stated"),
        ("A", "is no percentage: ask the supplier for the table of his discounts"),
        ("35+10", "is no percentage"),
        ("-35", "is no percentage"),
        ("0,35", "may be 0.35 % or 35 %"),
        ("100", "leaves nothing of the price"),
        ("1000", "is no percentage"),
        ("35 EUR", "is no percentage"),
    ],
)
def test_what_is_no_single_percentage_makes_no_price_and_says_why(csv_file, cell, why):
    row = one(csv_file, cell)
    assert not row.amounts.get("price")
    assert any("no net price: the discount" in note and why in note for note in row.notes)


def test_a_percentage_under_one_with_its_sign_is_taken_at_its_word(csv_file):
    assert one(csv_file, "0,5 %").amounts["price"] == "99.5"


def test_a_bare_figure_under_a_heading_without_the_sign_is_asked_about(csv_file):
    assert not one(csv_file, "35", heading="Discount").amounts.get("price")
    assert one(csv_file, "35 %", heading="Discount").amounts["price"] == "65"


@pytest.mark.parametrize("heading", ["Discount code", "Discount group", "RG", "Rabattgruppe"])
def test_a_code_of_discounts_is_no_percentage_whatever_it_looks_like(csv_file, heading):
    text = f"{HEAD.format(heading)}A1;Ball;100,00;35;EA\n"
    read = read_price_list(csv_file(text))
    assert not any(row.amounts.get("price") for row in read.rows)


NET = "Part no.;List price EUR;Discount %;Net price EUR\n{}\nA2;1,50;0;1,50\n"


@pytest.mark.parametrize(
    ("cells", "price", "why"),
    [
        ("A1;100,00;35;65,00", "65.00", "they agree"),
        ("A1;12,37;33,3;8,25", "8.25", "12.37 x 0.667 = 8.25079, the cent is rounded"),
        ("A1;100,00;33;66,67", "66.67", "a third, shown as 33 %: within half a percent"),
        ("A1;100,00;;65,00", "65.00", "no discount is stated, the net price is"),
        ("A1;100,00;A;65,00", "65.00", "a code, and the net price is stated"),
        ("A1;110,00;40;70,00", "", "110 x 0.6 = 66, not 70"),
        ("A1;100,00;35;56,00", "", "digits turned round"),
    ],
)
def test_a_stated_net_price_must_agree_with_list_price_and_discount(csv_file, cells, price, why):
    row = items(csv_file(NET.format(cells)))[0]
    assert row.amounts["price"] == price, why
    assert any("two net prices" in note for note in row.notes) is (price == "")


@pytest.mark.parametrize(
    ("heading", "price"),
    [
        ("Price EUR", ""),
        ("Preis EUR", ""),
        ("Net price EUR", "100.00"),
        ("Nettopreis", "100.00"),
        ("Your price", "100.00"),
    ],
)
def test_a_price_beside_a_percentage_counts_only_where_its_heading_says_net(
    csv_file, heading, price
):
    text = f"Part no.;Description;{heading};Discount %\nA1;Ball;100,00;35\nA2;Seat;1,50;0\n"
    first, second = items(csv_file(text))
    assert first.amounts["price"] == price
    assert second.amounts["price"] == "1.50", "without a discount both are the same"
    if not price:
        assert any("before or after the 35 %" in note for note in first.notes)


def test_a_percentage_that_a_workbook_rounds_for_show_makes_no_price(xlsx_file):
    rows = [
        ["Part no.", "Description", "List price EUR", "Discount"],
        ["A1", "Ball", 100.5, 0.355],
        ["A2", "Seat", 100.5, 0.35],
    ]

    def percent(book):
        for cell in book.active["D"][1:]:
            cell.number_format = "0%"

    first, second = items(xlsx_file(rows, percent))
    assert not first.amounts.get("price")
    assert any("is stored as" in note for note in first.notes)
    assert second.amounts["price"] == "65.325"  # 100.5 x 0.65


def test_what_the_net_prices_are_made_of_is_said(csv_file):
    read = read_price_list(csv_file(f"{HEAD.format('Rabatt %')}A1;Ball;100,00;35;EA\n"))
    assert any(
        said == 'net prices are the list prices less the discount in column "Rabatt %"'
        for said in read.assumptions
    )
    assert not any("only list prices" in said for said in read.assumptions)


@given(
    whole=st.decimals(min_value=0, max_value=10**9, places=4, allow_nan=False),
    off=st.decimals(min_value=1, max_value=99, places=2, allow_nan=False),
)
def test_net_price_and_discount_are_the_list_price_again_exactly(whole, off):
    net = Discounting(0, is_percent=True).net(
        {"discount": f"{off}"}, {"list_price": f"{whole}"}, ""
    )
    assert Decimal(net.text) * 100 == whole * (100 - off)


@pytest.mark.parametrize(
    ("price", "currency"), [("£ 45,00", "GBP"), ("45,00 USD", "USD"), ("45,00 €", "EUR"), ("45,00", "EUR")]
)  # fmt: skip
def test_the_sign_in_the_cell_of_a_list_price_is_the_currency_of_its_net_price(
    csv_file, price, currency
):
    row = one(csv_file, "10 %", price=price)
    assert (row.amounts["price"], row.fields["currency"]) == ("40.5", currency)  # 45 x 0.9


def test_the_basis_in_the_cell_of_a_list_price_is_that_of_its_net_price(csv_file):
    row = one(csv_file, "10 %", price="45,00 / 100 Stk")
    assert (row.amounts["price"], row.fields["price_per"]) == ("40.5", "100")


def test_the_sign_of_a_list_price_says_nothing_of_a_net_price_beside_it(csv_file):
    head = "Part no.;Description;List price EUR;Net price EUR\n"
    row = items(csv_file(f"{head}A1;Ball;$ 45,00;30,00\nA2;Seat;1,50;1,20\n"))[0]
    assert (row.amounts["price"], row.fields["currency"]) == ("30.00", "EUR")


@pytest.mark.parametrize(("column", "price"), [("EUR", ""), ("GBP", "45.00"), ("gbp", "45.00")])
def test_a_sign_that_contradicts_the_rows_currency_makes_no_price(csv_file, column, price):
    head = "Part no.;Description;Price;Currency\n"
    row = items(csv_file(f"{head}A1;Ball;£ 45,00;{column}\nA2;Seat;1,50;EUR\n"))[0]
    assert row.amounts["price"] == price
    assert any("no price: the cell says GBP" in note for note in row.notes) is (not price)
