"""Offers: packs, minimum orders, price breaks, and buying more where that costs less."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.errors import InputRefusedError
from partsdb.rules.money import Money, price_e4
from partsdb.rules.offers import Offer, break_even_units, purchase


def offer_with(breaks):
    steps = tuple((units, price_e4(price)) for units, price in breaks)
    return Offer(steps[0][1], "EUR", breaks=steps)


@pytest.mark.parametrize("checks", ["price.pack_round"], indirect=True)
def test_a_need_is_rounded_up_to_the_minimum_and_to_whole_packs(checks):
    for check in checks:
        given = check["inputs"]
        bought = purchase(Offer(10_000, "EUR", 1, given["pack"], given["moq"]), given["need"])
        assert bought.units == check["expected"]
        assert bought.packs * given["pack"] == bought.units


@pytest.mark.parametrize("checks", ["price.break"], indirect=True)
def test_the_highest_break_not_above_the_quantity_holds(checks):
    for check in checks:
        bought = purchase(offer_with(check["inputs"]["breaks"]), check["inputs"]["qty"])
        assert bought.goods.text() == check["expected"]


@pytest.mark.parametrize("checks", ["price.break_buy_more"], indirect=True)
def test_buying_up_to_the_next_break_is_taken_and_told_when_it_pays(checks):
    for check in checks:
        need, expected = check["inputs"]["need"], check["expected"]
        offer = offer_with(check["inputs"]["breaks"])
        assert offer.price_at(need).line_total(need).text() == expected["at_need"]
        assert offer.price_at(25).line_total(25).text() == expected["at_break"]
        bought = purchase(offer, need)
        assert (bought.units == 25) is expected["buy_more_pays"]
        assert ("price break pays" in bought.note) is expected["buy_more_pays"]


@pytest.mark.parametrize("checks", ["price.break_even_qty"], indirect=True)
def test_the_quantity_from_which_the_break_pays_is_found(checks):
    for check in checks:
        given = check["inputs"]
        offer = offer_with([(1, given["p_low"]), (given["break_qty"], given["p_break"])])
        assert break_even_units(offer, given["break_qty"]) == check["expected"]


def test_a_break_that_never_pays_has_no_break_even():
    assert break_even_units(offer_with([(1, "1.00"), (10, "1.00")]), 10) is None


def test_a_break_far_up_may_pay_too():
    """By hand: 10 at 5.00 cost 50.00, 20 at 3.00 cost 60.00, 40 at 1.00 cost 40.00."""
    bought = purchase(offer_with([(1, "5.00"), (20, "3.00"), (40, "1.00")]), 10)
    assert (bought.units, bought.goods) == (40, Money(4000, "EUR"))
    assert bought.note == "40 cost 40.00 EUR, 10 would cost 50.00 EUR: the price break pays"


def test_of_two_orders_that_cost_the_same_the_smaller_is_taken():
    assert purchase(offer_with([(1, "2.00"), (10, "1.00")]), 5).units == 5


def test_a_break_is_reached_in_whole_packs():
    """By hand: packs of 12, break from 20 means 24 at 1.00 = 24.00, under 12 at 3.00 = 36.00."""
    offer = Offer(30_000, "EUR", pack_units=12, breaks=((20, 10_000),))
    bought = purchase(offer, 12)
    assert (bought.packs, bought.units, bought.goods) == (2, 24, Money(2400, "EUR"))


@pytest.mark.parametrize(
    ("offer", "need", "note"),
    [
        (Offer(100, "EUR", pack_units=10), 12, "20 instead of 12: sold in packs of 10"),
        (Offer(100, "EUR", min_units=5), 2, "5 instead of 2: the supplier's minimum is 5"),
        (Offer(100, "EUR"), 2, ""),
    ],
)
def test_the_order_says_why_it_is_larger_than_the_need(offer, need, note):
    assert purchase(offer, need).note == note


@pytest.mark.parametrize("need", [0, -1])
def test_a_need_of_nothing_is_refused(need):
    with pytest.raises(InputRefusedError, match="nothing to order"):
        purchase(Offer(100, "EUR"), need)


@pytest.mark.parametrize(
    "figures",
    [
        {"price_e4": 0},
        {"price_per": 0},
        {"pack_units": 0},
        {"min_units": 0},
        {"breaks": ((0, 5),)},
        {"breaks": ((5, 0),)},
    ],
)
def test_an_offer_with_a_figure_below_one_is_refused(figures):
    with pytest.raises(InputRefusedError, match="above zero"):
        Offer(**{"price_e4": 100, "currency": "EUR", **figures})


offers = st.builds(
    Offer, price_e4=st.integers(1, 10**6).map(lambda cents: cents * 100), currency=st.just("EUR"),
    pack_units=st.integers(1, 24), min_units=st.integers(1, 60),
    breaks=st.lists(st.tuples(st.integers(1, 300), st.integers(1, 10**6).map(lambda c: c * 100)), max_size=4).map(tuple),
)  # fmt: skip


@given(offers, st.integers(1, 300))
def test_an_order_covers_need_and_minimum_in_whole_packs_and_is_no_dearer_than_the_least(
    offer, need
):
    bought = purchase(offer, need)
    least = offer.whole_packs(max(need, offer.min_units))
    assert bought.units >= max(need, offer.min_units)
    assert bought.units == bought.packs * offer.pack_units
    assert bought.goods <= offer.price_at(least).line_total(least)


@given(offers, st.integers(1, 300))
def test_doubling_every_price_doubles_the_goods(offer, need):
    doubled = Offer(
        offer.price_e4 * 2,
        "EUR",
        1,
        offer.pack_units,
        offer.min_units,
        tuple((units, price * 2) for units, price in offer.breaks),
    )
    assert purchase(doubled, need).goods == purchase(offer, need).goods * 2


@given(offers, st.integers(1, 299))
def test_a_larger_need_never_costs_less(offer, need):
    assert purchase(offer, need).goods <= purchase(offer, need + 1).goods


def test_an_order_that_costs_just_as_much_as_the_break_is_not_dearer():
    """By hand: 10 at 2.00 cost 20.00, as do 20 at 1.00; 11 cost 22.00."""
    assert break_even_units(offer_with([(1, "2.00"), (20, "1.00")]), 20) == 11


def test_a_minimum_that_is_the_need_itself_is_no_reason_for_more():
    note = purchase(Offer(100, "EUR", pack_units=10, min_units=12), 12).note
    assert note == "20 instead of 12: sold in packs of 10"


def test_a_price_that_is_not_said_otherwise_is_for_one():
    assert purchase(Offer(10_000, "EUR"), 3).goods == Money(300, "EUR")
    assert purchase(Offer(10_000, "EUR"), 1).units == 1


def test_a_discount_comes_off_every_price_and_is_rounded_once():
    """By hand: 7 at 12.35 are 86.45, less 12.5 % = 75.64375; from 10 on 11.00 less 12.5 % = 9.625."""
    offer = Offer(123_500, "EUR", breaks=((10, 110_000),), discount=Fraction("0.125"))
    assert (offer.listed(7), offer.goods(7)) == (Money(8645, "EUR"), Money(7564, "EUR"))
    assert offer.goods(10) == Money(9625, "EUR")
    assert offer.price_at(10).e4 == 110_000  # the list price


def test_incremental_breaks_and_a_discount_go_together():
    """By hand: 3 at 10.00 and 2 at 8.00 are 46.00, less 10 % = 41.40."""
    offer = Offer(100_000, "EUR", breaks=((4, 80_000),), incremental=True, discount=Fraction("0.1"))
    assert (offer.listed(5), offer.goods(5)) == (Money(4600, "EUR"), Money(4140, "EUR"))


def test_a_deposit_that_comes_back_costs_nothing_and_one_that_does_not_is_weighed():
    """By hand: 9 at 12.00 = 108.00 against 10 at 10.00 = 100.00; a deposit of 20.00 tips it."""
    offer = Offer(120_000, "EUR", breaks=((10, 100_000),), deposit_minor=2000, returned=Fraction(1))
    assert purchase(offer, 9).units == 10
    assert (offer.deposit(9), purchase(offer, 9).goods) == (Money(18000, "EUR"), Money(10000, "EUR"))
    lost = replace(offer, returned=Fraction(0))  # 108.00 + 180.00 against 100.00 + 200.00
    assert purchase(lost, 9).units == 9


@pytest.mark.parametrize(
    "figures",
    [{"discount": Fraction(1)}, {"discount": Fraction(-1, 10)}, {"returned": Fraction(11, 10)}, {"returned": Fraction(-1)}, {"deposit_minor": -1}],
)
def test_a_discount_or_deposit_that_cannot_be_is_refused(figures):
    with pytest.raises(InputRefusedError, match="between 0 and 1"):
        Offer(price_e4=100, currency="EUR", **figures)
