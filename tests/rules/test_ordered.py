"""Orders of just so many units, and breaks that price only what lies beyond them."""

from __future__ import annotations

import pytest

from partsdb.errors import InputRefusedError
from partsdb.rules.money import Money
from partsdb.rules.offers import Offer, as_ordered, purchase

# 12.60 each, from 25 on 11.20 each (handbook 5.3).
HANDBOOK = {"price_e4": 126_000, "currency": "EUR", "breaks": ((25, 112_000),)}


def test_just_so_many_are_ordered_though_the_next_break_costs_less():
    assert purchase(Offer(**HANDBOOK), 23).units == 25
    order = as_ordered(Offer(**HANDBOOK), 23)
    assert (order.units, order.goods) == (23, Money.of("289.80", "EUR"))


@pytest.mark.parametrize("units", [1, 4, 7])
def test_what_is_no_whole_pack_or_too_little_is_refused(units):
    with pytest.raises(InputRefusedError, match="cannot be ordered"):
        as_ordered(Offer(10_000, "EUR", pack_units=2, min_units=6), units)


@pytest.mark.parametrize(
    ("units", "goods"),
    [
        (24, "302.40"),  # 24 × 12.60
        (25, "313.60"),  # and one at 11.20
        (30, "369.60"),  # 302.40 + 6 × 11.20
        (60, "691.60"),  # 302.40 + 26 × 11.20 + 10 × 9.80, by hand
    ],
)
def test_incremental_breaks_price_each_unit_at_its_own_step(units, goods):
    steps = Offer(126_000, "EUR", breaks=((25, 112_000), (51, 98_000)), incremental=True)
    assert as_ordered(steps, units).goods == Money.of(goods, "EUR")


def test_under_incremental_breaks_more_never_costs_less():
    steps = Offer(**HANDBOOK, incremental=True)
    assert purchase(steps, 23).units == 23
