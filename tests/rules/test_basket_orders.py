"""A basket's coefficients against the money code: what is counted is what is landed."""

from __future__ import annotations

import datetime as dt
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from partsdb.rules.basket import BasketNeed, BasketProblem, Option, order_costs
from partsdb.rules.basket_orders import Seller, basket_offer, basket_supplier
from partsdb.rules.basket_solve import solve_basket
from partsdb.rules.costing import CustomsRules
from partsdb.rules.fx import Rates, same_currency
from partsdb.rules.landed import LandedLine, SupplierTerms, land_order
from partsdb.rules.money import Money
from partsdb.rules.offers import Offer

DAY = dt.date(2026, 11, 20)


def usd(minor):
    return Money(minor, "USD")


def terms(**stated):
    plain = {
        "currency": "USD", "incoterm": "FCA", "freight": usd(4600), "free_above": None,
        "min_order": usd(0), "small_order": usd(0), "insurance": usd(350),
        "brokerage": Money(1200, "EUR"), "spread": Fraction("0.015"),
    }  # fmt: skip
    return SupplierTerms(**{**plain, **stated})


RATES = Rates(Fraction("0.9337"), Fraction("0.92"), DAY, 0)


def seller(rules="CIF", **stated):
    return Seller("Ninefold", terms(**stated), RATES, "EUR", CustomsRules(rules))


def line(price_e4=184000, units=1, duty="0.017", weight=200, **offered):
    offer = Offer(price_e4, "USD", **offered)
    return LandedLine(f"kit {price_e4}", offer, units, weight, Fraction(duty), as_ordered=True)


def counted(who, lines, packs):
    offers = tuple(basket_offer(each.part, who, each) for each in lines)
    problem = BasketProblem((), offers, (basket_supplier(who, lines),))
    cost = order_costs(problem, packs)["Ninefold"]
    return cost.lines + cost.charges


def landed(who, lines):
    return land_order(lines, who.terms, who.rates, who.home, who.customs)


def test_example_1_of_the_handbook_counts_as_it_lands():
    # Handbook 5.7: 10 kits at 18.40 USD, 28.75 of freight, 8.00 of brokerage: 209.99 EUR.
    rates = Rates(Fraction("1.015") / Fraction("1.087"), 1 / Fraction("1.087"), DAY, 0)
    stated = terms(freight=usd(2875), insurance=usd(0), brokerage=Money(800, "EUR"))
    who = Seller("Ninefold", stated, rates, "EUR", CustomsRules("CIF"))
    lines = [line(units=10)]
    assert landed(who, lines).total == Money(20999, "EUR")
    assert abs(counted(who, lines, (10,)) - 20999) < 1


WHOLE = st.integers(1, 40)


@given(
    units=st.lists(WHOLE, min_size=1, max_size=4),
    prices=st.lists(st.integers(5000, 900_000), min_size=4, max_size=4),
    freight=st.integers(0, 9000),
    free_above=st.none() | st.integers(0, 50_000),
    basis=st.sampled_from(["CIF", "FOB"]),
)
def test_at_one_duty_rate_the_count_is_the_landed_total_but_for_rounding(
    units, prices, freight, free_above, basis
):
    who = seller(
        basis,
        freight=usd(freight),
        free_above=None if free_above is None else usd(free_above),
        min_order=usd(10_000),
        small_order=usd(700),
    )
    # Whole cents, so that no line total is rounded on the supplier's own invoice.
    lines = [
        line(price // 100 * 100, count, pack_units=1)
        for price, count in zip(prices, units, strict=False)
    ]
    order = landed(who, lines)
    gap = counted(who, lines, tuple(units[: len(lines)])) - order.total.minor
    assert abs(gap) <= len(order.steps) + len(lines)
    assert order.total.minor == sum(step.amount_minor for step in order.steps)


def test_goods_of_two_duty_rates_never_count_for_more_than_they_land():
    lines = [line(184000, 3, "0"), line(99000, 2, "0.05")]
    who = seller()
    assert counted(who, lines, (3, 2)) <= landed(who, lines).total.minor + 1


def test_a_seller_who_clears_the_goods_leaves_no_duty_to_count():
    lines = [line(duty="0.05")]
    paid = seller(incoterm="DDP")
    assert abs(counted(paid, lines, (1,)) - landed(paid, lines).total.minor) < 2
    assert counted(paid, lines, (1,)) < counted(seller(), lines, (1,))


def test_vat_that_is_not_recovered_is_counted():
    rules = CustomsRules("CIF", vat_rate=Fraction("0.2"), vat_recoverable=False)
    who = Seller("Ninefold", terms(), RATES, "EUR", rules)
    lines = [line(units=4)]
    assert abs(counted(who, lines, (4,)) - landed(who, lines).total.minor) < 3


@pytest.mark.parametrize(
    ("offered", "starts"),
    [
        ({}, [1]),
        ({"pack_units": 10, "min_units": 25}, [3]),
        ({"breaks": ((10, 170000), (25, 160000))}, [1, 10, 25]),
        ({"pack_units": 4, "breaks": ((10, 170000),)}, [1, 3]),
        ({"pack_units": 4, "min_units": 12, "breaks": ((10, 170000),)}, [3]),
        # A pack that straddles a break has a price of its own.
        ({"pack_units": 4, "breaks": ((10, 170000),), "incremental": True}, [1, 2, 3, 4]),
    ],
)
def test_tiers_start_where_the_price_of_a_pack_changes(offered, starts):
    offer = basket_offer("kit", seller(), line(**offered))
    assert [tier.from_packs for tier in offer.tiers] == starts


@pytest.mark.parametrize("incremental", [False, True])
@pytest.mark.parametrize("packs", range(3, 12))
def test_packs_cost_on_the_invoice_what_their_units_do(packs, incremental):
    offered = {"pack_units": 4, "min_units": 9, "breaks": ((10, 170000), (29, 150000))}
    stated = line(**offered, incremental=incremental)
    offer = basket_offer("kit", seller(), stated)
    assert offer.goods(packs) == stated.offer.goods_e4(packs * 4) / 100


def test_carriage_free_from_nothing_on_is_always_free():
    who = seller(free_above=usd(0))
    charges = basket_supplier(who, [line()])
    assert (charges.freight, charges.free_above) == (0, None)
    assert landed(who, [line()]).total.minor == pytest.approx(
        float(counted(who, [line()], (1,))), abs=4
    )


def test_a_basket_found_in_foreign_money_lands_for_what_it_counts():
    cheap = Seller(
        "Kestrow",
        SupplierTerms("EUR", "DAP", *(Money(m, "EUR") for m in (980,)), Money(25000, "EUR"),
                      *(Money(m, "EUR") for m in (5000, 750, 0, 0)), Fraction(0)),
        same_currency(DAY), "EUR", CustomsRules("CIF"),
    )  # fmt: skip
    dear = seller()
    ours = LandedLine("hose", Offer(120_000, "EUR"), 1, 200, Fraction(0))
    theirs = line(90_000, weight=200)
    problem = BasketProblem(
        (BasketNeed("hose", 6, (Option(0), Option(1)), one_part=False),),
        (basket_offer("a", cheap, ours), basket_offer("b", dear, theirs)),
        (basket_supplier(cheap, [ours]), basket_supplier(dear, [theirs])),
    )
    found = solve_basket(problem)
    # By hand: 6 at 12.00 and 9.80 carriage are 81.80; from abroad 6 × 9.00 USD bear 46.00 freight.
    assert (found.basket.packs, found.cost) == ((6, 0), 8180)
