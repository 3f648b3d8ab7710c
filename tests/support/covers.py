"""Random covers for the tests, and two independent ways to solve them."""

from __future__ import annotations

import random
from collections.abc import Iterator
from fractions import Fraction
from itertools import product

from basket_problems import random_offer, random_supplier

from partsdb.rules.basket import BasketSupplier
from partsdb.rules.cover import CoverOffer, CoverProblem, broken_rules, cover_cost

ROLES = ("ball", "seat", "rod", "sealant")


def small_cover(seed: int) -> CoverProblem:
    """Return a cover small enough to try every one of its ways."""
    rng = random.Random(seed)
    roles = rng.sample(ROLES, rng.randrange(1, 4))
    needs = {role: rng.randrange(1, 4) for role in roles}
    suppliers = tuple(random_supplier(rng, f"s{i}") for i in range(rng.randrange(1, 3)))
    offers = []
    for n in range(rng.randrange(1, 4)):
        supplier = rng.choice(suppliers)
        brings = {role: rng.randrange(1, 3) for role in roles if rng.random() < 0.6}
        offer = random_offer(rng, f"o{n}", supplier.name, f"p{n}")
        offers.append(CoverOffer(offer, brings or {roles[0]: 1}))
    return CoverProblem(needs, tuple(offers), suppliers)


def every_way(problem: CoverProblem, most: int) -> Iterator[tuple[int, ...]]:
    """Yield every number of packs of every offer, up to `most` of each."""
    numbers = [(0, *range(e.offer.least_packs, most + 1)) for e in problem.offers]
    yield from product(*numbers)


def best_by_trying(problem: CoverProblem, most: int = 14) -> Fraction | None:
    """Return the least cost of all ways to cover, None when there is none."""
    costs = [
        cover_cost(problem, packs)
        for packs in every_way(problem, most)
        if not broken_rules(problem, packs)
    ]
    return min(costs, default=None)


def best_by_cbc(problem: CoverProblem, most: int = 60) -> float | None:
    """Return the least cost by another engine and another model, None when there is none.

    Packs are integers with an open tier each here, where ours has a column for every number.
    """
    import pulp

    model = pulp.LpProblem("cover", pulp.LpMinimize)
    packs: list[list[tuple[object, object]]] = []
    cost: list[object] = []
    for i, each in enumerate(problem.offers):
        rows = []
        starts = [tier.from_packs for tier in each.offer.tiers]
        ends = [*(s - 1 for s in starts[1:]), most]
        for t, (tier, start, end) in enumerate(zip(each.offer.tiers, starts, ends, strict=True)):
            count = pulp.LpVariable(f"n{i}_{t}", 0, most, "Integer")
            is_open = pulp.LpVariable(f"b{i}_{t}", cat="Binary")
            if each.offer.incremental and t:
                model += count <= (end - start + 1) * is_open
                before = rows[-1][0]
                model += before >= _width(starts, t - 1) * is_open, f"full{i}_{t}"
            else:
                model += count <= end * is_open
                model += count >= start * is_open
            rows.append((count, is_open))
            cost.append(float(tier.cost) * count)
        if not each.offer.incremental:
            model += pulp.lpSum(b for _, b in rows) <= 1
        packs.append(rows)
    for supplier in problem.suppliers:
        cost += _orders(pulp, model, problem, supplier, packs)
    for role, needed in problem.needs.items():
        model += (
            pulp.lpSum(each.pieces(role, 1) * n for each, rows in zip(problem.offers, packs, strict=True) for n, _ in rows)
            >= needed
        )  # fmt: skip
    model += pulp.lpSum(cost)
    model.solve(pulp.PULP_CBC_CMD(msg=False, gapRel=0.0))
    return float(pulp.value(model.objective)) if pulp.LpStatus[model.status] == "Optimal" else None


def _width(starts: list[int], tier: int) -> int:
    """Return how many packs fill an incremental tier; the first also holds those below its start."""
    return starts[tier + 1] - 1 if tier == 0 else starts[tier + 1] - starts[tier]


def _orders(
    pulp: object, model: object, problem: CoverProblem, supplier: BasketSupplier, packs: list
) -> list[object]:
    order = pulp.LpVariable(f"y_{supplier.name}", cat="Binary")
    pays = pulp.LpVariable(f"f_{supplier.name}", cat="Binary")
    goods, kilos = [], []
    for each, rows in zip(problem.offers, packs, strict=True):
        if each.offer.supplier != supplier.name:
            continue
        for (count, is_open), tier in zip(rows, each.offer.tiers, strict=True):
            model += is_open <= order
            goods.append(float(tier.goods) * count)
            kilos.append(float(each.offer.pack_kg) * count)
    cost = [float(supplier.fee) * order, float(supplier.freight) * pays]
    if supplier.free_above is None:
        model += pays >= order
    else:
        model += pulp.lpSum(goods) >= float(supplier.free_above) * (order - pays)
    if supplier.per_kg:
        weight = pulp.LpVariable(f"w_{supplier.name}", 0)
        model += weight >= pulp.lpSum(kilos) - 10_000 * (1 - pays)
        cost.append(float(supplier.per_kg) * weight)
    if supplier.min_order:
        short = 0
        if supplier.small_order is not None:
            short = pulp.LpVariable(f"m_{supplier.name}", cat="Binary")
            cost.append(float(supplier.small_order) * short)
        model += pulp.lpSum(goods) >= float(supplier.min_order) * (order - short)
    return cost
