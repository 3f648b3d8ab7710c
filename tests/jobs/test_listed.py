"""A row by meaning: what makes an offer, and why a row makes none."""

from __future__ import annotations

from typing import Any

import pytest

from importers.rows import Column, ListRow, PriceListText, Profile, RowKind
from partsdb.jobs.listed import ListedLine, listed_lines


def row(price: str = "61.90", kind: RowKind = RowKind.ITEM, **fields: str) -> ListRow:
    amounts = {name: fields.pop(name) for name in list(fields) if name.startswith("price_from_")}
    return ListRow(kind, "", 7, {"code": "24-1180", **fields}, {"price": price, **amounts})


def listed(one: ListRow, *, heading_currency: str = "EUR", currency: str = "") -> ListedLine:
    columns = (Column(0, "Code", "code"), Column(1, "Price", "price"))
    profile = Profile(columns, header_row=1, currency=heading_currency)
    source = PriceListText("list.csv", "0" * 64, "csv", (one,), (profile,))
    (line,) = listed_lines(source, currency=currency)
    return line


def offer(**fields: Any) -> Any:
    line = listed(row(**fields))
    assert line.offer is not None, line.problems
    return line.offer


def problem(one: ListRow, **meant: Any) -> str:
    line = listed(one, **meant)
    assert line.offer is None
    (said,) = line.problems
    return said


def test_a_price_is_held_in_whole_ten_thousandths():
    made = offer(price="61.90")
    assert (made.price_e4, made.price_per, made.currency) == (619_000, 1, "EUR")


@pytest.mark.parametrize(
    ("written", "per"),
    [
        ("100", 100),
        ("per 100", 100),
        ("1", 1),
        ("", 1),
        ("1,00", 1),
        ("1.00", 1),
        ("100,00", 100),
        ("1.000", 1000),
        ("1,000", 1000),
        ("je 100 Stk.", 100),
    ],
)
def test_a_price_basis_is_read_once_and_its_decimals_multiply_nothing(written, per):
    # 1,00 pieces are one piece: read as 100 it would make the part a hundred times too cheap.
    made = offer(price_per=written)
    assert (made.price_per, made.price_e4) == (per, 619_000)


@pytest.mark.parametrize("written", ["0", "2.5", "2,5", "0,00", "1.00.0", "99999999999999999999"])
@pytest.mark.parametrize("column", ["price_per", "pack", "min_qty"])
def test_what_is_no_count_of_units_makes_no_offer(column, written):
    assert "is no count of units" in problem(row(**{column: written}))


@pytest.mark.parametrize(
    ("price", "e4", "per", "source"),
    [
        ("0.01234", 1234, 10, "0.01234 for one is 0.1234 for ten"),
        ("0.012345", 12_345 // 10 * 10 + 5, 100, "0.012345 for one is 1.2345 for a hundred"),
        ("0.00001", 1, 10, "0.00001 for one is 0.0001 for ten"),
        ("12.34560000", 123_456, 1, "zeros at the end say nothing"),
    ],
)
def test_a_price_finer_than_a_ten_thousandth_is_held_exactly_for_more_units(price, e4, per, source):
    made = offer(price=price)
    assert (made.price_e4, made.price_per) == (e4, per), source


def test_a_price_finer_than_can_be_held_for_a_million_makes_no_offer():
    assert "finer than 1/10000" in problem(row("0.000000000001"))


@pytest.mark.parametrize(
    ("price", "said"),
    [
        ("-5.00", "is no price"),
        ("0", "is no price"),
        ("99999999999.00", "beyond reason"),
        ("9" * 30, "not a plain decimal"),
    ],
)
def test_a_negative_zero_or_absurd_price_makes_no_offer(price, said):
    assert said in problem(row(price))


def test_a_row_without_a_price_makes_no_offer_and_no_problem_of_ours():
    line = listed(row(""))
    assert (line.offer, line.problems) == (None, ())


def test_what_is_no_item_makes_no_offer_whatever_stands_in_it():
    assert listed(row(kind=RowKind.TOTAL)).offer is None


@pytest.mark.parametrize(
    ("in_row", "heading", "given", "counts"),
    [
        ("USD", "EUR", "GBP", "USD"),
        ("usd ", "EUR", "", "USD"),
        ("", "EUR", "GBP", "EUR"),
        ("", "", "GBP", "GBP"),
    ],
)
def test_the_rows_own_currency_counts_then_the_headings_then_what_was_said(
    in_row, heading, given, counts
):
    fields = {"currency": in_row} if in_row else {}
    made = listed(row(**fields), heading_currency=heading, currency=given).offer
    assert made is not None
    assert made.currency == counts


def test_a_price_without_any_currency_makes_no_offer():
    assert "names no currency" in problem(row(), heading_currency="")


def test_an_unknown_currency_in_a_row_makes_no_offer_and_is_named():
    assert "'XQX'" in problem(row(currency="XQX"))


def test_price_breaks_are_on_the_basis_of_the_price():
    made = offer(price="14.50", price_per="100", price_from_500="13.20", price_from_200="14.00")
    assert made.breaks == ((200, 140_000), (500, 132_000))
    assert made.price_per == 100


def test_price_breaks_follow_a_price_that_is_held_for_more_units():
    # 0.01235 for one is held as 0.1235 for ten, so 0.0119 for one becomes 0.119 for ten.
    made = offer(price="0.01235", price_from_1000="0.0119")
    assert (made.price_e4, made.price_per, made.breaks) == (1235, 10, ((1000, 1190),))


@pytest.mark.parametrize(
    ("written", "days"), [("5", 5), ("0", 0), ("", None), ("soon", None), ("99999", None)]
)
def test_a_lead_time_that_is_no_count_of_days_is_not_known(written, days):
    assert offer(lead_days=written).lead_days == days


def test_validity_is_kept_as_iso_dates():
    made = offer(valid_from="01.10.2026", valid_to="31.12.2026")
    assert (made.valid_from, made.valid_to) == ("2026-10-01", "2026-12-31")


def test_a_validity_that_may_be_two_dates_makes_no_offer():
    assert "may be" in problem(row(valid_to="03/04/2026"))


def test_the_layout_above_the_row_counts_not_the_one_below_or_of_another_sheet():
    one = ListRow(RowKind.ITEM, "Spares", 7, {"code": "24-1180"}, {"price": "5"})
    profiles = (
        Profile((Column(0, "Code", "code"),), 1, "Spares", currency="GBP"),
        Profile((Column(0, "Code", "code"),), 4, "Spares", currency="USD"),
        Profile((Column(0, "Code", "code"),), 9, "Spares", currency="CHF"),
        Profile((Column(0, "Code", "code"),), 5, "Other", currency="SEK"),
    )
    (line,) = listed_lines(PriceListText("l.xlsx", "0", "xlsx", (one,), profiles))
    assert line.offer is not None
    assert (line.offer.currency, line.text.place) == ("USD", "Spares!A7")


def test_ordinary_notes_of_the_reader_are_no_problem_and_odd_ones_are():
    notes = ("rating unit bar taken from the heading", "code shows as a date")
    one = ListRow(RowKind.ITEM, "", 7, {"code": "1"}, {"price": "5"}, "", notes)
    assert listed(one).problems == ("code shows as a date",)


@pytest.mark.parametrize(
    ("unit", "per", "units"),
    [
        # UN/ECE Recommendation 20; EA, C62 and H87 each count one (trade handbook 8).
        ("EA", "", 1), ("C62", "", 1), ("H87", "", 1), ("Stk", "", 1), ("SET", "", 1),
        ("PR", "", 2), ("DZN", "", 12), ("CEN", "", 100), ("MIL", "", 1000),
        ("DZN", "1", 12), ("EA", "100", 100), ("CEN", "100", 100), ("no such unit", "", 1),
    ],
)  # fmt: skip
def test_a_unit_that_counts_many_is_a_price_for_so_many(unit, per, units):
    assert offer(unit=unit, price_per=per).price_per == units


@pytest.mark.parametrize("unit", ["M", "C", "m", "CS"])
def test_a_unit_that_means_two_things_makes_no_offer_and_is_asked_about(unit):
    assert "ask the supplier" in problem(row(unit=unit))
