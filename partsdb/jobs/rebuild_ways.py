"""The ways to buy a rebuild's parts: from one supplier each, and the best mix, waiting included."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, product
from math import prod

from partsdb.jobs.answers import CostStep, Purchase, RebuildOption
from partsdb.jobs.choices import Choice
from partsdb.jobs.landing import Need, home_currency, land
from partsdb.rules.landed import LandedOrder
from partsdb.rules.money import Money
from partsdb.rules.rebuild import RebuildCost, RebuildWork, rebuild_option
from partsdb.rules.verdict import worst_verdict
from partsdb.store.rows import OfferRow
from partsdb.store.rows_lists import RecipeRow

# Above this many ways of spreading the items over suppliers, the mix is sought among sets of
# suppliers only, each item at the cheapest of the set.
MOST_WAYS = 4096
MOST_ORDERS = 3  # common practice, no source: each further order is freight and fees again
NEVER = 10_000  # days: an unknown lead time is not known to be short


@dataclass(frozen=True, slots=True)
class Pick:
    """One item bought as one part from one supplier's offer; `rate` is its comeback rate."""

    choice: Choice
    offer: OfferRow
    units: int
    rate: Fraction
    alone_minor: int
    days: int | None

    @property
    def worth(self) -> tuple[Fraction, str, str, int]:
        """Order picks by what they cost alone with their comebacks; ties by number."""
        cost = self.alone_minor * (1 + self.rate)
        return cost, self.choice.part.maker, self.choice.part.number, self.offer.id


_Order = tuple[str, LandedOrder, tuple[Pick, ...]]


class Ways:
    """Costs ways to buy; an order that several ways share is landed once."""

    def __init__(self, recipe: RecipeRow, quantity: int, as_of: str) -> None:
        self._work = _work(recipe, quantity)
        self._as_of = as_of
        self._home = home_currency()
        self._landed: dict[tuple[tuple[int, int], ...], LandedOrder] = {}

    def options(self, items: Sequence[Sequence[Pick]]) -> list[RebuildOption]:
        """Return the best way of each supplier that has everything, and the best mix, in order.

        Every limit on the waiting is tried, for a dearer part that is here sooner may win. A mix
        that saves nothing against one supplier is no option.
        """
        if not items or not all(items):
            return []
        best: dict[tuple[str, ...], tuple[tuple[int, str], list[Pick]]] = {}
        for way in self._ways(items):
            cost = self._cost(way)
            names = tuple(sorted({pick.offer.supplier for pick in way}))
            rank = (cost.total.minor, "".join(f"{p.choice.part.id}," for p in way))
            kept = best.setdefault(names, (rank, way))
            if rank < kept[0]:
                best[names] = (rank, way)
        mixes = sorted((each for each in best if len(each) > 1), key=lambda each: best[each][0])
        single = [each for each in best if len(each) == 1]
        cheapest = min((best[each][0][0] for each in single), default=None)
        pays = [each for each in mixes[:1] if cheapest is None or best[each][0][0] < cheapest]
        found = [self._option(best[each][1]) for each in (*single, *pays)]
        return sorted(found, key=lambda option: (option.total_minor, option.name))

    def _ways(self, items: Sequence[Sequence[Pick]]) -> Iterator[list[Pick]]:
        limits = sorted({NEVER if p.days is None else p.days for item in items for p in item})
        for limit in limits:
            reduced = [_best_by_supplier(item, limit) for item in items]
            if all(reduced):
                yield from _mixes(reduced)

    def _orders(self, way: Sequence[Pick]) -> list[_Order]:
        """Return one landed order per supplier, so that freight and fees are paid once."""
        by_supplier: dict[str, list[Pick]] = {}
        for pick in way:
            by_supplier.setdefault(pick.offer.supplier, []).append(pick)
        return [(n, self._land(tuple(b)), tuple(b)) for n, b in sorted(by_supplier.items())]

    def _land(self, bought: tuple[Pick, ...]) -> LandedOrder:
        key = tuple((pick.offer.id, pick.units) for pick in bought)
        if key not in self._landed:
            needs = [Need(pick.choice.part, pick.offer, pick.units) for pick in bought]
            self._landed[key] = land(needs, self._as_of)
        return self._landed[key]

    def _cost(self, way: Sequence[Pick]) -> RebuildCost:
        parts = sum(order.total.minor for _, order, _ in self._orders(way))
        days = max((pick.days for pick in way if pick.days is not None), default=0)
        rate = max(pick.rate for pick in way)
        money = Money(parts, self._home)
        return rebuild_option(money, self._work, comeback_rate=rate, waiting_days=days)

    def _option(self, way: Sequence[Pick]) -> RebuildOption:
        orders, cost = self._orders(way), self._cost(way)
        names = tuple(name for name, _, _ in orders)
        rest = [step for step in cost.steps if step.label != "parts"]
        return RebuildOption(
            name="all from " + names[0] if len(names) == 1 else "mix of " + " and ".join(names),
            suppliers=names,
            total_minor=cost.total.minor,
            currency=self._home,
            steps=(
                *_order_steps(orders),
                *(CostStep(step.label, step.amount_minor, step.how) for step in rest),
            ),
            buy=tuple(_purchases(orders)),
            verdict=worst_verdict(pick.choice.weighed.verdict for pick in way),
            notes=_notes(way, orders),
        )


def _best_by_supplier(item: Sequence[Pick], limit: int) -> dict[int, Pick]:
    """Return the cheapest pick of each supplier that is here within `limit` days."""
    best: dict[int, Pick] = {}
    for pick in item:
        if (NEVER if pick.days is None else pick.days) <= limit:
            kept = best.setdefault(pick.offer.supplier_id, pick)
            best[pick.offer.supplier_id] = min(kept, pick, key=lambda each: each.worth)
    return best


def _mixes(items: Sequence[dict[int, Pick]]) -> Iterator[list[Pick]]:
    """Yield every way to spread the items over suppliers, or the cheapest of each set of them."""
    if prod(len(item) for item in items) <= MOST_WAYS:
        yield from map(list, product(*([item[s] for s in sorted(item)] for item in items)))
        return
    for allowed in _supplier_sets(sorted({supplier for item in items for supplier in item})):
        open_picks = [[pick for s, pick in item.items() if s in allowed] for item in items]
        if all(open_picks):
            yield [min(picks, key=lambda pick: pick.worth) for picks in open_picks]


def _supplier_sets(suppliers: Sequence[int]) -> Iterator[tuple[int, ...]]:
    """Yield every set of suppliers; of many suppliers those of three at most, and all of them."""
    many = 2 ** len(suppliers) > MOST_WAYS
    for size in range(1, (MOST_ORDERS if many else len(suppliers)) + 1):
        yield from combinations(suppliers, size)
    if many:
        yield tuple(suppliers)


def _order_steps(orders: Sequence[_Order]) -> list[CostStep]:
    return [
        CostStep(f"{name}: {step.label}", step.amount_minor, step.how)
        for name, order, _ in orders
        for step in order.steps
    ]


def _purchases(orders: Sequence[_Order]) -> Iterator[Purchase]:
    for name, order, bought in orders:
        for pick, purchase in zip(bought, order.purchases, strict=True):
            part = pick.choice.part
            yield Purchase(part.maker, part.number, name, purchase.packs, purchase.units)


def _work(recipe: RecipeRow, quantity: int) -> RebuildWork:
    def money(minor: int) -> Money:
        return Money(minor, recipe.currency)

    return RebuildWork(
        minutes=recipe.minutes,
        hourly=money(recipe.hourly_minor),
        comeback_minutes=recipe.comeback_minutes,
        comeback_carriage=money(recipe.comeback_carriage_minor),
        comeback_goodwill=money(recipe.comeback_goodwill_minor),
        waiting_day=money(recipe.waiting_day_minor),
        quantity=quantity,
    )


def _notes(way: Sequence[Pick], orders: Sequence[_Order]) -> tuple[str, ...]:
    said = [f"{name}: {note}" for name, order, _ in orders for note in order.notes]
    said += [
        f"{name}: not counted: {gap}" for name, order, _ in orders for gap in order.not_counted
    ]
    said += [
        f"condition for {pick.choice.part.number}: {text}"
        for pick in way
        for text in pick.choice.weighed.conditions
    ]
    said += [
        f"the lead time of {pick.choice.part.number} is not known: the waiting may be longer"
        for pick in way
        if pick.days is None
    ]
    said.append(
        "the comeback rate is that of the least proven part: assumed for its grade, moved by our "
        "own record"
    )
    return tuple(dict.fromkeys(said))
