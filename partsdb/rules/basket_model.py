"""A basket as an integer program: columns, rows, and what of them is a pack, a tier, an order.

Links are tight: an offer serves at most `need` units of a need, and only when its tier is open, so
no constant larger than the need stands in them. What a supplier's threshold needs is written with
the threshold itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from partsdb.rules.basket import (
    NOTHING,
    BasketNeed,
    BasketOffer,
    BasketProblem,
    BasketSupplier,
    Option,
)

Terms = list[tuple[int, float]]
INFINITE = float("inf")


@dataclass(slots=True)
class Columns:
    """The program as it is written down: costs, upper bounds, whole numbers, rows."""

    cost: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    rows: list[tuple[Terms, float, float]] = field(default_factory=list)

    def add(self, cost: Fraction = NOTHING, *, high: float = 1, whole: bool = True) -> int:
        """Add a column from 0 to `high` and return its place."""
        self.cost.append(float(cost))
        self.high.append(high)
        self.whole.append(int(whole))
        return len(self.cost) - 1

    def limit(self, terms: Terms, low: float = -INFINITE, high: float = INFINITE) -> None:
        """Hold the sum of coefficient × column between `low` and `high`."""
        self.rows.append((terms, low, high))


@dataclass(frozen=True, slots=True)
class OfferColumns:
    """An offer's columns: is a tier open, packs in it."""

    tiers: tuple[int, ...]
    packs: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Written:
    """The program, and where in it the offers, the uses and the lifted rules stand."""

    columns: Columns
    offers: dict[int, OfferColumns]
    uses: dict[tuple[int, int], int]
    rules: dict[str, int]


def write(
    problem: BasketProblem, lifted: frozenset[str] = frozenset(), *, elastic: bool = False
) -> Written:
    """Return the program; `elastic`: every rule may be lifted, and the fewest are sought."""
    return _Writer(problem, lifted, elastic).written()


class _Writer:
    def __init__(self, problem: BasketProblem, lifted: frozenset[str], elastic: bool) -> None:
        self.problem, self.lifted, self.elastic = problem, lifted, elastic
        self.columns = Columns()
        self.offers: dict[int, OfferColumns] = {}
        self.uses: dict[tuple[int, int], int] = {}
        self.rules: dict[str, int] = {}
        self.open_orders: dict[str, int] = {}

    def written(self) -> Written:
        options = [self._options(need) for need in self.problem.needs]
        serves: dict[int, list[int]] = {}
        for index, found in enumerate(options):
            for option in found:
                serves.setdefault(option.offer, []).append(index)
        for supplier in self.problem.suppliers:
            self._supplier(supplier, serves)
        for index, found in enumerate(options):
            self._need(index, found, serves)
        for offer, needs in serves.items():
            self._supply(offer, needs)
        if self.problem.most_suppliers is not None:
            self._most(self.problem.most_suppliers)
        return Written(self.columns, self.offers, self.uses, self.rules)

    def _options(self, need: BasketNeed) -> list[Option]:
        return list(need.options) if self.elastic else self.problem.options(need, self.lifted)

    def _priced(self, cost: Fraction) -> Fraction:
        # The fewest rules are sought whatever they cost.
        return NOTHING if self.elastic else cost

    def _rule(self, rule: str) -> int:
        if rule not in self.rules:
            self.rules[rule] = self.columns.add(Fraction(1))
        return self.rules[rule]

    def _supplier(self, supplier: BasketSupplier, serves: dict[int, list[int]]) -> None:
        named = [i for i in sorted(serves) if self.problem.offers[i].supplier == supplier.name]
        if not named:
            return
        always = supplier.fee + (NOTHING if supplier.free_above else supplier.freight)
        order = self.columns.add(self._priced(always))
        self.open_orders[supplier.name] = order
        caps = {i: self._cap(i, supplier, serves[i]) for i in named}
        per_kg = NOTHING if supplier.free_above else supplier.per_kg
        for i in named:
            self.offers[i] = self._offer(self.problem.offers[i], caps[i], order, per_kg)
        goods = [term for i in named for term in self._goods(i)]
        self._minimum(supplier, goods, order)
        if supplier.free_above:
            self._freight(supplier, goods, order, caps)

    def _cap(self, index: int, supplier: BasketSupplier, needs: Sequence[int]) -> int:
        """Return the most packs of the offer that a best basket can hold."""
        offer = self.problem.offers[index]
        cover = offer.packs_for(sum(self.problem.needs[n].units for n in needs))
        cheapest = min(tier.cost for tier in offer.tiers)
        saved = supplier.freight + (supplier.small_order or NOTHING)
        top_up = self._top_up(offer, supplier, int(saved / cheapest) if cheapest else 0)
        worth = offer.cost(cover) + saved
        steps = [t.from_packs for t in offer.tiers if t.from_packs * t.cost <= worth]
        return max(cover, *steps, 0) + top_up

    def _top_up(self, offer: BasketOffer, supplier: BasketSupplier, worth: int) -> int:
        """Return how many packs more may pay, to reach a minimum or carriage free."""
        cheapest = min(tier.goods for tier in offer.tiers)
        soft = [supplier.free_above] if supplier.free_above else []
        hard = [supplier.min_order] if supplier.small_order is None else []
        if supplier.per_kg and supplier.free_above:
            hard, soft = [*hard, *soft], []
        if supplier.min_order and supplier.small_order is not None:
            soft.append(supplier.min_order)
        reach = [int(-(-mark // cheapest)) for mark in (max(soft, default=NOTHING),
                                                        max(hard, default=NOTHING))]  # fmt: skip
        return max(min(reach[0], worth), reach[1])

    def _offer(self, offer: BasketOffer, cap: int, order: int, per_kg: Fraction) -> OfferColumns:
        tiers: list[int] = []
        packs: list[int] = []
        useful = [tier for tier in offer.tiers if tier.from_packs <= cap]
        ends = [*(tier.from_packs - 1 for tier in useful[1:]), cap]
        for number, (tier, end) in enumerate(zip(useful, ends, strict=True)):
            before = ends[number - 1] if offer.incremental and number else 0
            is_open = self.columns.add()
            cost = self._priced(tier.cost + per_kg * offer.pack_kg)
            count = self.columns.add(cost, high=end - before)
            least = 1 if before else tier.from_packs
            self.columns.limit([(count, 1.0), (is_open, -float(least))], low=0)
            self.columns.limit([(count, 1.0), (is_open, -float(end - before))], high=0)
            if before:  # the tier below is full
                width = float(self.columns.high[packs[-1]])
                self.columns.limit([(packs[-1], 1.0), (is_open, -width)], low=0)
            tiers.append(is_open)
            packs.append(count)
        one = tiers[:1] if offer.incremental else tiers
        self.columns.limit([*((t, 1.0) for t in one), (order, -1.0)], high=0)
        return OfferColumns(tuple(tiers), tuple(packs))

    def _is_bought(self, index: int, factor: float) -> Terms:
        tiers = self.offers[index].tiers
        one = tiers[:1] if self.problem.offers[index].incremental else tiers
        return [(tier, factor) for tier in one]

    def _goods(self, index: int) -> Terms:
        prices = [tier.goods for tier in self.problem.offers[index].tiers]
        packs = self.offers[index].packs
        return [(p, float(price)) for p, price in zip(packs, prices, strict=False)]

    def _minimum(self, supplier: BasketSupplier, goods: Terms, order: int) -> None:
        """Goods reach the minimum, or the charge is paid; without one the minimum stands."""
        if not supplier.min_order or supplier.small_order == 0:
            return
        mark = float(supplier.min_order)
        row = [*goods, (order, -mark)]
        if supplier.small_order is not None:
            row.append((self.columns.add(self._priced(supplier.small_order)), mark))
        elif supplier.min_rule in self.lifted:
            return
        elif self.elastic:
            row.append((self._rule(supplier.min_rule), mark))
        self.columns.limit(row, low=0)

    def _freight(
        self, supplier: BasketSupplier, goods: Terms, order: int, caps: dict[int, int]
    ) -> None:
        """Goods reach the carriage-free value, or freight is paid."""
        mark = float(supplier.free_above or 0)
        pays = self.columns.add(self._priced(supplier.freight))
        self.columns.limit([*goods, (order, -mark), (pays, mark)], low=0)
        if not supplier.per_kg:
            return
        weights = {i: self.problem.offers[i].pack_kg for i in caps}
        most = float(sum((weights[i] * caps[i] for i in caps), start=NOTHING))
        kilos = self.columns.add(self._priced(supplier.per_kg), high=most, whole=False)
        loads = [(p, -float(weights[i])) for i in caps for p in self.offers[i].packs]
        self.columns.limit([(kilos, 1.0), *loads, (pays, -most)], low=-most)

    def _need(self, index: int, options: list[Option], serves: dict[int, list[int]]) -> None:
        need = self.problem.needs[index]
        units = float(need.units)
        chosen = self._parts(need, options)
        served: Terms = []
        for option in options:
            # Where an offer serves several needs, its units are shared out in whole ones.
            shared = len(serves[option.offer]) > 1
            use = self.columns.add(high=units, whole=shared)
            self.uses[index, option.offer] = use
            served.append((use, 1.0))
            self.columns.limit([(use, 1.0), *self._is_bought(option.offer, -units)], high=0)
            part = chosen.get(self.problem.offers[option.offer].part)
            if part is not None:
                self.columns.limit([(use, 1.0), (part, -units)], high=0)
            for rule in option.against if self.elastic else ():
                self.columns.limit([(use, 1.0), (self._rule(rule), -units)], high=0)
        self.columns.limit(served, low=units, high=units)

    def _parts(self, need: BasketNeed, options: list[Option]) -> dict[str, int]:
        """Return a column for each part of which one is to be chosen."""
        parts = sorted({self.problem.offers[option.offer].part for option in options})
        if not need.one_part or need.units == 1 or len(parts) == 1:
            return {}
        columns = {part: self.columns.add() for part in parts}
        self.columns.limit([(column, 1.0) for column in columns.values()], high=1)
        return columns

    def _supply(self, offer: int, needs: list[int]) -> None:
        pack = float(self.problem.offers[offer].pack_units)
        uses = [(self.uses[need, offer], 1.0) for need in needs]
        packs = [(column, -pack) for column in self.offers[offer].packs]
        self.columns.limit([*uses, *packs], high=0)

    def _most(self, most: int) -> None:
        if self.problem.most_rule in self.lifted:
            return
        row = [(order, 1.0) for order in self.open_orders.values()]
        if self.elastic:
            row.append((self._rule(self.problem.most_rule), -float(len(row))))
        self.columns.limit(row, high=most)
