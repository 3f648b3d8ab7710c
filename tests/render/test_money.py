"""Amounts as people read them."""

from __future__ import annotations

import pytest

from partsdb.render.money import amount


@pytest.mark.parametrize(
    ("minor", "currency", "shown", "source"),
    [
        (1250, "EUR", "12.50 EUR", "ISO 4217: two decimals"),
        (5, "EUR", "0.05 EUR", "ISO 4217: two decimals"),
        (-5, "GBP", "-0.05 GBP", "ISO 4217: two decimals"),
        (0, "USD", "0.00 USD", "ISO 4217: two decimals"),
        (1250, "JPY", "1250 JPY", "ISO 4217: no decimals"),
        (1250, "KWD", "1.250 KWD", "ISO 4217: three decimals"),
    ],
)
def test_an_amount_has_its_currencys_decimals(minor, currency, shown, source):
    assert amount(minor, currency) == shown, source
