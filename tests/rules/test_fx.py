"""Exchange rates: never from the future, never too old without saying so."""

import datetime as dt
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.fx import (
    NoRateError,
    Rates,
    mid_rate,
    paid_quote,
    paid_rate,
    rate_on,
    same_currency,
    supplier_rates,
)


def day(text):
    return dt.date.fromisoformat(text)


# Invented rates on real days: 2026-01-01 is a holiday, 2026-01-03 and 04 a weekend.
HISTORY = {
    "USD": [
        (day("2025-12-31"), Fraction("1.10")),
        (day("2026-01-02"), Fraction("1.11")),
        (day("2026-01-05"), Fraction("1.12")),
    ],
    "GBP": [(day("2025-12-31"), Fraction("0.88"))],
    "BGN": [(day("2025-12-31"), Fraction("1.9558"))],
}


@pytest.mark.parametrize(
    ("on", "date", "per_eur", "age"),
    [
        ("2025-12-31", "2025-12-31", "1.10", 0), ("2026-01-01", "2025-12-31", "1.10", 1),
        ("2026-01-02", "2026-01-02", "1.11", 0), ("2026-01-04", "2026-01-02", "1.11", 2),
        ("2026-01-12", "2026-01-05", "1.12", 7),
    ],
)  # fmt: skip
def test_the_last_rate_published_on_or_before_the_day_holds(on, date, per_eur, age):
    rate = rate_on(HISTORY, "USD", day(on))
    assert (rate.date, rate.per_eur, rate.age_days) == (day(date), Fraction(per_eur), age)


@pytest.mark.parametrize(
    ("currency", "on", "complaint"),
    [
        ("USD", "2025-12-30", "none was published on or before that day"),
        ("SEK", "2026-01-05", "none was published on or before that day"),
        ("USD", "2026-01-13", "the last one is of 2026-01-05, 8 days old, and 7 are allowed"),
        ("BGN", "2026-06-01", "the currency ended on 2025-12-31"),
    ],
)
def test_a_day_without_a_usable_rate_is_refused_with_the_reason(currency, on, complaint):
    with pytest.raises(NoRateError, match=complaint):
        rate_on(HISTORY, currency, day(on))


def test_how_old_a_rate_may_be_is_a_setting():
    assert rate_on(HISTORY, "USD", day("2026-02-05"), max_age_days=31).age_days == 31


def test_the_euro_is_one_euro_on_any_day():
    rate = rate_on({}, "EUR", day("1990-01-01"))
    assert (rate.per_eur, rate.age_days) == (1, 0)


@pytest.mark.parametrize("checks", ["money.fx_buy_rate"], indirect=True)
def test_the_bank_takes_its_spread_on_top_of_the_middle(checks):
    for check in checks:
        given = check["inputs"]
        paid = paid_rate(Fraction(given["mid"]), Fraction(given["spread"]))
        assert paid == Fraction(check["expected"]), check["id"]


def test_a_quote_the_other_way_round_is_divided_by_the_spread():
    """Handbook 5.7 example 1: 1.0870 ÷ 1.015 = 1.070936 USD per EUR."""
    assert round(float(paid_quote(Fraction("1.0870"), Fraction("0.015"))), 6) == 1.070936


@given(st.fractions(Fraction(1, 1000), 1000), st.fractions(0, Fraction(1, 5)))
def test_both_ways_of_quoting_cost_the_same(mid, spread):
    assert paid_rate(1 / mid, spread) == 1 / paid_quote(mid, spread)


def test_two_foreign_currencies_are_crossed_over_the_euro():
    usd, gbp = (
        rate_on(HISTORY, "USD", day("2026-01-02")),
        rate_on(HISTORY, "GBP", day("2026-01-02")),
    )
    assert mid_rate(usd, gbp) == Fraction("0.88") / Fraction("1.11")
    rates = supplier_rates(usd, gbp, Fraction("0.02"))
    assert rates.customs == mid_rate(usd, gbp)
    assert rates.paid == rates.customs * Fraction("1.02")
    assert supplier_rates(usd, gbp).paid == rates.customs
    assert (rates.date, rates.age_days) == (day("2025-12-31"), 2)


def test_a_supplier_in_the_home_currency_pays_no_spread():
    usd = rate_on(HISTORY, "USD", day("2026-01-02"))
    assert supplier_rates(usd, usd, Fraction("0.02")) == same_currency(day("2026-01-02"))
    assert same_currency(day("2026-01-02")) == Rates(Fraction(1), Fraction(1), day("2026-01-02"), 0)
