"""Random baskets for the tests and benches, and two independent ways to solve them."""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import product
from typing import Any

import numpy as np

from partsdb.rules.basket import (
    BasketNeed,
    BasketOffer,
    BasketProblem,
    BasketSupplier,
    Option,
    Tier,
)


def tier(packs: int, cost: int, goods: int | None = None) -> Tier:
    return Tier(packs, Fraction(cost), Fraction(cost if goods is None else goods))


def random_supplier(rng: random.Random, name: str) -> BasketSupplier:
    has_minimum = rng.random() < 0.6
    return BasketSupplier(
        name,
        fee=Fraction(rng.choice([0, 0, 950])),
        freight=Fraction(rng.choice([0, 980, 1450, 4600])),
        free_above=rng.choice([None, Fraction(9000), Fraction(25000)]),
        per_kg=Fraction(rng.choice([0, 0, 640])),
        min_order=Fraction(rng.choice([3000, 8000])) if has_minimum else Fraction(0),
        small_order=rng.choice([None, Fraction(600), Fraction(1500)]) if has_minimum else None,
    )


def random_offer(rng: random.Random, name: str, supplier: str, part: str) -> BasketOffer:
    price, pack = rng.randrange(900, 6000), rng.choice([1, 1, 1, 2, 5])
    starts = [rng.choice([1, 1, 1, 2])]
    while rng.random() < 0.45 and len(starts) < 3:
        starts.append(starts[-1] + rng.randrange(1, 4))
    tiers = [
        tier(start, int(price * pack * 0.9**step), int(price * pack * 0.8 * 0.9**step))
        for step, start in enumerate(starts)
    ]
    weight = Fraction(rng.randrange(1, 9), 8)  # eighths of a kilogram: charges stay whole
    return BasketOffer(name, supplier, part, pack, tuple(tiers), weight, rng.random() < 0.3)


def small_problem(seed: int) -> BasketProblem:
    """Return a basket small enough to try every one of its ways."""
    rng = random.Random(seed)
    suppliers = tuple(random_supplier(rng, f"s{i}") for i in range(rng.randrange(1, 4)))
    offers: list[BasketOffer] = []
    needs = []
    for n in range(rng.randrange(1, 3)):
        options = []
        for supplier in suppliers:
            for part in rng.sample(
                ["a", "b"], rng.choice([0, 1, 1, 2]) if len(suppliers) > 1 else 1
            ):
                if len(offers) < 4:
                    offers.append(random_offer(rng, f"o{len(offers)}", supplier.name, f"{part}{n}"))
                    against = ("late",) if rng.random() < 0.1 else ()
                    options.append(Option(len(offers) - 1, against))
        if n and rng.random() < 0.3 and offers:
            shared = rng.randrange(len(offers))
            if all(option.offer != shared for option in options):
                options.append(Option(shared))
        needs.append(BasketNeed(f"n{n}", rng.randrange(1, 5), tuple(options), rng.random() < 0.5))
    most = rng.choice([None, None, 1, 2])
    return BasketProblem(tuple(needs), tuple(offers), suppliers, most)


def brute_force(problem: BasketProblem, most_packs: int = 12) -> int | None:
    """Return the least cost over every number of packs of every offer, by trying all of them.

    Counts costs on its own, pack by pack, and shares nothing with the product.
    """
    if not problem.offers:
        return None
    # What may serve no need is not bought, not even to reach a minimum order.
    useful = {o.offer for need in problem.needs for o in need.options if not o.against}
    sizes = [
        [0, *(range(o.tiers[0].from_packs, most_packs + 1) if i in useful else ())]
        for i, o in enumerate(problem.offers)
    ]
    packs = np.array(list(product(*sizes)), dtype=np.int64)
    costs = _prices(problem, packs, "cost")
    goods = _prices(problem, packs, "goods")
    total, is_sound = costs.sum(axis=1), _serves(problem, packs)
    orders = np.zeros(len(packs), dtype=np.int64)
    for supplier in problem.suppliers:
        mine = [i for i, o in enumerate(problem.offers) if o.supplier == supplier.name]
        ordered = packs[:, mine].sum(axis=1) > 0
        value = goods[:, mine].sum(axis=1)
        eighths = packs[:, mine] @ np.array(
            [int(problem.offers[i].pack_kg * 8) for i in mine], dtype=np.int64
        )
        freight = int(supplier.freight) + int(supplier.per_kg) // 8 * eighths
        is_free = value >= int(supplier.free_above or 10**12)
        is_small = value < int(supplier.min_order)
        total += ordered * (int(supplier.fee) + np.where(is_free, 0, freight))
        total += ordered * is_small * int(supplier.small_order or 0)
        if supplier.small_order is None:
            is_sound &= ~(ordered & is_small)
        orders += ordered
    if problem.most_suppliers is not None:
        is_sound &= orders <= problem.most_suppliers
    return int(total[is_sound].min()) if is_sound.any() else None


def _prices(problem: BasketProblem, packs: Any, figure: str) -> Any:
    columns = []
    for index, offer in enumerate(problem.offers):
        figures = [int(getattr(t, figure)) for t in offer.tiers]
        most = int(packs[:, index].max())
        table = np.array([_price(offer, count, figures) for count in range(most + 1)])
        columns.append(table[packs[:, index]])
    return np.stack(columns, axis=1)


def _price(offer: BasketOffer, packs: int, figures: list[int]) -> int:
    total = 0
    for pack in range(1, packs + 1):  # one pack after the other
        counted = pack if offer.incremental else packs
        reached = [f for t, f in zip(offer.tiers, figures, strict=True) if t.from_packs <= counted]
        total += reached[-1] if reached else figures[0]
    return total


def _serves(problem: BasketProblem, packs: Any) -> Any:
    """Tell whether the units can be shared out, trying every choice of part for each need."""
    choices = []
    for need in problem.needs:
        open_offers = [o.offer for o in need.options if not o.against]
        parts = sorted({problem.offers[i].part for i in open_offers})
        sets = [[i for i in open_offers if problem.offers[i].part == part] for part in parts]
        choices.append(sets if need.one_part else [open_offers])
    units = packs * np.array([o.pack_units for o in problem.offers])
    served = np.zeros(len(packs), dtype=bool)
    for chosen in product(*choices):
        # Hall's theorem: every set of needs finds enough units among the offers that serve it.
        enough = np.ones(len(packs), dtype=bool)
        for subset in product((False, True), repeat=len(chosen)):
            picked = [i for i, is_in in enumerate(subset) if is_in]
            offers = sorted({o for i in picked for o in chosen[i]})
            wanted = sum(problem.needs[i].units for i in picked)
            enough &= units[:, offers].sum(axis=1) >= wanted
        served |= enough
    return served


def large_problem(lines: int, suppliers: int, offers_each: int, seed: int) -> BasketProblem:
    """Return `lines` needs, each offered by `offers_each` suppliers, with breaks and thresholds."""
    rng = random.Random(seed)
    sellers = tuple(
        BasketSupplier(
            f"s{i}",
            fee=Fraction(rng.choice([0, 0, 950])),
            freight=Fraction(rng.choice([980, 1450, 2200, 4600])),
            free_above=Fraction(rng.choice([15_000, 25_000, 60_000])),
            per_kg=Fraction(rng.choice([0, 0, 640])),
            min_order=Fraction(rng.choice([4000, 10_000])),
            small_order=rng.choice([None, Fraction(600), Fraction(1500)]),
        )
        for i in range(suppliers)
    )
    offers: list[BasketOffer] = []
    needs = []
    for n in range(lines):
        base, options = rng.randrange(150, 9000), []
        for seller in rng.sample(sellers, min(offers_each, suppliers)):
            part = f"{rng.choice('ab')}{n}"
            offers.append(_broken_offer(rng, f"o{len(offers)}", (seller.name, part), base))
            options.append(Option(len(offers) - 1))
        units = rng.choice([1, 2, 3, 4, 6, 10, 12, 25])
        needs.append(BasketNeed(f"n{n}", units, tuple(options)))
    return BasketProblem(tuple(needs), tuple(offers), sellers)


def _broken_offer(rng: random.Random, name: str, sold: tuple[str, str], base: int) -> BasketOffer:
    price, pack = base * rng.uniform(0.85, 1.25), rng.choice([1, 1, 1, 2, 5, 10])
    starts = [1]
    while rng.random() < 0.55 and len(starts) < 3:
        starts.append(starts[-1] * rng.choice([3, 5]))
    tiers = [
        tier(start, int(price * pack * 0.93**step), int(price * pack * 0.95 * 0.93**step))
        for step, start in enumerate(starts)
    ]
    return BasketOffer(name, *sold, pack, tuple(tiers), Fraction(rng.randrange(1, 16), 8))
