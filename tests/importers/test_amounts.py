"""Price cells: the handbook's check values, marks per column, words instead of prices."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from importers.amounts import decide_mark, read_amount

CHECKS = [
    json_line
    for json_line in json.loads(
        (Path(__file__).parents[2] / "fixtures" / "check_values.json").read_text(encoding="utf-8")
    )
    if json_line["topic"].startswith("import.price")
]
MARK_OF_LOCALE = {"de": ",", "fr": ",", "en": ".", "ch": ".", None: ""}


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check["id"])
def test_the_handbooks_price_cells_read_as_it_says(check):
    amount = read_amount(check["inputs"]["text"], MARK_OF_LOCALE[check["inputs"]["locale"]])
    expected = check["expected"]
    if expected == "ZERO_PRICE_FLAG":
        assert "zero price" in amount.notes
    elif expected == "AMBIGUOUS":
        assert amount.text == "" and "ambiguous" in amount.notes[0]
    else:
        assert amount.text == (expected or "")


def test_all_nine_price_checks_of_the_handbook_are_tested():
    assert len(CHECKS) == 9


@pytest.mark.parametrize(
    ("cell", "mark", "text"),
    [
        # written by hand from the rule: last mark is the decimal one, the other groups thousands
        ("1.234.567,89", ",", "1234567.89"),
        ("1,234,567.89", ".", "1234567.89"),
        ("1.234", ",", "1234"),
        ("1,234", ".", "1234"),
        ("1.234", ".", "1.234"),
        ("0,123", "", "0.123"),
        ("1234,567", "", "1234.567"),
        ("12’345.50", ".", "12345.50"),
        ("1 234,56 €", ",", "1234.56"),
        ("€ 12.50", ".", "12.50"),
        ("USD 12.50", ".", "12.50"),
        ("12,50 EUR", ",", "12.50"),
        ("12,-", ",", "12"),
        ("12.–", ".", "12"),
        ("CHF 12.--", ".", "12"),
        ("007,50", ",", "7.50"),
        ("1250", "", "1250"),
        ("12,50 / Stk", ",", "12.50"),
        ("9.90 each", ".", "9.90"),
        (".50", ".", "0.50"),
    ],
)
def test_a_price_cell_becomes_plain_decimal_text(cell, mark, text):
    assert read_amount(cell, mark).text == text


@pytest.mark.parametrize(
    "cell",
    ["POA", "p.o.a.", "on request", "Price on application", "auf Anfrage", "a. A.", "a.A.", "call",
     "Call us", "–", "—", "-", "---", "n/a", "TBA", "please enquire", "k.A.", "nicht lieferbar"],
)  # fmt: skip
def test_words_instead_of_a_price_are_no_price_with_a_note(cell):
    amount = read_amount(cell, ".")
    assert amount.text == ""
    assert amount.notes == (f"no price: {cell}",)


@pytest.mark.parametrize(
    ("cell", "per"),
    [("12.50/100", "100"), ("12.50 per 100", "100"), ("12.50 je 100 St", "100"),
     ("12.50 per 1000", "1000"), ("12.50 per hundred", "100"), ("12.50 pro tausend", "1000")],
)  # fmt: skip
def test_a_price_basis_inside_the_cell_is_read_and_noted(cell, per):
    amount = read_amount(cell, ".")
    assert (amount.text, amount.per) == ("12.50", per)
    assert f"per {per}" in amount.notes[0]


@pytest.mark.parametrize("cell", ["12.50 /C", "12.50/m", "12.50 per M"])
def test_a_letter_that_may_mean_metre_or_thousand_gives_no_price(cell):
    # handbook 8 no. 11: "M", "C" are ambiguous, ask
    amount = read_amount(cell, ".")
    assert amount.text == ""
    assert "ask the supplier" in amount.notes[0]


@pytest.mark.parametrize("cell", ["-5.00", "5.00-", "(5.00)", "−5.00"])
def test_a_negative_price_is_no_price_and_noted(cell):
    amount = read_amount(cell, ".")
    assert (amount.text, amount.notes) == ("", ("negative price -5.00",))


@pytest.mark.parametrize("cell", ["0", "0.00", "0,00", "€ 0.00", "0.-"])
def test_a_zero_price_is_no_price_and_noted(cell):
    amount = read_amount(cell, "," if "," in cell else ".")
    assert (amount.text, amount.notes) == ("", ("zero price",))


@pytest.mark.parametrize("cell", ["ab 12,50", "from 12.50", "ca. 12.50", "~12.50"])
def test_a_price_that_is_not_firm_is_no_price(cell):
    amount = read_amount(cell, ".")
    assert amount.text == ""
    assert "not firm" in amount.notes[0]


@pytest.mark.parametrize(
    "cell",
    ["1.23.45", "1,2,3", "12.50 / 14.00", "12 50", "abc", "12.5.0,1", "1.234,56.7", "5%", "9" * 30],
)
def test_a_cell_that_is_no_single_price_gives_none_and_says_so(cell):
    amount = read_amount(cell, ".")
    assert amount.text == ""
    assert amount.notes


@pytest.mark.parametrize(
    ("cell", "currency"),
    [("€ 5.00", "EUR"), ("5.00 £", "GBP"), ("$5.00", "USD"), ("US$ 5.00", "USD"),
     ("CHF 5.00", "CHF"), ("Fr. 5.00", "CHF"), ("5.00 eur", "EUR"), ("5.00", "")],
)  # fmt: skip
def test_the_currency_sign_in_the_cell_is_kept(cell, currency):
    amount = read_amount(cell, ".")
    assert (amount.text, amount.currency) == ("5.00", currency)


def test_one_clear_cell_decides_the_mark_of_its_column():
    decision = decide_mark(["1.234", "2.500", "12,50"])
    assert (decision.mark, decision.comma, decision.point, decision.ambiguous) == (",", 1, 0, 2)


def test_a_column_of_ambiguous_cells_has_no_mark():
    decision = decide_mark(["1,234", "2,500"])
    assert (decision.mark, decision.ambiguous) == ("", 2)


def test_the_remembered_mark_decides_only_where_no_cell_does():
    assert decide_mark(["1,234"], ",").mark == ","
    assert decide_mark(["1,234", "1.50"], ",").mark == "."


def test_a_mixed_column_has_no_mark_and_its_clear_cells_still_read():
    decision = decide_mark(["1.234,50", "12.50", "1,234"])
    assert decision.is_mixed and decision.mark == ""
    assert read_amount("1.234,50", decision.mark).text == "1234.50"
    assert read_amount("12.50", decision.mark).text == "12.50"
    assert read_amount("1,234", decision.mark).text == ""


def test_a_clear_cell_against_its_columns_mark_is_read_and_noted():
    amount = read_amount("1,234.50", ",")
    assert amount.text == "1234.50"
    assert "other decimal mark" in amount.notes[0]
