"""The cheapest cover of a kit, against trying every way on small ones."""

from __future__ import annotations

from fractions import Fraction

import pytest
from covers import best_by_trying, small_cover

from partsdb.rules.basket import BasketOffer, BasketSupplier, Tier
from partsdb.rules.cover import (
    CoverOffer,
    CoverProblem,
    broken_rules,
    cover_cost,
    not_to_be_had,
    solve_cover,
)


def offer(name: str, cost: int, brings: dict[str, int], supplier: str = "S") -> CoverOffer:
    tier = Tier(1, Fraction(cost), Fraction(cost))
    return CoverOffer(BasketOffer(name, supplier, name, 1, (tier,)), brings)


FREE = BasketSupplier("S")
MOST = 7


def test_loose_parts_win_where_they_cost_less_than_the_partial_kit() -> None:
    problem = CoverProblem(
        {"ball": 1, "seat": 1},
        (offer("partial kit", 900, {"ball": 1}), offer("ball", 300, {"ball": 1}),
         offer("seat", 400, {"seat": 1})),
        (FREE,),
    )  # fmt: skip
    found = solve_cover(problem)
    assert found is not None
    assert (found.packs, found.cost) == ((0, 1, 1), 700)


def test_a_partial_kit_wins_where_it_brings_several_pieces_at_once() -> None:
    problem = CoverProblem(
        {"ball": 1, "seat": 1, "rod": 1},
        (offer("kit", 900, {"ball": 1, "rod": 1}), offer("ball", 500, {"ball": 1}),
         offer("rod", 600, {"rod": 1}), offer("seat", 400, {"seat": 1})),
        (FREE,),
    )  # fmt: skip
    found = solve_cover(problem)
    assert found is not None
    assert (found.packs, found.cost) == ((1, 0, 0, 1), 1300)


def test_one_order_more_is_paid_for_only_where_it_pays() -> None:
    far = BasketSupplier("far", fee=Fraction(500))
    offers = (
        offer("ball near", 300, {"ball": 1}),
        offer("seat near", 700, {"seat": 1}),
        offer("seat far", 400, {"seat": 1}, "far"),
    )
    found = solve_cover(CoverProblem({"ball": 1, "seat": 1}, offers, (FREE, far)))
    assert found is not None and found.packs == (1, 1, 0)
    cheap = solve_cover(
        CoverProblem({"ball": 1, "seat": 1}, offers, (FREE, BasketSupplier("far", Fraction(200))))
    )
    assert cheap is not None and cheap.packs == (1, 0, 1)


def test_what_nobody_brings_is_named_and_there_is_no_cover() -> None:
    problem = CoverProblem({"ball": 1, "rod": 1}, (offer("ball", 300, {"ball": 1}),), (FREE,))
    assert not_to_be_had(problem) == ("rod",)
    assert solve_cover(problem) is None


def test_packs_and_minimum_orders_are_kept() -> None:
    supplier = BasketSupplier("S", min_order=Fraction(1000))
    problem = CoverProblem({"ball": 1}, (offer("ball", 300, {"ball": 1}),), (supplier,))
    found = solve_cover(problem)
    assert found is not None and found.packs == (4,)
    assert broken_rules(problem, (3,)) == (supplier.min_rule,)
    assert broken_rules(problem, (0,)) == ("ball: 0 of 1",)


@pytest.mark.parametrize("first", range(0, 240, 40))
def test_no_way_of_small_covers_is_cheaper(first: int) -> None:
    """240 random covers; every number of packs up to seven of each offer is tried."""
    solvable = 0
    for seed in range(first, first + 40):
        problem = small_cover(seed)
        found, best = solve_cover(problem), best_by_trying(problem, MOST)
        if best is None:
            assert found is None or max(found.packs) > MOST, seed
            continue
        assert found is not None, seed
        solvable += 1
        assert found.cost <= best, seed
        if max(found.packs) <= MOST:
            assert found.cost == best, seed
        assert broken_rules(problem, found.packs) == ()
        assert cover_cost(problem, found.packs) == found.cost
    assert solvable >= 10
