"""Baskets against CBC, another solver (through pulp), with a program written in another way."""

from __future__ import annotations

from typing import Any

import pytest
from basket_problems import _price, large_problem, small_problem
from rich_baskets import rich_problem
from rich_cbc import Program

from partsdb.rules.basket import BasketProblem
from partsdb.rules.basket_solve import solve_basket

pytestmark = [pytest.mark.external, pytest.mark.filterwarnings("ignore::DeprecationWarning")]
BIG = 10**6
MOST = 40  # packs of an offer, in the enumerated program


@pytest.fixture(scope="module")
def pulp(external: Any) -> Any:
    return external("pulp")


def by_cbc(pulp: Any, problem: BasketProblem, most: int) -> float | None:
    """Return the least cost: one switch for every number of packs of every offer, and big-M rows."""
    program = pulp.LpProblem("basket", pulp.LpMinimize)
    counts = [[0, *range(offer.tiers[0].from_packs, most + 1)] for offer in problem.offers]
    useful = {o.offer for need in problem.needs for o in need.options if not o.against}
    switch = [
        pulp.LpVariable.dicts(f"k{i}", each if i in useful else [0], cat="Binary")
        for i, each in enumerate(counts)
    ]
    for each in switch:
        program += pulp.lpSum(each.values()) == 1
    packs = [pulp.lpSum(n * v for n, v in each.items()) for each in switch]
    lines = [_spread(pulp, problem, switch, i, "cost") for i in range(len(switch))]
    charges = [_order(pulp, program, problem, switch, s) for s in range(len(problem.suppliers))]
    program += pulp.lpSum(lines) + pulp.lpSum(cost for cost, _ in charges)
    if problem.most_suppliers is not None:
        program += pulp.lpSum(is_open for _, is_open in charges) <= problem.most_suppliers
    _serve(pulp, program, problem, packs)
    program.solve(pulp.PULP_CBC_CMD(msg=False, gapRel=0, threads=1, timeLimit=60))
    return pulp.value(program.objective) if program.status == pulp.LpStatusOptimal else None


def _spread(pulp: Any, problem: BasketProblem, switch: list[Any], i: int, figure: str) -> Any:
    offer = problem.offers[i]
    figures = [int(getattr(tier, figure)) for tier in offer.tiers]
    return pulp.lpSum(_price(offer, n, figures) * v for n, v in switch[i].items())


def _order(pulp: Any, program: Any, problem: BasketProblem, switch: list[Any], s: int) -> Any:
    seller = problem.suppliers[s]
    mine = [i for i, offer in enumerate(problem.offers) if offer.supplier == seller.name]
    is_open, pays, small = (
        pulp.LpVariable(f"{n}{s}", cat="Binary") for n in ("open", "pays", "small")
    )
    for i in mine:
        program += 1 - switch[i][0] <= is_open
    goods = pulp.lpSum(_spread(pulp, problem, switch, i, "goods") for i in mine)
    kilos = pulp.lpSum(
        float(problem.offers[i].pack_kg) * n * v for i in mine for n, v in switch[i].items()
    )
    by_weight = pulp.LpVariable(f"weight{s}", lowBound=0)
    mark = BIG if seller.free_above is None else int(seller.free_above)
    program += goods >= mark - BIG * pays - BIG * (1 - is_open)
    program += by_weight >= kilos - 10_000 * (1 - pays)
    program += goods >= int(seller.min_order) * is_open - BIG * small
    if seller.small_order is None:
        program += small == 0
    # Both switches are of use only in an order that is placed.
    cost = int(seller.fee) * is_open + int(seller.freight) * pays + int(seller.per_kg) * by_weight
    return cost + int(seller.small_order or 0) * small, is_open


def _serve(pulp: Any, program: Any, problem: BasketProblem, packs: list[Any]) -> None:
    used: dict[int, list[Any]] = {}
    for n, need in enumerate(problem.needs):
        open_offers = [o.offer for o in need.options if not o.against]
        units = {o: pulp.LpVariable(f"u{n}_{o}", 0, need.units, cat="Integer") for o in open_offers}
        program += pulp.lpSum(units.values()) == need.units
        parts = sorted({problem.offers[o].part for o in open_offers})
        chosen = {p: pulp.LpVariable(f"p{n}_{p}", cat="Binary") for p in parts}
        if need.one_part:
            program += pulp.lpSum(chosen.values()) <= 1
        for o, amount in units.items():
            used.setdefault(o, []).append(amount)
            program += amount <= BIG * chosen[problem.offers[o].part]
    for o, amounts in used.items():
        program += pulp.lpSum(amounts) <= problem.offers[o].pack_units * packs[o]


@pytest.mark.parametrize("start", range(5000, 5040, 10))
def test_ten_small_baskets_cost_what_cbc_finds(pulp, start):
    for seed in range(start, start + 10):
        problem = small_problem(seed)
        if not all(problem.options(need) for need in problem.needs):
            assert solve_basket(problem) is None
            continue
        found, theirs = solve_basket(problem), by_cbc(pulp, problem, 12)
        assert (found is None) == (theirs is None), f"seed {seed}"
        assert found is None or float(found.cost) == pytest.approx(theirs, abs=0.5), f"seed {seed}"


@pytest.mark.parametrize("seed", range(3))
def test_baskets_of_eight_lines_and_four_suppliers_cost_what_cbc_finds(pulp, seed):
    problem = large_problem(8, 4, 3, seed)
    found = solve_basket(problem)
    assert found is not None
    assert found.proven
    assert float(found.cost) == pytest.approx(by_cbc(pulp, problem, MOST), rel=1e-6)


@pytest.mark.parametrize("start", range(6000, 6200, 20))
def test_twenty_baskets_under_every_kind_of_term_cost_what_cbc_finds(pulp, start):
    for seed in range(start, start + 20):
        problem = rich_problem(seed, several_rates=False)
        found, theirs = solve_basket(problem), Program(pulp, problem).least()
        assert (found is None) == (theirs is None), f"seed {seed}"
        assert found is None or float(found.cost) == pytest.approx(theirs, abs=0.5), f"seed {seed}"
