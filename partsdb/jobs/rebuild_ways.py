"""The ways to buy a rebuild's parts: from one supplier each, and the best mix, waiting included."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, product
from math import prod

from partsdb.jobs.answers import CostStep, Purchase
from partsdb.jobs.delivery import delivery_notes
from partsdb.jobs.landing import Landings, Need, home_currency
from partsdb.jobs.payment_notes import notes_on_paying
from partsdb.jobs.rebuild_answers import RebuildOption
from partsdb.jobs.rebuild_estimate import Estimate, Pick
from partsdb.rules.landed import LandedOrder
from partsdb.rules.money import Money, total_of
from partsdb.rules.rebuild import RebuildCost, RebuildWork, rebuild_option
from partsdb.rules.verdict import worst_verdict
from partsdb.store.rows_lists import RecipeRow

# Above this many ways of spreading the items over suppliers, the mix is sought among sets of
# suppliers only, each item at the cheapest of the set.
MOST_WAYS = 4096
MOST_ORDERS = 3  # common practice, no source: each further order is freight and fees again
NEVER = 10_000  # days: an unknown lead time is not known to be short


__all__ = ["Pick", "Ways"]

_Order = tuple[str, LandedOrder, tuple[Pick, ...]]


class Ways:
    """Costs ways to buy; an order that several ways share is landed once."""

    def __init__(self, recipe: RecipeRow, quantity: int, landings: Landings) -> None:
        self.work = _work(recipe, quantity)
        self._landings = landings
        self._home = home_currency()
        self._landed: dict[tuple[tuple[int, int], ...], LandedOrder] = {}
        self._found: dict[tuple[tuple[tuple[int, int], ...], ...], list[list[Pick]]] = {}

    def options(self, items: Sequence[Sequence[Pick]]) -> list[RebuildOption]:
        """Return the best way of each supplier that has everything, and the best mix, in order.

        Every limit on the waiting is tried, for a dearer part that is here sooner may win. A mix
        that saves nothing against one supplier is no option.
        """
        found = [self._option(way) for way in self._best_ways(items)]
        return sorted(found, key=lambda option: (option.total_minor, option.name))

    def best(self, items: Sequence[Sequence[Pick]]) -> list[Pick] | None:
        """Return the cheapest way to buy all items; None when one of them is not to be had."""
        return min(self._best_ways(items), key=self._rank, default=None)

    def _best_ways(self, items: Sequence[Sequence[Pick]]) -> list[list[Pick]]:
        """Return the best way of each supplier that has everything, and the best mix; kept."""
        key = tuple(tuple((pick.offer.id, pick.units) for pick in item) for item in items)
        if key not in self._found:
            self._found[key] = self._sought(items) if items and all(items) else []
        return self._found[key]

    def _sought(self, items: Sequence[Sequence[Pick]]) -> list[list[Pick]]:
        alone: dict[str, list[list[Pick]]] = {}
        mixes = []
        for way in self._ways(items):
            names = {pick.offer.supplier for pick in way}
            if len(names) == 1:
                alone.setdefault(names.pop(), []).append(way)
            else:
                mixes.append(way)
        best = [min(ways, key=self._rank) for ways in alone.values()]
        to_beat = min((self._rank(way)[0] for way in best), default=None)
        return [*best, *self._best_mix(mixes, to_beat)]

    def _rank(self, way: Sequence[Pick]) -> tuple[int, str]:
        return self.cost(way).total.minor, "".join(f"{p.choice.part.id}," for p in way)

    def _best_mix(self, mixes: Sequence[list[Pick]], to_beat: int | None) -> list[list[Pick]]:
        """Return the best mix that costs less than `to_beat`; what cannot be it is not landed."""
        best: tuple[tuple[int, str], list[Pick]] | None = None
        for least, way in Estimate(self.work, self._landings, mixes).cheapest_first():
            if least > (best[0][0] if best else float("inf" if to_beat is None else to_beat)):
                break
            rank = self._rank(way)
            if (to_beat is None or rank[0] < to_beat) and (best is None or rank < best[0]):
                best = (rank, way)
        return [best[1]] if best else []

    def _ways(self, items: Sequence[Sequence[Pick]]) -> Iterator[list[Pick]]:
        limits = sorted({NEVER if p.days is None else p.days for item in items for p in item})
        seen = set()
        for limit in limits:
            reduced = [_best_by_supplier(item, limit) for item in items]
            for way in _mixes(reduced) if all(reduced) else ():
                key = tuple(pick.offer.id for pick in way)
                if key not in seen:
                    seen.add(key)
                    yield way

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
            self._landed[key] = self._landings.land(needs)
        return self._landed[key]

    def cost(self, way: Sequence[Pick]) -> RebuildCost:
        """Return what the way costs, in steps of which the first is the parts."""
        parts = sum(order.total.minor for _, order, _ in self._orders(way))
        days = max((pick.days for pick in way if pick.days is not None), default=0)
        rate = max(pick.rate for pick in way)
        money = Money(parts, self._home)
        return rebuild_option(money, self.work, comeback_rate=rate, waiting_days=days)

    def _option(self, way: Sequence[Pick]) -> RebuildOption:
        orders, cost = self._orders(way), self.cost(way)
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
            buy=tuple(_purchases(self._landings, orders)),
            verdict=worst_verdict(pick.choice.weighed.verdict for pick in way),
            notes=(*_notes(way, orders), *self._payments(orders)),
        )

    def _payments(self, orders: Sequence[_Order]) -> Iterator[str]:
        for _, order, bought in orders:
            side = self._landings.side(bought[0].offer)
            goods = total_of([p.goods for p in order.purchases], bought[0].offer.currency)
            yield from notes_on_paying(side, goods)


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
    suppliers = sorted({supplier for item in items for supplier in item})
    bits = {supplier: 1 << place for place, supplier in enumerate(suppliers)}
    ranked = [
        [(bits[p.offer.supplier_id], p) for p in sorted(item.values(), key=lambda p: p.worth)]
        for item in items
    ]
    for chosen in _supplier_sets(suppliers, len(items)):
        allowed = sum(bits[supplier] for supplier in chosen)
        way = [next((p for bit, p in item if bit & allowed), None) for item in ranked]
        picked = [pick for pick in way if pick is not None]
        if len(picked) == len(items):
            yield picked


def _supplier_sets(suppliers: Sequence[int], items: int) -> Iterator[tuple[int, ...]]:
    """Yield the sets of suppliers that may share the items; of many those of three, and all."""
    many = 2 ** len(suppliers) > MOST_WAYS
    # More suppliers than items cannot all sell one: a smaller set has given that way already.
    for size in range(1, min(MOST_ORDERS if many else len(suppliers), items) + 1):
        yield from combinations(suppliers, size)
    if many:
        yield tuple(suppliers)


def _order_steps(orders: Sequence[_Order]) -> list[CostStep]:
    return [
        CostStep(f"{name}: {step.label}", step.amount_minor, step.how)
        for name, order, _ in orders
        for step in order.steps
    ]


def _purchases(landings: Landings, orders: Sequence[_Order]) -> Iterator[Purchase]:
    for name, order, bought in orders:
        for pick, purchase in zip(bought, order.purchases, strict=True):
            part = pick.choice.part
            here = landings.here_on(pick.offer)
            yield Purchase(part.maker, part.number, name, purchase.packs, purchase.units, here)


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
        consumables=money(recipe.consumables_minor),
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
    said += [
        note
        for _, order, bought in orders
        for pick, purchase in zip(bought, order.purchases, strict=True)
        for note in delivery_notes(pick.choice.part, pick.offer, purchase.units)
    ]
    said.append(max(way, key=lambda pick: pick.rate).why_rate)
    return tuple(dict.fromkeys(said))
