"""Fees with a rate, a minimum and a maximum."""

from fractions import Fraction

import pytest

from partsdb.errors import InputRefusedError
from partsdb.rules.costing import ShareBy
from partsdb.rules.fees import Fee, FeeOf
from partsdb.rules.money import CurrencyMismatchError, Money


def usd(text):
    return Money.of(text, "USD")


def entry_fee(**more):
    """An entry fee of 0.3464 % with bounds; the figures are invented parameters (handbook 5.2)."""
    return Fee("entry fee", usd("0"), Fraction("0.003464"), FeeOf.CUSTOMS_VALUE, usd("2.50"), usd("30.00"), **more)


@pytest.mark.parametrize(
    ("base", "fee"),
    [  # by hand
        ("0", "2.50"), ("721.70", "2.50"), ("725", "2.51"), ("1208", "4.18"), ("8660", "30.00"),
        ("8659", "29.99"), ("8650", "29.96"), ("100000", "30.00"),
    ],
)  # fmt: skip
def test_a_fee_keeps_within_its_minimum_and_maximum(base, fee):
    assert entry_fee().amount(Fraction(base)) == usd(fee)


def test_a_fee_may_have_a_flat_part():
    fee = Fee("bank transfer", usd("5.00"), Fraction("0.0015"))
    assert fee.amount(Fraction(1000)) == usd("6.50")  # by hand
    assert Fee("bank transfer", usd("5.00")).amount(Fraction(1000)) == usd("5.00")


def test_a_fee_says_how_it_was_reached():
    charge = entry_fee(share_by=ShareBy.WEIGHT).charge(Fraction(1208), usd("1208.00"))
    assert charge.how == "0.3464 % of customs value 1208.00 USD, at least 2.50 USD, at most 30.00 USD"
    assert (charge.amount, charge.share_by, charge.dutiable_on) == (usd("4.18"), ShareBy.WEIGHT, ())
    flat = Fee("transfer", usd("5.00"), Fraction("0.001")).charge(Fraction(10), usd("10.00"))
    assert flat.how == "5.00 USD + 0.1 % of goods 10.00 USD"


@pytest.mark.parametrize(
    ("fee", "error"),
    [
        ({"least": usd("5"), "most": usd("4")}, InputRefusedError),
        ({"of": FeeOf.CUSTOMS_VALUE, "dutiable_on": ("CIF",)}, InputRefusedError),
        ({"share_by": ShareBy.LINE, "dutiable_on": ("CIF",)}, InputRefusedError),
        ({"share_by": ShareBy.QUANTITY, "dutiable_on": ("CIF",)}, InputRefusedError),
        ({"least": usd("5"), "most": Money.of("9", "EUR")}, CurrencyMismatchError),
    ],
)
def test_a_fee_that_cannot_be_meant_is_refused(fee, error):
    with pytest.raises(error):
        Fee("fee", usd("0"), **fee)
