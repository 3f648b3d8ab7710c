"""Baskets under every kind of term, and what each of their ways costs, counted by itself.

Freight by steps of weight or value, volumetric weight, weights billed in steps, fees with bounds,
duty shared between goods of several rates: nothing here is taken from the product's own counting.
"""

from __future__ import annotations

import math
import random
from dataclasses import replace
from fractions import Fraction
from itertools import product

import numpy as np
from basket_problems import _serves, large_problem, random_offer, random_supplier

from partsdb.rules.basket import BasketNeed, BasketOffer, BasketProblem, BasketSupplier, Option
from partsdb.rules.basket_charges import BasketFee, ChargeStep, CustomsShares
from partsdb.rules.freight import Weighing

PARCELS = ((0, 650, 0), (1, 990, 0), (4, 1900, 120))
# Falling with the value, rising with it, and both.
BY_VALUE = (((0, 1200), (9000, 800), (25_000, 0)), ((0, 500), (9000, 900), (20_000, 1500)),
            ((0, 900), (6000, 400), (18_000, 1100)))  # fmt: skip


def rich_supplier(rng: random.Random, name: str) -> BasketSupplier:
    plain = random_supplier(rng, name)
    weighing = Weighing(
        rng.choice([None, 5000, 6000]),
        rng.random() < 0.4,
        rng.choice([Fraction(0), Fraction(1, 2)]),
    )
    parcels = PARCELS[: rng.randrange(1, 4)] if rng.random() < 0.5 else ()
    values = rng.choice(BY_VALUE) if rng.random() < 0.3 else ()
    return replace(
        plain,
        weighing=weighing,
        weight_steps=tuple(ChargeStep(*map(Fraction, step)) for step in parcels),
        value_steps=tuple(ChargeStep(Fraction(start), Fraction(cost)) for start, cost in values),
        fees=tuple(_fee(rng) for _ in range(rng.randrange(3))),
        customs=CustomsShares(Fraction(9, 10), Fraction(rng.choice([0, 350])), rng.choice([Fraction(0), Fraction(7, 8)]), Fraction(4, 5)),
    )  # fmt: skip


def _fee(rng: random.Random) -> BasketFee:
    least, most = rng.choice([0, 250]), rng.choice([None, 300, 900])
    rate, of_customs = Fraction(rng.choice([0, 1, 5, 20]), 200), rng.random() < 0.5
    return BasketFee(
        flat=Fraction(rng.choice([0, 120])),
        per_goods=Fraction(0) if of_customs else rate,
        of_customs=rate if of_customs else Fraction(0),
        least=Fraction(least),
        most=None if most is None else Fraction(most),
        factor=Fraction(rng.choice([10, 11]), 10),
        customs=Fraction(0) if of_customs else Fraction(rng.choice([0, 9]), 10),
        by_weight=rng.random() < 0.5,
    )


def rich_problem(seed: int, *, several_rates: bool) -> BasketProblem:
    """Return a small basket; with `several_rates` the goods of a supplier bear unequal duty."""
    rng = random.Random(seed)
    suppliers = tuple(rich_supplier(rng, f"s{i}") for i in range(rng.randrange(1, 3)))
    offers: list[BasketOffer] = []
    needs = []
    for n in range(rng.randrange(1, 3)):
        options = []
        for supplier in suppliers:
            if len(offers) < 3 and (not options or rng.random() < 0.7):
                offer = random_offer(rng, f"o{len(offers)}", supplier.name, f"a{n}")
                offers.append(_rich(rng, offer, several_rates=several_rates))
                options.append(Option(len(offers) - 1))
        if n and offers and rng.random() < 0.3 and all(o.offer for o in options):
            options.append(Option(0))
        needs.append(BasketNeed(f"n{n}", rng.randrange(1, 5), tuple(options), rng.random() < 0.5))
    return BasketProblem(tuple(needs), tuple(offers), suppliers, rng.choice([None, None, 1]))


def _rich(rng: random.Random, offer: BasketOffer, *, several_rates: bool) -> BasketOffer:
    duty = Fraction(rng.choice([0, 1, 3]), 20) if several_rates else Fraction(0)
    unknown = rng.random() < 0.2
    return replace(
        offer,
        pack_kg=Fraction(0) if unknown else offer.pack_kg,
        pack_cm3=Fraction(0) if unknown else Fraction(rng.choice([0, 1500, 6000, 12_000])),
        extra_duty=duty,
    )


def least_by_trying(problem: BasketProblem, most_packs: int = 12) -> float | None:
    """Return the least cost over every number of packs of every offer; None when none will do."""
    useful = {o.offer for need in problem.needs for o in need.options if not o.against}
    sizes = [
        [0, *(range(o.tiers[0].from_packs, most_packs + 1) if i in useful else ())]
        for i, o in enumerate(problem.offers)
    ]
    packs = np.array(list(product(*sizes)), dtype=np.int64)
    served = _serves(problem, packs)
    costs = [c for row in packs[served].tolist() if (c := cost_by_hand(problem, row)) is not None]
    return min(costs, default=None)


def cost_by_hand(problem: BasketProblem, packs: list[int]) -> float | None:
    """Return the cost of the packs in floating point; None when a supplier takes no such order."""
    total, orders = 0.0, 0
    for supplier in problem.suppliers:
        bought = [
            (o, n)
            for o, n in zip(problem.offers, packs, strict=True)
            if n and o.supplier == supplier.name
        ]
        if not bought:
            continue
        orders += 1
        goods = [_pack_by_pack(o, n, "goods") for o, n in bought]
        value = sum(goods)
        if supplier.small_order is None and value < supplier.min_order:
            return None
        total += sum(_pack_by_pack(o, n, "cost") for o, n in bought)
        total += _charged(supplier, bought, goods)
    if problem.most_suppliers is not None and orders > problem.most_suppliers:
        return None
    return total


def _pack_by_pack(offer: BasketOffer, packs: int, figure: str) -> float:
    total = 0.0
    for pack in range(1, packs + 1):
        counted = pack if offer.incremental else packs
        reached = [t for t in offer.tiers if t.from_packs <= counted]
        total += float(getattr(reached[-1] if reached else offer.tiers[0], figure))
    return total


def _charged(
    supplier: BasketSupplier, bought: list[tuple[BasketOffer, int]], goods: list[float]
) -> float:
    value, total = sum(goods), float(supplier.fee)
    actual = [float(o.pack_kg) * n for o, n in bought]
    divisor = supplier.weighing.divisor
    bulk = [float(o.pack_cm3) * n / divisor if divisor else 0.0 for o, n in bought]
    weights = [max(a, b) for a, b in zip(actual, bulk, strict=True)] if divisor else list(actual)
    if supplier.weighing.per_piece:
        weights = [_begun(w, supplier) for w in weights]
        kilos = sum(weights)
    else:
        kilos = _begun(max(sum(actual), sum(bulk)), supplier)
    freight = _freight(supplier, value, kilos)
    small = float(supplier.small_order or 0) if value < supplier.min_order else 0.0
    customs = supplier.customs
    by_weight = freight * float(customs.freight)
    by_value = float(customs.fixed) + small * float(customs.small_order)
    dutiable = [fee for fee in supplier.fees if fee.of_customs == 0]
    amounts = {id(fee): _bounded(fee, value, 0.0) for fee in dutiable}
    for fee in dutiable:
        if fee.by_weight:
            by_weight += amounts[id(fee)] * float(fee.customs)
        else:
            by_value += amounts[id(fee)] * float(fee.customs)
    customs_value = value * float(customs.goods) + by_weight + by_value
    for fee in supplier.fees:
        amount = amounts.get(id(fee))
        amount = _bounded(fee, value, customs_value) if amount is None else amount
        total += amount * float(fee.factor)
    rates = [float(o.extra_duty) for o, _ in bought]
    shared = weights if all(weights) else goods
    total += by_weight * float(np.average(rates, weights=shared))
    total += by_value * float(np.average(rates, weights=goods))
    return total + freight + small


def _begun(kilos: float, supplier: BasketSupplier) -> float:
    step = float(supplier.weighing.step_kg)
    return math.ceil(kilos / step - 1e-9) * step if step else kilos


def _freight(supplier: BasketSupplier, value: float, kilos: float) -> float:
    if supplier.free_above is not None and value >= supplier.free_above:
        return 0.0
    cost = float(supplier.freight) + float(supplier.per_kg) * kilos
    for place, step in enumerate(supplier.weight_steps):
        after = supplier.weight_steps[place + 1 :]
        if not after or kilos <= float(after[0].start) + 1e-9:
            cost += float(step.cost) + float(step.per_more) * max(kilos - float(step.start), 0.0)
            break
    for step in reversed(supplier.value_steps):
        if value >= step.start:
            return cost + float(step.cost)
    return cost


def _bounded(fee: BasketFee, value: float, customs_value: float) -> float:
    amount = float(fee.flat) + float(fee.per_goods) * value + float(fee.of_customs) * customs_value
    amount = amount if fee.most is None else min(amount, float(fee.most))
    return max(amount, float(fee.least))


def rich_large_problem(lines: int, suppliers: int, offers_each: int, seed: int) -> BasketProblem:
    """Return a large basket in which every other supplier delivers under terms of every kind."""
    rng = random.Random(seed)
    plain = large_problem(lines, suppliers, offers_each, seed)
    rich = {s.name for s in plain.suppliers[::2]}
    return replace(
        plain,
        suppliers=tuple(_abroad(rng, s) if s.name in rich else s for s in plain.suppliers),
        offers=tuple(_shipped(rng, o) if o.supplier in rich else o for o in plain.offers),
    )


def _abroad(rng: random.Random, supplier: BasketSupplier) -> BasketSupplier:
    bank = BasketFee(per_goods=Fraction(15, 10_000), least=Fraction(800), most=Fraction(3000))
    entry = BasketFee(of_customs=Fraction(35, 10_000), least=Fraction(1200), most=Fraction(5000))
    return replace(
        supplier,
        freight=Fraction(0),
        per_kg=Fraction(0),
        weighing=Weighing(rng.choice([5000, 6000]), rng.random() < 0.3, Fraction(1, 2)),
        weight_steps=tuple(ChargeStep(*map(Fraction, s)) for s in ((0, 2900), (5, 4900), (20, 9900, 350))),
        fees=(bank, entry),
        customs=CustomsShares(Fraction(92, 100), Fraction(350), Fraction(9, 10), Fraction(9, 10)),
    )  # fmt: skip


def _shipped(rng: random.Random, offer: BasketOffer) -> BasketOffer:
    duty = Fraction(rng.choice([0, 17, 37]), 1000)
    return replace(offer, pack_cm3=offer.pack_kg * rng.randrange(1000, 9000), extra_duty=duty)
