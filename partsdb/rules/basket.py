"""What a basket is: needs, offers in packs and price tiers, suppliers' charges; and its exact cost.

Everything is exact: costs in minor units of the home currency, goods in those of the supplier's,
as Fractions. Which basket is the best is sought in basket_solve.py; here it is only counted, so
that what the solver says can be checked. Source: trade handbook 5.3.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from partsdb.errors import InputRefusedError
from partsdb.rules.basket_charges import BasketSupplier, LineLoad
from partsdb.rules.freight import Piece
from partsdb.rules.program import NOTHING

__all__ = [
    "NOTHING",
    "Basket",
    "BasketNeed",
    "BasketOffer",
    "BasketProblem",
    "BasketSupplier",
    "Option",
    "OrderCost",
    "Tier",
    "Use",
    "basket_cost",
    "broken_rules",
    "order_costs",
]


@dataclass(frozen=True, slots=True)
class Tier:
    """What a pack costs from `from_packs` on: `cost` at our door, `goods` on the invoice."""

    from_packs: int
    cost: Fraction
    goods: Fraction


@dataclass(frozen=True, slots=True)
class BasketOffer:
    """Packs of `part` from a supplier. The first tier starts at the least that is sold.

    All-units tiers price every pack at the tier reached; incremental ones only those beyond it.
    A pack weighs `pack_kg` and takes `pack_cm3`, 0 where that is not known; `extra_duty` is the
    duty above the lowest rate of the supplier's goods, as in `LineLoad`. `stock` units are shown to
    come in the time stated, None where nothing speaks against any number.
    """

    name: str
    supplier: str
    part: str
    pack_units: int
    tiers: tuple[Tier, ...]
    pack_kg: Fraction = NOTHING
    incremental: bool = False
    pack_cm3: Fraction = NOTHING
    extra_duty: Fraction = NOTHING
    stock: int | None = None

    def __post_init__(self) -> None:
        starts = [tier.from_packs for tier in self.tiers]
        if not starts or starts[0] < 1 or self.pack_units < 1 or starts != sorted(set(starts)):
            raise InputRefusedError(
                f"the offer {self.name} has no sound price tiers",
                hint="packs hold at least one unit, and each tier starts above the one before",
            )

    @property
    def least_packs(self) -> int:
        """The fewest packs that are sold."""
        return self.tiers[0].from_packs

    def packs_for(self, units: int) -> int:
        """Return the fewest whole packs that hold `units` and may be ordered."""
        return max(-(-units // self.pack_units), self.least_packs)

    def cost(self, packs: int) -> Fraction:
        """Return what so many packs cost at our door, without the order's charges."""
        return self._sum(packs, [tier.cost for tier in self.tiers])

    def goods(self, packs: int) -> Fraction:
        """Return what so many packs come to on the supplier's invoice."""
        return self._sum(packs, [tier.goods for tier in self.tiers])

    def _sum(self, packs: int, prices: Sequence[Fraction]) -> Fraction:
        reached = [i for i, tier in enumerate(self.tiers) if tier.from_packs <= packs]
        if not reached:
            return NOTHING
        if not self.incremental:
            return packs * prices[reached[-1]]
        # The packs below the first tier's start cost what its first pack costs.
        starts = [0, *(self.tiers[i].from_packs - 1 for i in reached[1:]), packs]
        return sum(
            ((starts[i + 1] - starts[i]) * prices[i] for i in range(len(reached))), start=NOTHING
        )

    def cheapest_packs(self, units: int) -> int:
        """Return the packs that hold `units` for the least; of equal ones the fewest."""
        least = self.packs_for(units)
        sizes = {least, *(tier.from_packs for tier in self.tiers if tier.from_packs > least)}
        return min(sorted(sizes), key=self.cost)


@dataclass(frozen=True, slots=True)
class Option:
    """An offer (by its place) that serves a need, and the rules that speak against it."""

    offer: int
    against: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BasketNeed:
    """So many units of whatever serves; `one_part`: all of them the same part.

    `due` is the rule that they come by a day, "" when they are not due: then no stock limits them.
    """

    name: str
    units: int
    options: tuple[Option, ...]
    one_part: bool = True
    due: str = ""

    def is_due(self, lifted: frozenset[str] = frozenset()) -> bool:
        """Tell whether the units must come by a day, unless that rule is lifted."""
        return bool(self.due) and self.due not in lifted


@dataclass(frozen=True, slots=True)
class BasketProblem:
    """What is to be bought, from whom it may be bought, and of how many suppliers at most."""

    needs: tuple[BasketNeed, ...]
    offers: tuple[BasketOffer, ...]
    suppliers: tuple[BasketSupplier, ...]
    most_suppliers: int | None = None

    @property
    def most_rule(self) -> str:
        """The limit on suppliers as a rule that may be lifted."""
        most = self.most_suppliers
        return f"at most {most} supplier" + ("" if most == 1 else "s")

    def options(self, need: BasketNeed, lifted: frozenset[str] = frozenset()) -> list[Option]:
        """Return the options against which no rule speaks but those lifted."""
        return [option for option in need.options if lifted.issuperset(option.against)]


@dataclass(frozen=True, slots=True)
class Use:
    """So many units of an offer for a need, both by their place."""

    need: int
    offer: int
    units: int


@dataclass(frozen=True, slots=True)
class Basket:
    """Packs of every offer (by its place), and what serves which need."""

    packs: tuple[int, ...]
    uses: tuple[Use, ...]

    def left_over(self, problem: BasketProblem) -> dict[int, int]:
        """Return the units of each offer that no need takes: they go to stock."""
        used: dict[int, int] = {}
        for use in self.uses:
            used[use.offer] = used.get(use.offer, 0) + use.units
        spare = {
            i: packs * problem.offers[i].pack_units - used.get(i, 0)
            for i, packs in enumerate(self.packs)
        }
        return {i: units for i, units in spare.items() if units > 0}


@dataclass(frozen=True, slots=True)
class OrderCost:
    """One supplier's order: goods on his invoice, and everything at our door."""

    goods: Fraction
    lines: Fraction
    charges: Fraction


def order_costs(problem: BasketProblem, packs: Sequence[int]) -> dict[str, OrderCost]:
    """Return the cost of each supplier's order, of those that get one."""
    bought: dict[str, list[tuple[BasketOffer, int]]] = {}
    for offer, count in zip(problem.offers, packs, strict=True):
        if count:
            bought.setdefault(offer.supplier, []).append((offer, count))
    return {s.name: _order_cost(s, bought[s.name]) for s in problem.suppliers if s.name in bought}


def _order_cost(supplier: BasketSupplier, bought: Sequence[tuple[BasketOffer, int]]) -> OrderCost:
    loads = [
        LineLoad(offer.goods(packs), _piece(supplier, offer, packs), offer.extra_duty)
        for offer, packs in bought
    ]
    return OrderCost(
        goods=sum((load.goods for load in loads), start=NOTHING),
        lines=sum((offer.cost(packs) for offer, packs in bought), start=NOTHING),
        charges=supplier.charges(loads),
    )


def _piece(supplier: BasketSupplier, offer: BasketOffer, packs: int) -> Piece:
    return supplier.weighing.piece(offer.pack_kg * packs, offer.pack_cm3 * packs)


def basket_cost(problem: BasketProblem, packs: Sequence[int]) -> Fraction:
    """Return the exact cost of the packs with every order's charges, in home minor units."""
    orders = order_costs(problem, packs).values()
    return sum((order.lines + order.charges for order in orders), start=NOTHING)


def broken_rules(
    problem: BasketProblem, basket: Basket, lifted: frozenset[str] = frozenset()
) -> list[str]:
    """Return in words what is wrong with a basket; nothing when it keeps every rule."""
    names = {supplier.name: supplier for supplier in problem.suppliers}
    orders = order_costs(problem, basket.packs)
    said = [
        names[name].min_rule
        for name, order in orders.items()
        if not names[name].takes(order.goods) and names[name].min_rule not in lifted
    ]
    most = problem.most_suppliers
    if most is not None and len(orders) > most and problem.most_rule not in lifted:
        said.append(problem.most_rule)
    said += [
        f"{offer.name}: fewer packs than are sold"
        for offer, packs in zip(problem.offers, basket.packs, strict=True)
        if 0 < packs < offer.least_packs
    ]
    said += _beyond_stock(problem, basket, lifted)
    return said + _unserved(problem, basket, lifted) + _overdrawn(problem, basket)


def _beyond_stock(problem: BasketProblem, basket: Basket, lifted: frozenset[str]) -> list[str]:
    due: dict[int, int] = {}
    for use in basket.uses:
        if problem.needs[use.need].is_due(lifted):
            due[use.offer] = due.get(use.offer, 0) + use.units
    offers = ((problem.offers[i], units) for i, units in due.items())
    return [
        f"{offer.name}: more due than is in stock"
        for offer, units in offers
        if offer.stock is not None and units > offer.stock
    ]


def _unserved(problem: BasketProblem, basket: Basket, lifted: frozenset[str]) -> list[str]:
    said = []
    for index, need in enumerate(problem.needs):
        uses = [use for use in basket.uses if use.need == index]
        allowed = {option.offer for option in problem.options(need, lifted)}
        parts = {problem.offers[use.offer].part for use in uses}
        if sum(use.units for use in uses) < need.units:
            said.append(f"{need.name}: not all units are bought")
        if any(use.offer not in allowed for use in uses):
            said.append(f"{need.name}: bought from what is ruled out")
        if need.one_part and len(parts) > 1:
            said.append(f"{need.name}: more than one part")
    return said


def _overdrawn(problem: BasketProblem, basket: Basket) -> list[str]:
    used: Mapping[int, int] = {
        i: sum(use.units for use in basket.uses if use.offer == i)
        for i in {use.offer for use in basket.uses}
    }
    return [
        f"{problem.offers[i].name}: more used than bought"
        for i, units in used.items()
        if units > basket.packs[i] * problem.offers[i].pack_units
    ]
