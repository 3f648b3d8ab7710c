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
from partsdb.rules.basket_charges import reach_of
from partsdb.rules.basket_model_charges import LineTerms, OrderTerms, write_charges
from partsdb.rules.program import Columns, best_values

MOST_PACKS = 400  # of one offer: far above what a kit needs


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
    found = best_values(program.columns)
    if found.values is None or not found.is_done:
        return None
    packs = _trimmed(problem, program.packs(found.values))
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
        self.columns = Columns()
        self.counts: list[dict[int, int]] = []
        for each in problem.offers:
            numbers = _useful_numbers(problem, each)
            self.counts.append({n: self.columns.add(each.offer.cost(n)) for n in numbers})
        for supplier in problem.suppliers:
            self._order(supplier)
        for role, needed in problem.needs.items():
            self.columns.limit(list(self._pieces(role)), low=float(needed))

    def packs(self, values: Sequence[float]) -> list[int]:
        """Return the packs of each offer that the solved columns stand for."""
        return [
            sum(n for n, column in each.items() if values[column] > 0.5) for each in self.counts
        ]

    def _pieces(self, role: str) -> Iterator[tuple[int, float]]:
        for each, numbers in zip(self.problem.offers, self.counts, strict=True):
            yield from ((c, float(each.pieces(role, n))) for n, c in numbers.items())

    def _order(self, supplier: BasketSupplier) -> None:
        """Write what an order costs beside its goods, and what it must come to."""
        order = self.columns.add()
        lines = tuple(
            _line(each.offer, numbers)
            for each, numbers in zip(self.problem.offers, self.counts, strict=True)
            if each.offer.supplier == supplier.name
        )
        for line in lines:
            self.columns.limit([*line.bought, (order, -1.0)], high=0)
        small = None
        if supplier.min_order:
            least = float(supplier.min_order)
            row = [*(term for line in lines for term in line.goods), (order, -least)]
            if supplier.small_order is not None:
                small = self.columns.add(supplier.small_order)
                row.append((small, least))
            self.columns.limit(row, low=0)
        write_charges(self.columns, supplier, OrderTerms(order, small, lines), exact_duty=True)


def _line(offer: BasketOffer, numbers: Mapping[int, int]) -> LineTerms:
    return LineTerms(
        packs=[(column, float(n)) for n, column in numbers.items()],
        goods=[(column, float(offer.goods(n))) for n, column in numbers.items()],
        bought=[(column, 1.0) for column in numbers.values()],
        pack_kg=offer.pack_kg,
        pack_cm3=offer.pack_cm3,
        extra_duty=offer.extra_duty,
        unit_goods=tuple(offer.goods(n) for n in numbers),
    )


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
    goods, cost = (
        min(each) for each in zip(*((t.goods, t.cost) for t in offer.tiers), strict=True)
    )
    most = max(enough, tiers) + reach_of(supplier).packs(goods, cost)
    return range(offer.least_packs, min(most, MOST_PACKS) + 1)
