"""What the basket counts is what the money code lands, under every kind of term."""

from __future__ import annotations

import datetime as dt
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from partsdb.rules.basket import BasketNeed, BasketProblem, Option, order_costs
from partsdb.rules.basket_orders import Seller, basket_offer, basket_supplier, lowest_duty
from partsdb.rules.basket_solve import solve_basket
from partsdb.rules.costing import CustomsRules, ShareBy
from partsdb.rules.fees import Fee, FeeOf
from partsdb.rules.freight import FreightStep, FreightTable, Weighing
from partsdb.rules.fx import Rates
from partsdb.rules.landed import LandedLine, SupplierTerms, land_order
from partsdb.rules.money import Money
from partsdb.rules.offers import Offer

DAY = dt.date(2026, 11, 20)
RATES = Rates(Fraction("0.9337"), Fraction("0.92"), DAY, 0)


def usd(minor):
    return Money(minor, "USD")


def counted(who, lines):
    """Return what the basket counts for an order of just those lines, in home minor units."""
    lowest = lowest_duty(lines)
    offers = tuple(basket_offer(x.part, who, x, lowest) for x in lines)
    packs = tuple(x.need_units // x.offer.pack_units for x in lines)
    problem = BasketProblem((), offers, (basket_supplier(who, lines),))
    cost = order_costs(problem, packs)[who.name]
    return cost.lines + cost.charges


def landed(who, lines):
    return land_order(lines, who.terms, who.rates, who.home, who.customs)


cents = st.integers(0, 6000).map(usd)
some = st.one_of(st.none(), cents)
shares = st.sampled_from([Fraction(0), Fraction(1, 50), Fraction(3, 25)])
TABLES = (
    FreightTable(True, (FreightStep(Fraction(0), usd(650)), FreightStep(Fraction(2), usd(990), usd(80)))),
    FreightTable(False, (FreightStep(Fraction(0), usd(1200)), FreightStep(Fraction(20_000), usd(300)))),
)  # fmt: skip


@st.composite
def fees(draw):
    of = draw(st.sampled_from(FeeOf))
    money = draw(st.sampled_from(["USD", "EUR"]))
    least, most = draw(st.sampled_from([(None, None), (300, None), (None, 500), (250, 900)]))
    is_dutiable = of is FeeOf.GOODS
    return Fee(
        "fee", Money(draw(st.integers(0, 300)), money), draw(shares), of,
        None if least is None else Money(least, money), None if most is None else Money(most, money),
        draw(st.sampled_from([ShareBy.VALUE, ShareBy.WEIGHT])),
        draw(st.sampled_from([(), ("CIF",), ("CIF", "FOB")])) if is_dutiable else (), draw(st.booleans()),
    )  # fmt: skip


@st.composite
def sellers(draw):
    stated = SupplierTerms(
        "USD", draw(st.sampled_from(["FCA", "DAP", "DDP"])), draw(cents), draw(some), draw(cents), draw(cents),
        draw(cents), Money(draw(st.integers(0, 2000)), "EUR"), Fraction(0), draw(st.none() | st.integers(0, 900).map(usd)), draw(shares),
        Weighing(draw(st.sampled_from([None, 5000, 6000])), draw(st.booleans()), draw(st.sampled_from([Fraction(0), Fraction(1, 2)]))),
        draw(st.sampled_from([(), TABLES[:1], TABLES[1:], TABLES])), tuple(draw(st.lists(fees(), max_size=2))),
        draw(shares),
    )  # fmt: skip
    rules = CustomsRules(
        draw(st.sampled_from(["CIF", "FOB"])), vat_rate=Fraction("0.2"), vat_recoverable=draw(st.booleans())
    )
    return Seller("Ninefold", stated, RATES, "EUR", rules)


@st.composite
def ordered(draw):
    pack, packs = draw(st.sampled_from([1, 1, 4])), draw(st.integers(1, 12))
    # Prices in whole cents and discounts that keep them so: no invoice line is rounded.
    offer = Offer(
        draw(st.integers(100, 90_000)) * 10_000, "USD", pack_units=pack,
        breaks=draw(st.sampled_from([(), ((pack * 3, 5_000_000),)])), incremental=draw(st.booleans()),
        discount=draw(st.sampled_from([Fraction(0), Fraction(1, 4)])),
        deposit_minor=draw(st.sampled_from([0, 0, 4000])), returned=draw(st.sampled_from([Fraction(0), Fraction(9, 10), Fraction(1)])),
    )  # fmt: skip
    return LandedLine(
        f"part {draw(st.integers(0, 99))}", offer, pack * packs, draw(st.sampled_from([None, 0, 130, 2750])),
        draw(st.sampled_from([None, Fraction(0), Fraction("0.017"), Fraction("0.06")])), True,
        draw(st.sampled_from([None, 500_000, 19_200_000])),
    )  # fmt: skip


@given(sellers(), st.lists(ordered(), min_size=1, max_size=4))
def test_the_count_is_the_landed_total_but_for_rounding(who, lines):
    order = landed(who, lines)
    gap = float(counted(who, lines)) - order.total.minor
    # One coin for each step and line's duty; a fee or freight is rounded once more on its own bill.
    assert abs(gap) <= 2 * len(order.steps) + len(lines), order.steps


@given(sellers(), st.lists(ordered(), min_size=2, max_size=4), st.integers(1, 20))
def test_what_a_basket_buys_lands_for_what_it_was_bought_for(who, lines, units):
    assume(len({line.part for line in lines}) == len(lines))
    lowest = lowest_duty(lines)
    offers = tuple(basket_offer(x.part, who, x, lowest) for x in lines)
    options = tuple(Option(i) for i in range(len(offers)))
    need = BasketNeed("any of them", units, options, one_part=False)
    problem = BasketProblem((need,), offers, (basket_supplier(who, lines),))
    found = solve_basket(problem)
    assert found is not None
    assert found.proven
    bought = [
        LandedLine(x.part, x.offer, n * x.offer.pack_units, x.weight_g, x.duty_rate, True, x.volume_mm3)
        for x, n in zip(lines, found.basket.packs, strict=True)
        if n
    ]  # fmt: skip
    order = landed(who, bought)
    assert abs(float(found.cost) - order.total.minor) <= 2 * len(order.steps) + len(bought)


@pytest.mark.parametrize(("returned", "packs"), [("1", (0, 1)), ("0.9", (0, 1)), ("0", (1, 0))])
def test_a_core_that_does_not_come_back_tips_the_choice(returned, packs):
    """By hand: 60.00 alone against 50.00 and a deposit of 40.00, of which 0, 4.00 or 40.00 is lost."""
    who = Seller("S", SupplierTerms("EUR", "DAP", *(Money(0, "EUR"),), None, *(Money(0, "EUR"),) * 4, Fraction(0)),
                 Rates(Fraction(1), Fraction(1), DAY, 0), "EUR", CustomsRules("CIF"))  # fmt: skip
    plain = LandedLine("new", Offer(600_000, "EUR"), 1, None, Fraction(0), True)
    core = LandedLine("rebuilt", Offer(500_000, "EUR", deposit_minor=4000, returned=Fraction(returned)), 1, None, Fraction(0), True)  # fmt: skip
    offers = tuple(basket_offer(x.part, who, x) for x in (plain, core))
    need = BasketNeed("pump block", 1, (Option(0), Option(1)), one_part=False)
    found = solve_basket(BasketProblem((need,), offers, (basket_supplier(who, [plain, core]),)))
    assert found is not None
    assert found.basket.packs == packs
