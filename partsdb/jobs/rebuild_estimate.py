"""What a way to buy a rebuild's parts comes to at the least, fast: only the best are landed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from partsdb.jobs.choices import Choice
from partsdb.jobs.landing import Landings, Need
from partsdb.rules.basket import BasketSupplier
from partsdb.rules.basket_orders import basket_offer, basket_supplier
from partsdb.rules.money import Money
from partsdb.rules.rebuild import RebuildWork, comeback_cost, labour
from partsdb.store.rows import OfferRow

# Minor units by which rounding may lower a landed total: a step or line takes half of one each.
SLACK_PER_LINE = 5


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


@dataclass(frozen=True, slots=True)
class _Line:
    """A pick in floating point: what it costs, its goods on the invoice, its weight and rate."""

    supplier: str
    cost: float
    goods: float
    kilos: float
    rate: float
    days: int


@dataclass(frozen=True, slots=True)
class _Charges:
    """A supplier's charges in floating point; see `BasketSupplier.charges`."""

    fee: float
    freight: float
    free_above: float
    per_kg: float
    min_order: float
    small_order: float

    def on(self, goods: float, kilos: float) -> float:
        """Return the least that the charges on such an order can be."""
        is_free = goods >= self.free_above - 1
        freight = 0.0 if is_free else self.freight + self.per_kg * kilos
        small = self.small_order if goods < self.min_order - 1 else 0.0
        return self.fee + freight + small


def _charges(supplier: BasketSupplier) -> _Charges:
    never = float("inf")
    return _Charges(
        float(supplier.fee),
        float(supplier.freight),
        never if supplier.free_above is None else float(supplier.free_above),
        float(supplier.per_kg),
        float(supplier.min_order),
        float(supplier.small_order or 0),
    )


def _key(pick: Pick) -> tuple[int, int]:
    return pick.offer.id, pick.units


class Estimate:
    """Gives ways in the order of what they cost at the least, rounding taken off."""

    def __init__(self, work: RebuildWork, landings: Landings, ways: Sequence[list[Pick]]) -> None:
        self._ways, self._landings = ways, landings
        picks = {_key(pick): pick for way in ways for pick in way}
        self._lines = {i: self._line(pick) for i, pick in picks.items()}
        self._charged = self._suppliers(picks.values())
        again = comeback_cost(Money(0, work.hourly.currency), work)
        self._labour, self._again = labour(work).minor, again.minor
        self._day = work.waiting_day.minor * work.quantity

    def cheapest_first(self) -> Iterator[tuple[float, list[Pick]]]:
        """Yield each way with what it cannot be under."""
        rated = [(self._least(way), place) for place, way in enumerate(self._ways)]
        for least, place in sorted(rated):
            yield least, self._ways[place]

    def _line(self, pick: Pick) -> _Line:
        need = Need(pick.choice.part, pick.offer, pick.units)
        side = self._landings.side(pick.offer)
        offer = basket_offer("", side.seller, self._landings.line(need))
        packs = offer.cheapest_packs(pick.units)
        return _Line(
            pick.offer.supplier,
            float(offer.cost(packs)),
            float(offer.goods(packs)),
            float(offer.pack_kg * packs),
            float(pick.rate),
            pick.days or 0,
        )

    def _suppliers(self, picks: Iterable[Pick]) -> dict[str, _Charges]:
        lines: dict[str, list[Pick]] = {}
        for pick in picks:
            lines.setdefault(pick.offer.supplier, []).append(pick)
        charged = {}
        for name, bought in lines.items():
            seller = self._landings.side(bought[0].offer).seller
            landed = [self._landings.line(Need(p.choice.part, p.offer, p.units)) for p in bought]
            charged[name] = _charges(basket_supplier(seller, landed))
        return charged

    def _least(self, way: Sequence[Pick]) -> float:
        lines = [self._lines[_key(pick)] for pick in way]
        goods: dict[str, list[float]] = {}
        for line in lines:
            order = goods.setdefault(line.supplier, [0.0, 0.0])
            order[0] += line.goods
            order[1] += line.kilos
        parts = sum(line.cost for line in lines) - SLACK_PER_LINE * (len(lines) + len(goods))
        parts += sum(self._charged[name].on(*order) for name, order in goods.items())
        rate, days = max(line.rate for line in lines), max(line.days for line in lines)
        return self._labour + parts + rate * (parts + self._again) + days * self._day - 1
