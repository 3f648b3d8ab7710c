"""Baskets under every kind of term as another program, for another solver (CBC, through pulp).

Every number of packs of every offer is a switch of its own here, freight and fees are held by
big-M rows, and the duty of all goods is one: what the product writes in tiers and bits is not.
"""

from __future__ import annotations

import math
from typing import Any

from rich_baskets import _pack_by_pack

from partsdb.rules.basket import BasketProblem
from partsdb.rules.basket_charges import BasketFee, BasketSupplier

BIG = 10**6
MOST = 12


class Program:
    def __init__(self, pulp: Any, problem: BasketProblem) -> None:
        self.pulp, self.problem = pulp, problem
        self.rows = pulp.LpProblem("basket", pulp.LpMinimize)
        useful = {o.offer for need in problem.needs for o in need.options}
        self.switch = []
        for i, offer in enumerate(problem.offers):
            counts = [0, *range(offer.tiers[0].from_packs, MOST + 1)] if i in useful else [0]
            self.switch.append(pulp.LpVariable.dicts(f"k{i}", counts, cat="Binary"))
            self.rows += pulp.lpSum(self.switch[i].values()) == 1
        self.names = 0

    def column(self, *, binary: bool = False) -> Any:
        self.names += 1
        return self.pulp.LpVariable(f"v{self.names}", lowBound=0, cat="Binary" if binary else "Continuous")  # fmt: skip

    def least(self) -> float | None:
        costs, orders = [], []
        for supplier in self.problem.suppliers:
            cost, is_open = self.order(supplier)
            costs.append(cost)
            orders.append(is_open)
        if self.problem.most_suppliers is not None:
            self.rows += self.pulp.lpSum(orders) <= self.problem.most_suppliers
        self.rows += self.pulp.lpSum(costs)
        self.serve()
        self.rows.solve(self.pulp.PULP_CBC_CMD(msg=False, gapRel=0, threads=1, timeLimit=60))
        solved = self.rows.status == self.pulp.LpStatusOptimal
        return self.pulp.value(self.rows.objective) if solved else None

    def order(self, supplier: BasketSupplier) -> tuple[Any, Any]:
        total = self.pulp.lpSum
        mine = [i for i, o in enumerate(self.problem.offers) if o.supplier == supplier.name]
        is_open = self.column(binary=True)
        for i in mine:
            self.rows += 1 - self.switch[i][0] <= is_open
            self.rows += is_open <= total(1 - self.switch[j][0] for j in mine)
        goods = total(self.spread(i, lambda o, n: _pack_by_pack(o, n, "goods")) for i in mine)
        lines = total(self.spread(i, lambda o, n: _pack_by_pack(o, n, "cost")) for i in mine)
        small = self.column(binary=True)
        self.rows += goods >= float(supplier.min_order) * is_open - BIG * small
        if supplier.small_order is None:
            self.rows += small == 0
        small_cost = float(supplier.small_order or 0) * small
        freight = self.freight(supplier, is_open, goods, self.kilos(supplier, mine))
        return lines + float(supplier.fee) * is_open + freight + small_cost + self.fees(
            supplier, is_open, goods, (freight, small_cost)
        ), is_open  # fmt: skip

    def spread(self, i: int, figure: Any) -> Any:
        offer = self.problem.offers[i]
        return self.pulp.lpSum(figure(offer, n) * v for n, v in self.switch[i].items() if n)

    def kilos(self, supplier: BasketSupplier, mine: list[int]) -> Any:
        weighing, step = supplier.weighing, float(supplier.weighing.step_kg)

        def actual(offer: Any, packs: int) -> float:
            return float(offer.pack_kg) * packs

        def bulk(offer: Any, packs: int) -> float:
            return float(offer.pack_cm3) * packs / weighing.divisor if weighing.divisor else 0.0

        def line(offer: Any, packs: int) -> float:
            weight = max(actual(offer, packs), bulk(offer, packs))
            return math.ceil(weight / step - 1e-9) * step if step else weight

        if weighing.per_piece:
            return self.pulp.lpSum(self.spread(i, line) for i in mine)
        weight = self.column()
        for each in (actual, bulk):
            self.rows += weight >= self.pulp.lpSum(self.spread(i, each) for i in mine)
        if not step:
            return weight
        steps = self.pulp.LpVariable(f"steps{supplier.name}", lowBound=0, cat="Integer")
        self.rows += steps * step >= weight
        return steps * step

    def freight(self, supplier: BasketSupplier, is_open: Any, goods: Any, kilos: Any) -> Any:
        cost, pays = self.column(), self.column(binary=True)
        mark = BIG if supplier.free_above is None else float(supplier.free_above)
        self.rows += goods >= mark - BIG * pays - BIG * (1 - is_open)
        paid = float(supplier.freight) + float(supplier.per_kg) * kilos
        if supplier.weight_steps:
            paid += self.by_weight(supplier, kilos)
        if supplier.value_steps:
            paid += self.by_value(supplier, goods)
        self.rows += cost >= paid - BIG * (1 - pays) - BIG * (1 - is_open)
        return cost

    def by_weight(self, supplier: BasketSupplier, kilos: Any) -> Any:
        cost = self.column()
        chosen = [self.column(binary=True) for _ in supplier.weight_steps]
        self.rows += self.pulp.lpSum(chosen) == 1
        for place, (z, step) in enumerate(zip(chosen, supplier.weight_steps, strict=True)):
            after = supplier.weight_steps[place + 1 :]
            if after:
                self.rows += kilos <= float(after[0].start) + BIG * (1 - z)
            self.rows += cost >= float(step.cost) - BIG * (1 - z)
            more = float(step.per_more) * (kilos - float(step.start))
            self.rows += cost >= float(step.cost) + more - BIG * (1 - z)
        return cost

    def by_value(self, supplier: BasketSupplier, goods: Any) -> Any:
        cost = self.column()
        chosen = [self.column(binary=True) for _ in supplier.value_steps]
        self.rows += self.pulp.lpSum(chosen) == 1
        for place, (z, step) in enumerate(zip(chosen, supplier.value_steps, strict=True)):
            after = supplier.value_steps[place + 1 :]
            self.rows += goods >= float(step.start) - BIG * (1 - z)
            if after:  # goods are whole in these problems
                self.rows += goods <= float(after[0].start) - 1 + BIG * (1 - z)
            self.rows += cost >= float(step.cost) - BIG * (1 - z)
        return cost

    def fees(self, supplier: BasketSupplier, is_open: Any, goods: Any, charged: Any) -> Any:
        freight, small = charged
        customs = supplier.customs
        value = (
            float(customs.goods) * goods + float(customs.fixed) * is_open
            + float(customs.freight) * freight + float(customs.small_order) * small
        )  # fmt: skip
        cost = 0
        for fee in sorted(supplier.fees, key=lambda fee: fee.of_customs != 0):
            base = float(fee.per_goods) * goods + float(fee.of_customs) * value
            amount = self.bounded(fee, float(fee.flat) + base, is_open)
            cost += float(fee.factor) * amount
            value += float(fee.customs) * amount
        return cost

    def bounded(self, fee: BasketFee, figure: Any, is_open: Any) -> Any:
        amount, capped = self.column(), self.column(binary=True)
        self.rows += amount >= float(fee.least) - BIG * (1 - is_open)
        self.rows += amount >= figure - BIG * capped - BIG * (1 - is_open)
        if fee.most is None:
            self.rows += capped == 0
        else:
            self.rows += amount >= float(fee.most) * capped
        return amount

    def serve(self) -> None:
        used: dict[int, list[Any]] = {}
        for n, need in enumerate(self.problem.needs):
            units = {
                o.offer: self.pulp.LpVariable(f"u{n}_{o.offer}", 0, need.units, cat="Integer")
                for o in need.options
            }
            self.rows += self.pulp.lpSum(units.values()) == need.units
            parts = sorted({self.problem.offers[i].part for i in units})
            chosen = {part: self.column(binary=True) for part in parts}
            if need.one_part:
                self.rows += self.pulp.lpSum(chosen.values()) <= 1
            for i, amount in units.items():
                used.setdefault(i, []).append(amount)
                self.rows += amount <= BIG * chosen[self.problem.offers[i].part]
        for i, amounts in used.items():
            packs = self.pulp.lpSum(n * v for n, v in self.switch[i].items())
            self.rows += self.pulp.lpSum(amounts) <= self.problem.offers[i].pack_units * packs
