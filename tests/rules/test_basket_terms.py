"""Baskets under every kind of term: the program against trying every basket there is."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from basket_problems import tier
from rich_baskets import cost_by_hand, least_by_trying, rich_problem

from partsdb.rules.basket import (
    BasketNeed,
    BasketOffer,
    BasketProblem,
    BasketSupplier,
    Option,
    basket_cost,
    broken_rules,
)
from partsdb.rules.basket_charges import BasketFee, ChargeStep, CustomsShares
from partsdb.rules.basket_solve import solve_basket
from partsdb.rules.freight import Weighing


@pytest.mark.parametrize("several_rates", [False, True])
@pytest.mark.parametrize("start", range(0, 160, 20))
def test_twenty_random_baskets_cost_what_trying_every_one_finds(start, several_rates):
    for seed in range(start, start + 20):
        problem = rich_problem(seed, several_rates=several_rates)
        found, best = solve_basket(problem), least_by_trying(problem)
        assert (found is None) == (best is None), f"seed {seed}"
        if found is not None and best is not None:
            assert found.proven, f"seed {seed}"
            assert float(found.cost) == pytest.approx(best, abs=0.05), f"seed {seed}"
            assert broken_rules(problem, found.basket) == [], f"seed {seed}"
            by_hand = cost_by_hand(problem, list(found.basket.packs))
            assert float(found.cost) == pytest.approx(by_hand, abs=1e-6), f"seed {seed}"


def money(problem, factor):
    """Return the problem with every amount of money multiplied; weights and shares stay."""
    offers = tuple(
        replace(o, tiers=tuple(replace(t, cost=factor * t.cost, goods=factor * t.goods) for t in o.tiers))
        for o in problem.offers
    )  # fmt: skip
    return replace(problem, offers=offers, suppliers=tuple(_dearer(s, factor) for s in problem.suppliers))  # fmt: skip


def _dearer(s, factor):
    def times(amount):
        return None if amount is None else factor * amount

    return replace(
        s, fee=times(s.fee), freight=times(s.freight), free_above=times(s.free_above), per_kg=times(s.per_kg),
        min_order=times(s.min_order), small_order=times(s.small_order),
        weight_steps=tuple(replace(t, cost=times(t.cost), per_more=times(t.per_more)) for t in s.weight_steps),
        value_steps=tuple(ChargeStep(times(t.start), times(t.cost)) for t in s.value_steps),
        fees=tuple(replace(f, flat=times(f.flat), least=times(f.least), most=times(f.most)) for f in s.fees),
        customs=replace(s.customs, fixed=times(s.customs.fixed)),
    )  # fmt: skip


@pytest.mark.parametrize("seed", range(1000, 1040))
def test_doubling_every_price_and_charge_doubles_the_basket(seed):
    problem = rich_problem(seed, several_rates=seed % 2 == 0)
    found, twice = solve_basket(problem), solve_basket(money(problem, 2))
    assert (found is None) == (twice is None)
    if found is not None and twice is not None:
        assert float(twice.cost) == pytest.approx(2 * float(found.cost), abs=0.2)


@pytest.mark.parametrize("seed", range(1040, 1080))
def test_the_names_and_order_of_suppliers_change_no_cost(seed):
    problem = rich_problem(seed, several_rates=seed % 2 == 0)
    names = {s.name: f"supplier {9 - i}" for i, s in enumerate(problem.suppliers)}
    other = replace(
        problem,
        offers=tuple(replace(o, supplier=names[o.supplier]) for o in problem.offers),
        suppliers=tuple(replace(s, name=names[s.name]) for s in reversed(problem.suppliers)),
    )
    found, renamed = solve_basket(problem), solve_basket(other)
    assert (found is None) == (renamed is None)
    if found is not None and renamed is not None:
        assert float(renamed.cost) == pytest.approx(float(found.cost), abs=0.1)


@pytest.mark.parametrize("seed", range(1080, 1120))
def test_a_dearer_offer_beside_another_changes_nothing(seed):
    problem = rich_problem(seed, several_rates=False)
    # Dearer at our door, no more on the invoice and no lighter: it reaches no threshold sooner.
    first = problem.offers[0]
    goods = min(t.goods for t in first.tiers)
    tiers = tuple(replace(t, cost=t.cost + 700, goods=goods) for t in first.tiers)
    dearer = replace(first, name="dearer", tiers=tiers)
    place = len(problem.offers)
    needs = tuple(
        replace(n, options=(*n.options, *(Option(place) for o in n.options if not o.offer)))
        for n in problem.needs
    )
    more = replace(problem, offers=(*problem.offers, dearer), needs=needs)
    found, wider = solve_basket(problem), solve_basket(more)
    assert (found is None) == (wider is None)
    if found is not None and wider is not None:
        assert float(wider.cost) == pytest.approx(float(found.cost), abs=0.1)


def one_part(units, supplier, *, tiers=(), kg="0", cm3="0"):
    offer = BasketOffer("o", "S", "kit", 1, tiers or (tier(1, 1000),), Fraction(kg), pack_cm3=Fraction(cm3))  # fmt: skip
    return BasketProblem((BasketNeed("kit", units, (Option(0),)),), (offer,), (supplier,))


def steps(*pairs):
    return tuple(ChargeStep(*map(Fraction, pair)) for pair in pairs)


def solved(problem):
    found = solve_basket(problem)
    assert found is not None
    assert found.proven
    return found


@pytest.mark.parametrize(
    ("units", "cost"),
    [  # by hand: 10.00 each, 2 kg each; parcels to 2 kg 6.50, to 6 kg 9.90, over it 20.00 + 1.00 a kg
        (1, 1650), (2, 2990), (3, 3990), (4, 6200),
    ],
)  # fmt: skip
def test_freight_by_steps_of_weight(units, cost):
    parcels = steps((0, 650), (2, 990), (6, 2000, 100))
    assert solved(one_part(units, BasketSupplier("S", weight_steps=parcels), kg="2")).cost == cost


@pytest.mark.parametrize(
    ("units", "packs", "cost"),
    [  # by hand: freight 12.00, from 40.00 on 1.00: the fourth costs 10.00 and saves 11.00
        (1, 1, 2200), (3, 4, 4100), (4, 4, 4100),
    ],
)  # fmt: skip
def test_freight_that_falls_with_the_value_is_reached_by_buying_more(units, packs, cost):
    found = solved(one_part(units, BasketSupplier("S", value_steps=steps((0, 1200), (4000, 100)))))
    assert (found.basket.packs, found.cost) == ((packs,), cost)


@pytest.mark.parametrize(
    ("divisor", "per_piece", "step", "cost"),
    [  # by hand: 3 of 0.4 kg and 4000 cm³ at 10.00 and 5.00 a kg
        (None, False, "0", 3600), (5000, False, "0", 4200), (6000, False, "0", 4000),
        (5000, False, "1/2", 4250), (5000, True, "1", 4500), (20_000, False, "0", 3600),
    ],
)  # fmt: skip
def test_the_greater_of_actual_and_volumetric_weight_is_paid(divisor, per_piece, step, cost):
    weighing = Weighing(divisor, per_piece, Fraction(step))
    supplier = BasketSupplier("S", per_kg=Fraction(500), weighing=weighing)
    assert solved(one_part(3, supplier, kg="0.4", cm3="4000")).cost == cost


@pytest.mark.parametrize(
    ("units", "cost"), [(1, 1250), (10, 11_000), (40, 42_000)]
)  # by hand: 10 % of 10.00 is under 2.50, of 100.00 within, of 400.00 over 20.00
def test_a_fee_keeps_its_minimum_and_maximum(units, cost):
    fee = BasketFee(per_goods=Fraction(1, 10), least=Fraction(250), most=Fraction(2000))
    assert solved(one_part(units, BasketSupplier("S", fees=(fee,)))).cost == cost


def test_a_fee_on_the_customs_value_counts_the_freight_in_it():
    """By hand: 1 % of 0.9 × 100.00 + 0.8 × 50.00 = 1.30."""
    fee = BasketFee(of_customs=Fraction(1, 100))
    customs = CustomsShares(Fraction(9, 10), freight=Fraction(8, 10))
    supplier = BasketSupplier("S", freight=Fraction(5000), fees=(fee,), customs=customs)
    assert solved(one_part(10, supplier)).cost == 10_000 + 5000 + 130


def two_rates(extra, *, kg=("1", "3")):
    """Two parts at 10.00 from one supplier, freight 40.00 valued whole; the second bears more duty."""
    offers = tuple(
        BasketOffer(f"o{n}", "S", f"p{n}", 1, (tier(1, 1000),), Fraction(kg[n]), extra_duty=Fraction(rate))
        for n, rate in enumerate(("0", extra))
    )  # fmt: skip
    needs = tuple(BasketNeed(f"n{n}", 1, (Option(n),)) for n in range(2))
    customs = CustomsShares(Fraction(1), freight=Fraction(1))
    supplier = BasketSupplier("S", freight=Fraction(4000), customs=customs)
    return BasketProblem(needs, offers, (supplier,))


def test_duty_on_freight_follows_the_weight_of_the_goods_that_bear_it():
    """By hand: three quarters of 40.00 bear 10 %: 3.00; by value, where a weight is unknown, 2.00."""
    assert solved(two_rates("0.1")).cost == 2000 + 4000 + 300
    assert solved(two_rates("0.1", kg=("1", "0"))).cost == 2000 + 4000 + 200


def test_a_supplier_without_shared_duty_wins_where_it_tips_the_scale():
    """Each alone: 10.00 + 4.00 duty on the freight against 12.00; together the duty is 3.00."""
    problem = two_rates("0.1", kg=("0.001", "3"))
    other = BasketOffer("t", "T", "p1", 1, (tier(1, 1390),))
    needs = (problem.needs[0], replace(problem.needs[1], options=(Option(1), Option(2))))
    wider = replace(problem, offers=(*problem.offers, other), needs=needs,
                    suppliers=(*problem.suppliers, BasketSupplier("T")))  # fmt: skip
    found = solved(wider)
    assert found.basket.packs == (1, 0, 1)  # 13.90 against 10.00 and 3.999 of duty
    assert found.cost == 1000 + 4000 + 1390
    assert basket_cost(wider, (1, 1, 0)) > found.cost
