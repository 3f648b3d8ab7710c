"""A basket as an integer program: columns, rows, and what of them is a pack, a tier, an order.

Links are tight: an offer serves at most `need` units of a need, and only when its tier is open, so
no constant larger than the need stands in them. What a supplier's threshold needs is written with
the threshold itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from partsdb.rules.basket import (
    NOTHING,
    BasketNeed,
    BasketOffer,
    BasketProblem,
    BasketSupplier,
    Option,
)
from partsdb.rules.basket_charges import reach_of
from partsdb.rules.basket_model_charges import LineTerms, OrderTerms, write_charges
from partsdb.rules.program import INFINITE, Columns, Terms, together

ONE = Fraction(1)
__all__ = ["INFINITE", "Columns", "How", "OfferColumns", "Terms", "Written", "write"]


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


@dataclass(frozen=True, slots=True)
class How:
    """How a program is written: which rules are lifted, what is sought.

    `elastic`: every rule may be lifted, and the fewest are sought; `exact_duty`: also what shared
    charges cost above the lowest duty rate. A basket that costs `known` is at hand: nothing dearer
    is of interest.
    """

    lifted: frozenset[str] = frozenset()
    elastic: bool = False
    exact_duty: bool = False
    known: Fraction | None = None


def write(problem: BasketProblem, how: How) -> Written:
    """Return the program for the best basket."""
    return _Writer(problem, how).written()


class _Writer:
    def __init__(self, problem: BasketProblem, how: How) -> None:
        self.problem, self.how = problem, how
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
            self._in_time(offer, needs)
        if self.problem.most_suppliers is not None:
            self._at_most(self.problem.most_suppliers)
        return Written(self.columns, self.offers, self.uses, self.rules)

    def _options(self, need: BasketNeed) -> list[Option]:
        return (
            list(need.options) if self.how.elastic else self.problem.options(need, self.how.lifted)
        )

    def _rule(self, rule: str) -> int:
        if rule not in self.rules:
            self.rules[rule] = self.columns.add(ONE)
        return self.rules[rule]

    def _supplier(self, supplier: BasketSupplier, serves: dict[int, list[int]]) -> None:
        named = [i for i in sorted(serves) if self.problem.offers[i].supplier == supplier.name]
        if not named:
            return
        order = self.columns.add()
        self.open_orders[supplier.name] = order
        caps = {i: self._cap(i, supplier, serves[i]) for i in named}
        for i in named:
            self.offers[i] = self._offer(self.problem.offers[i], caps[i], order)
        small = self._minimum(supplier, [term for i in named for term in self._goods(i)], order)
        if not self.how.elastic:  # the fewest rules are sought whatever they cost
            lines = tuple(self._line(i) for i in named)
            terms = OrderTerms(order, small, lines, *self._most(named))
            exact = self.how.exact_duty
            write_charges(self.columns, supplier, terms, exact_duty=exact)

    def _most(self, named: Sequence[int]) -> tuple[float, float]:
        """Return the most goods and kilograms that an order no dearer than what is known holds."""
        offers = [self.problem.offers[i] for i in named]
        tiers = [(offer, tier) for offer in offers for tier in offer.tiers]
        if self.how.known is None or any(tier.cost <= 0 for _, tier in tiers):
            return INFINITE, INFINITE
        supplier = next(s for s in self.problem.suppliers if s.name == offers[0].supplier)
        goods = max(tier.goods / tier.cost for _, tier in tiers)
        kilos = max(
            supplier.weighing.piece(offer.pack_kg, offer.pack_cm3).greater / tier.cost
            for offer, tier in tiers
        )
        return float(self.how.known * goods), float(self.how.known * kilos)

    def _line(self, index: int) -> LineTerms:
        offer = self.problem.offers[index]
        return LineTerms(
            packs=[(column, 1.0) for column in self.offers[index].packs],
            goods=self._goods(index),
            bought=self._is_bought(index, 1.0),
            pack_kg=offer.pack_kg,
            pack_cm3=offer.pack_cm3,
            extra_duty=offer.extra_duty,
            unit_goods=tuple(tier.goods for tier in offer.tiers),
        )

    def _cap(self, index: int, supplier: BasketSupplier, needs: Sequence[int]) -> int:
        """Return the most packs of the offer that a best basket can hold."""
        offer = self.problem.offers[index]
        cover = offer.packs_for(sum(self.problem.needs[n].units for n in needs))
        reach = reach_of(supplier)
        cheapest = min(tier.cost for tier in offer.tiers)
        top_up = reach.packs(min(tier.goods for tier in offer.tiers), cheapest)
        # A higher tier may lower the goods, and with them the fees that are a share of them.
        shares = sum((fee.factor * fee.per_goods for fee in supplier.fees), start=NOTHING)
        shares += sum((fee.factor * fee.of_customs for fee in supplier.fees), start=NOTHING)
        worth = offer.cost(cover) * (1 + shares) + reach.saved
        steps = [t.from_packs for t in offer.tiers if t.from_packs * t.cost <= worth]
        return max(cover, *steps, 0) + top_up

    def _offer(self, offer: BasketOffer, cap: int, order: int) -> OfferColumns:
        tiers: list[int] = []
        packs: list[int] = []
        useful = [tier for tier in offer.tiers if tier.from_packs <= cap]
        ends = [*(tier.from_packs - 1 for tier in useful[1:]), cap]
        for number, (tier, end) in enumerate(zip(useful, ends, strict=True)):
            before = ends[number - 1] if offer.incremental and number else 0
            is_open = self.columns.add()
            cost = NOTHING if self.how.elastic else tier.cost
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

    def _minimum(self, supplier: BasketSupplier, goods: Terms, order: int) -> int | None:
        """Hold the goods to the minimum, or let the charge be paid: return its column."""
        if not supplier.min_order or supplier.small_order == 0:
            return None
        mark = float(supplier.min_order)
        row = [*goods, (order, -mark)]
        small = None
        if supplier.small_order is not None:
            small = self.columns.add(NOTHING if self.how.elastic else supplier.small_order)
            row.append((small, mark))
        elif supplier.min_rule in self.how.lifted:
            return None
        elif self.how.elastic:
            row.append((self._rule(supplier.min_rule), mark))
        self.columns.limit(row, low=0)
        return small

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
            for rule in option.against if self.how.elastic else ():
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

    def _in_time(self, offer: int, needs: Sequence[int]) -> None:
        """Hold what is due of an offer to what its supplier has in stock."""
        stock = self.problem.offers[offer].stock
        due = [n for n in needs if self.problem.needs[n].is_due(self.how.lifted)]
        if stock is None or not due:
            return
        row = [(self.uses[need, offer], 1.0) for need in due]
        if self.how.elastic:
            for need in due:
                wanted = self.problem.needs[need]
                row.append((self._rule(wanted.due), -float(wanted.units)))
        self.columns.limit(together(row), high=stock)

    def _at_most(self, most: int) -> None:
        if self.problem.most_rule in self.how.lifted:
            return
        row = [(order, 1.0) for order in self.open_orders.values()]
        if self.how.elastic:
            row.append((self._rule(self.problem.most_rule), -float(len(row))))
        self.columns.limit(row, high=most)
