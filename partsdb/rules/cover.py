"""The least-cost cover of a kit by loose parts and partial kits, as an exact integer program.

Each offer is bought in some whole number of packs, and each number is one column with its exact
cost, so price tiers of any kind need no further rule. What the solver proposes is checked and
counted again in fractions (handbook 4, kits, and 5.3); which pieces may serve at all is decided
before, by the verdict.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from partsdb.errors import PartsdbError
from partsdb.rules.basket import NOTHING, BasketOffer, BasketProblem, BasketSupplier, basket_cost

MOST_PACKS = 400  # of one offer: far above what a kit needs
_INFINITE = float("inf")


@dataclass(frozen=True, slots=True)
class CoverOffer:
    """An offer and how many pieces of each role one unit of its part brings."""

    offer: BasketOffer
    brings: Mapping[str, int]

    def pieces(self, role: str, packs: int) -> int:
        """Return the pieces of a role in so many packs."""
        return self.brings.get(role, 0) * self.offer.pack_units * packs


@dataclass(frozen=True, slots=True)
class CoverProblem:
    """What is needed by role, and the offers and suppliers from which it may be put together."""

    needs: Mapping[str, int]
    offers: tuple[CoverOffer, ...]
    suppliers: tuple[BasketSupplier, ...]

    @property
    def basket(self) -> BasketProblem:
        """The offers and suppliers as the basket's money code counts them."""
        return BasketProblem((), tuple(each.offer for each in self.offers), self.suppliers)


@dataclass(frozen=True, slots=True)
class Cover:
    """Packs of every offer (by its place) and what they cost at our door, exactly."""

    packs: tuple[int, ...]
    cost: Fraction


class UnsoundCoverError(PartsdbError):
    """What the solver proposed does not cover the needs: it is not shown as an answer."""

    code = "internal"
    exit_code = 1

    def __init__(self, broken: Sequence[str]) -> None:
        super().__init__(f"the cover found breaks a rule: {'; '.join(broken)}")


def not_to_be_had(problem: CoverProblem) -> tuple[str, ...]:
    """Return the needed roles that no offer brings: without them there is no cover."""
    brought = {role for each in problem.offers for role, count in each.brings.items() if count}
    return tuple(
        sorted(role for role, count in problem.needs.items() if count and role not in brought)
    )


def broken_rules(problem: CoverProblem, packs: Sequence[int]) -> tuple[str, ...]:
    """Return in words what is wrong with the packs; nothing when they cover and may be ordered."""
    said = []
    for role, needed in sorted(problem.needs.items()):
        had = sum(
            each.pieces(role, count) for each, count in zip(problem.offers, packs, strict=True)
        )
        if had < needed:
            said.append(f"{role}: {had} of {needed}")
    for each, count in zip(problem.offers, packs, strict=True):
        if count and count < each.offer.least_packs:
            said.append(f"{each.offer.name}: fewer packs than are sold")
    for supplier in problem.suppliers:
        goods = sum(
            (e.offer.goods(n) for e, n in zip(problem.offers, packs, strict=True)
             if n and e.offer.supplier == supplier.name),
            start=NOTHING,
        )  # fmt: skip
        if goods and not supplier.takes(goods):
            said.append(supplier.min_rule)
    return tuple(said)


def cover_cost(problem: CoverProblem, packs: Sequence[int]) -> Fraction:
    """Return what the packs cost at our door with every order's charges, in home minor units."""
    return basket_cost(problem.basket, packs)


def solve_cover(problem: CoverProblem) -> Cover | None:
    """Return the cheapest cover, None when there is none.

    Raises UnsoundCoverError when the solver's proposal fails our own check.
    """
    if not_to_be_had(problem):
        return None
    program = _Program(problem)
    values = _solved(program)
    if values is None:
        return None
    packs = _trimmed(problem, program.packs(values))
    broken = broken_rules(problem, packs)
    if broken:
        raise UnsoundCoverError(broken)
    return Cover(packs, cover_cost(problem, packs))


def _trimmed(problem: CoverProblem, packs: list[int]) -> tuple[int, ...]:
    """Return the packs without those that are not needed and save nothing, dearest first."""
    cost = cover_cost(problem, packs)
    for place in sorted(range(len(packs)), key=lambda i: -problem.offers[i].offer.cost(packs[i])):
        for fewer in range(packs[place]):
            tried = [*packs[:place], fewer, *packs[place + 1 :]]
            if not broken_rules(problem, tried) and cover_cost(problem, tried) <= cost:
                packs, cost = tried, cover_cost(problem, tried)
                break
    return tuple(packs)


class _Program:
    """The integer program: one column per offer and number of packs, and those of the orders."""

    def __init__(self, problem: CoverProblem) -> None:
        self.problem = problem
        self.cost: list[float] = []
        self.high: list[float] = []
        self.whole: list[int] = []
        self.rows: list[tuple[list[tuple[int, float]], float, float]] = []
        self.counts: list[dict[int, int]] = []
        for each in problem.offers:
            numbers = _useful_numbers(problem, each)
            self.counts.append({n: self._column(each.offer.cost(n)) for n in numbers})
        for supplier in problem.suppliers:
            self._order(supplier)
        for role, needed in problem.needs.items():
            self.rows.append((list(self._pieces(role)), float(needed), _INFINITE))

    def packs(self, values: Sequence[float]) -> list[int]:
        """Return the packs of each offer that the solved columns stand for."""
        return [
            sum(n for n, column in each.items() if values[column] > 0.5) for each in self.counts
        ]

    def _column(self, cost: Fraction = NOTHING, *, high: float = 1, whole: bool = True) -> int:
        self.cost.append(float(cost))
        self.high.append(high)
        self.whole.append(int(whole))
        return len(self.cost) - 1

    def _pieces(self, role: str) -> Iterator[tuple[int, float]]:
        for each, numbers in zip(self.problem.offers, self.counts, strict=True):
            yield from ((c, float(each.pieces(role, n))) for n, c in numbers.items())

    def _order(self, supplier: BasketSupplier) -> None:
        """Write what an order costs beside its goods, and what it must come to."""
        order = self._column(supplier.fee)
        goods: list[tuple[int, float]] = []
        kilos: list[tuple[int, float]] = []
        for each, numbers in zip(self.problem.offers, self.counts, strict=True):
            if each.offer.supplier != supplier.name:
                continue
            self.rows.append(
                ([*((c, 1.0) for c in numbers.values()), (order, -1.0)], -_INFINITE, 0)
            )
            goods += [(c, float(each.offer.goods(n))) for n, c in numbers.items()]
            kilos += [(c, float(each.offer.pack_kg * n)) for n, c in numbers.items()]
        self._freight(supplier, order, goods, kilos)
        if supplier.min_order:
            least = float(supplier.min_order)
            row = [*goods, (order, -least)]
            if supplier.small_order is not None:
                row.append((self._column(supplier.small_order), least))
            self.rows.append((row, 0, _INFINITE))

    def _freight(
        self,
        supplier: BasketSupplier,
        order: int,
        goods: list[tuple[int, float]],
        kilos: list[tuple[int, float]],
    ) -> None:
        """Freight falls on every order, or on those whose goods stay under the free value."""
        pays = self._column(supplier.freight)
        mark = None if supplier.free_above is None else float(supplier.free_above)
        free = [] if mark is None else [(column, value) for column, value in goods]
        scale = 1.0 if mark is None else mark
        if scale:
            self.rows.append(([*free, (order, -scale), (pays, scale)], 0, _INFINITE))
        if supplier.per_kg:
            most = sum(weight for _, weight in kilos) or 1.0
            weight = self._column(supplier.per_kg, high=most, whole=False)
            loads = [(column, -value) for column, value in kilos]
            self.rows.append(([(weight, 1.0), *loads, (pays, -most)], -most, _INFINITE))


def _useful_numbers(problem: CoverProblem, each: CoverOffer) -> range:
    """Return the numbers of packs that a best cover can hold, from the fewest that are sold."""
    offer = each.offer
    enough = max(
        (offer.packs_for(-(-needed // each.brings[role]))
         for role, needed in problem.needs.items() if each.brings.get(role)),
        default=offer.least_packs,
    )  # fmt: skip
    [supplier] = [s for s in problem.suppliers if s.name == offer.supplier]
    tiers = max(tier.from_packs for tier in offer.tiers)
    most = max(enough, tiers) + _to_reach(supplier, offer)
    return range(offer.least_packs, min(most, MOST_PACKS) + 1)


def _to_reach(supplier: BasketSupplier, offer: BasketOffer) -> int:
    """Return the packs beyond the need that may pay: to reach a minimum or carriage free."""
    goods = min(tier.goods for tier in offer.tiers)
    cost = min(tier.cost for tier in offer.tiers)
    if not goods or not cost:
        return 0
    must = supplier.min_order if supplier.small_order is None else NOTHING
    may = max(supplier.free_above or NOTHING, supplier.min_order)
    # What is bought beyond the need to save a charge costs no more than the charge.
    worth = int((supplier.freight + (supplier.small_order or NOTHING)) / cost)
    reach = int(-(-may // goods))
    if not supplier.per_kg:
        reach = min(reach, worth)
    return max(reach, int(-(-must // goods)))


def _solved(program: _Program) -> list[float] | None:
    """Return the values of the columns in a proven best solution, None when there is none."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_matrix

    entries = [(r, c, v) for r, (terms, _, _) in enumerate(program.rows) for c, v in terms]
    at, columns, values = zip(*entries, strict=True)
    matrix = csr_matrix((values, (at, columns)), shape=(len(program.rows), len(program.cost)))
    result = milp(
        np.array(program.cost),
        integrality=np.array(program.whole),
        bounds=Bounds(0, np.array(program.high)),
        constraints=LinearConstraint(
            matrix, [low for _, low, _ in program.rows], [high for _, _, high in program.rows]
        ),
        options={"mip_rel_gap": 0.0, "presolve": True},
    )
    return None if result.x is None or result.status != 0 else [float(x) for x in result.x]
