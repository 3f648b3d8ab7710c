"""The best basket, proven: solved by branch and bound, counted again exactly, and questioned.

The solver (HiGHS, through scipy) works in floating point; what it proposes is rounded to whole
packs, its cost counted again with exact fractions, and every rule checked before it is believed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from partsdb.errors import PartsdbError
from partsdb.rules.basket import (
    Basket,
    BasketNeed,
    BasketProblem,
    Use,
    basket_cost,
    broken_rules,
)
from partsdb.rules.basket_model import Columns, How, Written, write
from partsdb.rules.basket_plain import basket_of, best_single_supplier, cheapest_per_line
from partsdb.rules.program import best_values

SECONDS = 30.0
# The solver's own tolerance: a bound this near the cost (in minor units) is the cost.
CLOSE = 1e-3
RELATIVE = 1e-9
# Shared duty is written in small steps: what is under half the smallest coin tells no two apart.
SHARED_CLOSE = 0.5


@dataclass(frozen=True, slots=True)
class Solved:
    """A basket with its exact cost and the lower bound that no basket can beat."""

    basket: Basket
    cost: Fraction
    bound: Fraction
    proven: bool

    @property
    def gap(self) -> float:
        """How far the cost may lie above the best, as a share of it."""
        return float((self.cost - self.bound) / self.cost) if self.cost else 0.0


@dataclass(frozen=True, slots=True)
class Relaxation:
    """The fewest rules that must go before the needs can be bought at all.

    `unserved` are needs that nobody may serve even so: no rule that may be lifted helps them.
    """

    rules: tuple[str, ...]
    unserved: tuple[str, ...]


class UnsoundBasketError(PartsdbError):
    """What the solver proposed does not keep a rule: it is not shown as an answer."""

    code = "internal"
    exit_code = 1

    def __init__(self, broken: Sequence[str]) -> None:
        super().__init__(f"the basket found breaks a rule: {'; '.join(broken)}")


def solve_basket(
    problem: BasketProblem,
    *,
    seconds: float = SECONDS,
    lifted: frozenset[str] = frozenset(),
) -> Solved | None:
    """Return the best basket, or None when no basket keeps the rules.

    After `seconds` (of a search; there is a second one where charges are shared between goods of
    several duty rates) the best one found so far, with its bound. Raises UnsoundBasketError when
    the solver's proposal fails our own check.
    """
    if any(not problem.options(need, lifted) for need in problem.needs):
        return None
    known = _simple(problem, lifted)
    found = _searched(problem, How(lifted, known=known.cost if known else None), seconds)
    if found is None or found.proven or not any(offer.extra_duty for offer in problem.offers):
        return found
    return _closer(problem, found, How(lifted, exact_duty=True, known=found.cost), seconds)


def _searched(problem: BasketProblem, how: How, seconds: float) -> Solved | None:
    written = write(problem, how)
    values, bound, is_done = _solved(written.columns, seconds)
    simple = None if is_done else _without_solver(problem, bound, how.lifted)
    if values is None:
        return simple
    found = _proposed(problem, written, values, how)
    if simple is not None and simple.cost < found.cost:
        return simple  # the solver was stopped before it came so far
    low = min(Fraction(bound), found.cost) if math.isfinite(bound) else Fraction(0)
    near = max(CLOSE, float(found.cost) * RELATIVE)
    return replace(found, bound=low, proven=is_done and float(found.cost) - bound <= near)


def _closer(problem: BasketProblem, found: Solved, how: How, seconds: float) -> Solved:
    """Return the basket after a second search that knows what shared charges cost in duty.

    The first one counted it, but sought without it; nothing dearer than what it found is sought.
    """
    written = write(problem, how)
    costs = [(column, cost) for column, cost in enumerate(written.columns.cost) if cost]
    written.columns.limit(costs, high=float(found.cost) + SHARED_CLOSE)
    values, bound, is_done = _solved(written.columns, seconds)
    if values is None:
        return replace(found, bound=found.cost, proven=True) if is_done else found
    best = min(found, _proposed(problem, written, values, how), key=lambda each: each.cost)
    low = max(found.bound, Fraction(bound) if math.isfinite(bound) else Fraction(0))
    near = max(SHARED_CLOSE, float(best.cost) * RELATIVE)
    proven = is_done and float(best.cost) - bound <= near
    return replace(best, bound=min(low, best.cost), proven=proven)


def _proposed(
    problem: BasketProblem, written: Written, values: Sequence[float], how: How
) -> Solved:
    """Return what the solver proposes, counted exactly; raises UnsoundBasketError."""
    basket = _basket(problem, written, values, how)
    broken = broken_rules(problem, basket, how.lifted)
    if broken:
        raise UnsoundBasketError(broken)
    return Solved(basket, basket_cost(problem, basket.packs), Fraction(0), False)


def _solved(columns: Columns, seconds: float) -> tuple[list[float] | None, float, bool]:
    """Return the values of the columns (None: none found), the bound, and whether it is settled."""
    found = best_values(columns, seconds)
    return found.values, found.bound, found.is_done


def _basket(problem: BasketProblem, written: Written, values: Sequence[float], how: How) -> Basket:
    packs = [0] * len(problem.offers)
    for index, columns in written.offers.items():
        packs[index] = sum(round(values[column]) for column in columns.packs)
    uses = _shared_out(problem, written, values, (packs, how.lifted))
    used = {use.offer for use in uses}
    needless = [i for i in range(len(packs)) if packs[i] and i not in used]
    return _trimmed(problem, Basket(tuple(packs), tuple(sorted(uses, key=_by_place))), needless)


def _shared_out(
    problem: BasketProblem,
    written: Written,
    values: Sequence[float],
    bought: tuple[Sequence[int], frozenset[str]],
) -> list[Use]:
    """Return what serves which need, of the packs bought under the rules that are not lifted."""
    packs, lifted = bought
    whole = written.columns.whole
    uses: list[Use] = []
    short = [need.units for need in problem.needs]
    left = [count * offer.pack_units for count, offer in zip(packs, problem.offers, strict=True)]
    stock = [offer.stock for offer in problem.offers]
    # Units of shared offers come first, as the solver shared them; the others fill up.
    for (need, offer), column in sorted(
        written.uses.items(), key=lambda each: (-whole[each[1]], each[0])
    ):
        wanted = round(values[column]) if whole[column] else short[need]
        if not whole[column] and values[column] < CLOSE:
            continue
        is_due, in_stock = problem.needs[need].is_due(lifted), stock[offer]
        units = min(wanted, short[need], left[offer])
        if is_due and in_stock is not None:
            units = min(units, in_stock)
            stock[offer] = in_stock - units
        if units > 0:
            uses.append(Use(need, offer, units))
            short[need] -= units
            left[offer] -= units
    return uses


def _by_place(use: Use) -> tuple[int, int]:
    return use.need, use.offer


def _trimmed(problem: BasketProblem, basket: Basket, needless: Sequence[int]) -> Basket:
    """Drop packs that serve nothing, where that costs nothing: they came free of charge."""
    for index in needless:
        packs = tuple(0 if i == index else count for i, count in enumerate(basket.packs))
        without = Basket(packs, basket.uses)
        if basket_cost(problem, packs) <= basket_cost(problem, basket.packs) and not broken_rules(
            problem, without
        ):
            basket = without
    return basket


def _without_solver(problem: BasketProblem, bound: float, lifted: frozenset[str]) -> Solved | None:
    """Return the better of the simple baskets, when the time was too short for any other."""
    found = _simple(problem, lifted)
    low = Fraction(max(bound, 0.0)) if math.isfinite(bound) else Fraction(0)
    return found and replace(found, bound=min(low, found.cost))


def _simple(problem: BasketProblem, lifted: frozenset[str]) -> Solved | None:
    """Return the better of the baskets that need no search; None when neither keeps the rules."""
    found = [cheapest_per_line(problem, lifted), best_single_supplier(problem, lifted)]
    sound = [each for each in found if each and not broken_rules(problem, each, lifted)]
    costs = [(basket_cost(problem, basket.packs), basket) for basket in sound]
    if not costs:
        return None
    cost, best = min(costs, key=lambda each: each[0])
    return Solved(best, cost, Fraction(0), False)


def smallest_relaxation(problem: BasketProblem, *, seconds: float = SECONDS) -> Relaxation:
    """Return the fewest rules to lift so that everything can be bought, whatever it costs."""
    unserved = tuple(need.name for need in problem.needs if not need.options)
    served = tuple(need for need in problem.needs if need.options)
    if not served:
        return Relaxation((), unserved)
    rest = BasketProblem(served, problem.offers, problem.suppliers, problem.most_suppliers)
    written = write(rest, How(elastic=True))
    values, _, _ = _solved(written.columns, seconds)
    if values is None:
        return Relaxation(tuple(sorted(written.rules)), unserved)
    lifted = sorted(rule for rule, column in written.rules.items() if values[column] > 0.5)
    return Relaxation(tuple(lifted), unserved)


@dataclass(frozen=True, slots=True)
class RunnerUp:
    """The next best offer for a need, all else as it is, and how much more it would cost."""

    offer: int
    more: Fraction


def runner_up(problem: BasketProblem, solved: Solved, need: int) -> RunnerUp | None:
    """Return the cheapest way to serve the need otherwise; None when there is no other offer."""
    asked = problem.needs[need]
    taken = {use.offer for use in solved.basket.uses if use.need == need}
    others = [use for use in solved.basket.uses if use.need != need]
    found = []
    for option in problem.options(asked):
        if taken == {option.offer}:  # where several share a need, one of them alone is another way
            continue
        other = basket_of(problem, [*others, Use(need, option.offer, asked.units)])
        if not broken_rules(problem, other):
            more = basket_cost(problem, other.packs) - solved.cost
            found.append(RunnerUp(option.offer, more))
    return min(found, key=lambda each: (each.more, each.offer), default=None)


def rules_in_force(problem: BasketProblem) -> list[str]:
    """Return every rule that may be lifted and binds somewhere."""
    rules = {rule for need in problem.needs for o in need.options for rule in o.against}
    rules |= {s.min_rule for s in problem.suppliers if s.min_order and s.small_order is None}
    rules |= {need.due for need in problem.needs if _is_short(problem, need)}
    if problem.most_suppliers is not None and problem.most_suppliers < len(problem.suppliers):
        rules.add(problem.most_rule)
    return sorted(rules)


def _is_short(problem: BasketProblem, need: BasketNeed) -> bool:
    """Tell whether a stock may keep an option from serving all of a need that is due."""
    stocks = (problem.offers[option.offer].stock for option in need.options)
    return bool(need.due) and any(s is not None and s < need.units for s in stocks)
