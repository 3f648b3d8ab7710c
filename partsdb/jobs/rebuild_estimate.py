"""What a way to buy a rebuild's parts comes to at the least, fast: only the best are landed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from partsdb.jobs.choices import Choice
from partsdb.jobs.landing import Landings, Need
from partsdb.rules.basket import BasketOffer, BasketSupplier
from partsdb.rules.basket_charges import LineLoad
from partsdb.rules.basket_orders import basket_offer, basket_supplier
from partsdb.rules.money import Money
from partsdb.rules.offers import purchase
from partsdb.rules.rebuild import RebuildWork, comeback_cost, labour, used_up
from partsdb.store.rows import OfferRow

# Minor units by which rounding may lower a landed total: a step or line takes half of one each.
SLACK_PER_LINE = 5


@dataclass(frozen=True, slots=True)
class Pick:
    """One item bought as one part from one offer; `rate` is its comeback rate, `why_rate` why."""

    choice: Choice
    offer: OfferRow
    units: int
    rate: Fraction
    alone_minor: int
    days: int | None
    why_rate: str = ""

    @property
    def worth(self) -> tuple[Fraction, str, str, int]:
        """Order picks by what they cost alone with their comebacks; ties by number."""
        cost = self.alone_minor * (1 + self.rate)
        return cost, self.choice.part.maker, self.choice.part.number, self.offer.id


@dataclass(frozen=True, slots=True)
class _Line:
    """A pick as a basket counts it: its packs, their cost without charges, its rate and days."""

    offer: BasketOffer
    packs: int
    cost: float
    rate: float
    days: int


def _key(pick: Pick) -> tuple[int, int]:
    return pick.offer.id, pick.units


class Estimate:
    """Gives ways in the order of what they cost at the least, rounding taken off."""

    def __init__(self, work: RebuildWork, landings: Landings, ways: Sequence[list[Pick]]) -> None:
        self._ways, self._landings = ways, landings
        picks = {_key(pick): pick for way in ways for pick in way}
        self._lines = {i: self._line(pick) for i, pick in picks.items()}
        self._suppliers = self._found_suppliers(picks.values())
        self._orders: dict[tuple[tuple[int, int], ...], float] = {}
        again = comeback_cost(Money(0, work.hourly.currency), work)
        self._labour, self._again = labour(work).minor + used_up(work).minor, again.minor
        self._day = work.waiting_day.minor * work.quantity

    def cheapest_first(self) -> Iterator[tuple[float, list[Pick]]]:
        """Yield each way with what it cannot be under."""
        rated = [(self._least(way), place) for place, way in enumerate(self._ways)]
        for least, place in sorted(rated):
            yield least, self._ways[place]

    def _line(self, pick: Pick) -> _Line:
        need = Need(pick.choice.part, pick.offer, pick.units)
        side = self._landings.side(pick.offer)
        line = self._landings.line(need)
        offer, packs = basket_offer("", side.seller, line), purchase(line.offer, pick.units).packs
        return _Line(offer, packs, float(offer.cost(packs)), float(pick.rate), pick.days or 0)

    def _found_suppliers(self, picks: Iterable[Pick]) -> dict[str, BasketSupplier]:
        lines: dict[str, list[Pick]] = {}
        for pick in picks:
            lines.setdefault(pick.offer.supplier, []).append(pick)
        found = {}
        for name, bought in lines.items():
            seller = self._landings.side(bought[0].offer).seller
            landed = [self._landings.line(Need(p.choice.part, p.offer, p.units)) for p in bought]
            found[name] = basket_supplier(seller, landed)
        return found

    def _order(self, name: str, keys: tuple[tuple[int, int], ...]) -> float:
        """Return the least that an order of those lines can land for; kept, for many ways share it.

        Goods may be a coin off on either side of a threshold once they are rounded.
        """
        if keys not in self._orders:
            lines = [self._lines[key] for key in keys]
            charges = min(self._charges(name, lines, off) for off in (-1, 0, 1))
            slack = SLACK_PER_LINE * (len(lines) + 1)
            self._orders[keys] = sum(line.cost for line in lines) + charges - slack
        return self._orders[keys]

    def _charges(self, name: str, lines: Sequence[_Line], off: int) -> float:
        supplier = self._suppliers[name]
        loads = [
            LineLoad(
                line.offer.goods(line.packs) + (0 if place else off),
                supplier.weighing.piece(
                    line.offer.pack_kg * line.packs, line.offer.pack_cm3 * line.packs
                ),
            )
            for place, line in enumerate(lines)
        ]
        return float(supplier.charges(loads))

    def _least(self, way: Sequence[Pick]) -> float:
        orders: dict[str, list[tuple[int, int]]] = {}
        for pick in way:
            orders.setdefault(pick.offer.supplier, []).append(_key(pick))
        parts = sum(self._order(name, tuple(keys)) for name, keys in orders.items())
        lines = [self._lines[_key(pick)] for pick in way]
        rate, days = max(line.rate for line in lines), max(line.days for line in lines)
        return self._labour + parts + rate * (parts + self._again) + days * self._day - 1
