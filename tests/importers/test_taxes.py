"""Prices with tax in them are asked about, never taken as net; what a person settled is obeyed.

What lists say of tax is common practice, no source; the figures are reckoned by hand.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from importers import read_price_list
from importers.rows import TAX, RowKind
from importers.tax_out import without_tax

HEAD = "Part no.;Description;Price EUR\n"
ROWS = "A-1;Ball;119,00\nA-2;Seat;23,80\n"
MANY = "".join(f"B-{n};Ring {n};11,90\n" for n in range(40))


def keys(text):
    return [alarm.key for alarm in text.alarms]


def prices(text):
    return [row.amounts.get("price") for row in text.rows if row.kind is RowKind.ITEM]


def said(text, words):
    return any(words in each for each in text.assumptions)


def settled(text, tax, **more):
    """Return the layouts of a list as a person settled them."""
    return tuple(replace(p, tax=tax, confirmed="Ilse, 2026-11-02", **more) for p in text.profiles)


@pytest.mark.parametrize(
    ("why", "listed"),
    [
        ("above", f"Prices incl. VAT 19 %;;\n{HEAD}{ROWS}"),
        ("heading", HEAD.replace("EUR", "EUR incl. VAT") + ROWS),
        ("gross heading", HEAD.replace("Price", "Price gross") + ROWS),
        ("below", f"{HEAD}{ROWS};Alle Preise inkl. 19 % MwSt.;\n"),
        ("far below", f"{HEAD}{ROWS};Prices incl. VAT;\n" + ";Another line of terms.;\n" * 12),
        ("between", f"{HEAD}{MANY};Kits, prices incl. VAT;\n{ROWS}{MANY}"),
        ("column", "Part no.;Description;Price EUR;VAT\nA-1;Ball;119,00;incl.\nA-2;Seat;5,00;\n"),
        ("yes", "Part no.;Description;Price EUR;VAT included\nA-1;Ball;119,00;yes\nA-2;Seat;5,00;no\n"),
        ("no", "Part no.;Description;Price EUR;excl. VAT\nA-1;Ball;119,00;no\nA-2;Seat;5,00;yes\n"),
        ("remark", "Part no.;Description;Price EUR;Note\nA-1;Ball;119,00;incl. VAT\nA-2;Seat;5,00;\n"),
        ("list price", "Part no.;Description;List price incl. VAT;Discount %\nA-1;Ball;119,00;20\n"),
        ("break", "Part no.;Description;Price incl. VAT;from 10 incl. VAT\nA-1;Ball;119,00;110,00\n"),
        ("both", f"Prices excl. VAT;;\n{HEAD.replace('EUR', 'EUR incl. VAT')}{ROWS}"),
        ("net but taxed", f"All prices incl. VAT;;\n{HEAD.replace('Price', 'Net price')}{ROWS}"),
        ("excluded but taxed", f"All prices incl. VAT;;\n{HEAD.replace('EUR', 'excl. VAT')}{ROWS}"),
    ],
)  # fmt: skip
def test_a_list_that_says_tax_is_in_its_prices_is_asked_about(csv_file, why, listed):
    text = read_price_list(csv_file(listed))
    assert keys(text) == [TAX], why
    assert "--tax" in text.alarms[0].text and "net after all" in text.alarms[0].text


@pytest.mark.parametrize(
    ("listed", "words"),
    [
        (HEAD.replace("EUR", "EUR excl. VAT") + ROWS, 'the prices are without tax: heading "Price'),
        (f"Preise zzgl. MwSt.;;\n{HEAD}{ROWS}", 'the prices are without tax: "Preise zzgl. MwSt."'),
        (f"Preise netto in EUR;;\n{HEAD}{ROWS}", 'the prices are net: "Preise netto in EUR"'),
        (HEAD.replace("Price", "Net price") + ROWS, 'the prices are net: heading "Net price EUR"'),
        (f"{HEAD}{ROWS};Freight 5.90 EUR incl. VAT;\n", ""),
        (f"{HEAD}{ROWS};VAT No. GB 123 456;\n", ""),
        ("Part no.;Description;Price EUR;VAT %\nA-1;Ball;100,00;19\nA-2;Seat;20,00;7\n",
         'tax is spoken of and not said to be in the prices, they are taken as net: column "VAT %"'),
        ("Part no.;Description;RRP incl. VAT;Net price EUR\nA-1;Ball;119,00;80,00\n",
         '"Net price EUR" is taken as the net price, not "RRP incl. VAT"'),
    ],
)  # fmt: skip
def test_a_list_of_net_prices_passes_and_that_is_said(csv_file, listed, words):
    text = read_price_list(csv_file(listed))
    assert text.alarms == ()
    assert said(text, words)


@pytest.mark.parametrize(
    ("headings", "net"),
    [
        ("Price incl. VAT EUR;Price excl. VAT EUR", "Price excl. VAT EUR"),
        ("Preis inkl. MwSt.;Preis EUR", "Preis EUR"),
        ("Brutto EUR;Netto EUR", "Netto EUR"),
        ("inkl. MwSt.;Preis zzgl. MwSt.", "Preis zzgl. MwSt."),
    ],
)
@pytest.mark.parametrize("turned", [False, True])
def test_of_a_net_and_a_gross_column_the_net_one_is_taken_and_said(csv_file, headings, net, turned):
    cells = ["119,00", "100,00"], ["23,80", "20,00"]
    step = -1 if turned else 1
    head = ";".join(headings.split(";")[::step])
    rows = "".join(f"A-{n};Ball;{';'.join(each[::step])}\n" for n, each in enumerate(cells))
    text = read_price_list(csv_file(f"Part no.;Description;{head}\n{rows}"))
    assert text.alarms == ()
    assert prices(text) == ["100.00", "20.00"]
    gross = next(each for each in headings.split(";") if each != net)
    assert said(text, f'"{net}" is taken as the net price, not "{gross}"')


def test_a_text_about_the_gross_column_is_not_about_the_net_one(csv_file):
    text = read_price_list(
        csv_file(
            "Retail prices incl. VAT;;;\nPart no.;Description;Retail price incl. VAT;"
            "Price excl. VAT\nA-1;Ball;119,00;100,00\n;All retail prices incl. VAT;;\n"
        )
    )
    assert text.alarms == ()
    assert prices(text) == ["100.00"]


def test_a_break_with_tax_is_no_break_of_a_net_price(csv_file):
    head = "Part no.;Description;Price excl. VAT EUR;Price from 10 incl. VAT\n"
    text = read_price_list(csv_file(f"{head}A-1;Ball;100,00;95,20\n"))
    assert text.rows[1].amounts == {"price": "100.00"}
    assert said(text, "tax is in the one and not in the other")


def test_a_sheet_of_terms_is_heard_too(xlsx_file):
    def terms(book):
        book.create_sheet("Terms").append(["All our prices include VAT at 20 %."])

    path = xlsx_file([["Part no.", "Description", "Price EUR"], ["A-1", "Ball", 120.0]], terms)
    text = read_price_list(path)
    assert keys(text) == [TAX]
    again = read_price_list(path, profiles=settled(text, "20"))
    assert (again.alarms, prices(again)) == ((), ["100"])


def test_saving_a_layout_does_not_answer_the_question(csv_file):
    path = csv_file(f"Prices incl. VAT;;\n{HEAD}{ROWS}")
    first = read_price_list(path)
    assert keys(read_price_list(path, profiles=settled(first, "", settled=(TAX,)))) == [TAX]


@pytest.mark.parametrize(
    ("tax", "expected", "words"),
    [
        ("0", ["119.00", "23.80"], "the prices are taken as net, without tax in them: as Ilse"),
        ("19", ["100", "20"], "19 % tax is taken out of the prices, as Ilse, 2026-11-02 settled"),
        # 119 x 100 / 120 = 99.16666…, 23.80 x 100 / 120 = 19.83333… (by hand, half up)
        ("20", ["99.1667", "19.8333"], "price x 100 / 120, rounded half up to 1/10000"),
        # 119 x 100 / 108.1 = 110.0832562…, 23.80 x 100 / 108.1 = 22.0166512… (by hand)
        ("8.1", ["110.0833", "22.0167"], "price x 100 / 108.1"),
    ],
)
def test_what_a_person_said_of_the_tax_is_obeyed_said_and_kept(csv_file, tax, expected, words):
    path = csv_file(f"Prices incl. VAT;;\n{HEAD}{ROWS}")
    text = read_price_list(path, profiles=settled(read_price_list(path), tax))
    assert text.alarms == ()
    assert prices(text) == expected
    assert said(text, words)
    assert [p.tax for p in text.profiles] == [tax]
    assert text.rows[2].fields["price"] == "119,00"  # what is written stays


def test_tax_is_taken_out_of_breaks_and_after_the_discount(csv_file):
    head = "Part no.;Description;List price incl. VAT;Discount %;from 10 net incl. VAT\n"
    path = csv_file(f"{head}A-1;Ball;148,75;20;107,10\n")
    text = read_price_list(path, profiles=settled(read_price_list(path), "19"))
    # 148.75 less 20 % is 119.00, less the tax 100.00; 107.10 / 1.19 = 90.00 (by hand)
    assert text.rows[1].amounts == {"list_price": "125", "price": "100", "price_from_10": "90"}


def test_a_row_of_another_rate_has_no_price(csv_file):
    rows = "A-1;Ball;119,00;19\nA-2;Book;10,70;7 %\nA-3;Seat;23,80;0,19\nA-4;Ring;5,00;0\n"
    path = csv_file(f"Prices incl. VAT;;;\nPart no.;Description;Price EUR;VAT\n{rows}")
    text = read_price_list(path, profiles=settled(read_price_list(path), "19"))
    assert prices(text) == ["100", "", "20", ""]
    assert text.rows[3].notes == ("no price: its tax is 7 %, and 19 % would be taken out",)


def test_a_row_whose_tax_is_a_word_among_rates_has_no_price(csv_file):
    rows = "A-1;Ball;119,00;19\nA-2;Book;10,70;7\nA-3;Stamp;5,00;exempt\nA-4;Seat;23,80;19 %\n"
    path = csv_file(f"Prices incl. VAT;;;\nPart no.;Description;Price EUR;VAT\n{rows}")
    text = read_price_list(path, profiles=settled(read_price_list(path), "19"))
    assert prices(text) == ["100", "", "", "20"]
    assert text.rows[4].notes == ("no price: its tax is exempt, and 19 % would be taken out",)


@pytest.mark.parametrize(
    ("heading", "taxed", "net"), [("Tax included", "yes", "no"), ("VAT", "incl.", "excl.")]
)
def test_a_row_that_says_for_itself_whether_tax_is_in_its_price_is_heard(
    csv_file, heading, taxed, net
):
    rows = f"A-1;Ball;119,00;{taxed}\nA-2;Seat;20,00;{net}\nA-3;Ring;5,00;\n"
    path = csv_file(f"Part no.;Description;Price EUR;{heading}\n{rows}")
    first = read_price_list(path)
    assert keys(first) == [TAX]
    text = read_price_list(path, profiles=settled(first, "19"))
    assert prices(text) == ["100", "20.00", ""]
    assert text.rows[2].notes == (f'without tax, as its row says: "{net}"',)
    assert text.rows[3].notes == (
        "no price: its row does not say whether tax is in it, and 19 % would be taken out",
    )


def test_a_column_of_what_the_tax_comes_to_is_no_column_of_rates(csv_file):
    rows = "".join(f"A-{n};Ball;{n}19,00;{n * 16 + 3},10\n" for n in range(1, 8))
    path = csv_file(f"Prices incl. VAT;;;\nPart no.;Description;Price EUR;VAT EUR\n{rows}")
    text = read_price_list(path, profiles=settled(read_price_list(path), "19"))
    assert prices(text)[0] == "100" and all(prices(text))


@pytest.mark.parametrize(
    ("now", "words"),
    [
        (f"Prices excl. VAT;;\n{HEAD}{ROWS}", "says that there is none in them"),
        (f"Prices incl. 21 % VAT;;\n{HEAD}{ROWS}", "the list names 21 %"),
    ],
)
def test_a_settled_rate_that_the_next_list_contradicts_is_asked_about(csv_file, now, words):
    known = settled(read_price_list(csv_file(f"Prices incl. 19 % VAT;;\n{HEAD}{ROWS}")), "19")
    text = read_price_list(csv_file(now, name="next.csv"), profiles=known)
    assert keys(text) == [TAX]
    assert words in text.alarms[0].text


@given(
    st.decimals("0.0001", "99999", places=4),
    st.sampled_from(["5", "7", "8.1", "19", "20", "25.5", "99.99"]),
)
def test_what_is_taken_out_is_right_to_half_a_last_figure(gross, rate):
    net = Fraction(without_tax(f"{gross:f}", rate))
    exact = Fraction(gross) / (1 + Fraction(Decimal(rate)) / 100)
    assert abs(net - exact) <= Fraction(1, 20_000)
    assert abs(net - exact) * 100_000 <= exact  # and to five figures at least


@pytest.mark.parametrize("net", ["100", "0.05", "1234.5678", "0.0001"])
def test_what_was_put_on_is_taken_out_exactly(net):
    # by hand: a net price with 20 % on it ends, and so gives itself back
    assert without_tax(f"{Decimal(net) * Decimal('1.2'):f}", "20") == net


def test_of_two_tables_only_the_one_with_tax_in_its_prices_is_made_net(csv_file):
    listed = (
        "Part no.;Description;Price EUR incl. VAT\nA-1;Ball;119,00\n"
        ";;\nPart no.;Description;Stock;Price EUR excl. VAT\nB-1;Seat;3;20,00\n"
    )
    path = csv_file(listed)
    first = read_price_list(path)
    assert keys(first) == [TAX]
    text = read_price_list(path, profiles=settled(first, "19"))
    assert text.alarms == ()
    assert prices(text) == ["100", "20.00"]
    assert said(text, "no tax is taken out of the prices of the table at row 4")
    assert sum("19 % tax is taken out of" in each for each in text.assumptions) == 1
