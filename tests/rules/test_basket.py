"""Baskets: the program against trying every basket, and laws that hold whatever the prices."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from basket_problems import brute_force, large_problem, small_problem, tier

from partsdb.errors import InputRefusedError
from partsdb.rules.basket import (
    Basket,
    BasketNeed,
    BasketOffer,
    BasketProblem,
    BasketSupplier,
    Option,
    Use,
    basket_cost,
    broken_rules,
    order_costs,
)
from partsdb.rules.basket_plain import best_single_supplier, cheapest_per_line
from partsdb.rules.basket_solve import (
    UnsoundBasketError,
    rules_in_force,
    runner_up,
    smallest_relaxation,
    solve_basket,
)


def solved(problem, **how):
    found = solve_basket(problem, **how)
    assert found is not None
    assert found.proven
    assert broken_rules(problem, found.basket, how.get("lifted", frozenset())) == []
    return found


@pytest.mark.parametrize("start", range(0, 240, 20))
def test_twenty_random_baskets_cost_what_trying_every_one_finds(start):
    for seed in range(start, start + 20):
        problem = small_problem(seed)
        found = solve_basket(problem)
        assert (found and found.cost) == brute_force(problem), f"seed {seed}"
        assert found is None or found.proven, f"seed {seed}"


@pytest.mark.parametrize("seed", range(300, 330))
def test_doubling_every_price_doubles_the_basket(seed):
    problem = small_problem(seed)
    found, twice = solve_basket(problem), solve_basket(_doubled(problem))
    assert (twice and twice.cost) == (found and 2 * found.cost)


def _doubled(problem):
    offers = [
        replace(o, tiers=tuple(replace(t, cost=2 * t.cost, goods=2 * t.goods) for t in o.tiers))
        for o in problem.offers
    ]
    suppliers = [
        replace(
            s,
            fee=2 * s.fee,
            freight=2 * s.freight,
            per_kg=2 * s.per_kg,
            free_above=None if s.free_above is None else 2 * s.free_above,
            min_order=2 * s.min_order,
            small_order=None if s.small_order is None else 2 * s.small_order,
        )
        for s in problem.suppliers
    ]
    return replace(problem, offers=tuple(offers), suppliers=tuple(suppliers))


@pytest.mark.parametrize("seed", range(330, 360))
def test_the_names_and_order_of_suppliers_change_no_cost(seed):
    problem = small_problem(seed)
    names = {s.name: f"supplier {9 - i}" for i, s in enumerate(problem.suppliers)}
    other = replace(
        problem,
        offers=tuple(replace(o, supplier=names[o.supplier]) for o in problem.offers),
        suppliers=tuple(replace(s, name=names[s.name]) for s in reversed(problem.suppliers)),
    )
    found, renamed = solve_basket(problem), solve_basket(other)
    assert (renamed and renamed.cost) == (found and found.cost)


@pytest.mark.parametrize("seed", range(360, 390))
def test_a_dearer_offer_beside_another_changes_nothing(seed):
    problem = small_problem(seed)
    if not problem.offers:
        return
    first = problem.offers[0]
    # Dearer at our door, and no more on the invoice: it reaches no threshold sooner.
    dearer = replace(
        first, name="dearer", tiers=tuple(replace(t, cost=t.cost + 700) for t in first.tiers)
    )
    place = len(problem.offers)
    needs = [
        replace(
            n, options=(*n.options, *(replace(o, offer=place) for o in n.options if not o.offer))
        )
        for n in problem.needs
    ]
    more = replace(problem, offers=(*problem.offers, dearer), needs=tuple(needs))
    found, wider = solve_basket(problem), solve_basket(more)
    assert (wider and wider.cost) == (found and found.cost)


@pytest.mark.parametrize("seed", range(390, 420))
def test_the_basket_is_no_dearer_than_the_simple_ones(seed):
    problem = small_problem(seed)
    found = solve_basket(problem)
    for simple in (cheapest_per_line(problem), best_single_supplier(problem)):
        if simple and not broken_rules(problem, simple):
            assert found is not None
            assert found.cost <= basket_cost(problem, simple.packs)


# One part at two suppliers, by hand: near sells singles at 10.00 with 5.00 freight, far packs of
# five at 35.00 with 12.00 freight, free from 70.00 on.
def two_suppliers(units=4, **more):
    offers = (
        BasketOffer("near", "Near", "kit", 1, (tier(1, 1000),)),
        BasketOffer("far", "Far", "kit", 5, (tier(1, 3500),)),
    )
    suppliers = (
        BasketSupplier("Near", freight=Fraction(500)),
        BasketSupplier("Far", freight=Fraction(1200), free_above=Fraction(7000)),
    )
    need = BasketNeed("kit", units, (Option(0), Option(1)))
    return BasketProblem((need,), offers, suppliers, **more)


@pytest.mark.parametrize(
    ("units", "packs", "cost"),
    [
        (1, (1, 0), 1500),  # 10.00 + 5.00, against 35.00 + 12.00
        (4, (4, 0), 4500),  # 45.00, against 47.00
        (5, (0, 1), 4700),  # 35.00 + 12.00, against 55.00
        (6, (1, 1), 6200),  # a single and a pack: 15.00 + 47.00, against 65.00
        (10, (0, 2), 7000),  # two packs come carriage free
    ],
)
def test_packs_and_carriage_are_weighed_together(units, packs, cost):
    found = solved(two_suppliers(units))
    assert (found.basket.packs, found.cost) == (packs, cost)


def test_units_that_nobody_asked_for_are_left_over():
    found = solved(two_suppliers(9))
    assert found.basket.packs == (0, 2)
    assert found.basket.left_over(two_suppliers(9)) == {1: 1}


def test_a_minimum_order_without_a_charge_is_kept_by_buying_more():
    offers = (BasketOffer("o", "S", "kit", 1, (tier(1, 1000),)),)
    problem = BasketProblem(
        (BasketNeed("kit", 1, (Option(0),)),),
        offers,
        (BasketSupplier("S", min_order=Fraction(2500)),),
    )
    assert solved(problem).basket.packs == (3,)  # 30.00 is the least that reaches 25.00
    assert solved(problem, lifted=frozenset({"the minimum order of S"})).basket.packs == (1,)


def test_a_small_order_charge_is_paid_where_more_goods_would_cost_more():
    offers = (BasketOffer("o", "S", "kit", 1, (tier(1, 1000),)),)
    needs = (BasketNeed("kit", 1, (Option(0),)),)
    for charge, packs, cost in ((600, (1,), 1600), (1500, (2,), 2000)):
        supplier = BasketSupplier("S", min_order=Fraction(2000), small_order=Fraction(charge))
        found = solved(BasketProblem(needs, offers, (supplier,)))
        assert (found.basket.packs, found.cost) == (packs, cost)


def test_incremental_breaks_price_only_what_lies_beyond_them():
    # 3 at 10.00 and 2 at 8.00 are 46.00; all units at 8.00 would be 40.00.
    tiers = (tier(1, 1000), tier(4, 800))
    steps = BasketOffer("o", "S", "kit", 1, tiers, incremental=True)
    assert (steps.cost(5), replace(steps, incremental=False).cost(5)) == (4600, 4000)
    need = (BasketNeed("kit", 5, (Option(0),)),)
    assert solved(BasketProblem(need, (steps,), (BasketSupplier("S"),))).cost == 4600


def test_freight_by_weight_is_counted_until_carriage_is_free():
    offer = BasketOffer("o", "S", "kit", 1, (tier(1, 1000),), Fraction(1, 2))
    supplier = BasketSupplier("S", per_kg=Fraction(200), free_above=Fraction(5000))
    for units, cost in ((1, 1100), (3, 3300), (4, 4400), (5, 5000)):
        need = (BasketNeed("kit", units, (Option(0),)),)
        assert solved(BasketProblem(need, (offer,), (supplier,))).cost == cost


def test_one_supplier_at_most_costs_what_the_second_would_save():
    offers = (
        BasketOffer("a", "S", "kit", 1, (tier(1, 1000),)),
        BasketOffer("b", "T", "hose", 1, (tier(1, 2000),)),
        BasketOffer("c", "S", "hose", 1, (tier(1, 2600),)),
    )
    needs = (BasketNeed("kit", 1, (Option(0),)), BasketNeed("hose", 1, (Option(1), Option(2))))
    suppliers = (BasketSupplier("S"), BasketSupplier("T"))
    free, held = (BasketProblem(needs, offers, suppliers, n) for n in (None, 1))
    assert (solved(free).cost, solved(held).cost) == (3000, 3600)
    assert solved(held, lifted=frozenset({"at most 1 supplier"})).cost == 3000
    assert rules_in_force(held) == ["at most 1 supplier"]


def test_all_units_of_a_need_are_the_same_part_unless_told_otherwise():
    offers = (
        BasketOffer("a", "S", "kit A", 2, (tier(1, 1000),)),
        BasketOffer("b", "S", "kit B", 1, (tier(1, 700),)),
    )
    need = BasketNeed("kit", 3, (Option(0), Option(1)))
    for one_part, packs, cost in ((True, (2, 0), 2000), (False, (1, 1), 1700)):
        problem = BasketProblem((replace(need, one_part=one_part),), offers, (BasketSupplier("S"),))
        found = solved(problem)
        assert (found.basket.packs, found.cost) == (packs, cost)


def test_two_needs_share_the_packs_of_one_offer():
    offers = (BasketOffer("o", "S", "kit", 5, (tier(1, 1000),)),)
    needs = tuple(BasketNeed(name, units, (Option(0),)) for name, units in (("a", 2), ("b", 3)))
    found = solved(BasketProblem(needs, offers, (BasketSupplier("S"),)))
    assert found.basket == Basket((1,), (Use(0, 0, 2), Use(1, 0, 3)))


def test_the_runner_up_says_what_the_next_best_would_cost_more():
    problem = two_suppliers(4)
    found = solved(problem)
    other = runner_up(problem, found, 0)
    assert (other.offer, other.more) == (1, 200)  # 47.00 against 45.00
    only = replace(problem, needs=(replace(problem.needs[0], options=(Option(0),)),))
    assert runner_up(only, solved(only), 0) is None


def test_one_supplier_alone_is_the_runner_up_of_two_that_share_a_need():
    problem = two_suppliers(6)  # a single at 15.00 and a pack at 47.00; six singles are 65.00
    other = runner_up(problem, solved(problem), 0)
    assert (other.offer, other.more) == (0, 300)


def test_what_cannot_be_bought_names_the_fewest_rules_in_the_way():
    offers = tuple(BasketOffer(n, "S", n, 1, (tier(1, 1000),)) for n in ("a", "b"))
    needs = (
        BasketNeed("kit", 1, (Option(0, ("needed by Friday", "no grade worse than A")),
                              Option(1, ("needed by Friday",)))),
    )  # fmt: skip
    problem = BasketProblem(needs, offers, (BasketSupplier("S"),))
    assert solve_basket(problem) is None
    assert smallest_relaxation(problem).rules == ("needed by Friday",)
    assert solved(problem, lifted=frozenset({"needed by Friday"})).cost == 1000


def test_a_limit_on_suppliers_that_cannot_be_kept_is_named():
    offers = (
        BasketOffer("a", "S", "kit", 1, (tier(1, 1000),)),
        BasketOffer("b", "T", "hose", 1, (tier(1, 2000),)),
    )
    needs = (BasketNeed("kit", 1, (Option(0),)), BasketNeed("hose", 1, (Option(1),)))
    problem = BasketProblem(needs, offers, (BasketSupplier("S"), BasketSupplier("T")), 1)
    assert solve_basket(problem) is None
    assert smallest_relaxation(problem).rules == ("at most 1 supplier",)


def test_a_need_that_nobody_serves_is_named_whatever_is_lifted():
    problem = two_suppliers(1)
    missing = replace(problem, needs=(*problem.needs, BasketNeed("gun", 1, ())))
    assert solve_basket(missing) is None
    assert smallest_relaxation(missing).unserved == ("gun",)


def test_an_order_is_the_goods_and_the_charges():
    costs = order_costs(two_suppliers(), (2, 1))
    assert {n: (c.goods, c.lines, c.charges) for n, c in costs.items()} == {
        "Near": (2000, 2000, 500),
        "Far": (3500, 3500, 1200),
    }


@pytest.mark.parametrize(
    ("packs", "uses", "said"),
    [
        ((3, 0), (Use(0, 0, 3),), "kit: not all units are bought"),
        ((3, 0), (Use(0, 0, 4),), "near: more used than bought"),
    ],
)
def test_a_basket_that_breaks_a_rule_is_found_out(packs, uses, said):
    assert said in broken_rules(two_suppliers(), Basket(packs, uses))


@pytest.mark.parametrize(
    ("pack", "tiers"),
    [(0, (tier(1, 5),)), (1, ()), (1, (tier(0, 5),)), (1, (tier(2, 5), tier(2, 4)))],
)
def test_an_offer_without_sound_tiers_is_refused(pack, tiers):
    with pytest.raises(InputRefusedError):
        BasketOffer("o", "S", "kit", pack, tiers)


def test_what_the_solver_proposes_is_not_believed_unchecked(monkeypatch):
    from partsdb.rules import basket_solve

    monkeypatch.setattr(
        basket_solve, "_solved", lambda columns, seconds: ([0.0] * len(columns.cost), 0.0, True)
    )
    with pytest.raises(UnsoundBasketError, match="not all units"):
        solve_basket(two_suppliers())


def test_a_search_cut_short_is_never_dearer_than_the_simple_baskets():
    problem = large_problem(120, 12, 6, 1)
    found = solve_basket(problem, seconds=0.2)
    simple = cheapest_per_line(problem)
    assert found.bound <= found.cost
    assert broken_rules(problem, simple) or found.cost <= basket_cost(problem, simple.packs)


def test_when_the_time_is_too_short_a_simple_basket_is_shown_with_its_bound(monkeypatch):
    from partsdb.rules import basket_solve

    monkeypatch.setattr(basket_solve, "_solved", lambda columns, seconds: (None, 4000.0, False))
    found = solve_basket(two_suppliers(4))
    assert (found.cost, found.bound, found.proven) == (4500, 4000, False)
    assert found.gap == pytest.approx(500 / 4500)


def due_from_two(units=5, stock=3, lifted=frozenset()):
    """Near sells at 10.00 and has so many in stock; Far sells at 12.00, of whatever number."""
    offers = (
        BasketOffer("near", "Near", "kit", 1, (tier(1, 1000),), stock=stock),
        BasketOffer("far", "Far", "kit", 1, (tier(1, 1200),)),
    )
    need = BasketNeed("kit", units, (Option(0), Option(1)), due="needed by Friday")
    return BasketProblem((need,), offers, (BasketSupplier("Near"), BasketSupplier("Far")))


@pytest.mark.parametrize(
    ("units", "stock", "packs", "cost"),
    [(5, 3, (3, 2), 5400), (3, 3, (3, 0), 3000), (5, None, (5, 0), 5000), (2, 1, (1, 1), 2200)],
)
def test_what_is_due_is_bought_from_stock_alone(units, stock, packs, cost):
    found = solved(due_from_two(units, stock))
    assert (found.basket.packs, found.cost) == (packs, cost)


def test_a_day_that_is_lifted_lifts_the_stock_with_it():
    problem = due_from_two()
    assert rules_in_force(problem) == ["needed by Friday"]
    assert solved(problem, lifted=frozenset({"needed by Friday"})).cost == 5000
    not_due = replace(problem, needs=(replace(problem.needs[0], due=""),))
    assert solved(not_due).cost == 5000
    assert rules_in_force(due_from_two(3)) == []


def test_a_stock_that_does_not_go_round_names_the_day_as_the_rule_to_lift():
    problem = due_from_two()
    near = replace(problem, needs=(replace(problem.needs[0], options=(Option(0),)),))
    assert solve_basket(near) is None
    assert smallest_relaxation(near).rules == ("needed by Friday",)


def test_two_needs_that_are_due_share_the_stock():
    problem = due_from_two(2)
    twice = replace(problem, needs=(*problem.needs, replace(problem.needs[0], name="other")))
    found = solved(twice)
    assert (found.basket.packs, found.cost) == ((3, 1), 4200)
    assert broken_rules(twice, Basket((4, 0), (Use(0, 0, 2), Use(1, 0, 2)))) == [
        "near: more due than is in stock"
    ]
