"""Baskets that need no solver: each line at its cheapest, everything from one supplier."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from partsdb.rules.basket import Basket, BasketProblem, Use, basket_cost, broken_rules


def cheapest_per_line(
    problem: BasketProblem, lifted: frozenset[str] = frozenset()
) -> Basket | None:
    """Return the basket that takes for each need the offer that is cheapest by itself."""
    chosen = []
    for index, need in enumerate(problem.needs):
        options = problem.options(need, lifted)
        if not options:
            return None
        best = min(options, key=lambda o: _alone(problem, o.offer, need.units))
        chosen.append(Use(index, best.offer, need.units))
    return basket_of(problem, chosen)


def _alone(problem: BasketProblem, offer: int, units: int) -> tuple[Fraction, int]:
    found = problem.offers[offer]
    return found.cost(found.cheapest_packs(units)), offer


def basket_of(problem: BasketProblem, uses: Sequence[Use]) -> Basket:
    """Return the basket that buys the uses, each offer in the packs that cost least."""
    units = [0] * len(problem.offers)
    for use in uses:
        units[use.offer] += use.units
    packs = [
        offer.cheapest_packs(count) if count else 0
        for offer, count in zip(problem.offers, units, strict=True)
    ]
    return Basket(tuple(packs), tuple(uses))


def best_single_supplier(
    problem: BasketProblem, lifted: frozenset[str] = frozenset()
) -> Basket | None:
    """Return the cheapest basket of one supplier who has everything; None when nobody has."""
    found = []
    for supplier in problem.suppliers:
        needs = [
            [o for o in problem.options(need, lifted)
             if problem.offers[o.offer].supplier == supplier.name]
            for need in problem.needs
        ]  # fmt: skip
        if not all(needs):
            continue
        uses = [
            Use(n, min(options, key=lambda o: _alone(problem, o.offer, need.units)).offer,
                need.units)
            for n, (need, options) in enumerate(zip(problem.needs, needs, strict=True))
        ]  # fmt: skip
        basket = basket_of(problem, uses)
        if not broken_rules(problem, basket, lifted):
            found.append(basket)
    return min(found, key=lambda each: basket_cost(problem, each.packs), default=None)
